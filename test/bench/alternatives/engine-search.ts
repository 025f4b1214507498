/** The engine's own search as it runs in one lane: no-fit tables, strip map, relaxation and all. */
import { type FieldPools, Fields } from '../../../src/nest/fields.js';
import { Lane } from '../../../src/nest/lane.js';
import type { Snapshot } from '../../../src/nest/layout.js';
import type { Problem } from '../../../src/nest/problem.js';
import type { Contestant } from './race.js';

export class EngineSearch implements Contestant {
  moves = 0;
  /** What each round ended with. */
  readonly rounds: Snapshot[] = [];
  private readonly lane: Lane;

  constructor(problem: Problem, fields: Fields, seed: number, start: Snapshot) {
    this.lane = new Lane(problem, fields, seed, 0, start);
  }

  get best(): Snapshot {
    return this.lane.best;
  }

  step(): void {
    const { moves, best } = this.lane.round(this.lane.best, undefined);
    this.moves = moves;
    this.rounds.push(best);
  }
}

/** How many rounds two searches have in common, and whether all of those ended alike to the last bit. */
export function compareRounds(a: EngineSearch, b: EngineSearch): { rounds: number; alike: boolean } {
  const rounds = Math.min(a.rounds.length, b.rounds.length);
  const same = (p: Snapshot, q: Snapshot) =>
    p.length === q.length &&
    (['x', 'y', 'variant'] as const).every((key) => p[key].every((value, i) => value === q[key][i]));
  return { rounds, alike: a.rounds.slice(0, rounds).every((round, k) => same(round, b.rounds[k]!)) };
}

/** Look-ups in WebAssembly, and in plain TypeScript. */
export const bothFields = (pools: FieldPools): { fast: Fields; plain: Fields } => ({
  fast: new Fields(pools),
  plain: new Fields(pools, false),
});
