import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  lengthen,
  markStretch,
  RAGLAN_DEFAULTS,
  type RaglanOptions,
  raglan,
  recipeSchema,
  rederive,
  runRecipe,
  type Step,
} from '../../src/alter/index.js';
import { loadPresets } from '../../src/cli/load.js';
import { draftBlock } from '../../src/draft/block.js';
import { cutRaglan } from '../../src/draft/raglan-body.js';
import { CheckError, InputError } from '../../src/errors.js';
import {
  directionAt,
  end,
  length,
  type Path,
  pointAt,
  splitAt,
  start,
  sweptArea,
  turnBetween,
} from '../../src/geometry/path.js';
import { angleBetween, distance, sub } from '../../src/geometry/vec.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceArea, pieceOf, pointOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { developStyle, readStyle } from '../../src/style/index.js';
import { block } from '../bodies.js';
import { altered, INCH, noted, SWEATSHIRT } from './helpers.js';

const presets = await loadPresets();
const DEMO = readFileSync(join(import.meta.dirname, '../../fixtures/demo/gannet-raglan.yaml'), 'utf8');

/** The relaxed sweatshirt with its set-in sleeve, before any band. */
const SET_IN = altered(SWEATSHIRT.slice(0, 10));
const of = (options: Partial<RaglanOptions> = {}, from: Pattern = SET_IN) =>
  raglan(from, { ...RAGLAN_DEFAULTS, ...options }).pattern;
const TWO = { sleeve: 'two-piece' } as const;

/** The largest turn between segments of a path, degrees. */
const roughness = (path: Path): number =>
  Math.max(...path.slice(1).map((s, i) => Math.abs(turnBetween([path[i]!], [s])) * (180 / Math.PI)), 0);

function expectSewn(pattern: Pattern): void {
  expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
  expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
}

describe('raglan', () => {
  it('walks true at every seam, smooth at underarm, neck, wrist and fold, in one piece and in two', () => {
    for (const options of [{}, TWO]) {
      const pattern = of(options);
      expectSewn(pattern);
      for (const side of ['front', 'back']) {
        const walk = walkSeams(pattern).find((w) => w.seam === `${side} raglan`)!;
        expect(Math.abs(walk.difference)).toBeLessThan(1e-6);
      }
    }
    const joins = walkJoins(of()).map((j) => j.join);
    expect(joins).toContain('side at underarm');
    expect(joins).toContain('front raglan at front-neck');
    expect(joins).toContain('shoulder dart at front-neck-point');
    expect(joins).toContain('sleeve-underarm at front-bicep');
    expect(walkJoins(of(TWO)).map((j) => j.join)).toContain('overarm at neck-point');
  });

  it('keeps what it does not touch: hem, side seam, fold, underarm seams, lower end, neckline as a whole', () => {
    const pattern = of();
    for (const [piece, edges] of [
      ['front', ['hem', 'side']],
      ['back', ['hem', 'side']],
      ['sleeve', ['wrist', 'front-underarm', 'back-underarm']],
    ] as const) {
      for (const edge of edges) {
        expect(edgeOf(pieceOf(pattern, piece), edge)).toEqual(edgeOf(pieceOf(SET_IN, piece), edge));
      }
    }
    for (const side of ['front', 'back']) {
      const parts = edgeLength(pattern, side, 'neckline') + edgeLength(pattern, 'sleeve', `${side}-neckline`);
      expect(parts).toBeCloseTo(edgeLength(SET_IN, side, 'neckline'), 6);
    }
    expect(pieceOf(pattern, 'sleeve').counts).toEqual({ asDrawn: 1, mirrored: 1 });
    expect(pieceOf(pattern, 'front').fold).toBe('fold');
  });

  it('moves the yoke, cloth and all: what the body loses is the area between line, armhole, shoulder and neck', () => {
    for (const side of ['front', 'back'] as const) {
      const half = pieceOf(SET_IN, side);
      const { body, yoke } = cutRaglan(half, side, RAGLAN_DEFAULTS[side]);
      const upper = splitAt(edgeOf(half, 'armhole').path, yoke.below)[1];
      const ring = [...upper, ...yoke.shoulder, ...yoke.neckline];
      const area = sweptArea(ring) - sweptArea(yoke.line);
      expect(area).toBeGreaterThan(1_000);
      expect(pieceArea(half) - pieceArea(body)).toBeCloseTo(area, 4);
    }
  });

  it('runs the line on out of the armhole and past its guide point, without a corner on body or sleeve', () => {
    const pattern = of();
    for (const [piece, edge] of [
      ['front', 'raglan'],
      ['back', 'raglan'],
      ['sleeve', 'front-raglan'],
      ['sleeve', 'back-raglan'],
      ['sleeve', 'front-shoulder'],
      ['sleeve', 'back-shoulder'],
    ] as const) {
      expect(roughness(edgeOf(pieceOf(pattern, piece), edge).path)).toBeLessThan(1e-6);
    }
    const half = pieceOf(SET_IN, 'front');
    const { yoke } = cutRaglan(half, 'front', { ...RAGLAN_DEFAULTS.front, guide: 9 });
    const middle = end([yoke.line[0]!]);
    const [a, b] = [start(yoke.line), end(yoke.line)];
    const chord = distance(a, b);
    const off = ((b[1] - a[1]) * (middle[0] - a[0]) - (b[0] - a[0]) * (middle[1] - a[1])) / chord;
    expect(off).toBeCloseTo(9, 6);
    // Where nothing else is said it leaves the armhole along the armhole's own direction, nearly straight.
    const way = sub(b, a);
    const leaving = directionAt(edgeOf(half, 'armhole').path, yoke.below);
    expect(angleBetween(way, leaving)).toBeCloseTo(-Math.atan((4 * 9) / chord), 5);
  });

  it('keeps the cap below the blend, so that the sleeve follows the body at the underarm', () => {
    const cap = edgeOf(pieceOf(SET_IN, 'sleeve'), 'front-cap').path;
    const edge = edgeOf(pieceOf(of(), 'sleeve'), 'front-raglan').path;
    const below = noted(raglan(SET_IN, RAGLAN_DEFAULTS), 'front armhole below the line');
    for (const share of [0.1, 0.25, 0.45]) {
      expect(distance(pointAt(cap, share * below), pointAt(edge, share * below))).toBeLessThan(1e-6);
    }
  });

  it('is as true for any sane option on a sleeve of any ease and width, or says with numbers why not', () => {
    const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    let done = 0;
    let refused = 0;
    const option = fc.record({
      widen: mm(0, 30),
      ease: mm(0, 12.7),
      neck: fc.record({ front: mm(12, 60), back: mm(10, 45) }),
      guide: mm(-5, 12),
      meet: fc.option(mm(28, 50), { nil: undefined }),
      dart: mm(40, 100),
      spread: mm(6, 14),
      two: fc.boolean(),
    });
    fc.assert(
      fc.property(option, (o) => {
        const step = {
          neck: o.neck,
          guide: o.guide,
          ...(o.meet === undefined ? {} : { meet: `${o.meet.toFixed(1)}%` }),
          dart: o.dart,
          spread: o.spread,
          sleeve: o.two ? 'two-piece' : 'one-piece',
        };
        const recipe = [{ 'draft-sleeve': { widen: o.widen, 'cap-ease': o.ease } }, { raglan: step }];
        try {
          const { pattern } = runRecipe(block(), recipeSchema('mm').parse(recipe) as Step[]);
          done++;
          expectSewn(pattern);
          for (const piece of pattern.pieces) expect(pieceArea(piece)).toBeGreaterThan(0);
        } catch (error) {
          if (!(error instanceof CheckError)) throw error;
          refused++;
          expect(error.message).toMatch(/^step 2 \(raglan\): .*\d/);
          expect(error.mend).toBeDefined();
        }
      }),
      { numRuns: 150 },
    );
    expect(done / (done + refused)).toBeGreaterThan(0.9);
  });
});

