import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ALTERATIONS, recipeSchema, runRecipe, type Step } from '../../src/alter/index.js';
import { turnBetween } from '../../src/geometry/path.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { type Pattern, pieceArea, pieceOf, pointsOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { measured } from './helpers.js';

const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const share = fc.integer({ min: 25, max: 75 }).map((n) => `${n}%`);

type Read = (pattern: Pattern) => number;
const edge =
  (piece: string, name: string): Read =>
  (p) =>
    edgeLength(p, piece, name);
const both =
  (name: string): Read =>
  (p) =>
    edgeLength(p, 'front', name) + edgeLength(p, 'back', name);
const girth =
  (name: string): Read =>
  (p) =>
    measured(p, name);
const bodyArea: Read = (p) => pieceArea(pieceOf(p, 'front')) + pieceArea(pieceOf(p, 'back'));

const READS = {
  'chest girth': girth('chest girth'),
  'waist girth': girth('waist girth'),
  'hem girth': girth('hem girth'),
  'body length': girth('body length'),
  'neck width': girth('neck width'),
  'front shoulder': edge('front', 'shoulder'),
  'back shoulder': edge('back', 'shoulder'),
  'front side': edge('front', 'side'),
  'back side': edge('back', 'side'),
  'front armhole': edge('front', 'armhole'),
  'back armhole': edge('back', 'armhole'),
  'both armholes': both('armhole'),
  'front neckline': edge('front', 'neckline'),
  'back neckline': edge('back', 'neckline'),
  'both necklines': both('neckline'),
  'front hem': edge('front', 'hem'),
  'back hem': edge('back', 'hem'),
  'body area': bodyArea,
} as const satisfies Readonly<Record<string, Read>>;
type ReadName = keyof typeof READS;
const ALL = Object.keys(READS) as ReadName[];
const but = (...names: readonly ReadName[]): ReadName[] => ALL.filter((name) => !names.includes(name));

/** What an alteration must and must not change, whatever its options. */
interface Claim<O = never> {
  readonly alteration: string;
  readonly options: fc.Arbitrary<O>;
  /** Steps before it. */
  readonly first?: (options: O) => readonly unknown[];
  readonly step: (options: O) => object;
  /** Readings that stay as they were, to a thousandth of a millimetre. */
  readonly keeps: readonly ReadName[];
  /** After less before, mm. */
  readonly changes?: (options: O) => Partial<Record<ReadName, number>>;
  /** Seams that must sew afterwards. */
  readonly sews?: readonly string[];
  /** Pieces whose outline must not change at all. */
  readonly untouched?: readonly string[];
  readonly also?: (before: Pattern, after: Pattern, options: O) => void;
  /** Joins that may be rough, because a step of their own sees to them. */
  readonly rough?: RegExp;
}

const claim = <O>(c: Claim<O>): Claim<O> => c;

