import { describe, expect, it } from 'vitest';
import type { Marker } from '../../src/lay/index.js';
import type { Nest } from '../../src/plan/agree.js';
import { efficiencyModel } from '../../src/plan/efficiency.js';
import { solveHere } from '../../src/plan/highs.js';
import { planJson } from '../../src/plan/json.js';
import { planFabric } from '../../src/plan/plan.js';
import { orderOf, taskOf } from './samples.js';

const TASK = taskOf({ S: 700, M: 800, L: 900 }, { thicknesses: 6, garments: 3 }, { lay: 8, marker: 3 });
const ORDER = orderOf(['S', 'M', 'L'], { navy: [4, 6, 3], oat: [2, 4, 2] });
const SPEC = { model: efficiencyModel([]) };

/** A marker that was laid: its garments as upright bars, longer than the model says by a factor of its own. */
function nestOf(factor: (name: string) => number): { nest: Nest; laid: string[] } {
  const laid: string[] = [];
  const nest: Nest = async ({ name, fabric, ratio }) => {
    laid.push(name);
    const garments = Object.entries(ratio).flatMap(([size, n]) => new Array<string>(n).fill(size));
    const bars = garments.map((size) => TASK.content.sizes.find((s) => s.size === size)!.area / 1000);
    const whole = bars.reduce((a, b) => a + b, 0);
    return {
      name,
      fabric,
      ratio,
      length: whole * factor(name),
      pieces: bars.map((length) => ({
        outline: [
          [0, 0],
          [length, 0],
          [length, 1000],
          [0, 1000],
        ],
      })),
    } as unknown as Marker;
  };
  return { nest, laid };
}

describe('planning and nesting in turn', () => {
  it('ends when the markers chosen are all laid, with their true lengths, and lays none twice', async () => {
    const { nest, laid } = nestOf(() => 1.2);
    const plan = await planFabric(TASK, ORDER, SPEC, { solve: solveHere, nest });
    expect(plan.ended).toBe('agreed');
    expect(plan.source).toBe('nested');
    expect(new Set(laid).size).toBe(laid.length);
    for (const marker of plan.markers) {
      const bars = Object.entries(marker.ratio).reduce(
        (sum, [size, n]) => sum + (n * TASK.content.sizes.find((s) => s.size === size)!.area) / 1000,
        0,
      );
      expect(marker.length).toBeCloseTo(1.2 * bars, 6);
      expect(marker.marker!.name).toBe(marker.name);
      expect(laid).toContain(marker.name);
    }
  });

  it('turns away from a marker that comes out long, and keeps the cheapest plan of laid markers', async () => {
    const free = nestOf(() => 1.15);
    const first = await planFabric(TASK, ORDER, SPEC, { solve: solveHere, nest: free.nest });
    const spoilt = first.markers[0]!.name;
    const { nest } = nestOf((name) => (name === spoilt ? 3 : 1.15));
    const plan = await planFabric(TASK, ORDER, SPEC, { solve: solveHere, nest });
    expect(plan.markers.map((m) => m.name)).not.toContain(spoilt);
    expect(plan.cost.total).toBeGreaterThanOrEqual(first.cost.total - 1e-6);
  });

  it('sets a marker aside that turns out too long for the table', async () => {
    const task = { ...TASK, limits: { ...TASK.limits, tableLength: 2600 } };
    const { nest } = nestOf((name) => (/x3|x2.*x1|x1.*x2|x1.*x1.*x1/.test(name) ? 2 : 1.1));
    const plan = await planFabric(task, ORDER, SPEC, { solve: solveHere, nest });
    for (const marker of plan.markers) expect(marker.length).toBeLessThanOrEqual(2600);
  });

  it('tells that the limit of rounds ended it', async () => {
    // Every new marker is longer than those before: the model never catches up in one round.
    const { nest } = nestOf(() => 1.9);
    const plan = await planFabric(TASK, ORDER, SPEC, { solve: solveHere, nest, rounds: 1 });
    expect(plan.ended).toBe('round limit');
    expect(plan.rounds).toBe(1);
    expect(plan.source).toBe('nested');
  });

  it('keeps the best plan so far when it is stopped while it nests', async () => {
    const stop = new AbortController();
    const { nest, laid } = nestOf(() => 1.3);
    const stopping: Nest = (request, signal) => {
      stop.abort();
      return nest(request, signal);
    };
    const plan = await planFabric(TASK, ORDER, SPEC, {
      solve: solveHere,
      nest: stopping,
      signal: stop.signal,
    });
    expect(plan.ended).toBe('stopped');
    expect(plan.source).toBe('nested');
    expect(laid.length).toBeGreaterThanOrEqual(plan.markers.length);
    expect(Object.values(plan.cut['navy']!).reduce((a, b) => a + b)).toBe(13);
  });

  it('goes on with what was built by hand when the solver is stopped', async () => {
    const stop = new AbortController();
    const solve = () => {
      stop.abort();
      return Promise.reject(new Error('the thread was stopped'));
    };
    const plan = await planFabric(TASK, ORDER, SPEC, { solve, signal: stop.signal });
    expect(plan.solver.status).toBe('stopped');
    expect(plan.solver.bound).toBeUndefined();
    const broken = planFabric(TASK, ORDER, SPEC, { solve: () => Promise.reject(new Error('out of memory')) });
    await expect(broken).rejects.toThrow('out of memory');
  });

  it('lays the markers of the plainer ways when asked, and counts what one marker cuts too much', async () => {
    const { nest } = nestOf(() => 1.2);
    const spec = { ...SPEC, nestBaselines: true };
    const plan = await planFabric(TASK, ORDER, spec, { solve: solveHere, nest });
    const [single, one] = plan.baselines;
    expect(single!.result!.source).toBe('nested');
    expect(single!.result!.markers.every((m) => Object.keys(m.ratio).length === 1)).toBe(true);
    expect(single!.result!.beyond).toBe(0);
    expect(single!.result!.cost.total).toBeGreaterThan(plan.cost.total);
    // 1-1-1 on 6 navy and 4 oat plies: 30 garments where 21 are ordered.
    expect(one!.result!).toMatchObject({ source: 'nested', garments: 30, beyond: 9 });
  });

  it('is plain data without placements as JSON', async () => {
    const { nest } = nestOf(() => 1.2);
    const fabric = await planFabric(TASK, ORDER, SPEC, { solve: solveHere, nest });
    const plan = {
      style: 'test',
      currency: 'EUR',
      order: ORDER,
      rates: TASK.rates,
      fabrics: [fabric],
      cut: fabric.cut,
      garments: 21,
      cost: fabric.cost,
      costPerGarment: fabric.cost.total / 21,
    };
    const text = JSON.stringify(planJson(plan));
    expect(text).not.toContain('outline');
    expect(JSON.parse(text)).toEqual(planJson(plan));
  });
});