describe('raglan of every preset block', () => {
  it.each([...presets.blocks.keys()])('%s sews in all its sizes', (name) => {
    const preset = presets.blocks.get(name)!;
    for (const body of Object.values(presets.charts.get(preset.chart)!.sizes)) {
      // A child's cap is too low for a dart of 3 in.
      const dart = body.bust < 700 ? 2 * INCH : RAGLAN_DEFAULTS.dart;
      for (const options of [{ dart }, { dart, ...TWO }]) {
        expectSewn(of(options, draftBlock(name, body, preset)));
      }
    }
  });
});

describe('raglan, graded', () => {
  const developed = developStyle(readStyle(DEMO, 'gannet-raglan.yaml', presets));

  it('is cut again from the graded set-in pattern in every size', () => {
    for (const { pattern } of developed.range.sizes) {
      expectSewn(pattern);
      const setIn = pattern.construction!;
      for (const side of ['front', 'back']) {
        const parts =
          edgeLength(pattern, side, 'neckline') + edgeLength(pattern, 'sleeve', `${side}-neckline`);
        expect(parts).toBeCloseTo(edgeLength(setIn, side, 'neckline'), 6);
        expect(edgeLength(pattern, 'sleeve', `${side}-neckline`)).toBeCloseTo(
          (side === 'front' ? 1.5 : 1) * INCH,
          6,
        );
      }
      const cap = walkSeams(setIn).find((w) => w.seam === 'cap')!;
      expect(cap.left - cap.right).toBeCloseTo(INCH / 2, 3);
    }
  });

  it('grows as the increments say, measured where the set-in pattern shows it', () => {
    const rows = new Map(developed.chart.map((row) => [row.measure, row.cells]));
    for (const name of ['chest girth', 'body length', 'neck width', 'bicep', 'sleeve hem']) {
      for (const cell of rows.get(name)!) {
        expect(cell.expected).toBeDefined();
        expect(Math.abs(cell.difference!)).toBeLessThan(0.5);
      }
    }
    expect(rows.get('front raglan')!.map((cell) => cell.size)).toEqual(
      developed.range.sizes.map((s) => s.size),
    );
    expect(rows.has('cap height')).toBe(false);
  });

  it('takes explicit rules for the points of the set-in body', () => {
    const ruled = DEMO.replace(
      '  increments: { preset: women-en }',
      '  increments: { preset: women-en }\n  rules: { front.center-neck: { x: 0, y: 1/4 } }',
    );
    const { range } = developStyle(readStyle(ruled, 'gannet-raglan.yaml', presets));
    const height = (size: string) =>
      pointOf(pieceOf(range.sizes.find((s) => s.size === size)!.pattern, 'front'), 'center-neck')[1];
    expect(height('L') - height('M')).toBeCloseTo(INCH / 4, 6);
  });

  it('counts both sleeves in a neckband, which is notched where its quarter falls on the sleeve', () => {
    const { base } = developed;
    const whole =
      2 *
      (['front', 'back'] as const).reduce(
        (sum, side) => sum + edgeLength(base.construction!, side, 'neckline'),
        0,
      );
    expect(edgeLength(base, 'neckband', 'lower')).toBeCloseTo(0.85 * whole, 6);
    const sleeve = pieceOf(base, 'sleeve');
    const [own] = sleeve.notches.filter((n) => n.name.startsWith('neckband'));
    expect(own!.edge).toBe('front-neckline');
    const onBack = edgeLength(base, 'back', 'neckline') + edgeLength(base, 'sleeve', 'back-neckline');
    // From the back the edge is travelled from its end, the neck point, to its start on the line.
    const from = edgeLength(base, 'sleeve', 'front-neckline') - (whole / 4 - onBack);
    expect(own!.at).toEqual({ length: expect.closeTo(from, 6) });
  });
});

