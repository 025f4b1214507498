/**
 * Tells early which of many attempts are not worth finishing: at fixed ages each is held against those before it
 * at the same age, and one that is longer than their median is behind (the median rule of Golovin et al. 2017).
 * Of attempts that end alike it lets through one in two at each age, so that several times as many are begun.
 */
export class Race {
  private readonly ages: readonly number[];
  /** Lengths met at each age, shortest first. */
  private readonly heats: number[][];
  private born = 0;
  private next = 0;
  private behind = false;

  /** `ages` ascend, in units of work. */
  constructor(ages: readonly number[]) {
    this.ages = ages;
    this.heats = ages.map(() => []);
  }

  /** An attempt begins at `work`. */
  begin(work: number): void {
    this.born = work;
    this.next = 0;
    this.behind = false;
  }

  /** Whether the attempt at hand, `length` long at `work`, has fallen behind; once it has, it stays so. */
  isBehind(work: number, length: number): boolean {
    while (!this.behind && this.next < this.ages.length && work - this.born >= this.ages[this.next]!) {
      const heat = this.heats[this.next++]!;
      // The first at an age have too few to be held against.
      if (heat.length >= FEW && length > heat[(heat.length - 1) >> 1]!) this.behind = true;
      const at = heat.findIndex((other) => other > length);
      heat.splice(at < 0 ? heat.length : at, 0, length);
    }
    return this.behind;
  }
}

const FEW = 3;
