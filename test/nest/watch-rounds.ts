import type { LaneHost } from '../../src/nest/host.js';

type Host = typeof import('../../src/nest/host.js');

/** The module `nest/host` with hosts that answer rounds by what `watch` makes of their own answer, for `vi.mock`. */
export const watchRounds = (real: Host, watch: (round: LaneHost['round']) => LaneHost['round']): Host => ({
  ...real,
  createHost: (...args) => {
    const host = real.createHost(...args);
    return Object.assign(host, { round: watch(host.round.bind(host)) });
  },
});
