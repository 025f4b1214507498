import { InputError, suggest } from '../errors.js';
import { sub, type Vec } from '../geometry/vec.js';
import { betweenSizes, type Ladder } from '../grade/ladder.js';
import type { GradeSpec, PointRule, SizeRange } from '../grade/types.js';
import { hasPiece, pieceOf, pointsOf } from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { csv } from './csv.js';
import { fixed } from './numbers.js';
import { oneLine } from './text.js';

/** Moves of one rule in every size of its table, mm against the sample size. */
export interface GradeRule {
  readonly number: number;
  readonly deltas: readonly Vec[];
}

/** A grade-rule table: numbered rules that points of a pattern file refer to. */
export interface RuleTable {
  readonly name: string;
  readonly sizes: readonly string[];
  readonly sample: string;
  readonly units: RuleUnits;
  readonly rules: readonly GradeRule[];
}

/** Which rule moves which point: in a pattern file it stands as text at the point. */
export interface RuledPoint {
  readonly piece: string;
  readonly point: string;
  readonly rule: number;
}

/** What a delta in a file counts from: the sample size, or the next smaller size of the list. */
export type DeltaBase = 'sample' | 'smaller';
export const DELTA_BASES: readonly DeltaBase[] = ['sample', 'smaller'];

/** Units a table is written in: millimetres or inches. */
export type RuleUnits = 'METRIC' | 'ENGLISH';

export const MM_PER_RULE_UNIT: Readonly<Record<RuleUnits, number>> = { METRIC: 1, ENGLISH: MM_PER_INCH };
const DECIMALS: Readonly<Record<RuleUnits, number>> = { METRIC: 3, ENGLISH: 5 };

/**
 * Lines of a grade-rule table after ASTM D6673, in order. Only the scope of the standard could be read (a rule
 * table is a text file of its own beside the pattern file); every line here is from memory, so none is marked
 * verified and no conformance is claimed. A reader accepts any case and spacing.
 */
export const RULE_KEYWORDS = [
  { key: 'version', text: 'ASTM/D13Proposal 1 Version', verified: false },
  { key: 'author', text: 'Author', verified: false },
  { key: 'date', text: 'Creation Date', verified: false },
  { key: 'time', text: 'Creation Time', verified: false },
  { key: 'units', text: 'Units', verified: false },
  { key: 'name', text: 'Grade Rule Table', verified: false },
  { key: 'count', text: 'Number Of Sizes', verified: false },
  { key: 'sizes', text: 'Size List', verified: false },
  { key: 'sample', text: 'Sample Size', verified: false },
  { key: 'rule', text: 'Rule', verified: false },
  { key: 'end', text: 'End', verified: false },
] as const;

export type RuleKey = (typeof RULE_KEYWORDS)[number]['key'];

/** Edition named in the version line; from memory. */
const VERSION = 'D 6673-04';
const PAIRS_PER_LINE = 4;

/**
 * The rules of a graded range: what every named point of every piece does in the final geometry, against the
 * sample (base) size. Points that move alike, to the precision of the file, share a rule. Derived pieces are
 * in it too, as they came out; a piece that a size lacks is left out.
 *
 * @throws InputError on a size name that a blank-separated list cannot carry.
 */
export function ruleTableOf(
  range: SizeRange,
  name: string,
  units: RuleUnits = 'METRIC',
): { table: RuleTable; points: RuledPoint[] } {
  const sizes = range.sizes.map((s) => s.size);
  const blank = sizes.find((size) => /\s/.test(size) || !isAscii(size));
  if (blank !== undefined) {
    throw new InputError(`a rule table cannot carry the size name '${blank}'`, {
      mend: 'name sizes without blanks and in plain letters',
    });
  }
  const base = range.sizes.find((s) => s.size === range.base)!.pattern;
  const book = new RuleBook(units);
  const points: RuledPoint[] = [];
  for (const piece of base.pieces) {
    if (!range.sizes.every((s) => hasPiece(s.pattern, piece.name))) continue;
    const drawn = range.sizes.map((s) => pointsOf(pieceOf(s.pattern, piece.name)));
    for (const [point, at] of pointsOf(piece)) {
      const deltas = drawn.map((there) => sub(there.get(point) ?? at, at));
      points.push({ piece: piece.name, point, rule: book.numberOf(deltas) });
    }
  }
  return { table: { name, sizes, sample: range.base, units, rules: book.rules() }, points };
}

/** Numbers rules from 1 as they come; moves that are the same to the precision of the file share a number. */
export class RuleBook {
  readonly #units: RuleUnits;
  readonly #known = new Map<string, GradeRule>();

  constructor(units: RuleUnits, rules: readonly GradeRule[] = []) {
    this.#units = units;
    for (const { deltas } of rules) this.numberOf(deltas);
  }

