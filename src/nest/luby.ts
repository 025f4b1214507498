/**
 * Number `k`, from 0, of 1 1 2 1 1 2 4 1 1 2 1 1 2 4 8 ...: how long to make tries of which it is not known how long
 * they should be. All tries of one length together get as much as those of any other (Luby, Sinclair, Zuckerman
 * 1993: the time to success is within a logarithm of what the best length would take).
 */
export function luby(k: number): number {
  let place = k + 1;
  for (;;) {
    let end = 1;
    while (end < place) end = 2 * end + 1;
    if (end === place) return (end + 1) / 2;
    // What comes before the last number of a run is the run before it, twice.
    place -= (end - 1) / 2;
  }
}
