import { expect, it, vi } from 'vitest';
import { nest } from '../../src/nest/index.js';
import { mixed } from './shapes.js';

/** What the rounds were told, in order, what came of them, and most rounds asked for at once. */
const rounds: { told: number; best: number }[] = [];
let most = 0;

vi.mock(import('../../src/nest/host.js'), async (original) => {
  const { watchRounds } = await import('./watch-rounds.js');
  return watchRounds(await original(), (round) => {
    let open = 0;
    return async (best, tightening) => {
      most = Math.max(most, ++open);
      const mine = { told: best.length, best: Infinity };
      rounds.push(mine);
      const reports = await round(best, tightening);
      mine.best = Math.min(...reports.map((report) => report.best.length));
      open--;
      return reports;
    };
  });
});

it.each([0, 2])(
  'lanes do not wait for one another: a round hears of the one before last, %s threads',
  async (threads) => {
    rounds.length = most = 0;
    const found = await nest(mixed, { iterations: 12, threads, lanes: 2, seed: 2 });
    expect(rounds).toHaveLength(12);
    expect(most).toBe(2);
    const known = (k: number) =>
      Math.min(rounds[0]!.told, ...rounds.slice(0, Math.max(0, k)).map((r) => r.best));
    expect(rounds.map((r) => r.told)).toEqual(rounds.map((_, k) => known(k - 1)));
    expect(new Set(rounds.map((r) => r.told)).size).toBeGreaterThan(2);
    expect(found.length).toBeCloseTo(known(12), 6);
  },
);
