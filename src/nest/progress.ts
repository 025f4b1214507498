/** How a length fell over the work spent on it. */
export class Progress {
  private readonly born: number;
  private readonly steps: { readonly work: number; readonly length: number }[];

  constructor(work: number, length: number) {
    this.born = work;
    this.steps = [{ work, length }];
  }

  /** The least length so far. */
  get length(): number {
    return this.steps.at(-1)!.length;
  }

  /** Notes a length; of no account unless it is the least. */
  add(work: number, length: number): void {
    if (length < this.length) this.steps.push({ work, length });
  }

  /** Whether the later half of the work up to `now`, if there was `least` of it, gained less than the share `gain`. */
  isStale(now: number, gain: number, least: number): boolean {
    const age = now - this.born;
    if (age < least) return false;
    const half = this.born + age / 2;
    const then = this.steps.findLast(({ work }) => work <= half) ?? this.steps[0]!;
    return this.length > then.length * (1 - gain);
  }
}
