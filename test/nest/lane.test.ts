import { describe, expect, it, vi } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { verify } from '../../src/nest/index.js';
import { Lane, type LaneReport } from '../../src/nest/lane.js';
import type { Snapshot } from '../../src/nest/layout.js';
import { PACE, type Pace } from '../../src/nest/pace.js';
import { toPlacements } from '../../src/nest/placements.js';
import { createProblem } from '../../src/nest/problem.js';
import { boxStart } from '../../src/nest/start.js';
import { mixedPools, poolsOf } from './pools.js';
import { item, mixed, rectangle, worstOverlapOnGrid } from './shapes.js';

vi.setConfig({ testTimeout: 60_000 });

/** The engine's pace, a hundred times as fast. */
const hasty: Pace = {
  round: PACE.round / 10,
  best: PACE.best / 100,
  own: PACE.own / 100,
};

/** Lanes that meet after every round, as `nest` runs them; reports by round and lane. */
function together(lanes: number, rounds: number, searching: number, seed = 3): LaneReport[][] {
  const problem = createProblem(mixed);
  const fields = new Fields(mixedPools());
  let best: Snapshot = boxStart(problem);
  const all = Array.from({ length: lanes }, (_, k) => new Lane(problem, fields, seed, k, best, hasty));
  return Array.from({ length: rounds }, (_, round) => {
    const tightening = round < searching ? undefined : (round - searching) / (rounds - searching);
    const told = best;
    const reports = all.map((lane) => lane.round(told, tightening));
    for (const report of reports) if (report.best.length < best.length) best = report.best;
    return reports;
  });
}

describe('lanes that part', () => {
  const reports = together(2, 240, 220);

  it('begin anew, but for lane 0, and not while tightening', () => {
    const begun = (round: number) => reports[round]!.map((report) => report.begun);
    expect(begun(219)[0]).toBe(0);
    expect(begun(219)[1]).toBeGreaterThan(0);
    expect(begun(239)).toEqual(begun(220));
  });

  it('alone, stay with the layout they have', () => {
    const alone = together(1, 240, 220);
    expect(alone.at(-1)![0]!.begun).toBe(0);
    expect(alone.at(-1)![0]!.best.length).toBeLessThan(alone[9]![0]!.best.length);
  });

  it('never lose the best layout, and every best one is without fault', () => {
    const problem = createProblem(mixed);
    for (const lane of [0, 1]) {
      let before = Infinity;
      for (const round of reports) {
        const { best } = round[lane]!;
        expect(best.length).toBeLessThanOrEqual(before);
        if (best.length < before) {
          const placements = toPlacements(problem, best);
          expect(verify(mixed, placements).faults).toEqual([]);
          expect(worstOverlapOnGrid(mixed, placements)).toBeLessThan(1e-8);
        }
        before = best.length;
      }
    }
  });

  it('go the same way again', () => {
    const plain = (all: LaneReport[][]) =>
      all.map((round) => round.map(({ best, moves, work, begun }) => [best.length, moves, work, begun]));
    expect(plain(together(2, 240, 220))).toEqual(plain(reports));
  });
});

describe('tightening', () => {
  it('closes what little room lies between many pieces in a row', () => {
    const count = 101;
    const bars = createProblem({
      name: 'bars',
      stripWidth: 10,
      items: [item('bar', rectangle(2, 10), count, { rotations: [0] })],
    });
    // Neighbours are far apart in the order of pieces, so that no sweep through the pairs carries a push along the row.
    const loose: Snapshot = {
      length: 2.01 * count,
      x: Float64Array.from({ length: count }, (_, i) => 2.01 * ((37 * i) % count)),
      y: new Float64Array(count),
      variant: new Int32Array(count),
    };
    const lane = new Lane(bars, new Fields(poolsOf(bars)), 1, 0, loose);
    for (let round = 0; round < 20; round++) lane.round(lane.best, 0);
    expect(verify(bars.instance, toPlacements(bars, lane.best)).ok).toBe(true);
    expect(lane.best.length).toBeLessThan(2.0001 * count);
  });
});