const CLAIMS = [
  claim({
    alteration: 'slash',
    options: fc.record({ open: mm(1, 50), at: share }),
    step: ({ open, at }) => ({ piece: ['back', 'front'], from: `shoulder at ${at}`, to: 'hem', open }),
    keeps: ['front side', 'back side'],
    changes: ({ open }) => ({
      'chest girth': 4 * open,
      'waist girth': 4 * open,
      'hem girth': 4 * open,
      'front hem': open,
    }),
    sews: ['shoulder', 'side'],
    untouched: ['sleeve'],
    also: (before, after) => expect(bodyArea(after)).toBeGreaterThan(bodyArea(before)),
  }),
  claim({
    alteration: 'lengthen',
    options: mm(-40, 150),
    step: (by) => ({ by }),
    keeps: but('body length', 'front side', 'back side', 'body area', 'hem girth', 'front hem', 'back hem'),
    changes: (by) => ({ 'body length': by }),
    sews: ['side', 'shoulder', 'cap'],
    untouched: ['sleeve'],
    also: (before, after, by) => {
      const grown = bodyArea(after) - bodyArea(before);
      if (Math.abs(by) > 0.01) expect(grown * by).toBeGreaterThan(0);
    },
  }),
  claim({
    alteration: 'lower-armhole',
    options: mm(-6, 40),
    step: (by) => ({ by }),
    keeps: but('front armhole', 'back armhole', 'both armholes', 'front side', 'back side', 'body area'),
    sews: ['side', 'shoulder'],
    also: (before, after, by) => {
      const grown = bodyArea(after) - bodyArea(before);
      if (Math.abs(by) > 0.01) expect(grown * by).toBeLessThan(0);
    },
  }),
  claim({
    alteration: 'raise-armhole',
    options: mm(0, 12),
    step: (by) => ({ by }),
    keeps: but('front armhole', 'back armhole', 'both armholes', 'front side', 'back side', 'body area'),
    sews: ['side', 'shoulder'],
    also: (before, after) => expect(bodyArea(after)).toBeGreaterThanOrEqual(bodyArea(before)),
  }),
  claim({
    alteration: 'reshape-armhole',
    options: fc.record({
      guide: mm(3, 18),
      height: fc.integer({ min: 40, max: 60 }),
      scoop: fc.integer({ min: 50, max: 75 }),
    }),
    step: ({ guide, height, scoop }) => ({
      piece: ['front', 'back'],
      guide,
      height: `${height}%`,
      scoop: `${scoop}%`,
    }),
    keeps: but('front armhole', 'back armhole', 'both armholes', 'body area'),
    sews: ['side', 'shoulder'],
  }),
  claim({
    alteration: 'shape-side-seam',
    options: fc.record({
      as: fc.constantFrom('straight', 'shaped', 'flared'),
      in: mm(3, 25),
      flare: mm(3, 70),
    }),
    step: (o) => ({
      as: o.as,
      ...(o.as === 'shaped' ? { 'waist-in': o.in } : o.as === 'flared' ? { flare: o.flare } : {}),
    }),
    keeps: [
      'chest girth',
      'front shoulder',
      'back shoulder',
      'front neckline',
      'back neckline',
      'body length',
    ],
    sews: ['side', 'shoulder'],
  }),
  claim({
    alteration: 'raise-shoulder',
    options: fc.record({ by: mm(-10, 10), at: fc.constantFrom('tip', 'both') }),
    step: (o) => o,
    keeps: [
      'chest girth',
      'waist girth',
      'hem girth',
      'front shoulder',
      'back shoulder',
      'front side',
      'back side',
    ],
    sews: ['side', 'shoulder'],
  }),
  claim({
    alteration: 'drop-shoulder',
    options: fc.record({ by: mm(2, 24), lower: mm(10, 40) }),
    step: (o) => o,
    keeps: ['chest girth', 'hem girth', 'front neckline', 'back neckline', 'neck width', 'body length'],
    changes: ({ by }) => ({ 'front shoulder': by, 'back shoulder': by }),
    sews: ['side', 'shoulder'],
  }),
  claim({
    alteration: 'forward-shoulder',
    options: mm(3, 25),
    step: (by) => ({ by }),
    keeps: [
      'chest girth',
      'both armholes',
      'both necklines',
      'body area',
      'front side',
      'back side',
      'front hem',
    ],
    sews: ['side', 'shoulder', 'cap'],
  }),
  claim({
    alteration: 'derive-front',
    options: fc.record({ raise: mm(0, 20), guide: mm(4, 18) }),
    step: (o) => o,
    keeps: ['back shoulder', 'back side', 'back armhole', 'back neckline', 'back hem', 'chest girth'],
    sews: ['side', 'shoulder'],
    untouched: ['back'],
    also: (_, after) =>
      expect(edgeLength(after, 'front', 'hem')).toBeCloseTo(edgeLength(after, 'back', 'hem'), 6),
  }),
  claim({
    alteration: 'match-shoulders',
    options: fc.record({
      by: mm(2, 15),
      change: fc.constantFrom('front', 'back', 'longer', 'shorter', 'both'),
    }),
    // Wider at the front's shoulder alone, so that the two differ.
    first: ({ by }) => [{ slash: { piece: 'front', from: 'shoulder at 50%', to: 'hem', open: by } }],
    step: ({ change }) => ({ change }),
    keeps: [
      'chest girth',
      'hem girth',
      'front side',
      'back side',
      'neck width',
      'front neckline',
      'back neckline',
    ],
    sews: ['shoulder'],
  }),
  claim({
    alteration: 'balance-armholes',
    options: fc.record({
      low: mm(3, 14),
      within: mm(0, 8),
      change: fc.constantFrom('front', 'back', 'longer', 'shorter'),
    }),
    first: ({ low }) => [{ 'lower-armhole': { piece: 'front', by: low } }],
    step: ({ within, change }) => ({ within, change, tip: 20, underarm: 20 }),
    keeps: ['chest girth', 'hem girth', 'front shoulder', 'back shoulder', 'neck width'],
    sews: ['shoulder'],
    also: (_, after, { within }) => {
      const apart = edgeLength(after, 'front', 'armhole') - edgeLength(after, 'back', 'armhole');
      expect(Math.abs(apart)).toBeLessThanOrEqual(within + 0.0011);
    },
  }),
  claim({
    alteration: 'level-side-seams',
    options: fc.record({ by: mm(1, 12), how: fc.constantFrom('hem', 'equalise', 'ease-in') }),
    first: ({ by }) => [{ 'raise-armhole': { piece: 'front', by } }],
    step: ({ how }) => ({ how, most: 15 }),
    keeps: ['chest girth', 'both armholes', 'front shoulder', 'front neckline', 'body length'],
    sews: ['side', 'shoulder'],
  }),
  claim({
    alteration: 'widen-neckline',
    options: fc.record({
      by: mm(0, 40),
      front: fc.constantFrom('even', 'shoulder'),
      back: fc.constantFrom('even', 'shoulder'),
    }),
    step: (o) => o,
    keeps: [
      'chest girth',
      'hem girth',
      'front armhole',
      'back armhole',
      'front side',
      'back side',
      'front hem',
    ],
    changes: ({ by }) => ({ 'front shoulder': -by, 'back shoulder': -by }),
    sews: ['side', 'shoulder', 'cap'],
    untouched: ['sleeve'],
    also: (before, after, { by }) => {
      if (by > 0.01) expect(bodyArea(after)).toBeLessThan(bodyArea(before));
    },
  }),
  claim({
    alteration: 'neck-shape',
    options: fc.record({
      as: fc.constantFrom('crew', 'v', 'scoop', 'boat'),
      widen: mm(-8, 40),
      depth: mm(40, 180),
      'back-depth': mm(15, 40),
    }),
    step: (o) => o,
    keeps: [
      'chest girth',
      'hem girth',
      'front armhole',
      'back armhole',
      'front side',
      'back side',
      'back hem',
    ],
    changes: ({ widen }) => ({ 'front shoulder': -widen, 'back shoulder': -widen }),
    sews: ['side', 'shoulder', 'cap'],
    untouched: ['sleeve'],
  }),
  claim({
    alteration: 'mark-stretch',
    options: mm(5, 120),
    step: (percent) => ({ percent }),
    keeps: ALL,
    untouched: ['front', 'back', 'sleeve'],
    sews: ['side', 'shoulder', 'cap'],
  }),
  claim({
    alteration: 'draft-sleeve',
    options: fc.record({
      widen: mm(0, 25),
      'cap-ease': mm(0, 12.7),
      as: fc.constantFrom('short', 'three-quarter', 'long'),
    }),
    step: (o) => o,
    keeps: ALL,
    untouched: ['front', 'back'],
    sews: ['side', 'shoulder', 'cap', 'front cap', 'back cap', 'sleeve-underarm'],
    also: (_, after, o) => {
      const cap = walkSeams(after).find((w) => w.seam === 'cap')!;
      expect(Math.abs(cap.left - cap.right - o['cap-ease'])).toBeLessThanOrEqual(0.2);
    },
  }),
  claim({
    alteration: 'raglan',
    options: fc.record({
      neck: fc.record({ front: mm(20, 55), back: mm(15, 40) }),
      guide: mm(0, 10),
      sleeve: fc.constantFrom('one-piece', 'two-piece'),
    }),
    step: (o) => o,
    keeps: [
      'chest girth',
      'waist girth',
      'hem girth',
      'body length',
      'neck width',
      'front side',
      'back side',
      'front hem',
      'back hem',
    ],
    sews: ['side', 'front raglan', 'back raglan', 'sleeve-underarm'],
  }),
  claim({
    alteration: 'draft-band',
    options: fc.record({ ratio: mm(0.6, 1), depth: mm(8, 80), folded: fc.boolean() }),
    step: (o) => ({ name: 'neckband', along: ['back.neckline', 'front.neckline'], ...o }),
    keeps: ALL,
    untouched: ['front', 'back', 'sleeve'],
    sews: ['neckband', 'cap'],
    also: (_, after, { ratio, depth, folded }) => {
      const band = pieceArea(pieceOf(after, 'neckband'));
      expect(band).toBeCloseTo(2 * ratio * both('neckline')(after) * depth * (folded ? 2 : 1), 4);
    },
  }),
  claim({
    alteration: 'draft-collar',
    options: fc.record({
      as: fc.constantFrom('stand', 'turtleneck'),
      height: mm(20, 100),
      ratio: mm(0.7, 1),
    }),
    step: (o) => o,
    keeps: ALL,
    untouched: ['front', 'back', 'sleeve'],
    sews: ['collar', 'cap'],
    also: (_, after, { as, height }) =>
      expect(edgeLength(after, 'collar', 'right')).toBeCloseTo(height * (as === 'stand' ? 2 : 4), 6),
  }),
  claim({
    alteration: 'draft-hood',
    options: fc.record({
      pieces: fc.constantFrom('two', 'three'),
      height: mm(300, 390),
      depth: mm(200, 270),
      drop: mm(0, 50),
    }),
    step: (o) => o,
    keeps: ALL,
    untouched: ['front', 'back', 'sleeve'],
    sews: ['hood', 'cap', 'side', 'shoulder'],
    also: (_, after, { height, drop, pieces }) => {
      const inset = pieces === 'three' ? 50.8 : 0;
      expect(edgeLength(after, 'hood', 'face')).toBeCloseTo(height - inset + drop, 6);
    },
  }),
  claim({
    alteration: 'kangaroo-pocket',
    options: fc.record({ width: mm(200, 340), above: mm(0, 40) }),
    step: (o) => ({ ...o, top: o.width * 0.6, height: 190, side: 45 }),
    keeps: ALL,
    untouched: ['front', 'back', 'sleeve'],
    sews: ['side', 'shoulder', 'cap'],
  }),
] as const;

