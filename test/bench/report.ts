import { table } from '../../src/cli/output.js';
import type { PublishedTable } from './published.js';
import type { Machine, Run } from './runs.js';
import { against, compareRuns, densityAt, floorFor, signed, summarise } from './summary.js';

/** The runs as a table for people, beside what is published. */
export function summaryTable(runs: readonly Run[], published: PublishedTable): string {
  const rows = summarise(runs).map((s) => {
    const known = published.instances[s.instance];
    const floor = floorFor(known, s.seconds);
    return [
      s.instance,
      `${s.runs} x ${s.seconds} s`,
      s.best.toFixed(2),
      s.mean.toFixed(2),
      s.worst.toFixed(2),
      floor === undefined ? '' : `${floor.toFixed(2)}`,
      floor === undefined ? '' : s.mean >= floor ? 'yes' : 'no',
      known ? known.best.toFixed(2) : '',
      against(s.mean, known?.average),
      against(s.mean, known?.before),
      s.firstFeasible.toFixed(2),
      s.preparation.toFixed(2),
      s.movesPerSecond.toFixed(0),
      s.movesPerCpu.toFixed(0),
      s.cores.toFixed(2),
      s.memory.toFixed(0),
      s.verified ? 'yes' : 'NO',
    ];
  });
  const head = [
    'instance',
    'runs',
    'best %',
    'mean %',
    'worst %',
    'floor %',
    'reached',
    'published best',
    'to its mean',
    'to before',
    'first s',
    'tables s',
    'moves/s',
    'moves/cpu s',
    'cores',
    'MB',
    'verified',
  ];
  return table(head, rows);
}

/** Mean over seeds of the best density known at a few shares of the budget. */
export function anytimeTable(runs: readonly Run[]): string {
  const shares = [0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1];
  const rows = summarise(runs).map(({ instance, seconds, threads }) => {
    const mine = runs.filter(
      (r) => r.instance === instance && r.seconds === seconds && r.threads === threads,
    );
    // A run may end a little after its time: the last share is its end.
    const at = (run: Run, share: number) =>
      share === 1 ? run.density : densityAt(run.trace, share * seconds);
    return [
      `${instance} (${seconds} s)`,
      ...shares.map((share) => (mine.reduce((sum, r) => sum + at(r, share), 0) / mine.length).toFixed(2)),
    ];
  });
  return table(['mean density % after', ...shares.map((share) => `${share * 100} %`)], rows);
}

/** Differences to other runs, for people. */
export function compareTable(runs: readonly Run[], other: readonly Run[]): string {
  const differences = compareRuns(runs, other);
  if (differences.length === 0)
    return 'nothing to compare: no instance was run with the same seconds and threads';
  const rows = differences.map((d) => [
    d.instance,
    `${d.seconds} s`,
    signed(d.mean),
    signed(d.best),
    signed(d.worst),
    d.paired ? `${signed(d.paired.mean)} +- ${d.paired.error.toFixed(2)} (${d.paired.seeds})` : '',
    d.movesPerSecond.toFixed(2),
    d.movesPerCpu.toFixed(2),
    d.preparation.toFixed(2),
  ]);
  const head = [
    'instance',
    'budget',
    'mean',
    'best',
    'worst',
    'same seeds',
    'moves/s ratio',
    'moves/cpu s ratio',
    'tables ratio',
  ];
  return `Points of density against the other runs:\n${table(head, rows)}`;
}

export const machineLine = ({ processor, cores, memory, node }: Machine, load: number): string =>
  `${processor}, ${cores} cores, ${memory} MB, Node ${node}; load average before the runs ${load.toFixed(2)}`;
