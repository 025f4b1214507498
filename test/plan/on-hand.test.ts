import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { solveHere } from '../../src/plan/highs.js';
import { cutFromStock } from '../../src/plan/on-hand.js';
import type { PlanSpec } from '../../src/plan/plan.js';
import { leastClothProgram, stockProgram } from '../../src/plan/stock-program.js';
import { cutPiece } from '../lay/samples.js';
import { allRatios } from './brute.js';
import { CLOTH, END_TO_END, NO_ENDS, NO_RATES, orderOf } from './samples.js';

const LIMITS = { gap: 0, nodes: 2000, seconds: 60 };

const laneOf = (
  metresOf: readonly number[],
  metres: number,
  garments: number,
  step = 1,
  fabric = 'self',
) => ({
  fabric,
  metres,
  step,
  columns: allRatios(metresOf.length, garments).map((counts) => ({
    column: { counts, garments: counts.reduce((a, b) => a + b, 0) } as never,
    // Each ply loses 10 cm, so that larger markers pay.
    metres: 0.1 + counts.reduce((sum, n, s) => sum + n * metresOf[s]!, 0),
  })),
});

/** Most garments from one roll by trying all numbers of garments and all plies. */
function mostGarments(ordered: readonly number[], lane: ReturnType<typeof laneOf>): number {
  const cheapest = new Map<string, number>();
  const least = (left: readonly number[]): number => {
    if (left.every((n) => n === 0)) return 0;
    const key = left.join();
    const known = cheapest.get(key);
    if (known !== undefined) return known;
    let best = Number.POSITIVE_INFINITY;
    for (const { column, metres } of lane.columns) {
      const { counts } = column as { counts: number[] };
      const next = left.map((n, s) => n - counts[s]!);
      if (next.every((n) => n >= 0)) best = Math.min(best, metres + least(next));
    }
    cheapest.set(key, best);
    return best;
  };
  let most = 0;
  const walk = (counts: number[]): void => {
    if (counts.length < ordered.length) {
      for (let n = 0; n <= ordered[counts.length]!; n++) walk([...counts, n]);
      return;
    }
    // Some share t of the order that every size is within one garment of.
    const low = Math.max(...counts.map((n, s) => (n - 1) / ordered[s]!));
    const high = Math.min(1, ...counts.map((n, s) => (n + 1) / ordered[s]!));
    if (low < high - 1e-9 && least(counts) <= lane.metres + 1e-9) {
      most = Math.max(
        most,
        counts.reduce((a, b) => a + b, 0),
      );
    }
  };
  walk([]);
  return most;
}

describe('the program of cloth on hand', () => {
  it('finds as many garments as trying everything, over rolls of many lengths', async () => {
    const ordered = [4, 6, 3];
    for (const metres of [0.5, 1.4, 2.7, 4.1, 5.6, 7.3, 9, 13]) {
      const lane = laneOf([0.7, 0.8, 0.9], metres, 3);
      const { program, read } = stockProgram(ordered, [lane]);
      const solved = await solveHere(program, LIMITS);
      const { garments, plies } = read(solved.values!);
      const used = plies[0]!.reduce((sum, n, j) => sum + n * lane.columns[j]!.metres, 0);
      expect(used).toBeLessThanOrEqual(metres + 1e-6);
      expect([metres, garments.reduce((a, b) => a + b, 0)]).toEqual([metres, mostGarments(ordered, lane)]);
    }
  });

  it('cuts no more of one fabric than the other gives', async () => {
    const lanes = [laneOf([0.7, 0.8], 50, 2), laneOf([0.2, 0.2], 1, 2, 1, 'rib')];
    const { program, read } = stockProgram([6, 6], lanes);
    const { garments } = read((await solveHere(program, LIMITS)).values!);
    // Two plies of a pair at 0.5 m each.
    expect(garments).toEqual([2, 2]);
  });

  it('needs the least cloth for what is left', async () => {
    const lane = laneOf([0.7, 0.8], 0, 2);
    const { program } = leastClothProgram([3, 2], lane);
    const solved = await solveHere(program, LIMITS);
    // Five garments in three plies at best: two of two, one of one.
    expect(solved.value).toBeCloseTo(3 * 0.7 + 2 * 0.8 + 3 * 0.1, 6);
  });
});

