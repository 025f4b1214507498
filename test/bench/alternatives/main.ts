/**
 * The engine's choices against what else was thought of, on the same instances in the same minutes: overlap by
 * no-fit tables or by inscribed circles, places from maps or from samples, collisions by a grid or by
 * hierarchies, WebAssembly or plain TypeScript. See README.md beside the bench.
 */
import { parseArgs } from 'node:util';
import { table } from '../../../src/cli/output.js';
import { type NestInstance, verify } from '../../../src/nest/index.js';
import { Layout } from '../../../src/nest/layout.js';
import { toPlacements } from '../../../src/nest/placements.js';
import { Random } from '../../../src/nest/random.js';
import { leftmostStart } from '../../../src/nest/start.js';
import { listInstances } from '../instances.js';
import { machineLine } from '../report.js';
import { loadNow, thisMachine } from '../runs.js';
import { syntheticInstance } from '../synthetic.js';
import { compareRounds } from './engine-search.js';
import { mapRates, queryRates } from './queries.js';
import { lengthAfter, race, secondsTo } from './race.js';
import { entriesFor, makeReady, measuresFor, type Ready, SCHEMES } from './setup.js';

const USAGE = `npm run bench:alternatives -- [options]
  --instances DIR   folder of instances, one JSON file each (or WALEWISE_BENCHMARKS); else two synthetic ones
  --only A,B        only the instances of these names
  --seconds N       processor seconds of each search (default 20)
  --seeds K         seeds 1 to K (default 2)
  --first-seed S    start at seed S instead of 1
  --target D        density in % that the time to is told (default: the whole percent that all reach)
  --turns T         how often the single questions are asked (default 10)`;
const print = (text: string) => process.stdout.write(`${text}\n`);
let sound = true;

try {
  compare();
  if (!sound) process.exitCode = 1;
} catch (error) {
  process.stderr.write(`error: ${(error as Error).message}\n${USAGE}\n`);
  process.exitCode = 2;
}

function compare(): void {
  const { values } = parseArgs({
    options: {
      instances: { type: 'string' },
      only: { type: 'string' },
      seconds: { type: 'string', default: '20' },
      seeds: { type: 'string', default: '2' },
      'first-seed': { type: 'string', default: '1' },
      target: { type: 'string' },
      turns: { type: 'string', default: '10' },
    },
  });
  const above0 = (name: string, text: string) => {
    if (Number.isFinite(Number(text)) && Number(text) > 0) return Number(text);
    throw new Error(`--${name} must be a number above 0, not '${text}'`);
  };
  const whole = (name: string, text: string) => {
    if (Number.isSafeInteger(above0(name, text))) return Number(text);
    throw new Error(`--${name} must be a whole number, not '${text}'`);
  };
  const seconds = above0('seconds', values.seconds);
  const seeds = whole('seeds', values.seeds);
  const first = whole('first-seed', values['first-seed']);
  const turns = whole('turns', values.turns);
  const target = values.target === undefined ? undefined : above0('target', values.target);
  const folder = values.instances ?? process.env['WALEWISE_BENCHMARKS'];
  const only = values.only ? values.only.split(',').map((name) => name.trim()) : [];

  print(machineLine(thisMachine(), loadNow()));
  for (const instance of instances(folder, only)) {
    const ready = makeReady(instance);
    print(`\n${instance.name}: ${ready.problem.count} pieces`);
    printRates(ready, turns);
    for (let k = 0; k < seeds; k++) printRace(ready, first + k, seconds, target);
  }
}

function instances(folder: string | undefined, only: readonly string[]): NestInstance[] {
  if (!folder) return [syntheticInstance(40, 16), syntheticInstance(100, 40)];
  const note = (text: string) => process.stderr.write(`${text}\n`);
  return listInstances(folder, only, note).map(({ instance }) => instance);
}

/** Single questions on the engine's start, in a strip 5 % too short for it. */
function printRates(ready: Ready, turns: number): void {
  const { problem, fast, plain } = ready;
  const layout = new Layout(problem, fast);
  const start = leftmostStart(layout, new Random(1), 0);
  if (!start) throw new Error(`${problem.instance.name}: no start`);
  const crowded = { ...start, length: 0.95 * start.length };
  const layouts = [fast, plain].map((fields) => new Layout(problem, fields));
  for (const each of [layout, ...layouts]) {
    each.load(crowded);
    for (let i = 0; i < each.count; i++) each.clamp(i);
    each.refresh();
  }
  const measures = Object.entries(measuresFor(ready)).map(
    ([key, measure]) => [SCHEMES[key as keyof typeof SCHEMES], measure] as const,
  );
  const [first, second] = layouts as [Layout, Layout];
  const rates = [
    ...queryRates(layout, measures, turns),
    ...mapRates(
      [
        ['strip map, WebAssembly (positions)', first],
        ['strip map, plain (positions)', second],
      ],
      turns,
    ),
  ];
  const rows = rates.map(({ name, perSecond, free }) => [
    name,
    (perSecond / 1000).toFixed(0),
    free === undefined ? '' : String(free),
  ]);
  print(table(['asked of', '1000 queries / cpu s', 'found free'], rows));
}

function printRace(ready: Ready, seed: number, seconds: number, wanted: number | undefined): void {
  const { problem } = ready;
  const { entries, searches } = entriesFor(ready, seed);
  const tracks = race(entries, seconds);
  const density = (length: number) => (100 * problem.totalArea) / (problem.width * length);
  const worst = Math.min(...tracks.map((track) => density(lengthAfter(track, seconds))));
  const target = wanted ?? Math.floor(worst);
  const rows = entries.map(({ name, search, preparation }, k) => {
    const track = tracks[k]!;
    const at = (share: number) => density(lengthAfter(track, share * seconds)).toFixed(2);
    // What is judged is what would be read back from a file.
    const placements = JSON.parse(JSON.stringify(toPlacements(problem, search.best)));
    const { ok } = verify(problem.instance, placements);
    sound &&= ok;
    const reached = secondsTo(track, (100 * problem.totalArea) / (problem.width * target));
    return [
      name,
      preparation.toFixed(2),
      (search.moves / (track.seconds - preparation)).toFixed(0),
      at(0.25),
      at(0.5),
      at(1),
      reached === undefined ? '-' : reached.toFixed(2),
      ok ? 'yes' : 'NO',
      'unsettled' in search ? String(search.unsettled) : '',
    ];
  });
  const share = (part: number) => `% at ${Number((part * seconds).toFixed(2))} s`;
  const head = ['scheme', 'prep. s', 'moves/s', share(0.25), share(0.5), share(1), `s to ${target} %`];
  print(`\nseed ${seed}, ${seconds} processor seconds each`);
  print(table([...head, 'verified', 'unsettled'], rows));
  const { rounds, alike } = compareRounds(searches.engineFast, searches.enginePlain);
  sound &&= alike;
  print(`WebAssembly and plain: ${rounds} rounds ${alike ? 'identical' : 'DIFFER'}`);
}
