import { InputError } from '../errors.js';
import { checkGiven } from './check.js';
import { createHost, type LaneHost } from './host.js';
import type { LaneReport } from './lane.js';
import type { Snapshot } from './layout.js';
import { fromPlacements, toPlacements } from './placements.js';
import { createProblem, type Problem } from './problem.js';
import { boxStart } from './start.js';
import type { NestInstance, NestOptions, NestPhase, NestResult, TracePoint } from './types.js';
import { verify } from './verify.js';

export const NEST_DEFAULTS = { seconds: 10, seed: 1, threads: 2, lanes: 2 } as const;

/** Share of searching that tightening takes in addition. */
const TIGHTEN_SHARE = 1 / 20;

/** Rounds of tightening that follow `search` rounds of searching. */
const tightenRounds = (search: number): number => Math.ceil(search * TIGHTEN_SHARE);

/** Of `total` rounds, how many are spent searching; the inverse of what a timed run does. */
function searchRounds(total: number): number {
  let search = Math.floor(total / (1 + TIGHTEN_SHARE));
  while (search + 1 + tightenRounds(search + 1) <= total) search++;
  while (search > 0 && search + tightenRounds(search) > total) search--;
  return search;
}

/** How far a timed run may overshoot to finish its tightening, which keeps it repeatable. */
const OVERRUN = 1.1;

/**
 * Packs an instance into a short strip. Several independent searches (lanes) run side by side and hear of one another
 * after every round of a fixed amount of work, so that seed, lanes and number of rounds decide the result, not
 * the threads or the machine. The result has passed the exact check of `verify`.
 *
 * Throws InputError for an instance that cannot be packed (see `createProblem`) or bad options. A run that is
 * aborted, or fails once it searches, resolves with the best layout so far.
 */
export async function nest(instance: NestInstance, options: NestOptions = {}): Promise<NestResult> {
  const settings = checked(options);
  const began = performance.now();
  const elapsed = () => (performance.now() - began) / 1000;
  const problem = createProblem(instance);
  checkGiven(instance);
  const run = new Run(problem, settings, elapsed);
  run.improve(instance.start ? fromPlacements(problem, instance.start) : boxStart(problem));
  run.report('start', 0);

  // Running out of time ends the work as the caller's signal does, only with another flag.
  const stop = new AbortController();
  const onAbort = () => stop.abort(settings.signal!.reason);
  if (settings.signal?.aborted) onAbort();
  settings.signal?.addEventListener('abort', onAbort, { once: true });
  const late = settings.seconds === undefined ? undefined : OVERRUN * settings.seconds + 0.5;
  const timer =
    late === undefined ? undefined : setTimeout(() => stop.abort(new Error('out of time')), 1000 * late);
  const host = createHost(problem, settings.threads, stop.signal);
  try {
    stop.signal.throwIfAborted();
    await run.search(host);
  } catch (error) {
    if (!stop.signal.aborted) {
      // A thread that dies, most likely for want of memory, must not take along what was found before.
      if (run.rounds === 0) throw error;
      run.failure = (error as Error).message;
    }
    run.cut = true;
  } finally {
    clearTimeout(timer);
    settings.signal?.removeEventListener('abort', onAbort);
    await host.close();
  }
  return run.finish(settings.signal?.aborted === true);
}

interface Settings {
  readonly seconds: number | undefined;
  readonly iterations: number | undefined;
  readonly seed: number;
  readonly threads: number;
  readonly lanes: number;
  readonly signal: AbortSignal | undefined;
  readonly onProgress: NestOptions['onProgress'];
}

function checked(options: NestOptions): Settings {
  const { seconds, iterations, signal, onProgress } = options;
  const seed = options.seed ?? NEST_DEFAULTS.seed;
  const lanes = options.lanes ?? NEST_DEFAULTS.lanes;
  const threads = options.threads ?? NEST_DEFAULTS.threads;
  const bad = (name: string, value: unknown, mend: string) =>
    new InputError(`invalid ${name}: ${value}`, { mend });
  if (seconds !== undefined && iterations !== undefined) {
    throw new InputError('both seconds and iterations are given', { mend: 'give one budget' });
  }
  if (seconds !== undefined && !(Number.isFinite(seconds) && seconds > 0)) {
    throw bad('seconds', seconds, 'give a number above 0');
  }
  if (iterations !== undefined && !(Number.isSafeInteger(iterations) && iterations >= 0)) {
    throw bad('iterations', iterations, 'give a whole number of rounds');
  }
  if (!Number.isSafeInteger(seed)) throw bad('seed', seed, 'give a whole number');
  if (!(Number.isSafeInteger(lanes) && lanes > 0)) throw bad('lanes', lanes, 'give a whole number above 0');
  if (!(Number.isSafeInteger(threads) && threads >= 0)) {
    throw bad('threads', threads, 'give a whole number, or 0 for the calling thread');
  }
  return {
    seconds: seconds ?? (iterations === undefined ? NEST_DEFAULTS.seconds : undefined),
    iterations,
    seed,
    lanes,
    threads: Math.min(threads, lanes),
    signal,
    onProgress,
  };
}

