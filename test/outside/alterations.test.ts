import { describe, expect, it } from 'vitest';
import { ALTERATIONS, recipeSchema, runRecipe, type Step } from '../../src/alter/index.js';
import { moveTip } from '../../src/alter/true-up.js';
import { nodes } from '../../src/geometry/path.js';
import { solveBetween } from '../../src/geometry/solve.js';
import { distance } from '../../src/geometry/vec.js';
import { edgeLength, measure } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceOf, pointOf, withPiece } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

const INCH = 25.4;
const COMMON = 'common practice, no source';

/** What a pattern maker reads off before and after; inches. */
interface Reading {
  readonly what: string;
  readonly of: (pattern: Pattern) => number;
  /** Where it does not matter what it was. */
  readonly before?: number;
  readonly after?: number;
  /** After less before. */
  readonly change?: number;
  /** How near the tape is read, inches; a thousandth when left out. */
  readonly within?: number;
}

/** One worked example: a move of the trade, what is done on paper, and the numbers it comes out with. */
interface Example {
  readonly alteration: string;
  readonly onPaper: string;
  readonly source: string;
  /** The pattern before; the fitted block when left out. */
  readonly from?: () => Pattern;
  /** Steps that lead to the one that is shown. */
  readonly first?: readonly unknown[];
  readonly step: unknown;
  readonly reads: readonly Reading[];
}

const inches = (mm: number): number => mm / INCH;
const run = (pattern: Pattern, steps: readonly unknown[]): Pattern =>
  runRecipe(pattern, recipeSchema('in').parse(steps) as Step[]).pattern;

const measured =
  (name: string) =>
  (pattern: Pattern): number =>
    inches(measure(pattern, pattern.measures.find((m) => m.name === name)!));
const edge =
  (piece: string, name: string) =>
  (pattern: Pattern): number =>
    inches(edgeLength(pattern, piece, name));
const height =
  (piece: string, point: string) =>
  (pattern: Pattern): number =>
    inches(pointOf(pieceOf(pattern, piece), point)[1]);
const across =
  (piece: string, point: string) =>
  (pattern: Pattern): number =>
    inches(pointOf(pieceOf(pattern, piece), point)[0]);
const both =
  (name: string) =>
  (pattern: Pattern): number =>
    edge('front', name)(pattern) + edge('back', name)(pattern);

/** The block with an edge made to measure by moving each shoulder tip along `way`. */
function withEdges(
  name: 'armhole' | 'shoulder',
  wanted: Readonly<Record<'back' | 'front', number>>,
): Pattern {
  return (['back', 'front'] as const).reduce((pattern, side) => {
    const piece = pieceOf(pattern, side);
    const [x, y] = pointOf(piece, 'shoulder-tip');
    const moved = (by: number) =>
      withPiece(pattern, moveTip(piece, name === 'armhole' ? [x, y + by] : [x + by, y - by * 0.36]));
    const miss = (by: number) => edgeLength(moved(by), side, name) - wanted[side] * INCH;
    return moved(solveBetween(miss, -60, 60));
  }, block());
}

/** The block with its front side seam 1/2 in longer, as a full-bust adjustment leaves it. */
const fullBust = (): Pattern => run(block(), [{ 'raise-armhole': { piece: 'front', by: '1/2' } }]);

const V_NECK =
  'printed tee specifications, a weak trade source (dtf.printphase.com): V 15 to 16 cm wide, 12 to 14 deep';

