import { InputError } from '../errors.js';
import { onFold } from '../exchange/drawing/fold.js';
import { EDGES, markerNote, ORIENTATION, warningsOn } from '../exchange/drawing/marker.js';
import { cutCount } from '../exchange/drawing/piece.js';
import { fileName, fileStem } from '../exchange/text.js';
import { bounds } from '../geometry/polygon.js';
import { consumption } from '../lay/consumption.js';
import { mostOffGrain } from '../lay/turns.js';
import type { Fabric, Marker, PlacedPiece } from '../lay/types.js';
import type { Unit } from '../units.js';
import { sheetCautions } from './cutting-room.js';
import {
  type Block,
  type Document,
  figure,
  heading,
  list,
  numeric,
  paragraph,
  type Text,
  table,
} from './document.js';
import { both, cloth, day, mass, plural, ratioText } from './format.js';
import { documentHtml } from './html-document.js';
import { documentPdf, type PdfOptions } from './pdf-document.js';
import { garmentsOf } from './pictures.js';
import { modeName, spreadingOf } from './spreading.js';

/** One lay to cut: a marker and its plies. */
export interface SheetLay {
  /** Running number of the lay in its order, from 1. */
  readonly number: number;
  readonly marker: Marker;
  /** From the bottom of the stack upwards; one entry without a colour where the order has none. */
  readonly plies: readonly { readonly colour?: string; readonly plies: number }[];
}

export interface CutSheetInput {
  readonly style: string;
  /** Label the style is made for; left out, the sheet names none. */
  readonly label?: string;
  readonly unit: Unit;
  readonly date: Date;
  readonly lays: readonly SheetLay[];
  /** What whoever cuts should know beside it, a line each. */
  readonly notes?: readonly string[];
  readonly childSizes?: boolean;
  readonly paper?: PdfOptions['paper'];
}

/** A file beside the markers. */
export interface SheetFile {
  readonly name: string;
  readonly content: Uint8Array | string;
}

/**
 * Cut sheets: for every lay one PDF and one HTML file, named `cut-sheet-1-<marker>`. Each says the fabric and
 * how it is spread, plies by colour, sizes and garments, the bundles with their pieces, notes and cautions, and
 * shows the marker. The same input gives the same bytes.
 *
 * @throws InputError for a lay without plies or a coordinate that is not finite.
 */
export async function cutSheets(input: CutSheetInput): Promise<SheetFile[]> {
  const sheets = input.lays.map(async (lay): Promise<SheetFile[]> => {
    const name = `cut-sheet-${lay.number}-${fileStem(lay.marker.name)}`;
    const document = cutSheet(input, lay);
    const paper = input.paper === undefined ? {} : { paper: input.paper };
    return [
      { name: `${name}.pdf`, content: await documentPdf(document, paper) },
      { name: `${name}.html`, content: documentHtml(document) },
    ];
  });
  return (await Promise.all(sheets)).flat();
}

/** One lay's sheet as a document. @throws InputError for a lay without plies. */
export function cutSheet(input: CutSheetInput, lay: SheetLay): Document {
  const { marker } = lay;
  const plies = lay.plies.reduce((sum, p) => sum + p.plies, 0);
  if (plies < 1) throw new InputError(`lay ${lay.number} of marker '${marker.name}' has no plies`);
  const title = `${input.style}: cut sheet, lay ${lay.number}`;
  const blocks: Block[] = [
    ...[...warningsOn(marker), ...oddPlies(lay, plies)].map((text): Block => ({ kind: 'stamp', text })),
    heading(title, 1),
    paragraph(
      `Ticket ${ticket(input, lay)} · ${day(input.date)}${input.label ? ` · ${input.label}` : ''} · marker ${marker.name}`,
      'lead',
    ),
    { kind: 'facts', facts: facts(input, lay, plies) },
    figure(
      { of: 'marker', marker },
      `${marker.name}: the lay starts at the left, a long one goes on in the rows below. ${EDGES[marker.spread.mode]} Numbers as in the piece list. Not to scale.`,
    ),
    heading('Spread'),
    paragraph(spreadingOf(marker.fabric)),
    pliesTable(lay, plies, input.unit),
    heading('Cut'),
    paragraph(
      `${ORIENTATION[marker.fabric.orientation]}. A bundle is the stack cut at one garment's place through all plies: tie it, and put its number, size and the colours on it.`,
    ),
    bundleTable(marker, plies),
    pieceTable(marker, plies),
    ...spareBlocks(marker, plies),
    ...zoneBlocks(marker, input.unit),
    ...(input.notes && input.notes.length > 0 ? [heading('Notes', 3), list(input.notes)] : []),
    ...sheetCautions({ childSizes: input.childSizes ?? false }),
  ];
  return {
    title,
    subject: markerNote(marker, input.unit).join('; '),
    date: input.date,
    blocks,
  };
}

