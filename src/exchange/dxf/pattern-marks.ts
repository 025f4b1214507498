import type { Vec } from '../../geometry/vec.js';
import type { Drops } from './limits.js';
import { isNotchRole, roleOfLayer } from './pattern-layers.js';
import type { VertexKind } from './pattern-types.js';
import { PointGrid } from './point-grid.js';
import type { FlatPoint, FlatText } from './types.js';

/** Something that a grade rule may belong to. */
export interface Ruled {
  readonly at: Vec;
  rule: number | undefined;
}

export interface RuledThings {
  readonly vertices: readonly Ruled[];
  readonly notches: readonly Ruled[];
  readonly holes: readonly Ruled[];
}

/** The number of a text `# 12`; undefined for any other text. */
export const ruleNumber = (text: string): number | undefined => {
  const match = /^#\s{0,20}(\d{1,9})$/.exec(text.trim());
  return match ? Number(match[1]) : undefined;
};

/** Tells the vertices of lines by the points of layers 2 and 3 that stand on them. */
export class VertexMarks {
  readonly #grid: PointGrid<{ kind: VertexKind; used: boolean }>;
  readonly #marks: { kind: VertexKind; used: boolean; line: number }[] = [];

  constructor(points: readonly FlatPoint[], reach: number) {
    this.#grid = new PointGrid(reach);
    for (const { layer, at, lineNumber } of points) {
      const kind = roleOfLayer(layer);
      if (kind !== 'turn' && kind !== 'curve') continue;
      const mark = { kind, used: false, line: lineNumber };
      this.#marks.push(mark);
      this.#grid.add(at, mark);
    }
  }

  /** Whether the piece has any. */
  get any(): boolean {
    return this.#marks.length > 0;
  }

  /** What a vertex is; a turn point wins over a curve point in the same place. */
  kindAt(at: Vec): VertexKind | undefined {
    const marks = this.#grid.near(at);
    for (const mark of marks) mark.used = true;
    return marks.find((m) => m.kind === 'turn')?.kind ?? marks[0]?.kind;
  }

  countUnused(drops: Drops): void {
    for (const { used, kind, line } of this.#marks) {
      if (!used) drops.add(`${kind} point that is on no line's vertex`, line);
    }
  }
}

/**
 * Gives every thing the number of the text that stands at its place. The text's layer tells which things come
 * first: notches, drill holes or vertices. Where things and texts share a place, the first text is the first
 * thing's, and the last text serves all that are left.
 */
export function assignRules(
  texts: readonly FlatText[],
  things: RuledThings,
  reach: number,
  drops: Drops,
): void {
  const [vertices, notches, holes] = [things.vertices, things.notches, things.holes].map(
    (group) => new Places(group, reach),
  );
  for (const { text, layer, at, lineNumber } of texts) {
    const number = ruleNumber(text);
    if (number === undefined) continue;
    const role = roleOfLayer(layer);
    const order = isNotchRole(role)
      ? [notches!, vertices!, holes!]
      : role === 'drill'
        ? [holes!, vertices!, notches!]
        : [vertices!, notches!, holes!];
    if (!order.some((places) => places.give(at, number))) {
      drops.add('grade rule number that stands at no point', lineNumber);
    }
  }
}

/** Things of one kind, those in one place in the order they came. */
class Places {
  readonly #grid: PointGrid<{ order: number; thing: Ruled }>;
  readonly #texts = new Map<Ruled, number>();

  constructor(things: readonly Ruled[], reach: number) {
    this.#grid = new PointGrid(reach);
    for (const [order, thing] of things.entries()) this.#grid.add(thing.at, { order, thing });
  }

  give(at: Vec, number: number): boolean {
    const here = this.#grid.near(at).sort((a, b) => a.order - b.order);
    const [first] = here;
    if (!first) return false;
    const before = this.#texts.get(first.thing) ?? 0;
    this.#texts.set(first.thing, before + 1);
    for (const { thing } of here.slice(before)) thing.rule = number;
    return true;
  }
}
