import type { Path } from '../../geometry/path.js';
import { bounds, signedArea } from '../../geometry/polygon.js';
import { angleBetween, distance, sub, type Vec } from '../../geometry/vec.js';
import { closestOnRing } from '../drawing/lines.js';
import { joinPaths } from './chains.js';
import type { Drops } from './limits.js';
import {
  isNotchRole,
  type KeywordKey,
  PATTERN_KEYWORDS,
  type PatternRole,
  readKeyword,
  roleOfLayer,
} from './pattern-layers.js';
import { assignRules, type Ruled, ruleNumber, VertexMarks } from './pattern-marks.js';
import { type DrawnVertex, endsOnLine, ringOf, unmarkedKind } from './pattern-outlines.js';
import type {
  NotchShape,
  PatternAxis,
  PatternLine,
  PatternNotch,
  PatternNote,
  PatternPiece,
  PatternQuantity,
  VertexKind,
} from './pattern-types.js';
import type { BlockDrawing, FlatPath } from './types.js';

export interface PieceReading {
  /** A path as vertices, curves as chords; throws where all curves together need too many. */
  readonly chords: (path: Path) => DrawnVertex[];
  /** Lengths are mm; otherwise their units are unclear. */
  readonly inMm: boolean;
  readonly drops: Drops;
  readonly notes: string[];
}

/** Ends that meet; marks and rules that stand at a vertex; a boundary that is closed although it gapes: mm. */
const MEETING = 0.05;
const MARKED = 0.02;
const GAPING = 1;
/** Length of a piece, in mm, that the same tolerances are taken from where the units are unclear. */
const USUAL_SIZE = 1000;

interface RawVertex extends Ruled {
  readonly kind: VertexKind;
}

interface RawLine {
  readonly vertices: readonly RawVertex[];
  readonly closed: boolean;
}

type RawNotch = Omit<PatternNotch, 'rule'> & Ruled;

/** Whether a block is a piece: it has a line on layer 1. */
export const isPiece = (drawing: BlockDrawing): boolean =>
  drawing.paths.some((p) => roleOfLayer(p.layer) === 'boundary');

/** One block as a piece; undefined, and counted as dropped, when no line on layer 1 closes. */
export function readPiece(drawing: BlockDrawing, reading: PieceReading): PatternPiece | undefined {
  const { block, paths, points, texts } = drawing;
  const { drops, notes, chords } = reading;
  const label = block.name.slice(0, 40);
  const unit = reading.inMm ? 1 : sizeOf(paths) / USUAL_SIZE;
  const on = (role: PatternRole) => paths.filter((p) => roleOfLayer(p.layer) === role);
  const mirror = axisOf(on('mirror'), drops);
  const outline = boundaryOf(on('boundary'), mirror, unit, reading, label);
  if (!outline) {
    drops.add('BLOCK whose line on layer 1 does not close', `line ${block.lineNumber} ('${label}')`);
    return undefined;
  }

  // Lines, notches and holes first; then the rule numbers that stand on them.
  const marks = new VertexMarks(points, MARKED * unit);
  if (!marks.any) notes.push(`'${label}' has no turn or curve points: its corners were found by their bend`);
  const rawLine = (drawn: readonly DrawnVertex[], closed: boolean): RawLine => ({
    closed,
    vertices: drawn.map((v, i) => {
      const kind = marks.kindAt(v.at) ?? unmarkedKind(drawn, i, closed, marks.any);
      return { at: v.at, kind, rule: undefined };
    }),
  });
  const openOrClosed = (p: FlatPath) =>
    p.closed ? rawLine(ringOf(chords(p.path)), true) : rawLine(chords(p.path), false);
  const boundary = rawLine(outline, true);
  const cutouts = joinPaths(
    on('cutout').map((p) => p.path),
    MEETING * unit,
  ).map(({ path, gap }) =>
    gap <= MEETING * unit ? rawLine(ringOf(chords(path)), true) : rawLine(chords(path), false),
  );
  const internals = on('internal').map(openOrClosed);
  const sewLines = on('sew').map(openOrClosed);
  const notches = rawNotches(
    drawing,
    outline.map((v) => v.at),
  );
  const holes = points
    .filter((p) => roleOfLayer(p.layer) === 'drill')
    .map(({ at }): Ruled => ({ at, rule: undefined }));
  const vertices = [boundary, ...cutouts, ...internals, ...sewLines].flatMap((l) => l.vertices);
  assignRules(texts, { vertices, notches, holes }, MARKED * unit, drops);
  marks.countUnused(drops);
  countOthers(drawing, drops);

  const { words, annotations } = wordsOf(drawing);
  return {
    name: words.get('piece') || block.name,
    block: block.name,
    size: words.get('size') || undefined,
    quantity: quantityOf(words.get('quantity'), label, notes),
    material: words.get('material') || undefined,
    category: words.get('category') || undefined,
    boundary: settled(boundary),
    mirror,
    grain: axisOf(on('grain'), drops),
    gradeReference: axisOf(on('grade-reference'), drops),
    internals: internals.map(settled),
    cutouts: cutouts.map(settled),
    sewLines: sewLines.map(settled),
    notches: notches.map(withRule),
    drillHoles: holes.map(withRule),
    annotations,
  };
}

