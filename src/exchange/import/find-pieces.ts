import { end, flatten, length, type Path, pointAt, start } from '../../geometry/path.js';
import { bounds, contains, distanceToSegment, type Polygon, signedArea } from '../../geometry/polygon.js';
import { distance, type Vec } from '../../geometry/vec.js';
import { Drops } from '../dxf/limits.js';
import { layerOf } from '../layers.js';
import { type Chain, joinStrokes } from './chains.js';
import { type Dropped, type Lettering, MOST_EXTENT, type ScaledDrawing, type Stroke } from './drawing.js';
import { type FoundPiece, pairedNotches, slug } from './found.js';

export interface FindOptions {
  /** Ends of lines within this meet, mm. */
  readonly join: number;
}

export const FIND_DEFAULTS: FindOptions = { join: 0.5 };

/** What a line is drawn for, told from the name of its layer or its own. */
type LineRole = 'outline' | 'grain' | 'fold' | 'notch' | 'internal' | 'sew' | 'stretch' | 'frame';

const ROLE_WORDS: readonly (readonly [LineRole, RegExp])[] = [
  ['grain', /\bgrain/i],
  ['fold', /\b(?:fold|mirror)/i],
  ['notch', /\bnotch/i],
  ['sew', /\b(?:sew|stitch|seam[ _-]?line)/i],
  ['internal', /\b(?:internal|inside|pocket[ _-]?place|placement|drill)/i],
  ['stretch', /\bstretch/i],
  ['frame', /\b(?:frame|border|title[ _-]?block|test[ _-]?square|page)\b/i],
];

/** A closed line that encloses less is a mark: mm2, and a share of the largest. */
const LEAST_AREA = 400;
const LEAST_SHARE = 0.01;
/** A line this short with one end on an outline is a notch, mm. */
const LONGEST_TICK = 15;
const ON_OUTLINE = 1;
/** Two notches this close are one double notch, mm. */
const DOUBLE = 20;
const FLAT = 0.3;
/** An inner outline of more than this share of the outer one's area is no pocket. */
const NEARLY = 0.6;
/** No sheet of patterns holds more; work grows with these. */
const MOST_PIECES = 1000;
const MOST_RINGS = 5000;
const MOST_LOOSE = 20_000;

export interface Found {
  readonly pieces: readonly FoundPiece[];
  readonly dropped: readonly Dropped[];
  readonly notes: readonly string[];
}

/**
 * The pieces of a drawing: outlines that lie in no other are pieces, what lies inside them belongs to them. Lines
 * on layers named after grain, fold, notches, sewing or internal lines are taken so; short lines on an outline
 * are notches.
 */
export function findPieces(drawing: ScaledDrawing, options: FindOptions = FIND_DEFAULTS): Found {
  const drops = new Drops();
  const byRole = new Map<LineRole, Stroke[]>();
  const cloth = new Set(clothOfMarker(drawing.strokes));
  for (const stroke of drawing.strokes) {
    if (cloth.has(stroke)) drops.add('the cloth of a marker, on layer FABRIC', stroke.where);
    else if (isTooLarge(stroke.path)) drops.add(`lines beyond ${MOST_EXTENT / 1000} m`, stroke.where);
    else pushTo(byRole, roleOf(stroke), stroke);
  }
  const of = (role: LineRole) => byRole.get(role) ?? [];
  for (const { where } of of('stretch'))
    drops.add('stretch arrows (mark-stretch in a recipe sets them)', where);
  for (const frame of of('frame')) drops.add('frames and test squares', frame.where);
  const drawn = joinStrokes(of('outline'), options.join);
  const sewn = joinStrokes(of('sew'), options.join);
  const inner = joinStrokes(of('internal'), options.join);
  const { pieces, marks, notes } = outlines(
    drawn.chains.filter((c) => c.closed),
    drops,
  );
  const open = [...drawn.chains, ...sewn.chains].filter((c) => !c.closed);
  const sheet: Sheet = { pieces, drops, owner: (p) => pieces.find((piece) => isInside(piece.ring, p)) };
  placeSewingLines(
    sheet,
    sewn.chains.filter((c) => c.closed),
  );
  placeLoose(sheet, [...marks, ...open, ...inner.chains]);
  placeAxes(sheet, 'grain', of('grain'));
  placeAxes(sheet, 'fold', of('fold'));
  placeNotches(sheet, of('notch'));
  placeTexts(sheet, drawing.texts);
  return { pieces: named(pieces), dropped: drops.list(), notes: [...drawn.notes, ...sewn.notes, ...notes] };
}