/** Names of edges and points of a piece, in order. */
const names = (pattern: Pattern, piece: string): string[] => {
  const own = pieceOf(pattern, piece);
  return [...own.edges.map((e) => e.name), ...pointsOf(own).keys()];
};

/** Turn at the nodes inside the curved edges of front and back, degrees. */
function corners(pattern: Pattern): number[] {
  return ['front', 'back'].flatMap((piece) =>
    pieceOf(pattern, piece)
      .edges.filter((e) => e.name !== 'side')
      .flatMap(({ path }) =>
        path.slice(1).map((s, i) => Math.abs(turnBetween([path[i]!], [s]) * (180 / Math.PI))),
      ),
  );
}

describe('what an alteration must and must not change', () => {
  it.each(CLAIMS.map((c) => [c.alteration, c as unknown as Claim<unknown>] as const))('%s', (_, c) => {
    fc.assert(
      fc.property(c.options, (options) => {
        const go = (pattern: Pattern, steps: readonly unknown[]) =>
          runRecipe(pattern, recipeSchema('mm').parse(steps) as Step[]).pattern;
        const before = go(block(), c.first?.(options) ?? []);
        const after = go(before, [{ [c.alteration]: c.step(options) }]);
        // Raglan pieces are cut from a pattern that still shows the measures.
        const shown = after.construction ?? after;
        for (const name of c.keeps) {
          expect(READS[name](shown), name).toBeCloseTo(READS[name](before), 3);
        }
        for (const [name, wanted] of Object.entries(c.changes?.(options) ?? {})) {
          const read = READS[name as ReadName];
          expect(read(shown) - read(before), name).toBeCloseTo(wanted, 3);
        }
        if (!after.construction) {
          for (const piece of ['front', 'back', 'sleeve'])
            expect(names(after, piece)).toEqual(names(before, piece));
          expect(after.seams.map((s) => s.name)).toEqual(
            expect.arrayContaining(before.seams.map((s) => s.name)),
          );
        }
        for (const piece of c.untouched ?? []) {
          expect(pieceOf(after, piece).edges).toEqual(pieceOf(before, piece).edges);
        }
        const walks = walkSeams(after);
        for (const name of c.sews ?? []) expect(walks.find((w) => w.seam === name)?.matches, name).toBe(true);
        const rough = walkJoins(after).filter((j) => !j.smooth && !c.rough?.test(j.join));
        expect(rough).toEqual([]);
        expect(Math.max(0, ...corners(after))).toBeLessThan(0.01);
        c.also?.(before, after, options);
      }),
      { numRuns: 25 },
    );
  });

  it('is claimed of every alteration a recipe may name', () => {
    expect([...new Set<string>(CLAIMS.map((c) => c.alteration))].sort()).toEqual(
      ALTERATIONS.map((a) => a.name).sort(),
    );
  });
});
