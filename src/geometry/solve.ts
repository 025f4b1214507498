/**
 * Root of a continuous `f` between `low` and `high`, where its signs differ, to `tolerance` in x. False
 * position with the Illinois rule (Dowell and Jarratt 1971): an end kept twice counts half, so that
 * convergence does not stall; an interval that fails to halve in three steps is bisected.
 *
 * @throws RangeError when both ends have the same sign.
 */
export function solveBetween(f: (x: number) => number, low: number, high: number, tolerance = 1e-9): number {
  let [a, b] = [low, high];
  let fa = f(a);
  let fb = f(b);
  if (fa === 0) return a;
  if (fb === 0) return b;
  if (Math.sign(fa) === Math.sign(fb)) throw new RangeError('no change of sign between the ends');
  let kept = 0;
  let width = Math.abs(b - a);
  for (let i = 1; i <= 200 && Math.abs(b - a) > tolerance; i++) {
    let x = (a * fb - b * fa) / (fb - fa);
    if (i % 3 === 0) {
      if (Math.abs(b - a) > width / 2) x = (a + b) / 2;
      width = Math.abs(b - a);
    }
    const fx = f(x);
    if (fx === 0 || x === a || x === b) return x;
    if (Math.sign(fx) === Math.sign(fb)) {
      b = x;
      fb = fx;
      if (kept === -1) fa /= 2;
      kept = -1;
    } else {
      a = x;
      fa = fx;
      if (kept === 1) fb /= 2;
      kept = 1;
    }
  }
  return (a + b) / 2;
}
