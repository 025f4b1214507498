import * as fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { Vec } from '../../src/geometry/vec.js';
import { Fields } from '../../src/nest/fields.js';
import { createProblem, type Problem } from '../../src/nest/problem.js';
import { transformed } from '../../src/nest/transform.js';
import { poolsOf } from './pools.js';
import { clearance, corner, item, rectangle, sharedArea, starPolygon, triangle } from './shapes.js';

vi.setConfig({ testTimeout: 60_000 });

const tablesOf = (problem: Problem): Fields => new Fields(poolsOf(problem));

const problemOf = (shapes: readonly Vec[][], rotations: readonly number[], gap = 0): Problem =>
  createProblem({
    name: 'tables',
    stripWidth: 60,
    gap,
    items: shapes.map((polygon, i) => item(String(i), polygon, 1, { rotations })),
  });

const moved = (polygon: readonly Vec[], dx: number, dy: number): Vec[] =>
  polygon.map(([x, y]) => [x + dx, y + dy]);

function outlineOf(problem: Problem, variant: number): Vec[] {
  const v = problem.variants[variant]!;
  return transformed(problem.instance.items[v.item]!.polygon, v.rotation, v.mirror);
}

describe('no-fit tables', () => {
  it('say overlap exactly where polyclip-ts finds a shared area, in every pair of transforms', () => {
    fc.assert(
      fc.property(
        starPolygon(),
        starPolygon(),
        fc.array(
          fc.tuple(fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true })),
          {
            minLength: 6,
            maxLength: 6,
          },
        ),
        (a, b, offsets) => {
          const problem = problemOf([a, b], [0, 90, 180, 217]);
          const fields = tablesOf(problem);
          const count = problem.variants.length;
          offsets.forEach(([u, v], k) => {
            const i = (k * 5) % count;
            const j = (k * 3 + 1) % count;
            const [p, q] = [outlineOf(problem, i), outlineOf(problem, j)];
            const depth = fields.depth(fields.pools.code[i * count + j]!, 12 * u, 12 * v);
            const shared = sharedArea(p, moved(q, 12 * u, 12 * v));
            // Within a hair of contact the two libraries may round either way.
            if (Math.abs(depth) > 1e-6 || shared > 1e-6) expect(depth > 0).toBe(shared > 1e-12);
          });
        },
      ),
      { numRuns: 60, seed: 11 },
    );
  });

  it('give the least push that parts the pieces: pushed by it they touch', () => {
    const problem = problemOf([corner, triangle, rectangle(7, 2)], [0, 90, 180, 270]);
    const fields = tablesOf(problem);
    const count = problem.variants.length;
    let checked = 0;
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < count; j++) {
        for (const [dx, dy] of [
          [1.3, 0.7],
          [-2.1, 3.3],
          [4.7, -1.9],
        ] as const) {
          const code = fields.pools.code[i * count + j]!;
          const depth = fields.slope(code, dx, dy);
          if (depth <= 0) continue;
          expect(fields.depth(code, dx, dy)).toBeCloseTo(depth, 9);
          const after = moved(
            outlineOf(problem, j),
            dx + fields.normalX * depth,
            dy + fields.normalY * depth,
          );
          expect(sharedArea(outlineOf(problem, i), after)).toBeLessThan(1e-9);
          expect(clearance(outlineOf(problem, i), after)).toBeLessThan(1e-9);
          checked++;
        }
      }
    }
    expect(checked).toBeGreaterThan(100);
  });

  it('measure the clearance outside, so that a gap is violated by exactly what is missing', () => {
    const gap = 1.5;
    const problem = problemOf([corner, triangle], [0, 180], gap);
    const fields = tablesOf(problem);
    const count = problem.variants.length;
    let between = 0;
    for (let step = 0; step < 200; step++) {
      const [dx, dy] = [-11 + (step % 20) * 1.13, -10 + Math.floor(step / 20) * 2.07];
      for (let i = 0; i < count; i++) {
        for (let j = 0; j < count; j++) {
          const depth = fields.depth(fields.pools.code[i * count + j]!, dx, dy);
          const [p, q] = [outlineOf(problem, i), moved(outlineOf(problem, j), dx, dy)];
          if (sharedArea(p, q) > 1e-9) {
            expect(depth).toBeGreaterThan(gap - 1e-9);
          } else if (clearance(p, q) < gap) {
            expect(depth).toBeCloseTo(gap - clearance(p, q), 9);
            between++;
          } else expect(depth).toBeLessThan(1e-9);
        }
      }
    }
    expect(between).toBeGreaterThan(50);
  });

  it('keep the pocket of a hollow shape open for a piece that fits inside', () => {
    const frame: Vec[] = [
      [0, 0],
      [20, 0],
      [20, 20],
      [0, 20],
      [0, 11],
      [4, 11],
      [4, 16],
      [16, 16],
      [16, 4],
      [4, 4],
      [4, 10],
      [0, 10],
    ];
    const problem = problemOf([frame, rectangle(5, 5)], [0]);
    const fields = tablesOf(problem);
    const [f, r] = [0, 1];
    expect(fields.depth(fields.pools.code[f * 2 + r]!, 8, 8)).toBeLessThanOrEqual(0);
    expect(fields.depth(fields.pools.code[f * 2 + r]!, 3, 8)).toBeCloseTo(1, 9);
    expect(fields.depth(fields.pools.code[r * 2 + f]!, -8, -8)).toBeLessThanOrEqual(0);
  });

  // Two mechanisms of failure met: edges of the no-fit polygon that lie on one another counted twice, which
  // turned an inside into an outside; and far inside, at a corner, the side taken from one edge alone.
  it('know overlap on a lattice of offsets of lattice shapes, with edges on edges and deep in corners', () => {
    const waisted: Vec[] = [
      [0, 0],
      [8, 0],
      [8, 2],
      [6, 2],
      [4, 1],
      [3, 1],
      [2, 2],
      [-1, 2],
    ];
    const cross: Vec[] = [
      [2, 0],
      [4, 0],
      [4, 2],
      [6, 2],
      [6, 4],
      [4, 4],
      [4, 6],
      [2, 6],
      [2, 4],
      [0, 4],
      [0, 2],
      [2, 2],
    ];
    const problem = createProblem({
      name: 'lattice',
      stripWidth: 12,
      items: [waisted, cross, corner].map((polygon, i) => item(String(i), polygon, 1)),
    });
    const fields = tablesOf(problem);
    const count = problem.variants.length;
    const wrong: string[] = [];
    let inside = 0;
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < count; j++) {
        const [p, q] = [outlineOf(problem, i), outlineOf(problem, j)];
        for (let dx = -17.15; dx < 18; dx += 0.9) {
          for (let dy = -13.15; dy < 14; dy += 0.7) {
            const depth = fields.depth(fields.pools.code[i * count + j]!, dx, dy);
            const shared = sharedArea(p, moved(q, dx, dy));
            if (shared > 1e-9) inside++;
            if (shared > 1e-9 !== depth > 1e-9) wrong.push(`${i} ${j} ${dx} ${dy}: ${depth} ${shared}`);
          }
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(inside).toBeGreaterThan(2000);
  });
});
