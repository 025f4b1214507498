import { InputError, type SourcePlace, suggest } from '../errors.js';
import { add, sub, type Vec } from '../geometry/vec.js';
import {
  type DeltaBase,
  type GradeRule,
  MM_PER_RULE_UNIT,
  RULE_KEYWORDS,
  type RuledPoint,
  type RuleKey,
  type RuleTable,
  type RuleUnits,
} from './rule-table.js';

export interface ReadRuleOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Default: told from which column of the table is all zero. */
  readonly deltaBase?: DeltaBase;
  /** For a table that does not say its units. */
  readonly units?: RuleUnits;
}

export interface ReadRules {
  readonly table: RuleTable;
  readonly deltaBase: DeltaBase;
  /** Lines that were passed over, and what a careful reader should know. */
  readonly notes: readonly string[];
}

const MAX_LENGTH = 20_000_000;
const MAX_SIZES = 500;
const EXPORT_AGAIN = 'export the table again: it may have been cut off or changed by hand';

interface Line {
  readonly text: string;
  readonly place: SourcePlace;
}

interface RawRule {
  readonly number: number;
  readonly values: number[];
  readonly line: Line;
}

/**
 * Reads a grade-rule table: any case and spacing of the keywords, numbers wrapped over any lines. Deltas come
 * out in mm against the sample size. Neither units nor what a delta counts from are guessed: a table whose
 * zero column does not tell is refused until the caller says.
 *
 * @throws InputError with the line of what cannot be read.
 */
export function readRuleTable(text: string, options: ReadRuleOptions = {}): ReadRules {
  const { head, raw, notes } = scan(text, options);
  const want = (key: RuleKey): Line => {
    const line = head.get(key);
    if (line) return line;
    throw new InputError(`the rule table has no line '${wordOf(key)}: ...'`, {
      mend: EXPORT_AGAIN,
      place: placed(options),
    });
  };
  const sizes = want('sizes').text.split(/\s+/);
  checkSizes(sizes, head, want('sizes'));
  const sample = want('sample');
  const at = sizes.indexOf(sample.text);
  if (at < 0) {
    throw new InputError(`the sample size '${sample.text}' is not among the sizes ${sizes.join(', ')}`, {
      mend: suggest(sample.text, sizes),
      place: sample.place,
    });
  }
  const units = unitsOf(head.get('units'), options);
  const scaled = raw.map(({ number, values, line }): GradeRule => {
    if (values.length !== 2 * sizes.length) {
      throw new InputError(
        `rule ${number} has ${values.length} numbers where ${sizes.length} sizes need ${2 * sizes.length}`,
        { mend: EXPORT_AGAIN, place: line.place },
      );
    }
    const mm = MM_PER_RULE_UNIT[units];
    const deltas = sizes.map((_, i): Vec => [values[2 * i]! * mm, values[2 * i + 1]! * mm]);
    return { number, deltas };
  });
  const deltaBase = options.deltaBase ?? detect(scaled, at, options);
  const rules = deltaBase === 'sample' ? scaled : scaled.map((rule) => summed(rule, at));
  if (deltaBase === 'sample') assertSampleStill(rules, at, sample);
  const name = head.get('name')?.text ?? '';
  return { table: { name, sizes, sample: sample.text, units, rules }, deltaBase, notes };
}

/**
 * Reads which point follows which rule: lines of piece, point and rule number with commas between.
 *
 * @throws InputError with the line that does not fit.
 */
export function readRulePoints(text: string, file?: string): RuledPoint[] {
  const points: RuledPoint[] = [];
  for (const { text: line, place } of linesOf(text, file)) {
    const fields = line.split(',').map((field) => field.trim());
    const [piece = '', point = '', rule = ''] = fields;
    if (points.length === 0 && rule.toLowerCase() === 'rule') continue;
    if (fields.length !== 3 || piece === '' || point === '' || !/^\d+$/.test(rule)) {
      throw new InputError(`'${line}' is not a piece, a point and a rule number`, { place });
    }
    if (points.some((p) => p.piece === piece && p.point === point)) {
      throw new InputError(`'${piece}.${point}' is listed twice`, { place });
    }
    points.push({ piece, point, rule: Number(rule) });
  }
  return points;
}

function scan(text: string, options: ReadRuleOptions) {
  if (text.length > MAX_LENGTH) {
    throw new InputError('the rule table is larger than 20 million characters', {
      mend: 'give the grade-rule table that belongs to the pattern file',
      place: placed(options),
    });
  }
  const head = new Map<RuleKey, Line>();
  const raw: RawRule[] = [];
  const numbers = new Set<number>();
  const notes: string[] = [];
  let ended = false;
  for (const line of linesOf(text, options.file)) {
    if (line.text.includes('\0')) {
      throw new InputError('the rule table is not text in UTF-8: it has zero bytes', {
        mend: 'save it as text in UTF-8; UTF-16 and packed files are not read',
        place: line.place,
      });
    }
    if (ended) {
      notes.push(`line ${line.place.line}: passed over after the end`);
      continue;
    }
    const colon = line.text.indexOf(':');
    const key = keyOf(colon < 0 ? line.text : line.text.slice(0, colon));
    const value = colon < 0 ? '' : line.text.slice(colon + 1).trim();
    if (key === 'end') ended = true;
    else if (key === 'rule') {
      const number = ruleNumber(value, line);
      if (numbers.has(number)) {
        throw new InputError(`rule ${number} is there twice`, {
          mend: 'take one of the two out, or give it a number of its own',
          place: line.place,
        });
      }
      numbers.add(number);
      raw.push({ number, values: [], line });
    } else if (key !== undefined) head.set(key, { text: value, place: line.place });
    else if (/^[-+.\d]/.test(line.text)) {
      const rule = raw[raw.length - 1];
      if (!rule) {
        throw new InputError('numbers stand before the first rule', {
          mend: "write a line 'Rule: Delta' and its number above them",
          place: line.place,
        });
      }
      rule.values.push(...numbersOf(line));
    } else notes.push(`line ${line.place.line}: passed over '${line.text.slice(0, 60)}'`);
  }
  if (!ended) notes.push("the table has no 'End': it may have been cut off");
  return { head, raw, notes };
}

