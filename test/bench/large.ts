/** A thousand pieces: memory, time to a first layout, and how the length goes down while time passes. */
import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { table } from '../../src/cli/output.js';
import type * as Nest from '../../src/nest/index.js';
import { engineUrl, freezeEngine } from './engine.js';
import { machineLine } from './report.js';
import { loadNow, thisMachine } from './runs.js';
import { densityAt } from './summary.js';
import { syntheticInstance } from './synthetic.js';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '60' },
    threads: { type: 'string', default: '2' },
    instance: { type: 'string' },
    times: { type: 'string', default: '10' },
  },
});
const seconds = Number(values.seconds);
const { hash, folder } = freezeEngine();
const { nest, readInstance } = (await import(engineUrl(folder))) as typeof Nest;
process.stdout.write(`${machineLine(thisMachine(), loadNow())}; engine ${hash}\n`);

// An instance of a file, taken so many times; without one, a thousand synthetic pieces.
const read = values.instance && readInstance(JSON.parse(readFileSync(values.instance, 'utf8')));
const times = Number(values.times);
const instance: Nest.NestInstance = read
  ? {
      ...read,
      name: `${times} x ${read.name}`,
      items: read.items.map((item) => ({ ...item, demand: item.demand * times })),
    }
  : syntheticInstance(1000, 30);
const pieces = instance.items.reduce((sum, { demand }) => sum + demand, 0);

const result = await nest(instance, { seconds, threads: Number(values.threads), seed: 1 });
const area = 100 * result.density * result.length;
const trace = result.trace.map((p) => [p.seconds, area / p.length] as const);
const shares = [0.1, 0.2, 0.4, 0.6, 0.8, 1];
process.stdout.write(
  `${table(
    [
      'instance',
      'pieces',
      'density %',
      'moves',
      'improvements',
      'tables s',
      'MB',
      ...shares.map((s) => `at ${s * seconds} s`),
    ],
    [
      [
        instance.name,
        String(pieces),
        (100 * result.density).toFixed(2),
        String(result.moves),
        String(trace.length),
        result.preparation.toFixed(2),
        (process.resourceUsage().maxRSS / 1024).toFixed(0),
        ...shares.map((s) => densityAt(trace, s === 1 ? Infinity : s * seconds).toFixed(2)),
      ],
    ],
  )}\n`,
);