  /** @param deltas moves against the sample size in mm, one for each size. */
  numberOf(deltas: readonly Vec[]): number {
    const text = pairs(deltas, this.#units).join(' ');
    const rule = this.#known.get(text) ?? { number: this.#known.size + 1, deltas };
    this.#known.set(text, rule);
    return rule.number;
  }

  rules(): GradeRule[] {
    return [...this.#known.values()];
  }
}

export interface RuleTableOptions {
  readonly author?: string;
  /** Written as day and time (UTC): the same date gives the same bytes. */
  readonly date: Date;
  /** Default `sample`. Counted from the next smaller size, the smallest one has no move. */
  readonly deltaBase?: DeltaBase;
}

/**
 * A grade-rule table as text: plain ASCII, CRLF, deltas against the sample size unless asked otherwise.
 *
 * @throws InputError when a delta is not finite.
 */
export function writeRuleTable(table: RuleTable, options: RuleTableOptions): string {
  const [year, month, day] = options.date.toISOString().slice(0, 10).split('-');
  const values: Partial<Record<RuleKey, string>> = {
    version: VERSION,
    author: ascii(options.author ?? 'Walewise'),
    date: `${month}-${day}-${year}`,
    time: options.date.toISOString().slice(11, 16),
    units: table.units,
    name: ascii(table.name),
    count: String(table.sizes.length),
    sizes: table.sizes.join(' '),
    sample: table.sample,
  };
  const lines = RULE_KEYWORDS.flatMap(({ key, text }) =>
    values[key] === undefined ? [] : [`${text}: ${values[key]}`],
  );
  for (const { number, deltas } of table.rules) {
    lines.push(`Rule: Delta ${number}`);
    const told = options.deltaBase === 'smaller' ? stepped(deltas) : deltas;
    const written = pairs(told, table.units);
    for (let i = 0; i < written.length; i += PAIRS_PER_LINE) {
      lines.push(written.slice(i, i + PAIRS_PER_LINE).join('  '));
    }
  }
  return [...lines, 'End', ''].join('\r\n');
}

/** Which point follows which rule, as a table of its own. */
export const rulePointsCsv = (points: readonly RuledPoint[]): string =>
  csv([['piece', 'point', 'rule'], ...points.map((p) => [p.piece, p.point, p.rule])]);

/**
 * The table's rules as explicit rules of a style's points, for grading: in the order of its sizes and against
 * its base, which need not be the table's sample. Half sizes stand between their neighbours.
 *
 * @throws InputError when a point names a rule the table lacks, or the table lacks a size.
 */
export function pointRules(table: RuleTable, points: readonly RuledPoint[], ladder: Ladder): PointRule[] {
  const rules = new Map(table.rules.map((rule) => [rule.number, rule]));
  const missing = ladder.sizes.find((size) => !table.sizes.includes(size) && !ladder.halves?.[size]);
  if (missing !== undefined) {
    throw new InputError(`the rule table '${table.name}' has no size '${missing}'`, {
      mend: suggest(missing, table.sizes),
    });
  }
  return points.map(({ piece, point, rule: number }): PointRule => {
    const rule = rules.get(number);
    if (!rule) {
      throw new InputError(
        `'${piece}.${point}' follows rule ${number}, which the table '${table.name}' lacks`,
      );
    }
    const along = (axis: 0 | 1) =>
      betweenSizes(ladder, (size) => rule.deltas[table.sizes.indexOf(size)]![axis]);
    const [x, y] = [along(0), along(1)];
    return { piece, point, bySize: ladder.sizes.map((_, i): Vec => [x[i]!, y[i]!]) };
  });
}

/**
 * A grade spec that follows the table where it has a rule. Its increments stay for the pieces that are drawn
 * again, and need no longer all be used.
 *
 * @throws InputError as `pointRules` does.
 */
export function gradeByTable(spec: GradeSpec, table: RuleTable, points: readonly RuledPoint[]): GradeSpec {
  const increments = Object.entries(spec.increments).map(
    ([measure, { bySize }]) => [measure, { bySize, from: 'preset' }] as const,
  );
  return { ...spec, increments: Object.fromEntries(increments), rules: pointRules(table, points, spec) };
}

const stepped = (deltas: readonly Vec[]): Vec[] =>
  deltas.map((delta, i) => (i === 0 ? [0, 0] : sub(delta, deltas[i - 1]!)));

const pairs = (deltas: readonly Vec[], units: RuleUnits): string[] =>
  deltas.map((delta) => delta.map((mm) => fixed(mm / MM_PER_RULE_UNIT[units], DECIMALS[units])).join(', '));

// biome-ignore lint/suspicious/noControlCharactersInRegex: the range of ASCII.
const isAscii = (text: string): boolean => /^[\u0000-\u007f]*$/.test(text);

/** Letters without their accents; what is still not ASCII becomes `?`. */
const ascii = (text: string): string =>
  oneLine(text)
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[^ -~]/g, '?');
