import { expect, it, vi } from 'vitest';
import { nest } from '../../src/nest/index.js';
import { mixed } from './shapes.js';

/** What the rounds were told of tightening, in order. */
const told: (number | undefined)[] = [];

vi.mock(import('../../src/nest/host.js'), async (original) => {
  const { watchRounds } = await import('./watch-rounds.js');
  // Rounds in which nothing is done, so that a run may be long.
  return watchRounds(await original(), () => async (best, tightening) => {
    told.push(tightening);
    return [{ best, moves: 0, passes: 0, work: 0, begun: 0 }];
  });
});

it.each([21, 420, 8400])(
  'tightening takes a twentieth of the search in addition: %s rounds',
  async (iterations) => {
    told.length = 0;
    await nest(mixed, { iterations, threads: 0, lanes: 1, seed: 1 });
    const searching = told.filter((share) => share === undefined);
    const tightening = told.slice(searching.length) as number[];
    expect(told).toHaveLength(iterations);
    expect(tightening).toHaveLength(iterations / 21);
    expect(tightening).toEqual(tightening.map((_, k) => k / tightening.length));
  },
);