/** The pieces found so far, and what nobody owns. */
interface Sheet {
  readonly pieces: readonly Draft[];
  readonly owner: (p: Vec) => Draft | undefined;
  readonly drops: Drops;
}

/** Closed lines as pieces, those inside others as lines of theirs, and those too small for either as marks. */
function outlines(
  closed: readonly Chain[],
  drops: Drops,
): { pieces: Draft[]; marks: Chain[]; notes: string[] } {
  const rings = closed.slice(0, MOST_RINGS).map(ringOf);
  for (const chain of closed.slice(MOST_RINGS)) {
    drops.add(`closed lines after the first ${MOST_RINGS}`, chain.where);
  }
  // In a drawing read in too small a unit the largest outlines are pieces all the same.
  const least = Math.min(LEAST_AREA, LEAST_SHARE * Math.max(0, ...rings.map((r) => r.area)));
  const { outer, inside } = nested(rings.filter((r) => r.area >= least));
  // In the order of the drawing, not of size.
  outer.sort((a, b) => rings.indexOf(a) - rings.indexOf(b));
  for (const ring of outer.splice(MOST_PIECES)) {
    drops.add(`outlines after the first ${MOST_PIECES}`, ring.chain.where);
  }
  const pieces = outer.map((ring): Draft => ({ ring, internals: [], ticks: [], texts: [] }));
  for (const { ring, parent } of inside) pieces[outer.indexOf(parent)]?.internals.push(lineOf(ring.chain));
  const large = inside.filter(({ ring, parent }) => ring.area > NEARLY * parent.area);
  const notes = large
    .slice(0, 5)
    .map(
      ({ ring, parent }) =>
        `the outline at ${ring.chain.where} lies in that at ${parent.chain.where} and is nearly as large: it is kept as a line inside; if it is the sewing line, name its layer so, and if it is another size, import the sizes one by one`,
    );
  return { pieces, marks: rings.filter((r) => r.area < least).map((r) => r.chain), notes };
}

function placeSewingLines({ owner, drops }: Sheet, chains: readonly Chain[]): void {
  for (const ring of chains.map(ringOf)) {
    const piece = owner(ring.polygon[0]!);
    if (piece && !piece.sew) piece.sew = ring;
    else drops.add('sewing lines outside any piece', ring.chain.where);
  }
}

/** Grain and fold lines; of an arrow drawn in several lines the longest counts. */
function placeAxes(
  { pieces, owner, drops }: Sheet,
  role: 'grain' | 'fold',
  strokes: readonly Stroke[],
): void {
  for (const stroke of strokes) {
    const axis: [Vec, Vec] = [start(stroke.path), end(stroke.path)];
    const middle = pointAt(stroke.path, length(stroke.path) / 2);
    const piece = owner(middle) ?? pieces.find((p) => offOf(p, middle) <= ON_OUTLINE);
    const known = piece?.[role];
    if (!piece) drops.add(`${role} lines outside any piece`, stroke.where);
    else if (!known || distance(...axis) > distance(...known)) piece[role] = axis;
  }
}

function placeNotches({ pieces, drops }: Sheet, strokes: readonly Stroke[]): void {
  for (const stroke of strokes) {
    const [a, b] = [start(stroke.path), end(stroke.path)];
    const piece = pieces.find((p) => Math.min(offOf(p, a), offOf(p, b)) <= 3 * ON_OUTLINE);
    if (!piece) drops.add('notches away from any outline', stroke.where);
    else piece.ticks.push(offOf(piece, b) < offOf(piece, a) ? { at: b, inside: a } : { at: a, inside: b });
  }
}

