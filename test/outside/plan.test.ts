// Cut orders of published course notes and trade pages, each named at its test.
import { describe, expect, it } from 'vitest';
import { solveHere } from '../../src/plan/highs.js';
import { planFabric } from '../../src/plan/plan.js';
import type { Order, PlanLimits } from '../../src/plan/types.js';
import { planFaults } from '../../src/plan/verify.js';
import { END_TO_END, NO_ENDS, orderOf, taskOf } from '../plan/samples.js';

/** Lays dear, markers cheap, cloth a metre a garment: the fewest lays, then the fewest markers. */
const FEWEST_LAYS = { lay: 10, marker: 1 };

async function planned(
  lengths: Readonly<Record<string, number>>,
  limits: PlanLimits,
  order: Order,
  fabric: { pricePerMetre?: number } = {},
) {
  const task = taskOf(lengths, limits, FEWEST_LAYS, fabric);
  const plan = await planFabric(task, order, { model: END_TO_END }, { solve: solveHere });
  expect(planFaults(plan, order, NO_ENDS)).toEqual([]);
  return plan;
}

const metreEach = (sizes: readonly string[]) => Object.fromEntries(sizes.map((size) => [size, 1000]));

describe('cut orders of course notes', () => {
  it('cuts 260 garments in five sizes, 50 plies of 4 garments, in 2 lays and exactly (scribd 575728029, example 1)', async () => {
    const sizes = ['10', '12', '14', '16', '18'];
    const order = orderOf(sizes, { one: [40, 90, 80, 25, 25] });
    const plan = await planned(metreEach(sizes), { thicknesses: 50, garments: 4 }, order);
    expect(plan.lays).toHaveLength(2);
    expect(plan.cut['one']).toEqual({ 10: 40, 12: 90, 14: 80, 16: 25, 18: 25 });
    // The notes' own solution: [16,18,12,12] x 25 and [10,14,14,12] x 40.
    const ratios = plan.markers.map((m) => [m.ratio, m.totalPlies]);
    expect(ratios).toContainEqual([{ 12: 2, 16: 1, 18: 1 }, 25]);
    expect(ratios).toContainEqual([{ 10: 1, 12: 1, 14: 2 }, 40]);
  });

  it('cuts 440 garments in four sizes, 60 plies of 4 garments, in 2 lays and exactly (scribd 575728029, example 2)', async () => {
    const sizes = ['12', '14', '16', '18'];
    const order = orderOf(sizes, { one: [100, 160, 120, 60] });
    const plan = await planned(metreEach(sizes), { thicknesses: 60, garments: 4 }, order);
    expect(plan.lays).toHaveLength(2);
    expect(plan.cut['one']).toEqual({ 12: 100, 14: 160, 16: 120, 18: 60 });
    expect(plan.cloth.metres).toBeCloseTo(440, 9);
  });

  it('cuts 1300 garments in three sizes, 75 plies of 5 garments, in the least possible 4 lays (scribd 575728029, example 3)', async () => {
    const order = orderOf(['S', 'M', 'L'], { one: [300, 600, 400] });
    const plan = await planned({ S: 1000, M: 1000, L: 1000 }, { thicknesses: 75, garments: 5 }, order);
    expect(plan.lays).toHaveLength(Math.ceil(1300 / (75 * 5)));
    // Two markers are enough for them: S x 5 on 60 plies, as the notes have it, and M x 3 + L x 2 on 200.
    expect(plan.markers.map((m) => [m.ratio, m.totalPlies])).toEqual(
      expect.arrayContaining([
        [{ S: 5 }, 60],
        [{ M: 3, L: 2 }, 200],
      ]),
    );
  });

  it('spreads 25 and 114 of one size in 1 and 4 lays of at most 30 plies (Industrial Cutting of Textile Materials, table 4.1)', async () => {
    const limits = { thicknesses: 30, garments: 1 };
    for (const [ordered, lays] of [
      [25, 1],
      [114, 4],
    ] as const) {
      const plan = await planned({ M: 1000 }, limits, orderOf(['M'], { one: [ordered] }));
      expect(plan.lays).toHaveLength(lays);
    }
    const plan = await planned({ M: 1000 }, limits, orderOf(['M'], { one: [114] }));
    expect(plan.lays.map((lay) => lay.totalPlies)).toEqual([30, 30, 30, 24]);
  });

  it('lays 2488 garments in markers of 8 on 311 plies (stitchdiary, lay planning)', async () => {
    const plan = await planned(
      { M: 1000 },
      { thicknesses: 400, garments: 8 },
      orderOf(['M'], { one: [2488] }),
    );
    expect(plan.markers.map((m) => [m.garments, m.totalPlies])).toEqual([[8, 311]]);
    expect(plan.lays).toHaveLength(1);
  });

  it('needs at most 3, 2 and 1 markers for the ratios 2-3-1, 2-3-2 and 2-4-2 (apparel911, cutting ratios)', async () => {
    const markers = async (ratio: readonly number[]) => {
      const order = orderOf(['S', 'M', 'L'], { one: ratio.map((n) => n * 10) });
      // Twenty plies, and no marker of more than the four garments of 1-2-1.
      const plan = await planned({ S: 1000, M: 1000, L: 1000 }, { thicknesses: 20, garments: 4 }, order);
      return plan.markers;
    };
    expect((await markers([2, 3, 1])).length).toBeLessThanOrEqual(3);
    expect((await markers([2, 3, 2])).length).toBeLessThanOrEqual(2);
    const even = await markers([2, 4, 2]);
    expect(even.map((m) => [m.ratio, m.totalPlies])).toEqual([[{ S: 1, M: 2, L: 1 }, 20]]);
  });

  it('cuts 10,006 garments of three colours in the least possible 26 lays, in 16,009.5 m for Rs 560,332.50 (question of onlineclothingstudy, 2021/03)', async () => {
    const sizes = ['S', 'M', 'L', 'XL'];
    const order = orderOf(sizes, {
      first: [417, 834, 417, 834],
      second: [834, 1667, 834, 1667],
      third: [417, 834, 417, 834],
    });
    const plan = await planned(
      { S: 1250, M: 1500, L: 1750, XL: 1800 },
      { thicknesses: 100, garments: 4 },
      order,
      { pricePerMetre: 35 },
    );
    expect(plan.cloth.metres).toBeCloseTo(16_009.5, 6);
    expect(plan.cost.fabric).toBeCloseTo(560_332.5, 4);
    expect(plan.lays).toHaveLength(Math.ceil(10_006 / (100 * 4)));
    expect(plan.solver.bound!).toBeGreaterThan(560_332.5);
  }, 120_000);
});