/** The largest ring that the lines of layer 1 make, counter-clockwise. */
function boundaryOf(
  lines: readonly FlatPath[],
  mirror: PatternAxis | undefined,
  unit: number,
  { drops, notes, chords }: PieceReading,
  label: string,
): DrawnVertex[] | undefined {
  const chains = joinPaths(
    lines.map((l) => l.path),
    MEETING * unit,
  );
  const closes = ({ path, gap }: { path: Path; gap: number }): boolean => {
    if (path.length < 2) return false;
    if (gap <= MEETING * unit || (mirror && endsOnLine(path, mirror, MEETING * unit))) return true;
    if (gap > GAPING * unit) return false;
    notes.push(`the boundary of '${label}' gaped by ${gap.toFixed(3)} and was closed`);
    return true;
  };
  const rings = chains
    .filter(closes)
    .map(({ path }) => ringOf(chords(path)))
    .filter((points) => points.length >= 3)
    .map((points) => ({ points, area: Math.abs(signedArea(points.map((v) => v.at))) }))
    .filter(({ area }) => area > 0)
    .sort((a, b) => b.area - a.area);
  const left = rings.length === 0 ? 0 : chains.length - 1;
  for (let i = 0; i < left; i++)
    drops.add('further line on layer 1', `line ${lines[0]!.lineNumber} ('${label}')`);
  return rings[0]?.points;
}

const settled = (line: RawLine): PatternLine => ({
  closed: line.closed,
  vertices: line.vertices.map(withRule),
});

function withRule<T extends Ruled>({ rule, ...rest }: T) {
  return rule === undefined ? rest : { ...rest, rule };
}

/** The longest of some straight lines, from its start to its end. */
function axisOf(lines: readonly FlatPath[], drops: Drops): PatternAxis | undefined {
  const axes = lines
    .map(({ path, lineNumber, layer }) => {
      const [from, to] = [path[0]!.a, path[path.length - 1]!.b];
      return { from, to, lineNumber, layer };
    })
    .sort((a, b) => distance(b.from, b.to) - distance(a.from, a.to));
  for (const { layer, lineNumber } of axes.slice(1))
    drops.add(`further line on layer ${layer.slice(0, 40)}`, lineNumber);
  const [longest] = axes;
  return longest && distance(longest.from, longest.to) > 0
    ? { from: longest.from, to: longest.to }
    : undefined;
}

const SHAPES: Readonly<Partial<Record<PatternRole, NotchShape>>> = {
  notch: 'slit',
  't-notch': 't',
  'castle-notch': 'castle',
  'check-notch': 'check',
  'u-notch': 'u',
};

/** Looking for the boundary's end of every line would take too long beyond this: they are taken as drawn. */
const MOST_LOOKING = 20_000_000;

