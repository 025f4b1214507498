import { InputError, suggest } from '../../errors.js';
import type { SizeRange } from '../../grade/types.js';
import type { OutputFile } from '../files.js';
import { RuleBook, type RuleUnits, ruleTableOf, writeRuleTable } from '../rule-table.js';
import { fileName } from '../text.js';
import { type BuildOptions, patternPieces, ruledPieces } from './pattern-build.js';
import type { PatternPiece } from './pattern-types.js';
import { type PatternHead, patternDrawing } from './pattern-write.js';
import { writeR12 } from './r12-writer.js';
import { writeR13 } from './r13-writer.js';

export interface PatternDxfOptions extends BuildOptions {
  readonly style: string;
  /**
   * `all`: every size in one file. `files`: one file for each size. `rules`: the base size, its points numbered,
   * and the grade-rule table that says how they move.
   */
  readonly sizes: 'all' | 'files' | 'rules';
  /** Millimetres or inches. */
  readonly units: RuleUnits;
  readonly author?: string;
  /** Day and time in the files: the same date gives the same bytes. */
  readonly date: Date;
  /** R12 for readers that know nothing newer. The standard asks for R13. */
  readonly version?: 'r13' | 'r12';
  /** Sizes to write; all of the range when left out. Rules are always for all of them. */
  readonly only?: readonly string[];
}

export const PATTERN_DXF_DEFAULTS = {
  boundary: 'cut',
  fold: 'half',
  sizes: 'all',
  units: 'METRIC',
  version: 'r13',
} as const satisfies Partial<PatternDxfOptions>;

/**
 * A graded range as pattern DXF after ASTM D6673 (layers and keywords in `PATTERN_LAYERS` and `PATTERN_KEYWORDS`,
 * none of them verified against the standard's text): a block for each piece and size.
 *
 * @throws InputError for an unknown size, and what finishing throws; with `rules` also for lines whose vertices
 *   differ from size to size.
 */
export function patternDxf(range: SizeRange, options: PatternDxfOptions): OutputFile[] {
  const base = `pattern-${fileName(options.style)}`;
  const head = {
    style: options.style,
    sampleSize: range.base,
    author: options.author ?? 'Walewise',
    date: options.date,
    units: options.units,
  };
  const file = (
    name: string,
    pieces: readonly PatternPiece[],
    more: Partial<PatternHead> = {},
  ): OutputFile => {
    const drawing = patternDrawing(pieces, { ...head, ...more });
    const write = options.version === 'r12' ? writeR12 : writeR13;
    return { name: `${name}.dxf`, content: write(drawing) };
  };
  if (options.sizes === 'rules') {
    const ruleTable = fileName(options.style);
    const { table } = ruleTableOf(range, ruleTable, options.units);
    // Named points keep the numbers of the table that grading prints; what is left gets numbers after them.
    const book = new RuleBook(options.units, table.rules);
    const pieces = ruledPieces(range, options, book);
    const rules = { ...table, rules: book.rules() };
    return [
      file(base, pieces, { ruleTable }),
      {
        name: `${base}.rul`,
        content: writeRuleTable(rules, { author: head.author, date: options.date }),
      },
    ];
  }
  const wanted = wantedSizes(range, options.only);
  const pieces = patternPieces(range, options).filter((p) => wanted.includes(p.size!));
  if (options.sizes === 'all') return [file(base, pieces)];
  return wanted.map((size) =>
    file(
      `${base}-${fileName(size)}`,
      pieces.filter((p) => p.size === size),
    ),
  );
}

function wantedSizes(range: SizeRange, only: readonly string[] | undefined): readonly string[] {
  const known = range.sizes.map(({ size }) => size);
  const stranger = only?.find((size) => !known.includes(size));
  if (stranger === undefined) return only ? known.filter((size) => only.includes(size)) : known;
  throw new InputError(`the range has no size '${stranger}'`, { mend: suggest(stranger, known) });
}
