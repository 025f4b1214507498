import type { Marker } from '../lay/types.js';
import { formatLength, type Unit } from '../units.js';
import { type CutLineReport, checkCutLines } from './cut-lines.js';
import { markerNote, warningsOn } from './drawing/marker.js';
import { DOUBLE_NOTCH_SPACING } from './drawing/notch.js';
import type { MarkerDxfOptions } from './dxf-marker.js';
import { LAYERS, MARKER_LAYERS } from './layers.js';
import { metresAndYards, oneLine, plural } from './text.js';

export interface CuttingNoteOptions {
  /** Unit of the lengths that are told; metres and millimetres stand beside it. */
  readonly units: Unit;
  /** How the drawings were written. Default: current DXF in millimetres with every layer. */
  readonly dxf?: Partial<MarkerDxfOptions>;
  /** Plies to cut, by marker; of a marker that is not named they are left to the order. */
  readonly plies?: Readonly<Record<string, number>>;
  /** Cautions of the cutting room at the end. Default false. */
  readonly cautions?: boolean;
}

const WIDTH = 96;

/**
 * Plain text that goes with marker files to whoever cuts: what they hold, how to check them, the length of the cut
 * lines, and what each layer means. Of the style it tells no more than the markers show.
 *
 * @throws InputError when a marker has a piece without an outline or a coordinate that is not finite.
 */
export function cuttingReadme(markers: readonly Marker[], options: CuttingNoteOptions): string {
  const warnings = [...new Set(markers.flatMap(warningsOn))];
  return [
    'FILES FOR THE CUTTING TABLE',
    '',
    ...warnings.flatMap((warning) => [...fold(oneLine(warning).toUpperCase()), '']),
    ...markers.flatMap((marker) => [...markerLines(marker, options), '']),
    'THE DRAWING (DXF)',
    ...drawingLines(options),
    '',
    'LAYERS',
    ...layerLines(options),
    '',
    ...fold('Seam allowances, hems and shrinkage are in the cut line already: add nothing.'),
    ...fold(`A double notch is two nicks ${formatLength(DOUBLE_NOTCH_SPACING, 'mm')} apart.`),
    ...(options.cautions ? ['', 'CAUTIONS', ...CAUTIONS.flatMap((caution) => hang('- ', caution))] : []),
    '',
  ].join('\n');
}

/** What a marker is, its plies and its cut lines. */
function markerLines(marker: Marker, { units, plies }: CuttingNoteOptions): string[] {
  const known = plies?.[marker.name];
  const lines = checkCutLines(marker);
  return [
    ...markerNote(marker, units).flatMap((fact) => fold(fact)),
    known === undefined
      ? 'Plies: not set in these files; see the order'
      : `Plies: ${known}${marker.layers === 2 ? `, ${2 * known} thicknesses of cloth` : ''}`,
    ...fold(cutLengthNote(lines)),
    ...(lines.gap === 0 ? fold(sharedNote(lines)) : []),
  ];
}

/** How long the cut lines of a marker are, in a sentence. */
export const cutLengthNote = ({ length, closed, foldToFold }: CutLineReport): string =>
  `Cut length of one ply: ${metresAndYards(length)} in ${plural(closed, 'closed line')}${
    foldToFold > 0 ? ` and ${plural(foldToFold, 'line')} from fold to fold` : ''
  }`;

/** What to know of a marker whose pieces may touch, in a sentence or two. */
export const sharedNote = ({ marker, shared, sharedBy }: CutLineReport): string =>
  shared > 0
    ? `WARNING: gap 0 in ${oneLine(marker)}: ${metresAndYards(shared)} of line are shared by two pieces (${plural(sharedBy.length, 'pair')}). Every outline is closed, so a shared line is drawn twice; cut as drawn, the knife passes there twice.`
    : `Gap 0 in ${oneLine(marker)}: pieces may touch; no line is shared by two pieces.`;

function drawingLines({ dxf }: CuttingNoteOptions): string[] {
  const inches = dxf?.units === 'in';
  const unit = inches ? 'Inches' : 'Millimetres';
  // R12 has no field for the unit: there this text and the note in the drawing tell it.
  const told =
    dxf?.flavour === 'r12' ? 'R12; the file has no field for its unit' : `$INSUNITS ${inches ? 1 : 4}`;
  return [
    ...fold(
      `Scale 1 : 1. ${unit} (${told}). X runs along the cloth from the start of the lay, Y across it from the lower selvedge or fold; the arrow of the grain follows the wales.`,
    ),
    ...(dxf?.cutOnly
      ? fold(
          'Only the cut lines are in the drawing. Check before cutting: they must lie within the laid width by the marker length given above. If they do not, the file was read in another unit.',
        )
      : fold(
          'Check before cutting: the FABRIC rectangle must measure the laid width by the marker length given above. If it does not, the file was read in another unit.',
        )),
  ];
}

function layerLines({ dxf }: CuttingNoteOptions): string[] {
  const layers = LAYERS.filter(({ name }) => (dxf?.cutOnly ? name === 'CUT' : MARKER_LAYERS.includes(name)));
  const longest = Math.max(...layers.map((layer) => layer.name.length));
  return layers.flatMap((layer) => hang(layer.name.padEnd(longest + 2), layer.meaning));
}

/** Reminders; common practice of cutting rooms, no source. The report names published ones. */
const CAUTIONS = [
  'Reminders only. The law and codes of the place, the maker’s manual of the machine and trained staff come first.',
  'Measure the usable width on every roll and use the narrowest. Let a knit lie unrolled before it is spread, and spread it without tension.',
  'Cut one garment as a trial and measure it before the whole lay.',
  'Guards stay on blades; isolate the machine before a blade is changed; wear the gloves that the maker of the machine asks for.',
  'Extract the fumes of a laser, keep watch for fire and never leave it alone.',
  'For children’s wear mind the rules on cords, neck openings and small parts. They are not assessed here.',
];

function fold(text: string, width = WIDTH): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

const hang = (head: string, text: string): string[] =>
  fold(text, WIDTH - head.length).map((line, i) => (i === 0 ? head : ' '.repeat(head.length)) + line);