function placeTexts({ pieces, owner, drops }: Sheet, texts: readonly Lettering[]): void {
  for (const { where } of texts.slice(MOST_LOOSE)) drops.add(`texts after the first ${MOST_LOOSE}`, where);
  for (const { text, at, where } of texts.slice(0, MOST_LOOSE)) {
    const piece = owner(at) ?? closest(pieces, at);
    if (piece) piece.texts.push({ text, at });
    else drops.add(`text '${text.slice(0, 40)}' away from any piece`, where);
  }
}

const lineOf = (chain: Chain) => ({ name: chain.name ?? 'line', path: chain.path });

interface Ring {
  readonly chain: Chain;
  readonly polygon: Polygon;
  readonly area: number;
  readonly box: readonly [number, number, number, number];
}

interface Draft {
  readonly ring: Ring;
  readonly internals: { name: string; path: Path }[];
  readonly ticks: { at: Vec; inside: Vec }[];
  readonly texts: { text: string; at: Vec }[];
  sew?: Ring;
  grain?: [Vec, Vec];
  fold?: [Vec, Vec];
}

function roleOf(stroke: Stroke): LineRole {
  const words = `${stroke.layer} ${stroke.name ?? ''}`;
  return ROLE_WORDS.find(([, pattern]) => pattern.test(words))?.[0] ?? 'outline';
}

/** The rectangle round the pieces of a marker, which would be taken for a piece. */
const clothOfMarker = (strokes: readonly Stroke[]): readonly Stroke[] =>
  strokes.some((s) => s.layer === layerOf('CUT').name)
    ? strokes.filter((s) => s.layer === layerOf('FABRIC').name)
    : [];

function ringOf(chain: Chain): Ring {
  const polygon = flatten(chain.path, FLAT).slice(0, -1);
  const { minX, minY, maxX, maxY } = bounds(polygon);
  return { chain, polygon, area: Math.abs(signedArea(polygon)), box: [minX, minY, maxX, maxY] };
}

const isInside = ({ polygon, box: [minX, minY, maxX, maxY] }: Ring, p: Vec): boolean =>
  p[0] >= minX && p[0] <= maxX && p[1] >= minY && p[1] <= maxY && contains(polygon, p);

/** Outlines that lie in no other, and those that do, each with the outermost round it. */
function nested(rings: readonly Ring[]): { outer: Ring[]; inside: { ring: Ring; parent: Ring }[] } {
  const outer: Ring[] = [];
  const inside: { ring: Ring; parent: Ring }[] = [];
  for (const ring of [...rings].sort((a, b) => b.area - a.area)) {
    const stride = Math.max(1, Math.floor(ring.polygon.length / 8));
    const probe = ring.polygon.filter((_, i) => i % stride === 0);
    const parent = outer.find((p) => probe.every((at) => isInside(p, at)));
    if (parent) inside.push({ ring, parent });
    else outer.push(ring);
  }
  return { outer, inside };
}

/** Open lines and small rings: notches where they are short and start on an outline, else lines inside their piece. */
function placeLoose({ pieces, owner, drops }: Sheet, chains: readonly Chain[]): void {
  for (const chain of chains.slice(MOST_LOOSE)) drops.add(`lines after the first ${MOST_LOOSE}`, chain.where);
  for (const chain of chains.slice(0, MOST_LOOSE)) {
    const size = length(chain.path);
    const tick = chain.closed || size > LONGEST_TICK ? undefined : tickOn(pieces, chain);
    const piece = tick?.piece ?? owner(pointAt(chain.path, size / 2));
    const what = chain.closed ? 'small closed lines outside any piece' : 'open lines that close no outline';
    if (tick) tick.piece.ticks.push(tick);
    else if (piece) piece.internals.push(lineOf(chain));
    else drops.add(what, `${chain.where}, ${size.toFixed(0)} mm long`);
  }
}

