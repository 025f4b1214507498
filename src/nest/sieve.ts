/** How fast the bar follows, in the logarithm of what is shown. */
const STEP = 0.15;

/**
 * Lets a fixed share of what it is shown through, the lowest of late: a bar that sinks with all that passes under it and
 * rises with all that does not (the stochastic approximation of a quantile: Robbins and Monro 1951).
 */
export class Sieve {
  private readonly share: number;
  private bar = Infinity;

  constructor(share: number) {
    this.share = share;
  }

  /** Whether a number above 0 is let through. The first one is. */
  passes(value: number): boolean {
    const low = value < this.bar;
    if (this.bar === Infinity) this.bar = value;
    else this.bar *= Math.exp(STEP * (low ? this.share - 1 : this.share));
    return low;
  }
}
