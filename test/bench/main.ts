/** Density over seeds on a folder of instances, kept run by run: see README.md beside the sources. */
import { spawn } from 'node:child_process';
import { join, resolve } from 'node:path';
import { freezeEngine } from './engine.js';
import { listInstances } from './instances.js';
import type { Measured, Task } from './measure.js';
import { type BenchOptions, readOptions, USAGE } from './options.js';
import { readPublished } from './published.js';
import { anytimeTable, compareTable, machineLine, summaryTable } from './report.js';
import { answers, loadNow, type Run, type RunKey, readRuns, thisMachine, writeRuns } from './runs.js';

try {
  if (process.argv.includes('--help')) process.stdout.write(`${USAGE}\n`);
  else await bench(readOptions(process.argv.slice(2), process.env));
} catch (error) {
  process.stderr.write(`error: ${(error as Error).message}\n`);
  process.exitCode = 2;
}

async function bench(options: BenchOptions): Promise<void> {
  const note = (text: string) => process.stderr.write(`${text}\n`);
  const { hash, folder } = freezeEngine();
  const instances = listInstances(options.instances, options.only, note);
  const machine = thisMachine();
  const load = loadNow();
  note(`${machineLine(machine, load)}; engine ${hash}`);

  const mine: Run[] = [];
  for (const seed of options.seeds) {
    // Seed by seed, so that a series that is stopped has looked at every instance alike.
    for (const { name, file, content } of instances) {
      const { seconds, threads } = options;
      const key: RunKey = { instance: name, content, seconds, seed, threads, engine: hash };
      const kept = readRuns(options.out).runs.findLast((run) => answers(run, key, options.anyEngine));
      if (kept) {
        mine.push(kept);
        continue;
      }
      const run: Run = {
        ...key,
        load: loadNow(),
        when: new Date().toISOString(),
        ...(await measure({ ...key, file: resolve(file), folder })),
      };
      // Read again: another series may have written meanwhile.
      const { runs } = readRuns(options.out);
      writeRuns(options.out, { form: 'strip-bench-1', machine, runs: [...runs, run] });
      mine.push(run);
      note(
        `${name} seed ${seed}: ${run.density.toFixed(2)} % in ${run.wall.toFixed(1)} s, ${run.rounds} rounds, ${(run.cpu / run.wall).toFixed(2)} cores`,
      );
    }
  }

  const published = readPublished();
  const ordered = instances.flatMap(({ name }) => mine.filter((run) => run.instance === name));
  const out = (text: string) => process.stdout.write(`${text}\n`);
  out(machineLine(machine, load));
  out(summaryTable(ordered, published));
  if (options.anytime) out(`\n${anytimeTable(ordered)}`);
  if (options.compare !== undefined) {
    out(`\n${compareTable(ordered, readRuns(options.compare).runs.filter(unlessMine(ordered, options)))}`);
  }
  out(`\nPublished: ${published.source}`);
  if (!mine.every((run) => run.verified)) process.exitCode = 1;
}

/** Compared with its own file, a series is held against the other runs in it. */
const unlessMine =
  (mine: readonly Run[], { compare, out }: BenchOptions) =>
  (run: Run) =>
    resolve(compare!) !== resolve(out) || !mine.some((m) => m.engine === run.engine);

function measure(task: Task): Promise<Measured> {
  return new Promise((done, fail) => {
    const child = spawn(process.execPath, [join(import.meta.dirname, 'measure.js'), JSON.stringify(task)], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let text = '';
    child.stdout.on('data', (chunk: Buffer) => {
      text += chunk.toString();
    });
    child.on('error', fail);
    child.on('close', (code, signal) => {
      if (code === 0) done(JSON.parse(text) as Measured);
      else
        fail(new Error(`${task.instance} seed ${task.seed}: the run ended with ${signal ?? `code ${code}`}`));
    });
  });
}
