/**
 * Small fast counter generator (sfc32 by Chris Doty-Humphrey, PractRand): 32-bit whole-number arithmetic
 * only, so that a seed gives the same stream on every machine.
 */
export class Random {
  private a: number;
  private b: number;
  private c: number;
  private counter = 1;

  /** The stream of `lane` under `seed`; different pairs give unrelated streams. */
  constructor(seed: number, lane = 0) {
    this.a = seed | 0;
    this.b = Math.floor(seed / 4294967296) | 0;
    this.c = Math.imul(lane + 1, 0x9e3779b9);
    for (let i = 0; i < 20; i++) this.bits();
  }

  /** 32 random bits, as a signed whole number. */
  bits(): number {
    const t = (((this.a + this.b) | 0) + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (this.c << 21) | (this.c >>> 11);
    this.c = (this.c + t) | 0;
    return t;
  }

  /** Uniform in [0, 1). */
  next(): number {
    return (this.bits() >>> 0) / 4294967296;
  }

  /** Uniform whole number in [0, count). */
  below(count: number): number {
    return Math.floor(this.next() * count);
  }

  /** Whole number in [0, count), the lower the likelier: the lower half is drawn seven times in ten. */
  low(count: number): number {
    const r = this.next();
    return Math.floor(r * r * count);
  }

  /** Shuffles the first `count` entries in place (Fisher and Yates). */
  shuffle(list: Int32Array, count: number): void {
    for (let i = count - 1; i > 0; i--) {
      const j = this.below(i + 1);
      const swap = list[i]!;
      list[i] = list[j]!;
      list[j] = swap;
    }
  }
}