/** A number that no other sheet of the style and day has. */
const ticket = (input: CutSheetInput, lay: SheetLay): string =>
  `${fileName(input.style)}-${day(input.date).replaceAll('-', '')}-${lay.number}`;

function facts(input: CutSheetInput, lay: SheetLay, plies: number): [string, Text][] {
  const { marker } = lay;
  const { fabric, options } = marker;
  const { unit } = input;
  const used = consumption(marker);
  return [
    ['Fabric', fabric.description === fabric.name ? fabric.name : `${fabric.name}: ${fabric.description}`],
    ['Usable width', both(fabric.usableWidth, unit)],
    ['Lay mode', modeName(marker.spread.mode)],
    ['Marker length', cloth(used.markerLength, unit)],
    ['Ply length, with ends', cloth(used.plyLength, unit)],
    ['End allowance, each end', both(options.endAllowance, unit)],
    ['Plies', plural(plies, 'ply', 'plies')],
    ['Thicknesses of cloth', String(plies * marker.layers)],
    ['Cloth spread', cloth(used.plyLength * plies, unit)],
    ['Sizes in one ply', ratioText(marker.ratio)],
    ['Garments', `${used.garments} a ply, ${used.garments * plies} in all`],
    ['Pieces placed', `${marker.pieces.length}, gap ${both(options.gap, unit)}`],
    ...(options.tilt
      ? [['Off the grain', `up to ${mostOffGrain(marker).toFixed(1)} degrees`] as [string, Text]]
      : []),
    ...(options.shadeSpan
      ? [['Each garment within, for shade', cloth(options.shadeSpan / 1000, unit)] as [string, Text]]
      : []),
    ['Shrinkage in the pieces', shrinkageText(fabric)],
    ['Search', `seed ${marker.search.seed}, ${plural(marker.search.rounds, 'round')}${endedEarly(marker)}`],
    ['Exact check', marker.verified ? 'passed' : 'NOT VERIFIED'],
  ];
}

const shrinkageText = ({ shrinkage: { walewise, coursewise } }: Fabric): string =>
  walewise === 0 && coursewise === 0
    ? 'none'
    : `${walewise} % along, ${coursewise} % across: cut it unwashed`;

function pliesTable(lay: SheetLay, plies: number, unit: Unit): Block {
  const used = consumption(lay.marker);
  const row = (name: string, count: number, from: Text): Text[] => [
    name,
    from,
    String(count),
    cloth(used.plyLength * count, unit),
    cloth(used.rollLength * count, unit),
    mass(used.mass * count),
    String(used.garments * count),
  ];
  let done = 0;
  const rows = lay.plies.map((p) => {
    const from = done + 1;
    done += p.plies;
    return row(p.colour ?? 'all plies', p.plies, p.plies > 1 ? `${from} to ${done}` : String(from));
  });
  const total = rows.length > 1;
  return table(
    [
      { head: 'Colour' },
      { head: 'Plies from below' },
      ...numeric('Plies', 'Spread', 'Off the roll', 'Weight', 'Garments'),
    ],
    total ? [...rows, row('All', plies, '')] : rows,
    { caption: 'Plies by colour', total },
  );
}

