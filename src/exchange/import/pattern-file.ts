import { InputError } from '../../errors.js';
import { line, type Path, polyline } from '../../geometry/path.js';
import { distance, type Vec } from '../../geometry/vec.js';
import {
  type DxfFile,
  type PatternDxf,
  type PatternLine,
  type PatternPiece,
  readPatternDxf,
} from '../dxf/index.js';
import type { RuleTable } from '../rule-table.js';
import { readRuleTable } from '../rule-table-read.js';
import { measuredAllowances } from './allowances.js';
import { type ImportUnit, inMillimetres } from './drawing.js';
import { type FoundPiece, pairedNotches, slug } from './found.js';
import { gradingOf } from './pattern-grading.js';
import { markedPoints, type SizedPieces, sizesOf } from './pattern-sizes.js';
import type { RulesText, Source } from './source.js';

export interface PatternImportOptions {
  readonly units?: ImportUnit;
  readonly rules?: RulesText;
  /** Size to take for the base; the file's sample size when left out. */
  readonly size?: string;
}

/** Ends of sewing lines meet, and a sewing line reaches the mirror line, within this, mm. */
const MEETING = 0.1;
/** Two slits this close are one double notch, mm. */
const DOUBLE = 10;

/**
 * A pattern DXF after ASTM D6673 as pieces of its sample size: the sewing line where the file has it, else the
 * boundary; corners are its turn points. Other sizes and rule numbers become grade rules.
 *
 * @throws InputError when nobody tells the units, or the file and its rule table contradict each other.
 */
export function patternImport(dxf: DxfFile, file: string, options: PatternImportOptions): Source {
  if (options.units === 'px') {
    throw new InputError('a pattern DXF is not in pixels', {
      mend: 'say --units mm, cm or in',
      place: { file },
    });
  }
  const read = readPatternDxf(dxf, options.units === undefined ? {} : { units: options.units });
  if (read.units === undefined) throw unclear(read, file);
  const table = options.rules && readRuleTable(options.rules.text, { file: options.rules.file });
  const sizes = bySize(read, options.size);
  const all = sizesOf(sizes, table?.table);
  const notes = [...read.notes, ...sizes.notes, ...(table?.notes ?? [])];
  const pieces = sizes.base.map((piece) => foundPiece(piece, sizes, table?.table, notes));
  return {
    kind: 'pattern-dxf',
    scaling: said(read),
    unitSaid: read.units,
    style: read.style.name,
    pieces,
    notes,
    dropped: read.dropped,
    grading: (built) => gradingOf(built, all, sizes.baseSize),
    allowances: measuredAllowances,
  };
}

const said = ({ units, unitsFrom }: PatternDxf): string => {
  const how = { text: 'the file says', header: "the file's header says", option: 'as asked for:' }[
    unitsFrom ?? 'option'
  ];
  return `${how} ${units}`;
};

/** The size of the file, each reading told: nobody guesses. */
function unclear(read: PatternDxf, file: string): unknown {
  const strokes = read.pieces.map((piece) => ({
    path: ring(piece.boundary.vertices.map((v) => v.at)),
    closed: true,
    layer: '1',
    where: piece.block,
  }));
  const hint = read.notes.find((note) => /units/.test(note)) ?? "it has no 'Units' text and no $INSUNITS";
  try {
    return inMillimetres({ file, strokes, texts: [], dropped: [], unit: undefined, hint }, undefined);
  } catch (error) {
    return error;
  }
}

/** The pieces of the base size, and every size of each; the base is the sample size, else the middle one. */
function bySize(read: PatternDxf, asked: string | undefined): SizedPieces & { notes: string[] } {
  const notes: string[] = [];
  const groups = new Map<string, PatternPiece[]>();
  for (const piece of read.pieces) {
    const key = slug(piece.name) || slug(piece.block) || 'piece';
    const group = groups.get(key);
    if (group) group.push(piece);
    else groups.set(key, [piece]);
  }
  const listed = [...new Set(read.pieces.map((p) => p.size).filter((s) => s !== undefined))];
  const sample = read.style.sampleSize;
  // A file of one size may name the sample size of the whole style.
  const isThere = sample !== undefined && (listed.length === 0 || listed.includes(sample));
  const wanted = asked ?? (isThere ? sample : undefined);
  const base = wanted ?? listed[Math.floor((listed.length - 1) / 2)] ?? 'M';
  if (wanted === undefined) {
    const why = sample === undefined ? 'names no sample size' : `does not hold its sample size ${sample}`;
    notes.push(`the file ${why}: ${base} is taken for the base`);
  }
  if (asked !== undefined && listed.length > 0 && !listed.includes(asked)) {
    throw new InputError(`the file has no size '${asked}'`, { mend: `it has ${listed.join(', ')}` });
  }
  const all = new Map<string, ReadonlyMap<string, PatternPiece>>();
  const chosen: PatternPiece[] = [];
  for (const [name, group] of groups) {
    const sized = new Map(group.map((p) => [p.size ?? base, p]));
    if (sized.size < group.length)
      notes.push(
        `'${name}' is there ${group.length} times in ${sized.size} sizes: the last of each is taken`,
      );
    const own = sized.get(base) ?? group[0]!;
    if (!sized.has(base))
      notes.push(`'${name}' is not there in size ${base}: size ${own.size ?? '?'} is taken`);
    chosen.push({ ...own, name });
    all.set(name, sized);
  }
  return { base: chosen, all, sizes: listed.length > 0 ? listed : [base], baseSize: base, notes };
}

