import { InputError } from '../../errors.js';
import { type Box, bounds } from '../../geometry/polygon.js';
import { scale, type Vec } from '../../geometry/vec.js';
import { MM_PER_RULE_UNIT, type RuleUnits } from '../rule-table.js';
import { oneLine } from '../text.js';
import type { Drawn, DrawnBlock, DrawnFile } from './drawing.js';
import {
  type KeywordKey,
  keywordText,
  PATTERN_LAYERS,
  PATTERN_VERSION,
  type PatternRole,
  patternLayer,
} from './pattern-layers.js';
import { pieceWords, textPlaces } from './pattern-text.js';
import type { NotchShape, PatternAxis, PatternLine, PatternPiece } from './pattern-types.js';

/** What the file says of itself. */
export interface PatternHead {
  readonly style: string;
  readonly sampleSize: string;
  readonly author: string;
  /** Written as day and time (UTC): the same date gives the same bytes. */
  readonly date: Date;
  readonly units: RuleUnits;
  /** Name of the companion table, where the points carry rules. */
  readonly ruleTable?: string;
}

/** Heights of lettering and gaps between pieces on the sheet, mm. */
const RULE_HEIGHT = 2.5;
const TEXT_HEIGHT = 5;
const TEXT_SPACING = 16;
const SHEET_GAP = 50;

/** To a ten-thousandth of a millimetre, and finer in inches. */
const DECIMALS: Readonly<Record<RuleUnits, number>> = { METRIC: 4, ENGLISH: 6 };

const NOTCH_ROLES: Readonly<Record<NotchShape, PatternRole>> = {
  slit: 'notch',
  t: 't-notch',
  castle: 'castle-notch',
  check: 'check-notch',
  u: 'u-notch',
};

/**
 * A pattern file as a drawing: a block for each piece in its own frame, and a sheet that shows the blocks side by
 * side, a row for every size. Lengths of `pieces` are mm.
 *
 * @throws InputError on a piece without an outline.
 */
export function patternDrawing(pieces: readonly PatternPiece[], head: PatternHead): DrawnFile {
  const names = blockNames(pieces);
  const perMm = 1 / MM_PER_RULE_UNIT[head.units];
  const blocks = pieces.map(
    (piece, i): DrawnBlock => ({ name: names[i]!, entities: pieceEntities(piece, perMm) }),
  );
  const sheet = laidOut(pieces);
  const texts = styleTexts(head);
  const below = (i: number): number => -TEXT_SPACING * (i + 2);
  const words = texts.map(
    (text, i): Drawn => ({
      kind: 'text',
      layer: patternLayer('boundary'),
      at: scale([0, below(i)], perMm),
      height: TEXT_HEIGHT * perMm,
      text,
    }),
  );
  const inserts = names.map(
    (block, i): Drawn => ({
      kind: 'insert',
      layer: patternLayer('boundary'),
      block,
      at: scale(sheet.at[i]!, perMm),
    }),
  );
  return {
    layers: PATTERN_LAYERS.map(({ number, colour }) => ({ name: String(number), colour })),
    blocks,
    entities: [...inserts, ...words],
    extent: [scale([0, below(texts.length - 1)], perMm), scale(sheet.high, perMm)],
    decimals: DECIMALS[head.units],
  };
}

function styleTexts(head: PatternHead): string[] {
  const [year, month, day] = head.date.toISOString().slice(0, 10).split('-');
  const values: readonly (readonly [KeywordKey, string | undefined])[] = [
    ['version', PATTERN_VERSION],
    ['style', oneLine(head.style)],
    ['date', `${month}-${day}-${year}`],
    ['time', head.date.toISOString().slice(11, 16)],
    ['author', oneLine(head.author)],
    ['sample', oneLine(head.sampleSize)],
    ['rules', head.ruleTable],
    ['units', head.units],
  ];
  return values.flatMap(([key, value]) => (value === undefined ? [] : [keywordText(key, value)]));
}

