import { InputError } from '../../errors.js';
import { labelPlace } from '../../finish/label.js';
import { contains } from '../../geometry/polygon.js';
import type { Vec } from '../../geometry/vec.js';
import { toMarker } from '../../lay/frame.js';
import type { LayMode, Marker, PlacedPiece } from '../../lay/types.js';
import { formatLength, type Unit } from '../../units.js';
import { metresAndYards, oneLine, plural } from '../text.js';
import { foldNote, onFold, partOutline } from './fold.js';
import { grainArrow } from './grain.js';
import { fitLabel, type Label, type LabelOptions, lettering } from './label.js';
import { partsInside, partsOutsideBox } from './lines.js';
import { nicks } from './notch.js';
import { ring, type Shape, type Stroke, stroke } from './shapes.js';
import { stretchAlong, stretchArrow } from './stretch.js';
import { zoneShapes } from './zones.js';

const BUNDLE_LETTERING: LabelOptions = { max: 12, min: 3 };
/** Height of the words beside a fold, mm. */
const FOLD_NOTE = 6;

/** Every shape of a marker in its own frame, mm: the fabric edge and its flaws, then the pieces in order. */
export const markerShapes = (marker: Marker): Shape[] => [
  fabricEdge(marker),
  ...zoneShapes(marker),
  ...marker.pieces.flatMap((placed) => placedShapes(marker, placed)),
];

export const fabricEdge = (marker: Marker): Stroke =>
  ring('FABRIC', [
    [0, 0],
    [marker.length, 0],
    [marker.length, marker.width],
    [0, marker.width],
  ]);

/**
 * Cut line, notches, internal lines, grain, stretch and label of one placed piece, in the marker frame.
 *
 * @throws InputError when the piece has no outline or a coordinate of it is not finite.
 */
export function placedShapes(marker: Marker, placed: PlacedPiece): Shape[] {
  const { piece, outline } = placed;
  const lines = cutShapes(placed, FOLD_NOTE);
  const map = toMarker(placed);
  const label = bundleLabel(marker, placed);
  const internals = piece.internals
    .flatMap(({ points }) => partsInside(points.map(map), outline))
    .flatMap((part) => partsOutsideBox(part, label.at, label.half))
    .map((part) => stroke('INTERNAL', part));
  // Pieces of a garment that lies one way must not be turned alone: two heads only where any piece may be.
  const heads = marker.fabric.orientation === 'either-way' ? 2 : 1;
  const grain = grainArrow(map(piece.grain.from), map(piece.grain.to), outline, label, { heads });
  const stretch = piece.stretch ? stretchArrow(stretchAlong(piece.stretch, map), outline, label, grain) : [];
  return [...lines, ...internals, ...grain, ...stretch, ...lettering('LABEL', label)];
}

/** The label of a placed piece inside its outline; a small piece gets fewer words, at the least its number. */
export const bundleLabel = (marker: Marker, placed: PlacedPiece): Label =>
  fitLabel(placed.outline, labelPoint(placed), bundleWordings(marker, placed), BUNDLE_LETTERING);

/** What a label says where there is room: style, piece, size, hand, bundle, number and face, a part each. */
export function bundleFacts(marker: Marker, placed: PlacedPiece): string[] {
  const { piece, garment, number } = placed;
  const hand = handOf(placed);
  return [
    marker.style,
    `${piece.name} ${piece.size}${hand === '' ? '' : ` (${hand})`}`,
    garment,
    `no. ${number}`,
    plyFace(marker),
  ].map(oneLine);
}

/** How a piece lies: as a half on a fold, mirrored, or as drawn (no word). */
export const handOf = (placed: PlacedPiece): '' | 'on fold' | 'mirrored' =>
  onFold(placed) ? 'on fold' : placed.mirrored ? 'mirrored' : '';

/** Which side of the cloth is up where a piece is cut: of plies spread face to face, or of cloth laid double, both are. */
export const plyFace = (marker: Marker): 'face up' | 'both faces' =>
  marker.spread.mode === 'single' ? 'face up' : 'both faces';

/**
 * One placed piece in a small picture: its cut line and notches, its number and its name, lettered to `size`.
 *
 * @throws InputError when the piece has no outline or a coordinate of it is not finite.
 */
export function numberedShapes(placed: PlacedPiece, size: LabelOptions): Shape[] {
  const { piece, outline, number } = placed;
  const lines = cutShapes(placed, size.min);
  const name = oneLine(`${piece.name} ${piece.size}`);
  const wordings = [[`${number}`, name], [`${number}  ${name}`], [`${number}`]];
  return [...lines, ...lettering('LABEL', fitLabel(outline, labelPoint(placed), wordings, size))];
}

/** Cut line, fold and notches. */
function cutShapes(placed: PlacedPiece, noteHeight: number): Shape[] {
  assertDrawable(placed);
  const { closed, cut, fold } = partOutline(placed);
  const map = toMarker(placed);
  return [
    ...cut.map((run) => (closed ? ring('CUT', run) : stroke('CUT', run))),
    ...fold.flatMap((run) => [stroke('FOLD', run), foldNote(run, noteHeight)]),
    ...placed.piece.notches.flatMap((notch) => nicks(notch, placed.outline, map)),
  ];
}

