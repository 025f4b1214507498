import { describe, expect, it, vi } from 'vitest';
import { nest, verify } from '../../src/nest/index.js';
import { mixed } from './shapes.js';

/** Rounds after which the host fails, as it does when one of its threads runs out of memory. */
let lasting = Infinity;

vi.mock(import('../../src/nest/host.js'), async (original) => {
  const { watchRounds } = await import('./watch-rounds.js');
  return watchRounds(await original(), (round) => {
    let rounds = 0;
    return async (best, tightening) => {
      if (rounds++ === lasting) throw new Error('the worker failed: out of memory');
      return round(best, tightening);
    };
  });
});

describe('a search that fails', () => {
  const options = { iterations: 8, threads: 0, seed: 2 };

  it('returns the best layout until then, and tells why it ended', async () => {
    lasting = 3;
    const cut = await nest(mixed, options);
    expect(cut).toMatchObject({
      failure: 'the worker failed: out of memory',
      iterations: 3,
      repeatable: false,
      stopped: false,
    });
    expect(verify(mixed, cut.placements).faults).toEqual([]);

    lasting = Infinity;
    const whole = await nest(mixed, options);
    expect(whole.failure).toBeUndefined();
    expect(cut.trace.map(({ length }) => length)).toEqual(
      whole.trace.filter(({ round }) => round <= 3).map(({ length }) => length),
    );
  });

  it('throws when there is nothing yet that the search has found', async () => {
    lasting = 0;
    await expect(nest(mixed, options)).rejects.toThrow('out of memory');
  });
});
