import { TRACE_DEFAULTS } from '../../draft/trace.js';
import { InputError, suggest } from '../../errors.js';
import { flatten } from '../../geometry/path.js';
import { bounds } from '../../geometry/polygon.js';
import { hasPiece, type Pattern } from '../../pattern/model.js';
import { formatLength, type Unit } from '../../units.js';
import { flattenEntities, readDxf } from '../dxf/index.js';
import { measuredAllowances } from './allowances.js';
import { type BuiltPiece, buildPiece, isBody } from './build-piece.js';
import { type Drawing, type Dropped, type ImportUnit, inMillimetres } from './drawing.js';
import { dxfDrawing, isPatternFile } from './dxf-drawing.js';
import { FIND_DEFAULTS, findPieces } from './find-pieces.js';
import type { FoundPiece } from './found.js';
import type { FoldSide } from './orient.js';
import { patternImport } from './pattern-file.js';
import { impliedSeams } from './seams.js';
import type { RulesText, Source } from './source.js';
import { styleText } from './style-text.js';
import { readSvg } from './svg-read.js';

export interface ImportOptions {
  /** Units of the file; told by the file when left out. */
  readonly units?: ImportUnit;
  /** A grade-rule table beside a pattern file. */
  readonly rules?: RulesText;
  /** Side that lies on the fold: of front and back, and of any piece by name. */
  readonly fold?: FoldSide;
  readonly foldOf?: Readonly<Record<string, FoldSide>>;
  /** Direction of the grain in the drawing, degrees counter-clockwise from across. */
  readonly grain?: number;
  /** Ends of lines within this meet, mm. */
  readonly join?: number;
  /** Tracing tolerance, mm, and what counts as a corner: degrees, over a length in mm. */
  readonly tolerance?: number;
  readonly cornerAngle?: number;
  readonly cornerScale?: number;
  /** Size the drawing is in, where the file does not say. */
  readonly size?: string;
  /** Name of the style; the file's own when left out. */
  readonly style?: string;
}

export interface PieceSummary {
  readonly name: string;
  /** mm. */
  readonly width: number;
  readonly height: number;
  readonly corners: number;
  readonly fold: boolean;
  readonly named: boolean;
  /** Greatest distance of a point of the file from its edge, mm. */
  readonly worst: number;
  readonly notes: readonly string[];
}

export interface Imported {
  /** The style file. */
  readonly text: string;
  readonly pattern: Pattern;
  readonly kind: Source['kind'];
  /** What told the units, and the unit the style is written in. */
  readonly scaling: string;
  readonly unit: Unit;
  readonly pieces: readonly PieceSummary[];
  readonly notes: readonly string[];
  readonly dropped: readonly Dropped[];
}

/** Corner-to-corner edges of a pattern file are exact: they are followed closer than a trace, mm. */
const EXACT_TOLERANCE = 0.01;
/** Pieces of a garment are not smaller or larger than this, mm. */
const SMALLEST = 60;
const LARGEST = 2500;

/**
 * A drawing (SVG, plain DXF or pattern DXF) as a style that carries its pieces.
 *
 * @throws InputError for a file that cannot be read, units that nobody tells, or a drawing without pieces.
 */
