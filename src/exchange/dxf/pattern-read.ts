import { MM_PER_INCH, type Unit } from '../../units.js';
import { flattenBlocks } from './flatten.js';
import { Drops, DXF_LIMITS } from './limits.js';
import { type KeywordKey, PATTERN_KEYWORDS, readKeyword } from './pattern-layers.js';
import { chordMaker } from './pattern-outlines.js';
import { isPiece, readPiece } from './pattern-read-piece.js';
import type { PatternDxf, PatternPiece } from './pattern-types.js';
import type { DxfFile, DxfLimits, DxfText } from './types.js';

export interface ReadPatternOptions {
  /** Units to take where the file does not say, or contradicts itself. Wins over what the file says. */
  readonly units?: Unit;
  /** Greatest distance (mm) of a curve given as arc or spline from the chords it is read as. Default 0.05. */
  readonly tolerance?: number;
  readonly limits?: Partial<DxfLimits>;
}

export const READ_PATTERN_DEFAULTS = { tolerance: 0.05 } as const;

const MOST_NOTES = 100;

const MM_PER: Readonly<Record<Unit, number>> = { mm: 1, cm: 10, in: MM_PER_INCH };

/** `$INSUNITS` that a pattern is drawn in (DXF reference, header variables). */
const HEADER_UNITS: Readonly<Record<number, Unit>> = { 1: 'in', 4: 'mm', 5: 'cm' };

/**
 * The pieces of a pattern DXF after ASTM D6673, read with patience: keywords in any case and spacing, outlines as
 * polylines of either kind or lines that meet, arcs and splines as chords, texts on any layer, rule numbers matched
 * to points by their place, files from R12 on. Units are what the file's `Units` text says, else `$INSUNITS`; where
 * neither does, or they contradict each other, `units` is undefined and lengths stay in drawing units.
 *
 * @throws InputError when blocks unfold, or curves divide, into more than the limits allow.
 */
export function readPatternDxf(file: DxfFile, options: ReadPatternOptions = {}): PatternDxf {
  const { tolerance } = { ...READ_PATTERN_DEFAULTS, ...options };
  const drops = new Drops();
  const notes: string[] = [];
  const texts = styleTexts(file);
  const { units, unitsFrom } = unitsOf(file, texts.get('units'), options.units, notes);
  const mmPerUnit = units === undefined ? 1 : MM_PER[units];
  const limits = options.limits === undefined ? {} : { limits: options.limits };
  const inner = insideOthers(file);
  const pieces: PatternPiece[] = [];
  const most = options.limits?.vertices ?? DXF_LIMITS.vertices;
  const chords = chordMaker(tolerance, most, file.name);
  for (const drawing of flattenBlocks(file, { scale: mmPerUnit, tolerance, ...limits })) {
    const { name, lineNumber } = drawing.block;
    if (inner.has(name.toUpperCase())) continue;
    for (const { what, where } of drawing.dropped) drops.add(what, where);
    if (!isPiece(drawing)) {
      const empty = drawing.paths.length + drawing.points.length + drawing.texts.length === 0;
      if (!empty)
        drops.add(`BLOCK without a boundary on layer 1`, `line ${lineNumber} ('${name.slice(0, 40)}')`);
      continue;
    }
    const piece = readPiece(drawing, { chords, inMm: units !== undefined, drops, notes });
    if (piece) pieces.push(piece);
  }
  scaledInserts(file, pieces, notes);
  if (pieces.length === 0) notes.push('the file holds no block with a boundary on layer 1');
  return {
    style: {
      name: texts.get('style'),
      sampleSize: texts.get('sample'),
      ruleTable: texts.get('rules'),
      author: texts.get('author'),
      created: joined(texts.get('date'), texts.get('time')),
      version: texts.get('version'),
    },
    units,
    unitsFrom,
    mmPerUnit,
    pieces,
    dropped: [...file.dropped, ...drops.list()],
    notes:
      notes.length <= MOST_NOTES
        ? notes
        : [...notes.slice(0, MOST_NOTES), `and ${notes.length - MOST_NOTES} more notes`],
  };
}

const STYLE_KEYS = new Set<KeywordKey>(PATTERN_KEYWORDS.filter((k) => k.of === 'style').map((k) => k.key));

/** What the file says of itself; texts that someone put into a block count where the sheet has none. */
function styleTexts(file: DxfFile): Map<KeywordKey, string> {
  const found = new Map<KeywordKey, string>();
  const isText = (e: { kind: string }): e is DxfText => e.kind === 'text';
  for (const entities of [file.entities, ...file.blocks.map((b) => b.entities)]) {
    for (const { text } of entities.filter(isText)) {
      for (const line of text.split('\n')) {
        const word = readKeyword(line);
        if (word && STYLE_KEYS.has(word.key) && word.value !== '' && !found.has(word.key)) {
          found.set(word.key, word.value);
        }
      }
    }
  }
  return found;
}

function unitsOf(
  file: DxfFile,
  text: string | undefined,
  given: Unit | undefined,
  notes: string[],
): Pick<PatternDxf, 'units' | 'unitsFrom'> {
  if (given !== undefined) return { units: given, unitsFrom: 'option' };
  const word = text?.toUpperCase();
  const told = word === 'METRIC' ? 'mm' : word === 'ENGLISH' ? 'in' : undefined;
  const header = HEADER_UNITS[file.insUnits ?? 0];
  if (text !== undefined && told === undefined) notes.push(`the units '${text.slice(0, 40)}' are not known`);
  if (told !== undefined && header !== undefined && told !== header) {
    notes.push(`the text says the units are ${word}, the header says ${header}: say which holds`);
    return { units: undefined, unitsFrom: undefined };
  }
  if (told !== undefined) return { units: told, unitsFrom: 'text' };
  if (header !== undefined) return { units: header, unitsFrom: 'header' };
  if ((file.insUnits ?? 0) !== 0)
    notes.push(`the header's units ($INSUNITS ${file.insUnits}) are no pattern's`);
  return { units: undefined, unitsFrom: undefined };
}

/** Names of blocks that other blocks are made of. */
function insideOthers(file: DxfFile): ReadonlySet<string> {
  const inner = new Set<string>();
  for (const { entities, name } of file.blocks) {
    if (/^\*(model|paper)_space/i.test(name)) continue;
    for (const entity of entities) if (entity.kind === 'insert') inner.add(entity.block.toUpperCase());
  }
  return inner;
}

/** Pieces are read as they stand in their blocks; an INSERT that scales one shows it in another size. */
function scaledInserts(file: DxfFile, pieces: readonly PatternPiece[], notes: string[]): void {
  const names = new Set(pieces.map((p) => p.block.toUpperCase()));
  const scaled = file.entities.filter(
    (e) =>
      e.kind === 'insert' &&
      names.has(e.block.toUpperCase()) &&
      (Math.abs(Math.abs(e.scaleX) - 1) > 1e-6 || Math.abs(Math.abs(e.scaleY) - 1) > 1e-6),
  );
  const [first] = scaled;
  if (first?.kind !== 'insert') return;
  notes.push(
    `line ${first.lineNumber}: the drawing shows the block '${first.block.slice(0, 40)}' scaled by ${first.scaleX}; pieces are read at the size of their blocks (${scaled.length} scaled)`,
  );
}

const joined = (day: string | undefined, time: string | undefined): string | undefined =>
  day === undefined ? undefined : time === undefined ? day : `${day} ${time}`;