/** One call's bookkeeping: the best layout, the trace, the budget. */
class Run {
  best: Snapshot | undefined;
  /** Ended by the clock, a signal or a failure in the middle of a round. */
  cut = false;
  failure: string | undefined;
  private readonly problem: Problem;
  private readonly settings: Settings;
  private readonly elapsed: () => number;
  private readonly trace: TracePoint[] = [];
  /** Rounds that all lanes have ended, and those asked for beyond, in order. */
  rounds = 0;
  private readonly asked: Promise<LaneReport[]>[] = [];
  private iterations = 0;
  private moves = 0;
  private preparation = 0;

  constructor(problem: Problem, settings: Settings, elapsed: () => number) {
    this.problem = problem;
    this.settings = settings;
    this.elapsed = elapsed;
  }

  async search(host: LaneHost): Promise<void> {
    const { seconds, iterations, seed, lanes } = this.settings;
    const { elapsed } = this;
    const began = elapsed();
    await host.prepare(() => this.report('prepare', this.fraction(iterations)));
    this.preparation = elapsed() - began;
    await host.start(seed, lanes, this.best!);

    // Searching: until the given rounds are over, or one more would leave no time to tighten.
    const searchBegan = elapsed();
    const planned = iterations === undefined ? Infinity : searchRounds(iterations);
    const begun = () => this.rounds + this.asked.length;
    const timeForAnother = () => {
      const perRound = this.rounds === 0 ? 0 : (elapsed() - searchBegan) / this.rounds;
      const toCome = this.asked.length + 1 + tightenRounds(begun() + 1);
      return elapsed() + perRound * toCome <= (seconds ?? Infinity);
    };
    while (begun() < planned && !this.optimal() && timeForAnother()) {
      await this.ask(host, undefined);
      this.report('search', this.fraction(iterations));
    }

    const searched = begun();
    const total = iterations ?? searched + tightenRounds(searched);
    while (begun() < total && !this.optimal()) {
      await this.ask(host, (begun() - searched) / Math.max(1, total - searched));
      this.report('tighten', this.fraction(total));
    }
    while (this.asked.length > 0) await this.takeUp();
    // A run that cannot be bettered ends early; the number that repeats it is that of the whole plan.
    this.iterations = total;
  }

  improve(candidate: Snapshot): void {
    if (this.best && candidate.length >= this.best.length) return;
    this.best = candidate;
    this.trace.push({ seconds: this.elapsed(), round: this.rounds, length: candidate.length });
  }

  report(phase: NestPhase, fraction: number): void {
    const { best, problem } = this;
    this.settings.onProgress?.({
      phase,
      elapsed: this.elapsed(),
      fraction: Math.min(1, fraction),
      length: best!.length,
      density: problem.totalArea / (problem.width * best!.length),
      round: this.rounds,
    });
  }

  finish(stopped: boolean): NestResult {
    const { problem, settings } = this;
    const placements = toPlacements(problem, this.best!);
    const report = verify(problem.instance, placements);
    if (!report.ok) {
      throw new Error(`the layout found fails its own check: ${report.faults[0]!.message}`);
    }
    this.report('done', 1);
    return {
      name: problem.instance.name,
      length: report.length,
      density: report.density,
      placements,
      seconds: this.elapsed(),
      iterations: this.cut ? this.rounds : this.iterations,
      repeatable: !this.cut,
      seed: settings.seed,
      threads: settings.threads,
      lanes: settings.lanes,
      trace: this.trace,
      moves: this.moves,
      preparation: this.preparation,
      stopped,
      ...(this.failure === undefined ? {} : { failure: this.failure }),
      verified: true,
    };
  }

  /**
   * Asks for a round while the lanes are at the one before it, so that no lane waits for the slowest: lanes hear of
   * the best layout of the round before last.
   */
  private async ask(host: LaneHost, tightening: number | undefined): Promise<void> {
    const round = host.round(this.best!, tightening);
    // Whoever takes it up hears of a failure; until then it is nobody's.
    round.catch(() => {});
    this.asked.push(round);
    if (this.asked.length > 1) await this.takeUp();
  }

  private async takeUp(): Promise<void> {
    const reports = await this.asked.shift()!;
    this.rounds++;
    this.moves = reports.reduce((sum, report) => sum + report.moves, 0);
    // In the order of lanes, so that the lowest lane wins a tie.
    for (const report of reports) this.improve(report.best);
  }

  private optimal(): boolean {
    return this.best!.length <= this.problem.lengthBound * (1 + 1e-12);
  }

  private fraction(total: number | undefined): number {
    return total === undefined ? this.elapsed() / this.settings.seconds! : this.rounds / Math.max(1, total);
  }
}
