/**
 * What one move costs, against the number of pieces and against vertices per piece: ratios within one run,
 * in processor time of one thread. Everything the search does between moves is counted in.
 */
import { parseArgs } from 'node:util';
import { table } from '../../src/cli/output.js';
import type * as Nest from '../../src/nest/index.js';
import { engineUrl, freezeEngine } from './engine.js';
import { machineLine } from './report.js';
import { loadNow, thisMachine, writeWhole } from './runs.js';
import { syntheticInstance } from './synthetic.js';

interface Point {
  readonly pieces: number;
  readonly vertices: number;
  readonly microseconds: number;
  readonly moves: number;
  readonly preparation: number;
}

const OUT = 'out/bench/scaling.json';
/** Rounds of the two runs whose difference is measured: the common start and warm-up cancel out. */
const SHORT = 5;
const LONG = 25;
const REPEATS = Number(parseArgs({ options: { repeats: { type: 'string', default: '3' } } }).values.repeats);

const { hash, folder } = freezeEngine();
const { nest } = (await import(engineUrl(folder))) as typeof Nest;
const machine = thisMachine();
const load = loadNow();
process.stdout.write(`${machineLine(machine, load)}; engine ${hash}\n`);

await measure(100, 30); // warm-up, not kept
const byPieces = await series([25, 50, 100, 200, 400, 800].map((pieces) => [pieces, 30] as const));
const byVertices = await series([20, 50, 100, 200, 400].map((vertices) => [50, vertices] as const));
print('pieces of 30 vertices', byPieces, (p) => p.pieces);
print('vertices of 50 pieces', byVertices, (p) => p.vertices);
writeWhole(OUT, `${JSON.stringify({ machine, load, engine: hash, byPieces, byVertices }, null, 1)}\n`);
process.stdout.write(`\nkept in ${OUT}\n`);

async function series(sizes: readonly (readonly [pieces: number, vertices: number])[]): Promise<Point[]> {
  const repeats: Point[][] = sizes.map(() => []);
  // Sizes in turn, so that a burst of other work on the machine hits all of them.
  for (let k = 0; k < REPEATS; k++) {
    for (let s = 0; s < sizes.length; s++) repeats[s]!.push(await measure(...sizes[s]!));
  }
  return repeats.map((points) => points.sort((a, b) => a.microseconds - b.microseconds)[REPEATS >> 1]!);
}

async function measure(pieces: number, vertices: number): Promise<Point> {
  const instance = syntheticInstance(pieces, vertices);
  const short = await timed(instance, SHORT);
  const long = await timed(instance, LONG);
  const moves = long.moves - short.moves;
  return {
    pieces,
    vertices,
    moves,
    microseconds: (1e6 * (long.search - short.search)) / moves,
    preparation: Math.min(long.preparation, short.preparation),
  };
}

async function timed(instance: Nest.NestInstance, iterations: number) {
  let searchBegan = process.cpuUsage();
  const result = await nest(instance, {
    iterations,
    threads: 0,
    lanes: 1,
    onProgress: ({ phase, round }) => {
      if (phase === 'search' && round === 1) searchBegan = process.cpuUsage();
    },
  });
  const { user, system } = process.cpuUsage(searchBegan);
  return { search: (user + system) / 1e6, moves: result.moves, preparation: result.preparation };
}

function print(title: string, points: readonly Point[], size: (p: Point) => number): void {
  const first = points[0]!;
  const rows = points.map((p) => [
    String(size(p)),
    p.microseconds.toFixed(1),
    (p.microseconds / first.microseconds).toFixed(2),
    p === first ? '' : slope([first, p], size).toFixed(2),
    String(p.moves),
    p.preparation.toFixed(2),
  ]);
  process.stdout.write(`\n${table([title, 'us / move', 'ratio', 'exponent', 'moves', 'tables s'], rows)}\n`);
  process.stdout.write(
    `cost grows as size to the power of ${slope(points, size).toFixed(2)} (least squares)\n`,
  );
}

/** Least-squares slope of log cost against log size. */
function slope(points: readonly Point[], size: (p: Point) => number): number {
  const xs = points.map((p) => Math.log(size(p)));
  const ys = points.map((p) => Math.log(p.microseconds));
  const mean = (v: readonly number[]) => v.reduce((a, b) => a + b, 0) / v.length;
  const [mx, my] = [mean(xs), mean(ys)];
  const top = xs.reduce((sum, x, i) => sum + (x - mx) * (ys[i]! - my), 0);
  return top / xs.reduce((sum, x) => sum + (x - mx) ** 2, 0);
}
