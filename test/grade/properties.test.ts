import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { length } from '../../src/geometry/path.js';
import { distance } from '../../src/geometry/vec.js';
import { DISTRIBUTIONS, gradePattern } from '../../src/grade/index.js';
import { edgeOf, type Pattern, pieceOf, pointsOf } from '../../src/pattern/model.js';
import { EVERY_INCREMENT, samplePattern, specOf } from './helpers.js';
import { blockPattern } from './samples.js';

const MEASURED = Object.keys(EVERY_INCREMENT);
const name = fc.constantFrom(...Object.keys(DISTRIBUTIONS));

/** Increments a size, mm, as far as trade goes: girths up to 60, the rest up to 12. */
const steps = fc
  .tuple(
    ...MEASURED.map((m) =>
      fc.double({ min: 0, max: ['bust', 'waist', 'hip'].includes(m) ? 60 : 12, noNaN: true }),
    ),
  )
  .map((values) => {
    const named = Object.fromEntries(MEASURED.map((m, i) => [m, values[i]!]));
    // Trade sense: the shoulder lies inside the chest, the cap finds a height.
    return {
      ...named,
      'across-shoulder': Math.min(named['across-shoulder']!, named['bust']! / 2),
      'neck-width': Math.min(named['neck-width']!, named['across-shoulder']!, named['bust']! / 4),
      bicep: Math.min(named['bicep']!, 0.35 * named['bust']! + named['armhole-depth']!),
    };
  });

const farthest = (a: Pattern, b: Pattern, pieces: readonly string[]): number =>
  Math.max(
    ...pieces.flatMap((piece) => {
      const there = pointsOf(pieceOf(b, piece));
      return [...pointsOf(pieceOf(a, piece))].map(([point, at]) => distance(at, there.get(point)!));
    }),
  );

const lengths = (pattern: Pattern): number[] =>
  pattern.pieces.flatMap((piece) => piece.edges.map((edge) => length(edge.path)));

describe.each([
  ['a sample body', samplePattern()],
  ['a drafted block', blockPattern()],
])('grading %s', (_, base) => {
  const bodies = ['back', 'front'];
  const derived = base.pieces.filter((p) => p.derived).map((p) => p.name);

  it('up n sizes and down n again comes back: 1e-9 mm at rule points, 1e-3 mm at derived pieces', () => {
    fc.assert(
      fc.property(steps, name, fc.integer({ min: 1, max: 3 }), (increments, distribution, n) => {
        const part = { distribution: { name: distribution }, increments };
        const sizes = Array.from({ length: n + 1 }, (_, i) => `s${i}`);
        const up = gradePattern(base, specOf({ ...part, sizes, base: 's0' }));
        const large = up.sizes[n]!.pattern;
        // The large size is the base now; the way back is the same ladder.
        const down = gradePattern(large, specOf({ ...part, sizes, base: `s${n}` }));
        const back = down.sizes[0]!.pattern;
        expect(farthest(base, back, bodies)).toBeLessThan(1e-9);
        expect(farthest(base, back, derived)).toBeLessThan(1e-3);
        lengths(back).forEach((mm, i) => {
          expect(Math.abs(mm - lengths(base)[i]!)).toBeLessThan(1e-3);
        });
        // Sizes between are the same from either end.
        for (const [i, { pattern }] of down.sizes.entries()) {
          expect(farthest(up.sizes[i]!.pattern, pattern, [...bodies, ...derived])).toBeLessThan(1e-3);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('moves rule points in a straight line between breaks, by every distribution', () => {
    fc.assert(
      fc.property(steps, name, (increments, distribution) => {
        const part = {
          sizes: ['a', 'b', 'c', 'd'],
          base: 'b',
          distribution: { name: distribution },
          increments,
        };
        const { sizes } = gradePattern(base, specOf(part));
        for (const piece of bodies) {
          const [a, b, , d] = sizes.map((s) => pointsOf(pieceOf(s.pattern, piece)));
          for (const point of a!.keys()) {
            for (const axis of [0, 1]) {
              const step = b!.get(point)![axis]! - a!.get(point)![axis]!;
              expect(d!.get(point)![axis]! - b!.get(point)![axis]!).toBeCloseTo(2 * step, 8);
            }
          }
        }
      }),
      { numRuns: 25 },
    );
  });

  it('lengthens an edge in a straight line only where its growth runs along it', () => {
    const { sizes } = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
    const bend = (piece: string, edge: string) => {
      const at = (i: number) => length(edgeOf(pieceOf(sizes[i]!.pattern, piece), edge).path);
      return Math.abs(at(6) - 2 * at(3) + at(0));
    };
    // The hem grows across and lies across; the fold grows along itself.
    expect(bend('back', 'hem')).toBeLessThan(1e-9);
    expect(bend('back', 'fold')).toBeLessThan(1e-9);
    // The shoulder slopes while it grows across, the armhole is a curve.
    expect(bend('back', 'shoulder')).toBeGreaterThan(1e-3);
    expect(bend('back', 'armhole')).toBeGreaterThan(1e-3);
  });
});