const EXAMPLES: readonly Example[] = [
  {
    alteration: 'slash',
    onPaper:
      'cut half front and half back from shoulder to hem and spread each by a quarter of the overall grade: 2 in in all are 1/2 in in each quarter',
    source:
      'T. Horlamus, Threads 101 (threadsmagazine.com): the overall grade over 4 is allocated to each quarter',
    step: { slash: { piece: ['back', 'front'], from: 'shoulder at 50%', to: 'hem', open: '1/2' } },
    reads: [
      { what: 'chest girth', of: measured('chest girth'), change: 2 },
      { what: 'hem girth', of: measured('hem girth'), change: 2 },
      { what: 'side seam', of: edge('back', 'side'), change: 0 },
    ],
  },
  {
    alteration: 'slash',
    onPaper:
      'spread a back on the fold by 1 in: it gains 2 in across; straighten the shoulder, lift its tip 1/4 in',
    source: COMMON,
    step: { slash: { piece: 'back', from: 'shoulder at 50%', to: 'hem', open: 1, 'tip-lift': '1/4' } },
    reads: [
      { what: 'across shoulder', of: measured('across shoulder'), change: 2 },
      { what: 'half hem', of: edge('back', 'hem'), change: 1 },
      { what: 'height of the tip', of: height('back', 'shoulder-tip'), change: 0.25 },
    ],
  },
  {
    alteration: 'lengthen',
    onPaper: 'draw the hem 4 in lower and run side seam and fold straight down to it',
    source: COMMON,
    step: { lengthen: { by: 4 } },
    reads: [
      { what: 'body length', of: measured('body length'), change: 4 },
      { what: 'side seam', of: edge('front', 'side'), change: 4 },
      { what: 'hem girth', of: measured('hem girth'), change: 0 },
    ],
  },
  {
    alteration: 'lower-armhole',
    onPaper: 'mark the underarm 1 in down the side seam and redraw the armhole through its guide',
    source: COMMON,
    step: { 'lower-armhole': { by: 1 } },
    reads: [
      { what: 'height of the underarm', of: height('front', 'underarm'), change: -1 },
      { what: 'chest girth', of: measured('chest girth'), change: 0 },
    ],
  },
  {
    alteration: 'raise-armhole',
    onPaper: 'mark the underarm 1/2 in higher and redraw the armhole',
    source: COMMON,
    step: { 'raise-armhole': { by: '1/2' } },
    reads: [
      { what: 'height of the underarm', of: height('back', 'underarm'), change: 0.5 },
      { what: 'chest girth', of: measured('chest girth'), change: 0 },
    ],
  },
  {
    alteration: 'reshape-armhole',
    onPaper:
      'drop a vertical from the tip to the underarm level, mark the guide 1/2 in in from its middle (front) and draw the curve through tip, guide and underarm',
    source: COMMON,
    step: { 'reshape-armhole': { piece: 'front', guide: '1/2', height: '50%' } },
    reads: [
      {
        what: 'guide in from the tip',
        of: (p) =>
          across('front', 'shoulder-tip')(p) -
          inches(nodes(edgeOf(pieceOf(p, 'front'), 'armhole').path)[1]![0]),
        after: 0.5,
      },
      {
        what: 'guide above the middle',
        of: (p) =>
          inches(nodes(edgeOf(pieceOf(p, 'front'), 'armhole').path)[1]![1]) -
          (height('front', 'shoulder-tip')(p) + height('front', 'underarm')(p)) / 2,
        after: 0,
      },
    ],
  },
  {
    alteration: 'shape-side-seam',
    onPaper: 'bring a straight side seam in by 1/2 in at the waist: 2 in come off the girth there',
    source: COMMON,
    first: [{ 'shape-side-seam': { as: 'straight' } }],
    step: { 'shape-side-seam': { as: 'shaped', 'waist-in': '1/2' } },
    reads: [
      { what: 'waist girth', of: measured('waist girth'), change: -2 },
      { what: 'chest girth', of: measured('chest girth'), change: 0 },
      { what: 'hem girth', of: measured('hem girth'), change: 0 },
    ],
  },
  {
    alteration: 'raise-shoulder',
    onPaper: 'for square shoulders raise the tip 3/8 in and draw the shoulder to it, as long as it was',
    source: COMMON,
    step: { 'raise-shoulder': { by: '3/8' } },
    reads: [
      { what: 'height of the tip', of: height('back', 'shoulder-tip'), change: 0.375 },
      { what: 'shoulder', of: edge('back', 'shoulder'), change: 0 },
    ],
  },
  {
    alteration: 'drop-shoulder',
    onPaper:
      'run the shoulder on by 1 in, lower the underarm 1 in, draw the armhole nearly straight; the sleeve loses what the shoulder gained',
    source: COMMON,
    first: [{ 'draft-sleeve': {} }],
    step: { 'drop-shoulder': { by: 1, lower: 1 } },
    reads: [
      { what: 'shoulder', of: edge('front', 'shoulder'), change: 1 },
      { what: 'height of the underarm', of: height('back', 'underarm'), change: -1 },
    ],
  },
  {
    alteration: 'forward-shoulder',
    onPaper: 'cut 1/2 in off the front along its shoulder and tape it to the back’s',
    source: COMMON,
    step: { 'forward-shoulder': { by: '1/2' } },
    reads: [
      { what: 'both armholes', of: both('armhole'), change: 0 },
      { what: 'both half necklines', of: both('neckline'), change: 0 },
      {
        what: 'shoulder of the front, moved square to itself',
        of: (p) => {
          const [tip, neck] = (['shoulder-tip', 'neck-point'] as const).map((n) =>
            pointOf(pieceOf(block(), 'front'), n),
          );
          const now = pointOf(pieceOf(p, 'front'), 'neck-point');
          const area = (neck![0] - tip![0]) * (now[1] - tip![1]) - (neck![1] - tip![1]) * (now[0] - tip![0]);
          return inches(area / distance(tip!, neck!));
        },
        after: 0.5,
      },
    ],
  },
  {
    alteration: 'derive-front',
    onPaper:
      'trace the altered back for the front, raise the shoulder 1/2 in, draw the block’s own front neckline at its depth',
    source: COMMON,
    step: { 'derive-front': { raise: '1/2' } },
    reads: [
      {
        what: 'front tip above the back’s',
        of: (p) => height('front', 'shoulder-tip')(p) - height('back', 'shoulder-tip')(p),
        after: 0.5,
      },
      { what: 'front neck depth', of: measured('front neck depth'), change: 0 },
      {
        what: 'shoulder less the back’s',
        of: (p) => edge('front', 'shoulder')(p) - edge('back', 'shoulder')(p),
        after: 0,
      },
    ],
  },
  {
    alteration: 'match-shoulders',
    onPaper:
      'a front shoulder of 5 in against a back of 4 3/4 in: shorten the front at its tip, along the shoulder',
    source: COMMON,
    from: () => withEdges('shoulder', { back: 4.75, front: 5 }),
    step: { 'match-shoulders': { change: 'front' } },
    reads: [
      { what: 'front shoulder', of: edge('front', 'shoulder'), before: 5, after: 4.75 },
      { what: 'back shoulder', of: edge('back', 'shoulder'), before: 4.75, after: 4.75 },
    ],
  },
  {
    alteration: 'balance-armholes',
    onPaper:
      'armholes of 8 3/4 in (back) and 9 1/4 in (front) are to differ by 1/4 in: shorten the front by lowering its tip and raising its underarm, up to 1/4 in each',
    source: COMMON,
    from: () => withEdges('armhole', { back: 8.75, front: 9.25 }),
    step: { 'balance-armholes': { within: '1/4', tip: '1/4', underarm: '1/4' } },
    reads: [
      { what: 'front armhole', of: edge('front', 'armhole'), before: 9.25, after: 9 },
      { what: 'back armhole', of: edge('back', 'armhole'), before: 8.75, after: 8.75 },
    ],
  },
  {
    alteration: 'level-side-seams',
    onPaper:
      'a full-bust adjustment left the front side seam 1/2 in longer: take 1/2 in off at the side and blend the hem to centre front',
    source: COMMON,
    from: fullBust,
    step: { 'level-side-seams': { how: 'hem' } },
    reads: [
      { what: 'front side seam', of: edge('front', 'side'), change: -0.5, within: 0.01 },
      { what: 'back side seam', of: edge('back', 'side'), change: 0 },
      { what: 'centre front', of: height('front', 'center-hem'), change: 0 },
    ],
  },
  {
    alteration: 'level-side-seams',
    onPaper: 'the same 1/2 in shared: 1/4 in off the front, 1/4 in onto the back',
    source: COMMON,
    from: fullBust,
    step: { 'level-side-seams': { how: 'equalise' } },
    reads: [
      { what: 'front side seam', of: edge('front', 'side'), change: -0.25, within: 0.01 },
      { what: 'back side seam', of: edge('back', 'side'), change: 0.25, within: 0.01 },
    ],
  },
  {
    alteration: 'level-side-seams',
    onPaper: 'the same 1/2 in eased into the back: both pieces stay as they are',
    source: COMMON,
    from: fullBust,
    step: { 'level-side-seams': { how: 'ease-in', most: '1/2' } },
    reads: [
      { what: 'front side seam', of: edge('front', 'side'), change: 0 },
      { what: 'back side seam', of: edge('back', 'side'), change: 0 },
      {
        what: 'front less back',
        of: (p) => edge('front', 'side')(p) - edge('back', 'side')(p),
        after: 0.5,
        within: 0.01,
      },
    ],
  },
  {
    alteration: 'widen-neckline',
    onPaper: 'mark 7/8 in down both shoulders; the front lower by as much at the centre, the back not',
    source: COMMON,
    step: { 'widen-neckline': { by: '7/8', front: 'even', back: 'shoulder' } },
    reads: [
      { what: 'front shoulder', of: edge('front', 'shoulder'), change: -0.875 },
      { what: 'back shoulder', of: edge('back', 'shoulder'), change: -0.875 },
      { what: 'height of the centre front neck', of: height('front', 'center-neck'), change: -0.875 },
      { what: 'height of the centre back neck', of: height('back', 'center-neck'), change: 0 },
    ],
  },
  {
    alteration: 'neck-shape',
    onPaper: 'draw a V 15.5 cm wide and 13 cm deep (6.1 by 5.1 in)',
    source: V_NECK,
    step: { 'neck-shape': { as: 'v', width: '15.5 cm', depth: '13 cm' } },
    reads: [
      { what: 'neck width', of: measured('neck width'), after: 15.5 / 2.54 },
      { what: 'front neck depth', of: measured('front neck depth'), after: 13 / 2.54 },
    ],
  },
  {
    alteration: 'mark-stretch',
    onPaper: 'a fold of 10 in across the wales stretches to 14 in: mark 40 % on the pieces',
    source:
      'stretch by sewing instruction (treadleyardgoods, sewingartistry): (stretched - relaxed) / relaxed',
    step: { 'mark-stretch': { along: 'course', percent: ((14 - 10) / 10) * 100 } },
    reads: [{ what: 'percent', of: (p) => pieceOf(p, 'front').stretch!.percent, after: 40 }],
  },
  {
    alteration: 'draft-sleeve',
    onPaper: 'a 12 in sleeve 1 in wider on each side is 14 in; its cap is 1/2 in longer than both armholes',
    source: `${COMMON}; 1/2 in of ease is trade technical-design practice (madalynne.com)`,
    first: [{ 'draft-sleeve': { width: 12 } }],
    step: { 'draft-sleeve': { width: 14, 'cap-ease': '1/2' } },
    reads: [
      { what: 'bicep', of: measured('bicep'), before: 12, after: 14 },
      {
        what: 'cap less both armholes',
        of: (p) => edge('sleeve', 'front-cap')(p) + edge('sleeve', 'back-cap')(p) - both('armhole')(p),
        after: 0.5,
        within: 0.2 / INCH,
      },
    ],
  },
  {
    alteration: 'draft-sleeve',
    onPaper: 'a hand-knit cap is as long as its armhole: no ease at all',
    source: 'hand-knit pattern writing (jillwolcottknits.com): cap = armhole',
    step: { 'draft-sleeve': { 'cap-ease': 0 } },
    reads: [
      {
        what: 'cap less both armholes',
        of: (p) => edge('sleeve', 'front-cap')(p) + edge('sleeve', 'back-cap')(p) - both('armhole')(p),
        after: 0,
        within: 0.2 / INCH,
      },
    ],
  },
  {
    alteration: 'draft-band',
    onPaper: 'a rib neckband 3/4 of an opening of 16 in is 12 in long',
    source: 'sewing instruction (sewing.org): 2/3 to 3/4 of the opening for rib',
    from: () => neckOf(16),
    step: {
      'draft-band': { name: 'neckband', along: ['back.neckline', 'front.neckline'], ratio: 0.75, depth: 1 },
    },
    reads: [
      { what: 'opening', of: measured('neckline'), after: 16 },
      { what: 'band', of: edge('neckband', 'lower'), after: 12 },
    ],
  },
  {
    alteration: 'draft-band',
    onPaper: 'a knit of 25 % stretch takes 6 cm off an opening of 66 cm: a band of 60 cm, 62 with its seams',
    source: 'sewing instruction (thewearablestudio.com)',
    from: () => neckOf(66 / 2.54),
    step: {
      'draft-band': {
        name: 'neckband',
        along: ['back.neckline', 'front.neckline'],
        ratio: 60 / 66,
        depth: 1,
      },
    },
    reads: [{ what: 'band', of: edge('neckband', 'lower'), after: 60 / 2.54 }],
  },
  {
    alteration: 'draft-collar',
    onPaper: 'a turtleneck 3 in high as worn is turned down over itself and double: cut 12 in deep',
    source: COMMON,
    step: { 'draft-collar': { as: 'turtleneck', height: 3, ratio: 0.9 } },
    reads: [
      { what: 'cut depth', of: edge('collar', 'right'), after: 12 },
      {
        what: 'collar over neckline',
        of: (p) => edge('collar', 'lower')(p) / measured('neckline')(p),
        after: 0.9,
      },
    ],
  },
  {
    alteration: 'draft-hood',
    onPaper:
      'a hood 13 in high and 9 in deep on a neckline of 18 in: each side takes 9 in of it, lower in front by 1 1/2 in',
    source: COMMON,
    from: () => neckOf(18),
    step: { 'draft-hood': { height: 13, depth: 9, drop: '1 1/2' } },
    reads: [
      { what: 'neck edge of one side', of: edge('hood', 'neckline'), after: 9 },
      { what: 'face edge of one side', of: edge('hood', 'face'), after: 14.5 },
      {
        what: 'depth',
        of: (p) => across('hood', 'top')(p) - inches(edgeOf(pieceOf(p, 'hood'), 'crown').path[0]!.b[0]),
        after: 9,
      },
    ],
  },
  {
    alteration: 'draft-hood',
    onPaper:
      'the same in three pieces: a strip of 4 in takes 2 in off height, depth and neck edge of either side',
    source: COMMON,
    from: () => neckOf(18),
    step: { 'draft-hood': { pieces: 'three', height: 13, depth: 9, drop: '1 1/2', strip: 4 } },
    reads: [
      { what: 'neck edge of one side', of: edge('hood', 'neckline'), after: 7 },
      { what: 'neck edge of the strip', of: edge('hood-strip', 'neckline'), after: 4 },
      { what: 'face edge of one side', of: edge('hood', 'face'), after: 12.5 },
      {
        what: 'strip less crown',
        of: (p) => edge('hood-strip', 'left')(p) - edge('hood', 'crown')(p),
        after: 0,
      },
    ],
  },
  {
    alteration: 'kangaroo-pocket',
    onPaper:
      'a pocket 12 in wide below and 7 in above, 8 in high with 2 in of straight side: the opening slants 6.5 in',
    source: COMMON,
    step: { 'kangaroo-pocket': { width: 12, top: 7, height: 8, side: 2, above: '1/2' } },
    reads: [
      { what: 'bottom, half', of: edge('pocket', 'bottom'), after: 6 },
      // 2 1/2 in in over 6 in up.
      { what: 'opening', of: edge('pocket', 'opening'), after: 6.5 },
      {
        what: 'line on the front above the hem',
        of: (p) =>
          inches(pieceOf(p, 'front').internals![0]!.path[0]!.a[1]) - height('front', 'center-hem')(p),
        after: 0.5,
      },
    ],
  },
  {
    alteration: 'raglan',
    onPaper:
      'lines from 1 1/2 in (front) and 1 in (back) beside the neck point to the armhole; the yokes are cut off and taped to the cap, whose tip they meet',
    source: COMMON,
    first: [{ 'draft-sleeve': {} }],
    step: { raglan: { neck: { front: '1 1/2', back: 1 }, guide: '1/4' } },
    reads: [
      { what: 'front neckline on the sleeve', of: edge('sleeve', 'front-neckline'), after: 1.5 },
      { what: 'back neckline on the sleeve', of: edge('sleeve', 'back-neckline'), after: 1 },
      { what: 'bicep', of: measured('bicep'), change: 0 },
      {
        what: 'front raglan of the sleeve less the body’s',
        of: (p) => edge('sleeve', 'front-raglan')(p) - edge('front', 'raglan')(p),
        after: 0,
      },
      {
        what: 'legs of the dart',
        of: (p) => edge('sleeve', 'front-shoulder')(p) - edge('sleeve', 'back-shoulder')(p),
        after: 0,
      },
    ],
  },
];

