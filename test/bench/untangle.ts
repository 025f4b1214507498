/**
 * What it costs to untangle pieces scattered at random in a strip of a given density: processor seconds per success.
 * The engine's every step is such an untangling, and a minute holds hundreds of them, so that changes to it show here
 * with far less luck than in the density of whole runs.
 */
import { parseArgs } from 'node:util';
import { table } from '../../src/cli/output.js';
import { Disturber } from '../../src/nest/disturb.js';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { Separator } from '../../src/nest/separate.js';
import { boxStart } from '../../src/nest/start.js';
import { poolsOf } from '../nest/pools.js';
import { processorSeconds } from './alternatives/race.js';
import { hashOf, ROOT } from './engine.js';
import { type InstanceFile, listInstances } from './instances.js';
import { machineLine } from './report.js';
import { loadNow, thisMachine } from './runs.js';

const USAGE = `npm run bench:untangle -- --instances DIR --at NAME=DENSITY,NAME=DENSITY [options]
  --instances DIR   folder of instances, one JSON file each (or WALEWISE_BENCHMARKS)
  --at A=80,B=85    instances, and the density in % of the strip that they are scattered in
  --seconds N       processor seconds for each (default 30)
  --patience P      passes without less overlap after which one gives up (default 200)
  --seed S          default 1`;

try {
  main();
} catch (error) {
  process.stderr.write(`error: ${(error as Error).message}\n${USAGE}\n`);
  process.exitCode = 2;
}

function main(): void {
  const { values } = parseArgs({
    options: {
      instances: { type: 'string' },
      at: { type: 'string', default: '' },
      seconds: { type: 'string', default: '30' },
      patience: { type: 'string', default: '200' },
      seed: { type: 'string', default: '1' },
    },
  });
  const folder = values.instances ?? process.env['WALEWISE_BENCHMARKS'];
  if (!folder) throw new Error('--instances is missing');
  const at = new Map(
    values.at.split(',').map((part) => {
      const [name, text] = part.split('=');
      const density = Number(text);
      if (!name || !(density > 0 && density < 100)) throw new Error(`--at: '${part}' is not NAME=DENSITY`);
      return [name.trim(), density] as const;
    }),
  );
  const [seconds, patience, seed] = [values.seconds, values.patience, values.seed].map(Number);
  if (!(seconds! > 0) || !(patience! > 0) || !Number.isSafeInteger(seed)) {
    throw new Error('--seconds and --patience must be numbers above 0, --seed a whole number');
  }
  const files = listInstances(folder, [...at.keys()], (message) => process.stderr.write(`${message}\n`));
  const engine = hashOf(`${ROOT}/dist`);
  process.stdout.write(`${machineLine(thisMachine(), loadNow())}; engine ${engine}\n`);
  const rows = files.map((file) => untangle(file, at.get(file.name)!, seconds!, patience!, seed!));
  process.stdout.write(
    `${table(['instance', 'density %', 'tried', 'untangled', 'share', 'seconds per success', '+-'], rows)}\n`,
  );
}

function untangle(
  { name, instance }: InstanceFile,
  density: number,
  seconds: number,
  patience: number,
  seed: number,
): string[] {
  const problem = createProblem(instance);
  const layout = new Layout(problem, new Fields(poolsOf(problem)));
  const random = new Random(seed, 0);
  const separator = new Separator(layout, random);
  const disturber = new Disturber(layout, random);
  const start = { ...boxStart(problem), length: (100 * problem.totalArea) / (problem.width * density) };

  const before = processorSeconds();
  const spent = () => processorSeconds() - before;
  let [tried, untangled] = [0, 0];
  while (spent() < seconds) {
    layout.load(start);
    disturber.scatter(Infinity, 0);
    const run = separator.run(patience);
    let end = run.next();
    while (!end.done) end = run.next();
    tried++;
    if (end.value.separated) untangled++;
  }
  // Successes come at random, so that their number is uncertain by its square root.
  const each = spent() / untangled;
  return [
    name,
    String(density),
    String(tried),
    String(untangled),
    (untangled / tried).toFixed(2),
    untangled === 0 ? `over ${spent().toFixed(0)}` : each.toFixed(2),
    untangled === 0 ? '' : (each / Math.sqrt(untangled)).toFixed(2),
  ];
}