function pieceEntities(piece: PatternPiece, perMm: number): Drawn[] {
  const at = (p: Vec): Vec => scale(p, perMm);
  const lines = (role: PatternRole, of: readonly PatternLine[]) =>
    of.flatMap((l) => lineEntities(l, role, at, perMm));
  const axis = (role: PatternRole, line: PatternAxis | undefined): Drawn[] =>
    line ? [{ kind: 'line', layer: patternLayer(role), a: at(line.from), b: at(line.to) }] : [];
  const ruled = (layer: string, point: Vec, rule: number | undefined) =>
    ruleText(layer, at(point), rule, perMm);
  return [
    ...lines('boundary', [piece.boundary]),
    ...lines('cutout', piece.cutouts),
    ...lines('internal', piece.internals),
    ...lines('sew', piece.sewLines),
    ...axis('grain', piece.grain),
    ...axis('grade-reference', piece.gradeReference),
    ...axis('mirror', piece.mirror),
    ...piece.notches.flatMap((notch): Drawn[] => {
      const layer = patternLayer(NOTCH_ROLES[notch.shape]);
      const angle = notch.angle === undefined ? {} : { angle: notch.angle };
      const sizes = { z: notch.depth * perMm, thickness: notch.width * perMm, ...angle };
      return [{ kind: 'point', layer, at: at(notch.at), ...sizes }, ...ruled(layer, notch.at, notch.rule)];
    }),
    ...piece.drillHoles.flatMap((hole): Drawn[] => {
      const layer = patternLayer('drill');
      return [{ kind: 'point', layer, at: at(hole.at) }, ...ruled(layer, hole.at, hole.rule)];
    }),
    ...piece.annotations.map(
      (note): Drawn => ({
        kind: 'text',
        layer: patternLayer('annotation'),
        at: at(note.at),
        height: note.height * perMm,
        text: oneLine(note.text),
      }),
    ),
    ...pieceTexts(piece, at, perMm),
  ];
}

function lineEntities(line: PatternLine, role: PatternRole, at: (p: Vec) => Vec, perMm: number): Drawn[] {
  const layer = patternLayer(role);
  const { vertices, closed } = line;
  if (vertices.length < (closed ? 3 : 2))
    throw new InputError(`a line on layer ${layer} has too few vertices`);
  const points = vertices.map((v) => at(v.at));
  const [a, b] = points;
  const drawn: Drawn =
    !closed && points.length === 2
      ? { kind: 'line', layer, a: a!, b: b! }
      : { kind: 'polyline', layer, points, closed };
  const marks = vertices.flatMap((v): Drawn[] => {
    if (v.kind === 'interpolated') return [];
    const mark = patternLayer(v.kind);
    return [{ kind: 'point', layer: mark, at: at(v.at) }, ...ruleText(mark, at(v.at), v.rule, perMm)];
  });
  return [drawn, ...marks];
}

const ruleText = (layer: string, at: Vec, rule: number | undefined, perMm: number): Drawn[] =>
  rule === undefined ? [] : [{ kind: 'text', layer, at, height: RULE_HEIGHT * perMm, text: `# ${rule}` }];

function pieceTexts(piece: PatternPiece, at: (p: Vec) => Vec, perMm: number): Drawn[] {
  const words = pieceWords(piece);
  const places = textPlaces(piece, [...words, ...piece.annotations.map((note) => note.text)]);
  return words.map((text, i) => ({
    kind: 'text',
    layer: patternLayer('boundary'),
    at: at(places[i]!.at),
    height: places[i]!.height * perMm,
    text,
  }));
}

/** Where each block stands on the sheet, mm: left to right, a row for every size, the first row lowest. */
function laidOut(pieces: readonly PatternPiece[]): { at: Vec[]; high: Vec } {
  const at: Vec[] = [];
  const corner = { x: 0, y: 0 };
  const high = { x: 0, y: 0 };
  let top = 0;
  pieces.forEach((piece, i) => {
    if (i > 0 && piece.size !== pieces[i - 1]!.size) {
      corner.x = 0;
      corner.y = top + SHEET_GAP;
    }
    const box = pieceBox(piece);
    at.push([corner.x - box.minX, corner.y - box.minY]);
    corner.x += box.maxX - box.minX + SHEET_GAP;
    high.x = Math.max(high.x, corner.x - SHEET_GAP);
    top = Math.max(top, corner.y + box.maxY - box.minY);
    high.y = top;
  });
  return { at, high: [high.x, high.y] };
}

const pieceBox = (piece: PatternPiece): Box => bounds(piece.boundary.vertices.map((v) => v.at));

/** Names that every version of DXF can carry, none twice: `FRONT-M`, `FRONT-M-2`. */
function blockNames(pieces: readonly PatternPiece[]): string[] {
  const used = new Set<string>();
  return pieces.map(({ name, size }) => {
    const plain = plainName(size === undefined ? name : `${name}-${size}`);
    let own = plain;
    for (let n = 2; used.has(own); n++) own = `${plain.slice(0, 31 - 1 - String(n).length)}-${n}`;
    used.add(own);
    return own;
  });
}

function plainName(text: string): string {
  const plain = text
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toUpperCase()
    .replace(/[^A-Z0-9_-]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return plain.slice(0, 31) || 'PIECE';
}