export function importDrawing(bytes: Uint8Array, file: string, options: ImportOptions = {}): Imported {
  const source = openFile(bytes, file, options);
  assertFolds(source.pieces, options, file);
  const notes: string[] = [...source.notes];
  const dropped: Dropped[] = [...source.dropped];
  const first: BuiltPiece[] = [];
  for (const found of source.pieces) {
    try {
      first.push(buildPiece(found, buildOptions(found, options, source.kind)));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      dropped.push({ what: `piece '${found.name}': ${error.message}`, count: 1, where: found.where });
    }
  }
  if (first.length === 0) throw nothingFound(file, dropped);
  const graded = source.grading(first);
  const built = graded.pieces;
  const name = options.style ?? source.style ?? file.replace(/^.*[/\\]/, '').replace(/\.[^.]*$/, '');
  const pieces: Pattern = { name, pieces: built.map((b) => b.piece), seams: [], measures: [] };
  const { seams, notes: seamNotes } = impliedSeams(pieces);
  notes.push(...seamNotes);
  if (seams.length === 0) {
    notes.push(
      "the style has no seams: add them under block.seams, or check has nothing to walk ('- { name: shoulder, left: front.shoulder, right: back.shoulder }')",
    );
  }
  notes.push(...scaleNotes(built));
  const pattern = { ...pieces, seams };
  notes.push(...graded.notes);
  if (graded.rules.length === 0) {
    const still = built.filter((b) => !b.role).map((b) => b.piece.name);
    if (still.length > 0)
      notes.push(
        `${still.join(', ')}: no increments know these points, so they keep one size until rules are given`,
      );
  }
  const allowances = source.allowances?.(built);
  notes.push(...(allowances?.notes ?? []));
  const unit = styleUnit(source.unitSaid);
  const summaries = built.map(summaryOf);
  const text = styleText({
    name,
    unit,
    pattern,
    sizes: graded.sizes,
    base: graded.base,
    rules: graded.rules,
    ...(allowances ? { allowances: allowances.found } : {}),
    comments: comments(file, source.scaling, summaries, notes, dropped, unit),
  });
  return {
    text,
    pattern,
    kind: source.kind,
    scaling: source.scaling,
    unit,
    pieces: summaries,
    notes,
    dropped,
  };
}

function openFile(bytes: Uint8Array, file: string, options: ImportOptions): Source {
  if (/\.svgz?$/i.test(file)) return plainSource(readSvg(bytes, file), 'svg', options);
  if (!/\.dxf$/i.test(file)) {
    throw new InputError(`the file is neither .svg nor .dxf`, {
      mend: 'export the pattern as DXF or SVG',
      place: { file },
    });
  }
  const dxf = readDxf(bytes, file);
  if (isPatternFile(dxf)) return patternImport(dxf, file, options);
  if (options.rules) {
    throw new InputError(
      'a rule table goes with a pattern DXF whose points carry rule numbers; this is a plain drawing',
      {
        mend: 'leave --rules out and grade by increments',
        place: { file },
      },
    );
  }
  return plainSource(dxfDrawing(dxf, flattenEntities(dxf)), 'dxf', options);
}

function plainSource(drawing: Drawing, kind: 'svg' | 'dxf', options: ImportOptions): Source {
  const scaled = inMillimetres(drawing, options.units);
  const found = findPieces(scaled, { join: options.join ?? FIND_DEFAULTS.join });
  const base = options.size ?? 'M';
  const assumed =
    options.size === undefined
      ? ["the drawing is taken to be in size M: change 'sizes' and 'base' under grade"]
      : [];
  return {
    kind,
    scaling: scaled.scaling,
    unitSaid: options.units ?? (scaled.unit ? unitWord(scaled.scaling) : undefined),
    pieces: found.pieces,
    style: undefined,
    notes: [
      ...found.notes,
      ...(found.pieces.every((p) => p.cut)
        ? []
        : ['outlines are taken for sewing lines: allowances are added under finish']),
      ...assumed,
    ],
    dropped: [...scaled.dropped, ...found.dropped],
    grading: (pieces) => ({ sizes: [base], base, rules: [], pieces, notes: [] }),
    ...(found.pieces.some((p) => p.cut) ? { allowances: measuredAllowances } : {}),
  };
}

/** A side of a fold that is asked for belongs to a piece of the drawing. */
function assertFolds(pieces: readonly FoundPiece[], { fold, foldOf }: ImportOptions, file: string): void {
  const names = pieces.map((p) => p.name);
  const stranger = Object.keys(foldOf ?? {}).find((name) => !names.includes(name));
  if (stranger !== undefined) {
    throw new InputError(`the drawing has no piece '${stranger}' to lie on the fold`, {
      mend: suggest(stranger, names),
      place: { file },
    });
  }
  if (fold === undefined || names.some(isBody) || names.length === 0) return;
  throw new InputError('a fold is asked for, but no piece is called front or back', {
    mend: `name the piece: --fold ${names[0]}=${fold}`,
    place: { file },
  });
}

