import { InputError } from '../../errors.js';
import { add, perp, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { PatternPiece, PatternVertex } from '../dxf/index.js';
import type { RuleTable } from '../rule-table.js';
import type { MarkedPoint } from './found.js';

/** The pieces of a pattern file by size. */
export interface SizedPieces {
  readonly base: readonly PatternPiece[];
  /** By name, then size. */
  readonly all: ReadonlyMap<string, ReadonlyMap<string, PatternPiece>>;
  /** In the order of the file. */
  readonly sizes: readonly string[];
  readonly baseSize: string;
}

/** Sizes of the style: those of the table, where there is one. @throws InputError when it lacks the base. */
export function sizesOf({ sizes, baseSize }: SizedPieces, table: RuleTable | undefined): readonly string[] {
  if (!table) return sizes.includes(baseSize) ? sizes : [baseSize, ...sizes];
  if (table.sizes.includes(baseSize)) return table.sizes;
  throw new InputError(`the rule table has no size '${baseSize}', the sample size of the pattern`, {
    mend: `its sizes are ${table.sizes.join(', ')}`,
  });
}

/**
 * Turn and curve points of an outline, each with its places in the other sizes: by the rule table where there is
 * one, else where the outline has as many points in every other size of the file.
 *
 * @param lineOf the same line of the piece in another size.
 * @throws InputError when a point follows a rule that the table lacks.
 */
export function markedPoints(
  piece: PatternPiece,
  sized: SizedPieces,
  table: RuleTable | undefined,
  lineOf: (piece: PatternPiece) => readonly PatternVertex[],
  notes: string[],
): MarkedPoint[] {
  const line = lineOf(piece);
  const places = table ? byTable(piece, line, sized, table) : bySize(piece, line, sized, lineOf, notes);
  return line.flatMap((v, i): MarkedPoint[] => {
    if (v.kind === 'interpolated') return [];
    const sizes = places[i];
    const kind = v.kind === 'turn' ? 'corner' : 'inside';
    return [{ at: v.at, kind, ...(sizes ? { sizes } : {}) }];
  });
}

type Places = NonNullable<MarkedPoint['sizes']>;

function byTable(
  piece: PatternPiece,
  line: readonly PatternVertex[],
  { baseSize }: SizedPieces,
  table: RuleTable,
): (Places | undefined)[] {
  const rules = new Map(table.rules.map((rule) => [rule.number, rule]));
  const origin = table.sizes.indexOf(baseSize);
  const turn = alongReference(piece);
  return line.map(({ at, rule: number }) => {
    if (number === undefined) return undefined;
    const rule = rules.get(number);
    if (!rule) {
      throw new InputError(`a point of '${piece.name}' follows rule ${number}, which the rule table lacks`, {
        mend: 'give the table that belongs to this file',
      });
    }
    return table.sizes
      .map((size, i) => [size, add(at, turn(sub(rule.deltas[i]!, rule.deltas[origin]!)))] as const)
      .filter(([size]) => size !== baseSize);
  });
}

/** The x axis of grade rules runs along the piece's grade reference line (ASTM D6673, scope of the rules). */
function alongReference({ gradeReference }: PatternPiece): (delta: Vec) => Vec {
  if (!gradeReference) return (delta) => delta;
  const along = sub(gradeReference.to, gradeReference.from);
  if (along[0] === 0 && along[1] === 0) return (delta) => delta;
  const x = unit(along);
  return (delta) => add(scale(x, delta[0]), scale(perp(x), delta[1]));
}

/** Points in their order round the outline: all of them where every size has the same, else the corners alone. */
function bySize(
  piece: PatternPiece,
  line: readonly PatternVertex[],
  { all, baseSize, sizes }: SizedPieces,
  lineOf: (piece: PatternPiece) => readonly PatternVertex[],
  notes: string[],
): (Places | undefined)[] {
  const none = line.map(() => undefined);
  const own = all.get(piece.name);
  const others = sizes.filter((size) => size !== baseSize);
  if (!own || own.size < 2) return none;
  if (others.some((size) => !own.has(size))) {
    notes.push(`'${piece.name}' is not there in every size: its rules were not taken`);
    return none;
  }
  const lines = others.map((size) => lineOf(own.get(size)!));
  const alike = lines.every((l) => l.length === line.length && l.every((v, i) => v.kind === line[i]!.kind));
  if (alike) return line.map((_, i) => others.map((size, k) => [size, lines[k]![i]!.at] as const));
  const corners = lines.map((l) => l.filter((v) => v.kind === 'turn'));
  const count = line.filter((v) => v.kind === 'turn').length;
  if (corners.some((c) => c.length !== count)) {
    notes.push(`'${piece.name}' has other numbers of corners in other sizes: its rules were not taken`);
    return none;
  }
  notes.push(`'${piece.name}' has other vertices in other sizes: its curves are carried between its corners`);
  let corner = -1;
  return line.map((v) => {
    if (v.kind !== 'turn') return undefined;
    corner += 1;
    return others.map((size, k) => [size, corners[k]![corner]!.at] as const);
  });
}
