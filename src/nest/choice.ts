import type { Random } from './random.js';

/** Share of what is known that is forgotten with every trial, so that what serves now counts. */
const FORGET = 0.02;
/** How sharply the better way is preferred. */
const SHARPNESS = 2;

/**
 * Which of some ways to go about a thing, by what they came to so far: each is taken with a probability that grows with
 * its successes per work (probability matching: Goldberg 1990; Thierens 2005, on adaptive choice of operators), so
 * that none is ever given up for good.
 */
export class Choice {
  private readonly successes: Float64Array;
  private readonly work: Float64Array;
  private readonly priorWork: number;

  /** Every way begins as if it had succeeded once in `priorWork`. */
  constructor(ways: number, priorWork: number) {
    this.successes = new Float64Array(ways);
    this.work = new Float64Array(ways);
    this.priorWork = priorWork;
  }

  /** The number of a way, at random. */
  pick(random: Random): number {
    const scores = this.scores();
    let left = random.next() * scores.reduce((sum, score) => sum + score, 0);
    const way = scores.findIndex((score) => {
      left -= score;
      return left < 0;
    });
    return way < 0 ? scores.length - 1 : way;
  }

  /** Notes what a trial of `way` took and whether it succeeded. */
  add(way: number, work: number, succeeded: boolean): void {
    for (let k = 0; k < this.work.length; k++) {
      this.successes[k] = this.successes[k]! * (1 - FORGET);
      this.work[k] = this.work[k]! * (1 - FORGET);
    }
    this.work[way] = this.work[way]! + work;
    if (succeeded) this.successes[way] = this.successes[way]! + 1;
  }

  private scores(): number[] {
    return Array.from(
      this.successes,
      (successes, k) => ((1 + successes) / (this.priorWork + this.work[k]!)) ** SHARPNESS,
    );
  }
}