/** Notches are points with a depth, or short lines from the boundary into the piece. */
function rawNotches({ points, paths }: BlockDrawing, boundary: readonly Vec[]): RawNotch[] {
  const shapeOf = (layer: string): NotchShape | undefined => {
    const role = roleOfLayer(layer);
    return role && SHAPES[role];
  };
  const asPoints = points.flatMap(({ layer, at, z, thickness, angle }): RawNotch[] => {
    const shape = shapeOf(layer);
    return shape
      ? [{ at, shape, depth: Math.abs(z), width: Math.abs(thickness), angle, rule: undefined }]
      : [];
  });
  const drawn = paths.filter(({ layer }) => shapeOf(layer) !== undefined);
  const looking = drawn.length * boundary.length <= MOST_LOOKING;
  const asLines = drawn.map(({ layer, path }): RawNotch => {
    const shape = shapeOf(layer)!;
    const ends = [path[0]!.a, path[path.length - 1]!.b] as const;
    const [first, second] = ends.map((p) => (looking ? closestOnRing(boundary, p).distance : 0));
    const [at, tip] = first! <= second! ? ends : [ends[1], ends[0]];
    const along = sub(tip, at);
    const angle = (angleBetween([1, 0], along) * 180) / Math.PI;
    return { at, shape, depth: distance(at, tip), width: 0, angle, rule: undefined };
  });
  return [...asPoints, ...asLines];
}

const PIECE_KEYS = new Set<KeywordKey>(PATTERN_KEYWORDS.filter((k) => k.of === 'piece').map((k) => k.key));

/** The piece's own keywords, and every other text as a note. */
function wordsOf({ texts }: BlockDrawing): { words: Map<KeywordKey, string>; annotations: PatternNote[] } {
  const words = new Map<KeywordKey, string>();
  const annotations: PatternNote[] = [];
  for (const { text, at, height } of texts) {
    for (const line of text.split('\n')) {
      if (line.trim() === '' || ruleNumber(line) !== undefined) continue;
      const word = readKeyword(line);
      if (word?.key === 'note') annotations.push({ at, height, text: word.value });
      else if (!word) annotations.push({ at, height, text: line.trim() });
      else if (PIECE_KEYS.has(word.key) && !words.has(word.key)) words.set(word.key, word.value);
    }
  }
  return { words, annotations };
}

/** `2`, or `1,1` for as drawn and mirrored. */
function quantityOf(text: string | undefined, label: string, notes: string[]): PatternQuantity | undefined {
  if (text === undefined || text === '') return undefined;
  const match = /^(\d{1,4})(?:\s{0,9}[,;/ ]\s{0,9}(\d{1,4}))?$/.exec(text);
  if (match) return { asDrawn: Number(match[1]), mirrored: Number(match[2] ?? 0) };
  notes.push(`the quantity '${text.slice(0, 40)}' of '${label}' is no number`);
  return undefined;
}

const READ_LINES = new Set<PatternRole>([
  'boundary',
  'mirror',
  'grain',
  'grade-reference',
  'internal',
  'cutout',
  'sew',
]);
const READ_POINTS = new Set<PatternRole>(['turn', 'curve', 'drill']);

/** Lines and points on layers that no part of a piece comes from. */
function countOthers({ paths, points }: BlockDrawing, drops: Drops): void {
  const count = (noun: string, layer: string, line: number, read: ReadonlySet<PatternRole>) => {
    const role = roleOfLayer(layer);
    if (role && (read.has(role) || isNotchRole(role))) return;
    drops.add(`${noun} on layer ${layer.slice(0, 40)}`, line);
  };
  for (const { layer, lineNumber } of paths) count('line', layer, lineNumber, READ_LINES);
  for (const { layer, lineNumber } of points) count('point', layer, lineNumber, READ_POINTS);
}

function sizeOf(paths: readonly FlatPath[]): number {
  const box = bounds(paths.flatMap(({ path }) => path.map((s) => s.a)));
  return Math.max(box.maxX - box.minX, box.maxY - box.minY) || 1;
}