/** The block with its neckline made to measure by its depth; inches. */
function neckOf(opening: number): Pattern {
  const shaped = (lower: number) =>
    run(block(), [
      { 'neck-shape': { as: 'crew', widen: opening > 20 ? 2 : 0, lower: lower, 'back-depth': 1 } },
    ]);
  return shaped(solveBetween((lower) => measured('neckline')(shaped(lower)) - opening, -1, 8));
}

describe('worked examples of the trade', () => {
  it.each(EXAMPLES.map((e) => [e.alteration, e.onPaper, e.source, e] as const))(
    '%s: %s (%s)',
    (_name, _paper, _source, example) => {
      const before = run(example.from?.() ?? block(), example.first ?? []);
      const after = run(before, [example.step]);
      for (const { what, of, ...expected } of example.reads) {
        const within = expected.within ?? 0.001;
        const off = (value: number, wanted: number) => Math.abs(value - wanted);
        const now = of(after);
        if (expected.before !== undefined) {
          expect(off(of(before), expected.before), `${what}, before`).toBeLessThan(within);
        }
        if (expected.after !== undefined) {
          expect(off(now, expected.after), `${what}, after: ${now}`).toBeLessThan(within);
        }
        if (expected.change !== undefined) {
          const change = now - of(before);
          expect(off(change, expected.change), `${what}, change: ${change}`).toBeLessThan(within);
        }
      }
    },
  );

  it('has one for every alteration a recipe may name, each with numbers and its source told', () => {
    expect([...new Set(EXAMPLES.map((e) => e.alteration))].sort()).toEqual(
      ALTERATIONS.map((a) => a.name).sort(),
    );
    for (const { source, reads, alteration, step } of EXAMPLES) {
      expect(source.length).toBeGreaterThan(10);
      expect(Object.keys(step as object)).toEqual([alteration]);
      for (const { before, after, change } of reads) {
        expect([before, after, change].some((v) => v !== undefined)).toBe(true);
      }
    }
  });

  it('takes off the sleeve what a dropped shoulder adds: 1 in', () => {
    const sleeve = (steps: readonly unknown[]) =>
      measured('sleeve length')(run(block(), [...steps, { 'draft-sleeve': {} }]));
    expect(sleeve([]) - sleeve([{ 'drop-shoulder': { by: 1 } }])).toBeCloseTo(1, 3);
  });
});