function foundPiece(
  piece: PatternPiece,
  sized: SizedPieces,
  table: RuleTable | undefined,
  notes: string[],
): FoundPiece {
  const sewn = sewingLine(piece);
  if (piece.sewLines.length > 0 && !sewn) {
    notes.push(`the sewing lines of '${piece.name}' do not close: its boundary is taken for the sewing line`);
  }
  const outline = sewn ?? piece.boundary.vertices;
  const quantity = piece.quantity;
  const { mirror, grain } = piece;
  return {
    name: piece.name,
    outline: ring(outline.map((v) => v.at)),
    ...(sewn ? { cut: piece.boundary.vertices.map((v) => v.at) } : {}),
    marked: markedPoints(piece, sized, table, (other) => sewingLine(other) ?? other.boundary.vertices, notes),
    ...(mirror ? { fold: [mirror.from, mirror.to] as const } : {}),
    ...(grain ? { grain: [grain.from, grain.to] as const } : {}),
    internals: [...piece.internals, ...piece.cutouts].map((l, i) => ({
      name: `line-${i + 1}`,
      path: pathOf(l),
    })),
    notches: pairedNotches(
      piece.notches.map(({ at, angle }) => ({
        at,
        ...(angle === undefined ? {} : { inside: ahead(at, angle) }),
      })),
      DOUBLE,
    ),
    texts: piece.annotations,
    ...(quantity ? { counts: quantity } : {}),
    ...(piece.material === undefined || slug(piece.material) === '' ? {} : { fabric: slug(piece.material) }),
    ...(piece.size === undefined ? {} : { size: piece.size }),
    where: `block '${piece.block}'`,
  };
}

type Vertex = PatternLine['vertices'][number];

/** The sewing lines as one closed ring; a half's runs from fold to fold and is closed by it. */
function sewingLine(piece: PatternPiece): Vertex[] | undefined {
  const [first, ...rest] = piece.sewLines;
  if (!first) return undefined;
  if (first.closed && rest.length === 0) return [...first.vertices];
  const left = rest.map((l) => [...l.vertices]);
  let chain = [...first.vertices];
  for (let grew = true; grew; ) {
    grew = false;
    for (const [i, line] of left.entries()) {
      const tail = chain[chain.length - 1]!.at;
      const forward = distance(tail, line[0]!.at) <= MEETING;
      if (!forward && distance(tail, line[line.length - 1]!.at) > MEETING) continue;
      chain = [...chain, ...(forward ? line : [...line].reverse()).slice(1)];
      left.splice(i, 1);
      grew = true;
      break;
    }
  }
  const [a, b] = [chain[0]!, chain[chain.length - 1]!];
  if (left.length > 0 || chain.length < 3) return undefined;
  if (distance(a.at, b.at) <= MEETING) return chain.slice(0, -1);
  const { mirror } = piece;
  const onFold = mirror && [a, b].every((v) => offLine(v.at, mirror.from, mirror.to) <= MEETING);
  return onFold ? chain : undefined;
}

function offLine(p: Vec, from: Vec, to: Vec): number {
  const size = distance(from, to);
  const cross = (to[0] - from[0]) * (p[1] - from[1]) - (to[1] - from[1]) * (p[0] - from[0]);
  return size === 0 ? distance(p, from) : Math.abs(cross) / size;
}

const ring = (points: readonly Vec[]): Path =>
  points.map((p, i) => line(p, points[(i + 1) % points.length]!));

const pathOf = (l: PatternLine): Path => {
  const points = l.vertices.map((v) => v.at);
  return polyline(l.closed ? [...points, points[0]!] : points);
};

const ahead = ([x, y]: Vec, degrees: number): Vec => {
  const radians = (degrees * Math.PI) / 180;
  return [x + Math.cos(radians), y + Math.sin(radians)];
};