describe('raglan, refused', () => {
  const refusal = (work: () => unknown): InputError | CheckError => {
    try {
      work();
    } catch (error) {
      if (error instanceof InputError || error instanceof CheckError) return error;
      throw error;
    }
    return expect.unreachable();
  };

  it('where the numbers do not allow it, with the numbers', () => {
    expect(refusal(() => of({ dart: 400 })).message).toMatch(
      /a shoulder dart 400.0 mm long ends below the bicep/,
    );
    expect(refusal(() => of({ front: { ...RAGLAN_DEFAULTS.front, neck: 300 } })).message).toMatch(
      /300.0 mm from the neck point leaves -\d+\.\d mm of the front neckline/,
    );
    const low = { ...RAGLAN_DEFAULTS.front, meet: 0.12 };
    expect(refusal(() => of({ front: low })).message).toMatch(
      /the front yoke turns \d+\.\d degrees \(hollow\) against the cap .* up to 50 are blended/,
    );
    const bowed = { ...RAGLAN_DEFAULTS.front, guide: 120, meet: 0.4 };
    expect(refusal(() => of({ front: bowed })).message).toMatch(/leaves the piece/);
  });

  it('on a pattern without a set-in sleeve, with bands on it already, or twice', () => {
    expect(refusal(() => raglan(altered(SWEATSHIRT), RAGLAN_DEFAULTS))).toMatchObject({
      message: expect.stringMatching(/'neckband' and 'cuff' and 'hem-band' are drawn from pieces/),
      mend: 'put raglan before the steps that draft them',
    });
    expect(refusal(() => of({}, of())).message).toMatch(/has a raglan already/);
    const bare = { ...SET_IN, pieces: SET_IN.pieces.filter((p) => p.name !== 'sleeve') };
    expect(refusal(() => of({}, bare)).mend).toMatch(/draft-sleeve/);
  });

  it('to a later step on the body, which would be lost: it says where to put it', () => {
    const later = (step: unknown) =>
      refusal(() => runRecipe(block(), recipeSchema('in').parse([{ raglan: {} }, step]) as Step[]));
    const longer = later({ lengthen: { by: 1 } });
    expect(longer.message).toBe(
      "step 2 (lengthen): what it changes on 'back' would be lost: raglan draws that piece again after every step",
    );
    expect(longer.mend).toMatch(/put it before raglan/);
    expect(later({ 'widen-neckline': { by: 1 } }).mend).toBe(
      'put it before raglan, which cuts the pieces anew',
    );
    expect(
      later({ 'draft-band': { name: 'b', along: ['back.neckline', 'front.neckline'], depth: 1 } }).mend,
    ).toBe('write along: [back.neckline, sleeve.back-neckline, sleeve.front-neckline, front.neckline]');
  });

  it('but keeps what is marked on its pieces, and gives the same for a pattern changed before it', () => {
    const stretch = { along: 'course', percent: 30 } as const;
    const marked = rederive(markStretch(of(), { stretch }));
    expect(marked.pieces.every((p) => p.stretch === stretch)).toBe(true);
    const longer = of({}, lengthen(SET_IN, { pieces: ['back', 'front'], by: 30 }));
    expect(edgeLength(longer, 'front', 'raglan')).toBeCloseTo(edgeLength(of(), 'front', 'raglan'), 6);
    expect(length(edgeOf(pieceOf(longer, 'front'), 'side').path)).toBeGreaterThan(
      length(edgeOf(pieceOf(of(), 'front'), 'side').path) + 29,
    );
  });
});
