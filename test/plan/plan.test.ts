import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CheckError } from '../../src/errors.js';
import { clothPerArea } from '../../src/plan/agree.js';
import { solveHere } from '../../src/plan/highs.js';
import { planFabric } from '../../src/plan/plan.js';
import { type FabricTask, shortCosts } from '../../src/plan/pricing.js';
import type { FabricPlan, Order } from '../../src/plan/types.js';
import { planFaults } from '../../src/plan/verify.js';
import { leastCost } from './brute.js';
import { END_TO_END, orderOf, taskOf } from './samples.js';

const plan = (task: FabricTask, order: Order): Promise<FabricPlan> =>
  planFabric(task, order, { model: END_TO_END }, { solve: solveHere, limits: { gap: 0 } });

const WORK = { lay: 7, marker: 4, spreadingPerPly: 1, spreadingPerMetre: 0.5, cuttingPerMetre: 0.3 };

describe('a plan of tiny orders', () => {
  const cases: readonly (readonly [string, FabricTask, Order])[] = [
    [
      'one size, stacks of three',
      taskOf({ M: 900 }, { thicknesses: 3, garments: 2 }, WORK),
      orderOf(['M'], { navy: [7] }),
    ],
    [
      'two sizes in one colour',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 2, garments: 3 }, WORK),
      orderOf(['S', 'L'], { navy: [5, 4] }),
    ],
    [
      'two sizes in two colours that share a stack',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 3, garments: 2 }, WORK),
      orderOf(['S', 'L'], { navy: [2, 3], oat: [1, 2] }),
    ],
    [
      'a table that holds two garments at most',
      taskOf(
        { S: 800, L: 1000 },
        { thicknesses: 9, garments: 3, tableLength: 1850 },
        WORK,
        {},
        { endAllowance: 20 },
      ),
      orderOf(['S', 'L'], { navy: [4, 2] }),
    ],
    [
      'garments over where that saves a lay',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2 }, { ...WORK, lay: 60 }),
      orderOf(['S', 'L'], { navy: [4, 3] }, 1),
    ],
    [
      'garments under where leaving them out costs less than a lay',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2 }, { ...WORK, lay: 60 }),
      orderOf(['S', 'L'], { navy: [4, 3] }, 0, 1),
    ],
    [
      'a limit of pieces',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 4, garments: 3, pieces: 8 }, WORK),
      orderOf(['S', 'L'], { navy: [3, 3] }),
    ],
    [
      'ply by ply on a tube: two thicknesses each',
      taskOf({ S: 800, L: 1000 }, { thicknesses: 5, garments: 2 }, WORK, { mode: 'tubular' }),
      orderOf(['S', 'L'], { navy: [3, 2] }),
    ],
  ];

  for (const [name, task, order] of cases) {
    it(`costs as little as trying everything finds: ${name}`, async () => {
      const short = shortCosts(task, clothPerArea(task, END_TO_END));
      const found = await plan(task, order);
      expect(found.cost.total).toBeCloseTo(leastCost(task, order, short), 6);
      expect(found.solver.bound!).toBeLessThanOrEqual(found.cost.total + 1e-6);
      expect(planFaults(found, order, task.options)).toEqual([]);
    });
  }

  it('cuts a garment more when that is cheaper than one lay more, and not otherwise', async () => {
    const order = orderOf(['S', 'L'], { navy: [4, 3] }, 1);
    const dear = await plan(taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2 }, { lay: 60 }), order);
    expect(dear.lays).toHaveLength(1);
    expect(dear.cut['navy']).toEqual({ S: 4, L: 4 });
    const cheap = await plan(taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2 }, { lay: 1 }), order);
    expect(cheap.cut['navy']).toEqual({ S: 4, L: 3 });
  });

  it('does not cut an order short only to save cloth', async () => {
    const order = orderOf(['S', 'L'], { navy: [6, 6] }, 0, 3);
    const found = await plan(taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2 }, { lay: 3 }), order);
    expect(found.cut['navy']).toEqual({ S: 6, L: 6 });
    expect(found.cost.short).toBe(0);
  });

  it('spreads pairs of plies face to face, and refuses odd numbers with the mend', async () => {
    const task = taskOf({ S: 800, L: 1000 }, { thicknesses: 7, garments: 2 }, WORK, { mode: 'face-to-face' });
    const found = await plan(task, orderOf(['S', 'L'], { navy: [4, 6], oat: [2, 2] }));
    for (const lay of found.lays) {
      expect(lay.totalPlies).toBeLessThanOrEqual(6);
      for (const { plies } of lay.plies) expect(plies % 2).toBe(0);
    }
    await expect(plan(task, orderOf(['S', 'L'], { navy: [3, 6] }))).rejects.toThrow(
      /pairs of plies: 3 of navy S cannot be cut/,
    );
    const allowed = await plan(task, orderOf(['S', 'L'], { navy: [3, 6] }, 1));
    expect(allowed.cut['navy']).toEqual({ S: 4, L: 6 });
  });

  it('refuses a table too short for one garment, naming the size', async () => {
    const task = taskOf({ S: 800, L: 1000 }, { thicknesses: 9, garments: 2, tableLength: 900 });
    const attempt = plan(task, orderOf(['S', 'L'], { navy: [1, 1] }));
    await expect(attempt).rejects.toThrow(CheckError);
    await expect(attempt).rejects.toThrow(/no marker within the limits holds size L/);
  });

  it('gives the same plan again', async () => {
    const task = taskOf({ S: 700, M: 800, L: 900 }, { thicknesses: 6, garments: 3 }, WORK);
    const order = orderOf(['S', 'M', 'L'], { navy: [5, 7, 3], oat: [2, 4, 2] });
    expect(await plan(task, order)).toEqual(await plan(task, order));
  });
});

