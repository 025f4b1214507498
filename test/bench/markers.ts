/**
 * What each rule of the cutting room costs: the demo's seven-size marker laid one way, each garment one way,
 * and either way, without tilt and with two degrees of it, over the same seeds and the same time.
 */
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { loadStyle } from '../../src/cli/load.js';
import { table } from '../../src/cli/output.js';
import { markerInstance, planMarker } from '../../src/lay/marker.js';
import type { Orientation } from '../../src/lay/types.js';
import type * as Nest from '../../src/nest/index.js';
import { allPieces } from '../../src/style/index.js';
import { engineUrl, freezeEngine, ROOT } from './engine.js';
import { machineLine } from './report.js';
import { loadNow, thisMachine, writeWhole } from './runs.js';
import { signed } from './summary.js';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '20' },
    seeds: { type: 'string', default: '3' },
    out: { type: 'string', default: 'out/bench/markers.json' },
  },
});
const seconds = Number(values.seconds);
const seeds = Array.from({ length: Number(values.seeds) }, (_, k) => k + 1);
const orientations: readonly Orientation[] = ['one-way', 'garment-one-way', 'either-way'];
const tilts = [0, 2];

const { hash, folder } = freezeEngine();
const { nest } = (await import(engineUrl(folder))) as typeof Nest;
const load = loadNow();
process.stdout.write(`${machineLine(thisMachine(), load)}; engine ${hash}\n`);

const { style, developed } = await loadStyle(join(ROOT, 'fixtures/demo/harbour-crew.yaml'));
const marker = style.markers.find(({ fabric }) => fabric === 'self')!;
const fabric = style.fabrics.get('self')!;

interface Result {
  readonly orientation: Orientation;
  readonly tilt: number;
  readonly seed: number;
  readonly density: number;
  readonly length: number;
  readonly preparation: number;
  readonly rounds: number;
}
const results: Result[] = [];
for (const seed of seeds) {
  for (const tilt of tilts) {
    for (const orientation of orientations) {
      const plan = planMarker({
        name: marker.name,
        style: style.name,
        pieces: allPieces(developed.finished),
        fabric: { ...fabric, usableWidth: 1650, orientation },
        ratio: marker.ratio,
        options: { ...style.lay.options, gap: 2 },
      });
      const instance = markerInstance(plan);
      const result = await laid(instance, tilt, seed);
      results.push({
        orientation,
        tilt,
        seed,
        density: 100 * result.density,
        length: result.length,
        preparation: result.preparation,
        rounds: result.iterations,
      });
      process.stderr.write(
        `${orientation}, tilt ${tilt}, seed ${seed}: ${(100 * result.density).toFixed(2)} %\n`,
      );
    }
  }
}

/** With tilt, half of the time goes without it first: tables for tilted pieces are many and moves dear. */
async function laid(instance: Nest.NestInstance, tilt: number, seed: number): Promise<Nest.NestResult> {
  if (tilt === 0) return nest(instance, { seconds, seed, threads: 2 });
  const straight = await nest(instance, { seconds: seconds / 2, seed, threads: 2 });
  const items = instance.items.map((item) => ({ ...item, tilt }));
  return nest({ ...instance, items, start: straight.placements }, { seconds: seconds / 2, seed, threads: 2 });
}

const mean = (list: readonly number[]) => list.reduce((a, b) => a + b, 0) / list.length;
const of = (orientation: Orientation, tilt: number) =>
  results.filter((r) => r.orientation === orientation && r.tilt === tilt);
const freest = mean(of('either-way', 0).map((r) => r.density));
const rows = tilts.flatMap((tilt) =>
  orientations.map((orientation) => {
    const mine = of(orientation, tilt);
    const densities = mine.map((r) => r.density);
    return [
      orientation,
      String(tilt),
      mean(densities).toFixed(2),
      Math.max(...densities).toFixed(2),
      Math.min(...densities).toFixed(2),
      (mean(mine.map((r) => r.length)) / 1000).toFixed(3),
      signed(mean(densities) - freest),
      mean(mine.map((r) => r.preparation)).toFixed(1),
      mean(mine.map((r) => r.rounds)).toFixed(0),
    ];
  }),
);
const head = [
  'orientation',
  'tilt',
  'mean %',
  'best %',
  'worst %',
  'length m',
  'to either way, no tilt',
  'tables s',
  'rounds',
];
process.stdout.write(
  `${marker.name} at 165 cm, gap 2 mm, ${seeds.length} seeds of ${seconds} s on 2 threads\n${table(head, rows)}\n`,
);
writeWhole(values.out, `${JSON.stringify({ engine: hash, load, seconds, results }, null, 1)}\n`);