/** The piece that a short line starts on the outline of, and its end inside. */
function tickOn(pieces: readonly Draft[], chain: Chain): { piece: Draft; at: Vec; inside: Vec } | undefined {
  const [a, b] = [start(chain.path), end(chain.path)];
  for (const piece of pieces) {
    const [offA, offB] = [offOf(piece, a), offOf(piece, b)];
    if (Math.min(offA, offB) > ON_OUTLINE) continue;
    return offA <= offB ? { piece, at: a, inside: b } : { piece, at: b, inside: a };
  }
  return undefined;
}

/** Distance of a point from a piece's outline, mm; infinite where it is farther than any of the limits here. */
function offOf({ ring: { polygon, box } }: Draft, p: Vec): number {
  const [minX, minY, maxX, maxY] = box;
  const far = NEAR_TEXT;
  if (p[0] < minX - far || p[0] > maxX + far || p[1] < minY - far || p[1] > maxY + far) return Infinity;
  return polygon.reduce(
    (least, a, i) => Math.min(least, distanceToSegment(p, a, polygon[(i + 1) % polygon.length]!)),
    Infinity,
  );
}

/** The piece a text just beside it belongs to: the nearest within a hand's breadth. */
function closest(pieces: readonly Draft[], at: Vec): Draft | undefined {
  const near = pieces
    .map((piece) => ({ piece, off: offOf(piece, at) }))
    .filter(({ off }) => off <= NEAR_TEXT)
    .sort((a, b) => a.off - b.off);
  return near[0]?.piece;
}

const NEAR_TEXT = 30;

/** Words that tell a piece, wherever in a text they stand. */
const PIECE_WORDS =
  /\b(front|back|sleeve|neckband|cuff|collar|hood|pocket|yoke|facing|waistband|hem[ -]?band|placket|gusset|binding)s?\b/i;

function named(pieces: readonly Draft[]): FoundPiece[] {
  const used = new Map<string, number>();
  return pieces.map((piece, i): FoundPiece => {
    const wanted = nameOf(piece) || `piece-${i + 1}`;
    const count = (used.get(wanted) ?? 0) + 1;
    used.set(wanted, count);
    const { ring, sew } = piece;
    return {
      name: count === 1 ? wanted : `${wanted}-${count}`,
      outline: (sew ?? ring).chain.path,
      ...(sew ? { cut: ring.polygon } : {}),
      ...(piece.grain ? { grain: piece.grain } : {}),
      ...(piece.fold ? { fold: piece.fold } : {}),
      internals: piece.internals,
      notches: pairedNotches(piece.ticks, DOUBLE),
      texts: piece.texts,
      where: ring.chain.where,
    };
  });
}

function nameOf({ ring, texts }: Draft): string {
  const own = ring.chain.name ?? '';
  const words = [own, ...texts.map((t) => t.text)];
  const told = words.map((text) => PIECE_WORDS.exec(text)?.[1]).find((word) => word !== undefined);
  if (told !== undefined) return slug(told);
  if (slug(own) !== '') return slug(own);
  return slug(texts.map((t) => t.text).find((text) => /\p{L}{2}/u.test(text)) ?? '');
}

/** A page may lie anywhere, but nothing on it is larger than anything that is cut. */
const MOST_OFFSET = 1e6;

function isTooLarge(path: Path): boolean {
  const { minX, minY, maxX, maxY } = bounds(path.flatMap((s) => [s.a, s.b]));
  const offset = Math.max(Math.abs(minX), Math.abs(minY), Math.abs(maxX), Math.abs(maxY));
  return !(offset <= MOST_OFFSET && Math.max(maxX - minX, maxY - minY) <= MOST_EXTENT);
}

function pushTo<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list) list.push(value);
  else map.set(key, [value]);
}
