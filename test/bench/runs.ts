import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, totalmem } from 'node:os';
import { dirname } from 'node:path';

/** What decides a run's result, the machine aside. */
export interface RunKey {
  readonly instance: string;
  /** Hash of the instance file's content. */
  readonly content: string;
  readonly seconds: number;
  readonly seed: number;
  readonly threads: number;
  /** Hash of the compiled engine. */
  readonly engine: string;
}

export interface Run extends RunKey {
  readonly length: number;
  /** Per cent. */
  readonly density: number;
  readonly verified: boolean;
  /** Seconds of wall clock in the engine, and of processor over all threads. */
  readonly wall: number;
  readonly cpu: number;
  readonly firstFeasible: number;
  readonly preparation: number;
  readonly moves: number;
  readonly movesPerSecond: number;
  readonly rounds: number;
  readonly repeatable: boolean;
  /** Largest resident memory of the process, MB. */
  readonly memory: number;
  /** Best density (per cent) known after so many seconds, at every improvement. */
  readonly trace: readonly (readonly [seconds: number, density: number])[];
  readonly when: string;
  /** Load average over a minute before the run: above 0, others were at work. */
  readonly load: number;
}

export interface Machine {
  readonly processor: string;
  readonly cores: number;
  readonly memory: number;
  readonly node: string;
}

export interface RunFile {
  readonly form: 'strip-bench-1';
  readonly machine: Machine;
  readonly runs: readonly Run[];
}

export const thisMachine = (): Machine => ({
  processor: cpus()[0]?.model ?? 'unknown',
  cores: cpus().length,
  memory: Math.round(totalmem() / 2 ** 20),
  node: process.version,
});

export const loadNow = (): number => loadavg()[0] ?? 0;

/** Whether a kept run answers for `key`; with `anyEngine` also one of another state of the engine. */
export const answers = (run: Run, key: RunKey, anyEngine = false): boolean =>
  run.instance === key.instance &&
  run.content === key.content &&
  run.seconds === key.seconds &&
  run.seed === key.seed &&
  run.threads === key.threads &&
  (anyEngine || run.engine === key.engine);

/** Reads kept runs; an absent file holds none. Throws for a file that is something else. */
export function readRuns(file: string): RunFile {
  if (!existsSync(file)) return { form: 'strip-bench-1', machine: thisMachine(), runs: [] };
  const kept = JSON.parse(readFileSync(file, 'utf8')) as RunFile;
  if (kept.form !== 'strip-bench-1' || !Array.isArray(kept.runs)) {
    throw new Error(`${file} holds no bench runs: name another file`);
  }
  return kept;
}

/** Writes all runs, one to a line; a reader sees the old file or the new one, never half of it. */
export function writeRuns(file: string, { form, machine, runs }: RunFile): void {
  const lines = runs.map((run) => JSON.stringify(run)).join(',\n');
  writeWhole(file, `{"form":"${form}","machine":${JSON.stringify(machine)},"runs":[\n${lines}\n]}\n`);
}

/** Writes a file under another name first and renames it when it is whole. */
export function writeWhole(file: string, text: string): void {
  mkdirSync(dirname(file), { recursive: true });
  const partial = `${file}.${process.pid}.tmp`;
  writeFileSync(partial, text);
  renameSync(partial, file);
}
