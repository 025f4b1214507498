import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  DRAFT_HOOD_DEFAULTS,
  draftHood,
  recipeSchema,
  rederive,
  widenNeckline,
} from '../../src/alter/index.js';
import { loadPresets } from '../../src/cli/load.js';
import { InputError } from '../../src/errors.js';
import { endDirection, startDirection, turnBetween } from '../../src/geometry/path.js';
import { dot } from '../../src/geometry/vec.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { edgeOf, pieceOf } from '../../src/pattern/model.js';
import { walkSeams } from '../../src/pattern/walk.js';
import { developStyle, passes, readStyle, verdictsOf } from '../../src/style/index.js';
import { block } from '../bodies.js';
import { altered, INCH, measured } from './helpers.js';

const presets = await loadPresets();
const hooded = (over: object = {}) => draftHood(block(), { ...DRAFT_HOOD_DEFAULTS, ...over }).pattern;

describe('draft-hood', () => {
  it('stands square where back, face and neck meet, so that both sides run on across the seams', () => {
    for (const pieces of ['two', 'three'] as const) {
      const { edges } = pieceOf(hooded({ pieces }), 'hood');
      edges.forEach((edge, i) => {
        const next = edges[(i + 1) % edges.length]!;
        expect(dot(endDirection(edge.path), startDirection(next.path))).toBeCloseTo(0, 9);
      });
      const crown = edges.find((e) => e.name === 'crown')!.path;
      expect(Math.abs(turnBetween([crown[0]!], [crown[1]!]))).toBeLessThan(1e-9);
    }
  });

  it('follows the neckline: widened afterwards, its neck edge grows with it', () => {
    for (const pieces of ['two', 'three'] as const) {
      const before = hooded({ pieces });
      const after = rederive(widenNeckline(before, { by: 15, front: 'even', back: 'shoulder' }));
      expect(measured(after, 'neckline')).toBeGreaterThan(measured(before, 'neckline') + 20);
      const strip = pieces === 'three' ? edgeLength(after, 'hood-strip', 'neckline') : 0;
      expect(2 * edgeLength(after, 'hood', 'neckline') + strip).toBeCloseTo(measured(after, 'neckline'), 6);
      expect(walkSeams(after).filter((w) => w.seam.startsWith('hood') && !w.matches)).toEqual([]);
    }
  });

  it('is notched at the neck point, which meets the shoulder seam, on a raglan too', () => {
    const at = (steps: readonly unknown[]) =>
      pieceOf(altered([...steps, { 'draft-hood': {} }]), 'hood').notches.find((n) => n.name === 'neck-point')!
        .at;
    const length = edgeLength(block(), 'back', 'neckline');
    expect(at([])).toEqual({ length: expect.closeTo(length, 6) });
    expect(at([{ raglan: {} }])).toEqual({ length: expect.closeTo(length, 6) });
    expect(at([{ raglan: { sleeve: 'two-piece' } }])).toEqual({ length: expect.closeTo(length, 6) });
  });

  it('takes its size from the head where that is given', () => {
    const pattern = altered([{ 'draft-hood': { 'head-height': '12 1/2', 'head-girth': 22, drop: 1 } }]);
    expect(edgeLength(pattern, 'hood', 'face')).toBeCloseTo((12.5 + 1 + 1) * INCH, 6);
  });

  it('refuses what does not stand on the neckline, and names that are taken, with the mend', () => {
    expect(() => hooded({ depth: 500 })).toThrow(
      /a hood 500.0 mm deep does not stand on a neck edge \d+\.\d mm across/,
    );
    expect(() => hooded({ drop: 400 })).toThrow(/cannot drop by 400.0 mm/);
    expect(() => hooded({ pieces: 'three', strip: 600 })).toThrow(/leaves nothing of a hood/);
    expect(() => hooded({ name: 'sleeve' })).toThrow(InputError);
    const read = (o: object) => recipeSchema('in').safeParse([{ 'draft-hood': o }]).error!.issues[0]!.message;
    expect(read({ height: 12, 'head-height': 12 })).toBe("give 'height' or 'head-height', not both");
    expect(read({ strip: 3 })).toBe("say 'pieces: three' too");
    expect(read({ heigth: 3 })).toMatch(/did you mean 'height'/);
  });
});

describe('draft-hood, graded', () => {
  const DEMO = readFileSync(join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml'), 'utf8');
  const band = /^ {2}- draft-band: \{ name: neckband.*\n/m;

  it.each(['two', 'three'])(
    'in %s pieces sews to the neckline in every size, and passes the head',
    (pieces) => {
      expect(DEMO).toMatch(band);
      const text = DEMO.replace(band, `  - draft-hood: { pieces: ${pieces} }\n`).replace(
        /, neckband\.\w+: 1\/4/g,
        '',
      );
      const style = readStyle(text, 'hoodie.yaml', presets);
      const developed = developStyle(style);
      for (const { seams } of developed.truing) {
        const own = seams.filter((w) => w.seam.startsWith('hood'));
        expect(own).toHaveLength(pieces === 'two' ? 1 : 3);
        for (const walk of own) expect(Math.abs(walk.difference)).toBeLessThan(1e-6);
      }
      expect(passes(verdictsOf(style, developed, [], 'in'))).toBe(true);
      const hood = edgeOf(pieceOf(developed.base, 'hood'), 'neckline');
      expect(hood.path).toHaveLength(1);
    },
  );
});