/** Pieces that the stack gives at one place: a half on a fold opens to one a ply. */
const piecesAt = (placed: PlacedPiece, marker: Marker, plies: number): number =>
  plies * (onFold(placed) ? 1 : marker.layers);

/** What lies at one garment's place, and how much of it the stack gives. */
function bundleTable(marker: Marker, plies: number): Block {
  const rows = garmentsOf(marker).map(({ garment, pieces, placed }): Text[] => [
    garment,
    pieces.join(', '),
    String(placed.length),
    String(placed.reduce((sum, p) => sum + piecesAt(p, marker, plies), 0)),
  ]);
  return table(
    [{ head: 'Bundle' }, { head: 'Numbers in the picture' }, ...numeric('Places', 'Pieces in the bundle')],
    rows,
    { caption: `Bundles of ${plural(plies * marker.layers, 'thickness', 'thicknesses')}` },
  );
}

/** Every piece: what a garment takes, and how many this lay cuts of each size. */
function pieceTable(marker: Marker, plies: number): Block {
  const sizes = Object.keys(marker.ratio).filter((size) => marker.ratio[size]! > 0);
  const names = [...new Set(marker.pieces.map((p) => p.piece.name))].sort((a, b) => a.localeCompare(b, 'en'));
  const cut = (name: string | undefined, size: string | undefined) =>
    marker.pieces
      .filter((p) => (name ?? p.piece.name) === p.piece.name && (size ?? p.piece.size) === p.piece.size)
      .reduce((sum, p) => sum + piecesAt(p, marker, plies), 0);
  const row = (name: string | undefined): Text[] => [
    name ?? 'All',
    name === undefined ? '' : cutCount(marker.pieces.find((p) => p.piece.name === name)!.piece.counts),
    ...sizes.map((size) => String(cut(name, size))),
    String(cut(name, undefined)),
  ];
  return table(
    [{ head: 'Piece' }, { head: 'One garment' }, ...numeric(...sizes, 'All')],
    [...names.map(row), row(undefined)],
    { caption: 'Piece list: pieces that this lay cuts, by size', total: true },
  );
}

const spareBlocks = (marker: Marker, plies: number): Block[] =>
  marker.spare.length === 0
    ? []
    : [
        paragraph(
          `Cut beyond need: ${marker.spare.map((s) => `${s.count * plies} ${s.piece} ${s.size}`).join(', ')}. Keep them for re-cuts.`,
        ),
      ];

/** Plies spread face to face give both hands only in pairs, and in pairs of one colour. */
function oddPlies(lay: SheetLay, plies: number): string[] {
  if (lay.marker.spread.plies !== 'even') return [];
  const odd = lay.plies.filter((p) => p.plies % 2 !== 0);
  if (odd.length === 0) return [];
  return [
    `ODD PLIES: ${plies} plies face to face, ${odd.map((p) => `${p.plies} ${p.colour ?? 'of the cloth'}`).join(', ')}. One ply alone gives one hand only.`,
  ];
}

const zoneBlocks = (marker: Marker, unit: Unit): Block[] =>
  marker.zones === undefined || marker.zones.length === 0
    ? []
    : [
        heading('Flaws and splices kept free', 3),
        list(
          marker.zones.map(({ kind, outline, overlap, note }) => {
            const { minX, maxX, minY, maxY } = bounds(outline);
            const where =
              kind === 'splice'
                ? `at ${both(minX, unit)} from the start${overlap ? `, overlap ${both(overlap, unit)}` : ''}`
                : `${both(minX, unit)} to ${both(maxX, unit)} from the start, ${both(minY, unit)} to ${both(maxY, unit)} from the lower edge`;
            return `${kind} ${where}${note ? `: ${note}` : ''}`;
          }),
        ),
      ];

const endedEarly = ({ search: { failure } }: Marker): string =>
  failure === undefined ? '' : `, ended early: ${failure}`;
