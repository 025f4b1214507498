import { distance, type Vec } from '../../geometry/vec.js';

/** More things in one place than any drawing has: the rest are not kept, so that a search stays cheap. */
const MOST_IN_CELL = 64;

/** Things by their place in the plane, for finding what lies within `reach` of a point without looking at all. */
export class PointGrid<T> {
  readonly #reach: number;
  readonly #cells = new Map<string, { readonly at: Vec; readonly item: T }[]>();

  constructor(reach: number) {
    this.#reach = reach;
  }

  add(at: Vec, item: T): void {
    const key = this.#key(this.#cell(at[0]), this.#cell(at[1]));
    const cell = this.#cells.get(key);
    if (cell && cell.length >= MOST_IN_CELL) return;
    if (cell) cell.push({ at, item });
    else this.#cells.set(key, [{ at, item }]);
  }

  /** Everything within reach of a point. */
  near(at: Vec): T[] {
    const found: T[] = [];
    const [cx, cy] = [this.#cell(at[0]), this.#cell(at[1])];
    for (let x = cx - 1; x <= cx + 1; x++) {
      for (let y = cy - 1; y <= cy + 1; y++) {
        for (const { at: there, item } of this.#cells.get(this.#key(x, y)) ?? []) {
          if (distance(there, at) <= this.#reach) found.push(item);
        }
      }
    }
    return found;
  }

  #cell(v: number): number {
    return Math.floor(v / this.#reach);
  }

  #key(x: number, y: number): string {
    return `${x},${y}`;
  }
}
