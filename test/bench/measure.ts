/**
 * One run in a process of its own, so that memory and compiled code start fresh: reads its task from the
 * first argument, prints one JSON line.
 */
import { readFileSync } from 'node:fs';
import type * as Nest from '../../src/nest/index.js';
import { worstOverlapOnGrid } from '../nest/shapes.js';
import { engineUrl } from './engine.js';
import type { Run, RunKey } from './runs.js';

export interface Task extends RunKey {
  readonly file: string;
  readonly folder: string;
}

export type Measured = Omit<Run, keyof RunKey | 'when' | 'load'>;

const task = JSON.parse(process.argv[2]!) as Task;
const { nest, readInstance, verify } = (await import(engineUrl(task.folder))) as typeof Nest;
const instance = readInstance(JSON.parse(readFileSync(task.file, 'utf8')));
const { seconds, seed, threads } = task;
const result = await nest(instance, { seconds, seed, threads });

// What is judged is what would be read back from a file, against the instance as it was given.
const { placements } = JSON.parse(JSON.stringify(result)) as typeof result;
const report = verify(instance, placements);
/** Most that two pieces may share by clipper-lib, as a share of the strip width squared: its grid is that coarse. */
const GRID = 1e-8;
const { user, system } = process.cpuUsage();
const area = result.density * result.length;
const measured: Measured = {
  length: report.length,
  density: 100 * report.density,
  verified: report.ok && worstOverlapOnGrid(instance, placements) < GRID,
  wall: result.seconds,
  cpu: (user + system) / 1e6,
  firstFeasible: result.trace[0]?.seconds ?? Number.NaN,
  preparation: result.preparation,
  moves: result.moves,
  movesPerSecond: result.moves / Math.max(1e-3, result.seconds - result.preparation),
  rounds: result.iterations,
  repeatable: result.repeatable,
  memory: process.resourceUsage().maxRSS / 1024,
  trace: result.trace.map((p) => [
    Number(p.seconds.toFixed(3)),
    Number(((100 * area) / p.length).toFixed(4)),
  ]),
};
process.stdout.write(`${JSON.stringify(measured)}\n`);