describe('plans of any order', () => {
  const orders = fc
    .record({
      sizes: fc.integer({ min: 1, max: 3 }),
      colours: fc.integer({ min: 1, max: 2 }),
      garments: fc.integer({ min: 1, max: 3 }),
      thicknesses: fc.integer({ min: 2, max: 12 }),
      over: fc.integer({ min: 0, max: 2 }),
      under: fc.integer({ min: 0, max: 2 }),
      table: fc.option(fc.integer({ min: 1100, max: 4000 }), { nil: undefined }),
      mode: fc.constantFrom('single' as const, 'tubular' as const, 'folded' as const),
      lay: fc.integer({ min: 0, max: 30 }),
      marker: fc.integer({ min: 0, max: 10 }),
      seed: fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 6, maxLength: 6 }),
    })
    .filter(({ seed, sizes, colours }) => seed.slice(0, sizes * colours).some((n) => n > 0));

  it('meet demand within the allowances and keep every limit, over 200 random orders', async () => {
    let solved = 0;
    await fc.assert(
      fc.asyncProperty(orders, async (o) => {
        const names = ['S', 'M', 'L'].slice(0, o.sizes);
        const lengths = Object.fromEntries(names.map((size, s) => [size, 700 + 100 * s]));
        const rows = Object.fromEntries(
          ['navy', 'oat']
            .slice(0, o.colours)
            .map((c, k) => [c, o.seed.slice(k * o.sizes, (k + 1) * o.sizes)]),
        );
        const order = orderOf(names, rows, o.over, o.under);
        const limits = {
          thicknesses: o.thicknesses,
          garments: o.garments,
          ...(o.table === undefined ? {} : { tableLength: o.table }),
        };
        const task = taskOf(
          lengths,
          limits,
          { lay: o.lay, marker: o.marker },
          { mode: o.mode },
          { endAllowance: 20 },
        );
        const found = await planFabric(
          task,
          order,
          { model: END_TO_END },
          { solve: solveHere, limits: { nodes: 5 } },
        );
        solved++;
        expect(planFaults(found, order, task.options)).toEqual([]);
        // Exactly what is ordered where nothing else is allowed.
        if (o.over === 0 && o.under === 0) {
          for (const cell of order.cells) expect(found.cut[cell.colour]![cell.size]).toBe(cell.ordered);
        }
        // No plain way that cuts the same order is cheaper.
        for (const { result } of found.baselines) {
          if (result && result.beyond === 0) {
            expect(found.cost.total).toBeLessThanOrEqual(result.cost.total * (1 + 2e-3) + 1e-6);
          }
        }
      }),
      { numRuns: 200, seed: 7 },
    );
    expect(solved).toBeGreaterThanOrEqual(200);
  }, 240_000);
});
