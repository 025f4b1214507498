import { parseArgs } from 'node:util';

export interface BenchOptions {
  readonly instances: string;
  /** Names of instances to keep to; all when empty. */
  readonly only: readonly string[];
  readonly seconds: number;
  readonly seeds: readonly number[];
  readonly threads: number;
  readonly out: string;
  readonly compare: string | undefined;
  readonly anyEngine: boolean;
  readonly anytime: boolean;
}

export const USAGE = `npm run bench -- --instances DIR [options]
  --instances DIR   folder of instances, one JSON file each (or WALEWISE_BENCHMARKS)
  --only A,B        only the instances of these names
  --seconds N       budget of a run (default 60)
  --seeds K         seeds 1 to K (default 5)
  --first-seed S    start at seed S instead of 1
  --threads T       worker threads (default 2)
  --out FILE        where runs are kept and resumed from (default out/bench/runs.json)
  --compare FILE    print differences to the runs kept there
  --any-engine      count kept runs of another state of the engine as done
  --anytime         also print density against time`;

/** Reads the command line. Throws with the usage for what it does not know. */
export function readOptions(
  argv: readonly string[],
  env: Readonly<Record<string, string | undefined>> = {},
): BenchOptions {
  const { values } = parse(argv);
  const instances = values.instances ?? env['WALEWISE_BENCHMARKS'];
  if (!instances) throw new Error(`--instances is missing\n${USAGE}`);
  const whole = (name: string, text: string, least: number) => {
    const value = Number(text);
    if (!Number.isSafeInteger(value) || value < least) {
      throw new Error(`--${name} must be a whole number of at least ${least}, not '${text}'`);
    }
    return value;
  };
  const seconds = Number(values.seconds);
  if (!(seconds > 0 && Number.isFinite(seconds))) {
    throw new Error(`--seconds must be a number above 0, not '${values.seconds}'`);
  }
  const first = whole('first-seed', values['first-seed'], 0);
  return {
    instances,
    only: values.only ? values.only.split(',').map((name) => name.trim()) : [],
    seconds,
    seeds: Array.from({ length: whole('seeds', values.seeds, 1) }, (_, k) => first + k),
    threads: whole('threads', values.threads, 0),
    out: values.out,
    compare: values.compare,
    anyEngine: values['any-engine'],
    anytime: values.anytime,
  };
}

function parse(argv: readonly string[]) {
  try {
    return parseArgs({
      args: [...argv],
      options: {
        instances: { type: 'string' },
        only: { type: 'string' },
        seconds: { type: 'string', default: '60' },
        seeds: { type: 'string', default: '5' },
        'first-seed': { type: 'string', default: '1' },
        threads: { type: 'string', default: '2' },
        out: { type: 'string', default: 'out/bench/runs.json' },
        compare: { type: 'string' },
        'any-engine': { type: 'boolean', default: false },
        anytime: { type: 'boolean', default: false },
      },
    });
  } catch (error) {
    throw new Error(`${(error as Error).message}\n${USAGE}`);
  }
}