/** What the drawing is, one fact a line: for the strip beside a marker. */
export function markerNote(marker: Marker, unit: Unit): string[] {
  const { fabric } = marker;
  const sizes = Object.entries(marker.ratio).filter(([, count]) => count > 0);
  const garments = sizes.reduce((sum, [, count]) => sum + count, 0);
  const spare = marker.spare.map((s) => `${s.count} ${s.piece} ${s.size}`);
  return [
    `${marker.style}: ${marker.name}`,
    `Fabric: ${fabric.name}${fabric.description ? ` (${fabric.description})` : ''}`,
    `${WIDTHS[marker.spread.mode].of} ${bothUnits(marker.width, unit)}${WIDTHS[marker.spread.mode].as}`,
    `Marker length ${metresAndYards(marker.length)}`,
    `Sizes ${sizes.map(([size, count]) => `${size} x ${count}`).join(', ')}`,
    `${plural(garments, 'garment')}, ${plural(marker.pieces.length, 'piece')} placed, ${PLIES[marker.spread.mode]}`,
    ORIENTATION[fabric.orientation],
    `Gap between pieces ${formatLength(marker.options.gap, 'mm')}, efficiency ${(marker.efficiency * 100).toFixed(1)} %`,
    ...(spare.length > 0 ? [`Cut beyond need: ${spare.join(', ')}`] : []),
    ...warningsOn(marker),
  ].map(oneLine);
}

/** What must stand on every output of this marker, in the order of weight. */
export function warningsOn(marker: Marker): string[] {
  const stamps = marker.stamp ? [marker.stamp] : [];
  return marker.verified
    ? stamps
    : [...stamps, 'NOT VERIFIED: pieces may overlap or leave the cloth. Do not cut.'];
}

export const ORIENTATION: Readonly<Record<Marker['fabric']['orientation'], string>> = {
  'one-way': 'All pieces lie one way',
  'garment-one-way': 'Pieces of one garment lie one way',
  'either-way': 'Pieces may lie either way round',
};

const WIDTHS: Readonly<Record<LayMode, { of: string; as: string }>> = {
  single: { of: 'Usable width', as: '' },
  'face-to-face': { of: 'Usable width', as: '' },
  folded: {
    of: 'Laid width',
    as: ', half the usable width, folded lengthwise with the fold on the lower edge',
  },
  tubular: { of: 'Usable width', as: ', tube laid flat' },
};

/** What the edges of the cloth are in a picture of a marker: `The lower edge is the lower selvedge.` */
export const EDGES: Readonly<Record<LayMode, string>> = {
  single: 'The lower edge is the lower selvedge.',
  'face-to-face': 'The lower edge is the lower selvedge.',
  folded: 'The lower edge is the fold, the upper one the two selvedges.',
  tubular: 'Both edges are folds of the tube.',
};

const PLIES: Readonly<Record<LayMode, string>> = {
  single: 'one layer a ply, right side up',
  'face-to-face': 'one layer a ply, plies face to face, an even number of them',
  folded: 'every ply cuts two layers',
  tubular: 'every ply cuts two layers',
};

/** Here, because a label fitted to a broken outline would hide where the fault is. */
export function assertDrawable({ piece, number, outline, at }: PlacedPiece): void {
  const name = `piece ${number} of the marker (${piece.name} ${piece.size})`;
  if (outline.length < 3) throw new InputError(`${name} has no outline`);
  if (![at, ...outline].every((p) => p.every(Number.isFinite))) {
    throw new InputError(`${name} has a coordinate that is not a finite number`);
  }
}

/** Wordings of a label, the whole one first; then fewer words, and at the last the number alone. */
function bundleWordings(marker: Marker, placed: PlacedPiece): string[][] {
  const [style = '', name = '', garment = '', number = '', face = ''] = bundleFacts(marker, placed);
  return [
    [style, name, `${garment}  ${number}`, face],
    [style, name, `${garment}  ${number}  ${face}`],
    [`${style}  ${name}`, `${garment}  ${number}  ${face}`],
    [`${style}  ${name}  ${garment}  ${number}  ${face}`],
    [name, `${garment}  ${number}`],
    [`${name}  ${garment}  ${number}`],
    [garment, number],
    [number],
    [`${placed.number}`],
  ];
}

/** The piece's own label point; a half on the fold may not hold it. */
function labelPoint(placed: PlacedPiece): Vec {
  const at = toMarker(placed)(placed.piece.label.at);
  return !onFold(placed) && contains(placed.outline, at) ? at : labelPlace(placed.outline).at;
}

function bothUnits(mm: number, unit: Unit): string {
  const own = formatLength(mm, unit);
  return unit === 'mm' ? own : `${own} (${formatLength(mm, 'mm')})`;
}
