import type { DxfDropped, DxfLimits } from './types.js';

/** A pattern of the largest range has about 20 MB; a drawing beyond 100 km in mm is a slip or an attack. */
export const DXF_LIMITS: DxfLimits = {
  bytes: 64 * 1024 * 1024,
  records: 3_000_000,
  vertices: 2_000_000,
  nesting: 16,
  copies: 100_000,
  extent: 1e8,
};

/** Different kinds of dropped things that are told apart; the rest are counted together. */
const MOST_KINDS = 200;
const OTHERS = 'other things';

/** Counts what was left out, like things together. */
export class Drops {
  readonly #kinds = new Map<string, { count: number; where: string }>();

  add(what: string, where: string | number): void {
    const key = this.#kinds.has(what) || this.#kinds.size < MOST_KINDS ? what : OTHERS;
    const known = this.#kinds.get(key);
    if (known) known.count += 1;
    else this.#kinds.set(key, { count: 1, where: typeof where === 'number' ? `line ${where}` : where });
  }

  list(): DxfDropped[] {
    return [...this.#kinds].map(([what, { count, where }]) => ({ what, count, where }));
  }
}