const unitWord = (scaling: string): ImportUnit => (/\b\d[\d.]*in\b|inch/i.test(scaling) ? 'in' : 'mm');

const styleUnit = (unit: ImportUnit | undefined): Unit => (unit === 'in' || unit === 'cm' ? unit : 'mm');

function buildOptions(found: FoundPiece, options: ImportOptions, kind: Source['kind']) {
  const exact = kind === 'pattern-dxf';
  const fold = options.foldOf?.[found.name] ?? (isBody(found.name) ? options.fold : undefined);
  return {
    trace: {
      tolerance: options.tolerance ?? (exact ? EXACT_TOLERANCE : TRACE_DEFAULTS.tolerance),
      cornerAngle: options.cornerAngle ?? TRACE_DEFAULTS.cornerAngle,
      scale: options.cornerScale ?? TRACE_DEFAULTS.scale,
    },
    ...(options.grain === undefined ? {} : { grain: options.grain }),
    ...(fold === undefined ? {} : { fold }),
    ...(exact ? { inPlace: true } : {}),
  };
}

function summaryOf({ piece, known, worst, notes }: BuiltPiece): PieceSummary {
  const { minX, minY, maxX, maxY } = bounds(piece.edges.flatMap((e) => flatten(e.path, 0.1)));
  return {
    name: piece.name,
    width: maxX - minX,
    height: maxY - minY,
    corners: piece.edges.length,
    fold: piece.fold !== undefined,
    named: known,
    worst,
    notes,
  };
}

function scaleNotes(built: readonly BuiltPiece[]): string[] {
  const sizes = built.map((b) => {
    const { width, height } = summaryOf(b);
    return { name: b.piece.name, most: Math.max(width, height) };
  });
  const largest = sizes.reduce((a, b) => (b.most > a.most ? b : a));
  const told = `the largest piece, '${largest.name}', measures ${largest.most.toFixed(0)} mm`;
  if (largest.most < SMALLEST)
    return [`${told}: too small for a garment; look whether the units are right (--units)`];
  if (largest.most > LARGEST)
    return [`${told}: too large for a garment; look whether the units are right (--units)`];
  const body = built.find((b) => b.piece.name === 'front' || b.piece.name === 'back');
  if (body && hasPiece({ name: '', pieces: [body.piece], seams: [], measures: [] }, body.piece.name)) {
    const { height } = summaryOf(body);
    if (height < 150)
      return [
        `'${body.piece.name}' is ${height.toFixed(0)} mm long: look whether the units are right (--units)`,
      ];
  }
  return [];
}

function nothingFound(file: string, dropped: readonly Dropped[]): InputError {
  const told = dropped
    .slice(0, 5)
    .map((d) => `${d.what} (${d.count === 1 ? '' : `${d.count} times, first `}${d.where})`)
    .join('; ');
  return new InputError(
    `no piece was found: nothing in the drawing is a closed outline${told ? `. Dropped: ${told}` : ''}`,
    {
      mend: 'close the outlines, or allow larger gaps between their lines (--join 2mm)',
      place: { file },
    },
  );
}

/** What whoever opens the style should know, at its head. */
function comments(
  file: string,
  scaling: string,
  pieces: readonly PieceSummary[],
  notes: readonly string[],
  dropped: readonly Dropped[],
  unit: Unit,
): string[] {
  const size = (mm: number) => formatLength(mm, unit);
  return [
    `Imported from ${file.replace(/^.*[/\\]/, '')}; units: ${scaling}.`,
    'Edges run counter-clockwise, x across and y along the grain.',
    ...pieces.flatMap((p) => [
      `${p.name}: ${size(p.width)} x ${size(p.height)}${p.fold ? ', half, on the fold' : ''}`,
      ...p.notes.map((note) => `  ${note}`),
    ]),
    ...notes.map((note) => `Note: ${note}`),
    ...dropped.map((d) => `Dropped: ${d.what}${d.count > 1 ? `, ${d.count} times` : ''} (${d.where})`),
  ];
}
