import type { Random } from './random.js';

/** Share of the length that is cut off at first, when that has failed ever again, and at least once lengths come hard. */
const MOST = 0.02;
const LEAST = 0.001;
const HARD = 0.0002;

/** By how much the next length to try is shorter than the layout at hand, as a share of it. */
export class Shrink {
  private readonly random: Random;
  private share = MOST;
  private comesHard = false;

  constructor(random: Random) {
    this.random = random;
  }

  get ratio(): number {
    return this.share;
  }

  /** Whether lengths come hard: the least ratio has failed, or the layout had come to rest before. */
  get hard(): boolean {
    return this.comesHard;
  }

  /** For a layout just laid. */
  begin(): void {
    this.share = MOST;
    this.comesHard = false;
  }

  /** The length tried for was not found. */
  failed(): void {
    if (this.comesHard || this.share <= LEAST) this.anything();
    else this.less();
  }

  less(): void {
    this.share = Math.max(LEAST, this.share / 2);
  }

  /**
   * Any ratio may be next, as lengths come hard. To a layout at rest a build that is shorter by a percent comes hardly
   * less often than one that is shorter by a tenth of it, and little by little it would never be asked for; a
   * fiftieth of it comes oftenest.
   */
  anything(): void {
    this.comesHard = true;
    this.share = MOST * (HARD / MOST) ** this.random.next();
  }
}