function* linesOf(text: string, file: string | undefined): Generator<Line> {
  let number = 0;
  for (const part of text.replace(/^\ufeff/, '').split(/\r\n|\r|\n/)) {
    number += 1;
    const trimmed = part.trim();
    if (trimmed !== '')
      yield { text: trimmed, place: { ...(file === undefined ? {} : { file }), line: number } };
  }
}

const squeeze = (text: string): string => text.toLowerCase().replace(/\s+/g, '');

const KEYS = new Map<string, RuleKey>(RULE_KEYWORDS.map(({ key, text }) => [squeeze(text), key]));

/** The version line is known by its beginning: its wording changes with the edition. */
const keyOf = (word: string): RuleKey | undefined =>
  squeeze(word).startsWith('astm/') ? 'version' : KEYS.get(squeeze(word));

const wordOf = (key: RuleKey): string => RULE_KEYWORDS.find((k) => k.key === key)!.text;

function ruleNumber(value: string, line: Line): number {
  const match = /^(?:delta\s+)?(\d{1,9})$/i.exec(value);
  if (match) return Number(match[1]);
  throw new InputError(`'${line.text}' is no rule: expected 'Rule: Delta' and a number`, {
    mend: "write it as 'Rule: Delta 1'",
    place: line.place,
  });
}

function numbersOf({ text, place }: Line): number[] {
  return text
    .split(/[\s,]+/)
    .filter((part) => part !== '')
    .map((part) => {
      const value = /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i.test(part) ? Number(part) : Number.NaN;
      if (Number.isFinite(value) && Math.abs(value) < 1e6) return value;
      throw new InputError(`'${part.slice(0, 60)}' is not a delta`, {
        mend: 'write plain numbers below a million, with a point before decimals',
        place,
      });
    });
}

function checkSizes(sizes: readonly string[], head: ReadonlyMap<RuleKey, Line>, line: Line): void {
  const { place } = line;
  // The longest list first: a look for doubles in a hostile one would take long.
  if (sizes.length > MAX_SIZES) {
    throw new InputError(`more than ${MAX_SIZES} sizes`, {
      mend: 'split the table by groups of sizes',
      place,
    });
  }
  const twice = sizes.find((size, i) => sizes.indexOf(size) !== i);
  if (twice !== undefined) {
    throw new InputError(`size '${twice}' is listed twice`, {
      mend: 'take it out of the list, and its deltas out of every rule',
      place,
    });
  }
  const count = head.get('count');
  if (count && Number(count.text) !== sizes.length) {
    throw new InputError(`'${wordOf('count')}' says ${count.text}, the list has ${sizes.length}`, {
      mend: 'correct the count, or the list of sizes',
      place: count.place,
    });
  }
}

function unitsOf(line: Line | undefined, options: ReadRuleOptions): RuleUnits {
  const word = line?.text.toUpperCase();
  if (word === 'METRIC' || word === 'ENGLISH') return word;
  if (!line && options.units) return options.units;
  throw new InputError(line ? `unknown units '${line.text}'` : 'the rule table does not say its units', {
    mend: "write 'Units: METRIC' (millimetres) or 'Units: ENGLISH' (inches)",
    place: line?.place ?? placed(options),
  });
}

/** Against the sample, its own column is all zero; against the next smaller size, the first one is. */
function detect(rules: readonly GradeRule[], sample: number, options: ReadRuleOptions): DeltaBase {
  const still = (i: number) => rules.every(({ deltas }) => deltas[i]![0] === 0 && deltas[i]![1] === 0);
  const sizes = rules[0]?.deltas.length ?? 0;
  if (rules.length === 0 || Array.from({ length: sizes }, (_, i) => i).every(still)) return 'sample';
  // With the sample at the lower end both are the same up to the second size.
  if (sample === 0 && sizes === 2) return 'sample';
  if (sample !== 0 && still(sample) && !still(0)) return 'sample';
  if (sample !== 0 && still(0) && !still(sample)) return 'smaller';
  const neither = !still(sample) && !still(0);
  throw new InputError(
    neither
      ? 'the deltas count neither from the sample size nor from the next smaller size'
      : 'the table does not tell whether its deltas count from the sample size or from the next smaller size',
    { mend: 'ask who wrote it, and say which: sample or smaller', place: placed(options) },
  );
}

function assertSampleStill(rules: readonly GradeRule[], sample: number, line: Line): void {
  const moving = rules.find(({ deltas }) => deltas[sample]![0] !== 0 || deltas[sample]![1] !== 0);
  if (!moving) return;
  throw new InputError(`rule ${moving.number} moves its point in the sample size itself`, {
    mend: 'its deltas may count from the next smaller size',
    place: line.place,
  });
}

/** Deltas from size to size added up, and taken against the sample; what the smallest counts from cancels out. */
function summed({ number, deltas }: GradeRule, sample: number): GradeRule {
  let sum: Vec = [0, 0];
  const sums = deltas.map((delta) => {
    sum = add(sum, delta);
    return sum;
  });
  return { number, deltas: sums.map((at) => sub(at, sums[sample]!)) };
}

const placed = ({ file }: ReadRuleOptions): SourcePlace => (file === undefined ? {} : { file });