const square = (side: number): [number, number][] => [
  [0, 0],
  [side, 0],
  [side, side],
  [0, side],
];

/** What a nest gives back, as far as a plan looks at it. */
const SQUARE_MARKER = { length: 1000, pieces: [{ outline: square(500) }] };

const SPEC: PlanSpec = {
  style: 'test',
  order: orderOf(['S', 'L'], { navy: [4, 2], oat: [2, 2] }),
  // Half a metre of cloth 1 m wide for S and 0.72 m for L, nested without loss.
  pieces: [
    cutPiece('body', square(500), { size: 'S', counts: { asDrawn: 2, mirrored: 0 } }),
    cutPiece('body', square(600), { size: 'L', counts: { asDrawn: 2, mirrored: 0 } }),
  ],
  fabrics: [CLOTH],
  options: NO_ENDS,
  table: { plies: { default: 20 }, garments: { default: 3 }, pieces: {} },
  rates: NO_RATES,
  model: END_TO_END,
};

describe('cloth on hand', () => {
  it('tells what the rolls give, what is left of the order, and what to get for it', async () => {
    const found = await cutFromStock(SPEC, [{ fabric: 'self', colour: 'navy', metres: 1.8 }], {
      solve: solveHere,
    });
    expect(found.cut['navy']).toEqual({ S: 2, L: 1 });
    expect(found.shortfall).toEqual({ navy: { S: 2, L: 1 }, oat: { S: 2, L: 2 } });
    expect(found.uses[0]!.used).toBeCloseTo(1.72, 9);
    expect(found.missing.map((m) => [m.colour, m.metres.toFixed(2)])).toEqual([
      ['navy', '1.72'],
      ['oat', '2.44'],
    ]);
    expect(found.proven).toBe(true);
    expect(found.source).toBe('modelled');
  });

  it('cuts each ply of one roll, and each roll at its own width', async () => {
    const roll = (metres: number, width?: number) => ({
      fabric: 'self',
      colour: 'navy',
      metres,
      ...(width === undefined ? {} : { width }),
    });
    // 1.8 m hold two S and an L; of twice 0.9 m each holds one garment only.
    const one = await cutFromStock(SPEC, [roll(1.8)], { solve: solveHere });
    expect(one.cut['navy']).toEqual({ S: 2, L: 1 });
    const two = await cutFromStock(SPEC, [roll(0.9), roll(0.9)], { solve: solveHere });
    expect(two.cut['navy']).toEqual({ S: 2, L: 0 });
    // At twice the width a garment takes half the length.
    const wide = await cutFromStock(SPEC, [roll(0.87, 2000)], { solve: solveHere });
    expect(wide.cut['navy']).toEqual({ S: 2, L: 1 });
    expect(wide.uses[0]!.markers[0]!.name).toContain('200cm');
  });

  it('keeps what was chosen when it is stopped while markers are laid', async () => {
    const stop = new AbortController();
    const nest = async (): Promise<never> => {
      stop.abort();
      return SQUARE_MARKER as never;
    };
    const found = await cutFromStock(SPEC, [{ fabric: 'self', colour: 'navy', metres: 1.8 }], {
      solve: solveHere,
      nest,
      signal: stop.signal,
    });
    expect(found.cut['navy']).toEqual({ S: 2, L: 1 });
    expect(found.uses[0]!.used).toBeCloseTo(1.72, 9);
    expect([found.proven, found.source]).toEqual([false, 'modelled']);
    // What is missing is told by area: here that is exact, for the model wastes nothing.
    expect(found.missing.map((m) => [m.colour, m.metres.toFixed(2)])).toEqual([
      ['navy', '1.72'],
      ['oat', '2.44'],
    ]);
  });

  it('says which name is unknown', async () => {
    const cut = (fabric: string, colour: string) =>
      cutFromStock(SPEC, [{ fabric, colour, metres: 5 }], { solve: solveHere });
    await expect(cut('sefl', 'navy')).rejects.toThrow(InputError);
    await expect(cut('self', 'navi')).rejects.toThrow("a colour 'navi' that the order does not have");
  });
});
