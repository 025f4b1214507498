import type { Marker } from '../lay/types.js';
import { formatLength, type Unit } from '../units.js';
import { markerNote } from './drawing/marker.js';
import { LAYERS, MARKER_LAYERS } from './layers.js';
import { oneLine } from './text.js';

const WIDTH = 96;

/** Plain text that goes with marker files to whoever cuts: what they hold and how to check them. */
export function cuttingReadme(markers: readonly Marker[], options: { units: Unit }): string {
  const layers = LAYERS.filter((layer) => MARKER_LAYERS.includes(layer.name));
  const longest = Math.max(...layers.map((layer) => layer.name.length));
  const gaps = markers.filter((marker) => marker.options.gap === 0).map((marker) => marker.name);
  return [
    'FILES FOR THE CUTTING TABLE',
    '',
    ...markers.flatMap((marker) => [...markerNote(marker, options.units).map((fact) => oneLine(fact)), '']),
    'THE DRAWING (DXF)',
    ...fold(
      'Millimetres ($INSUNITS 4). X runs along the cloth from the start of the lay, Y across it from the lower selvedge; the arrow of the grain follows the wales.',
    ),
    ...fold(
      'Check before cutting: the FABRIC rectangle must measure the usable width by the marker length given above. If it does not, the file was read in another unit.',
    ),
    '',
    'LAYERS',
    ...layers.flatMap((layer) => hang(layer.name.padEnd(longest + 2), layer.meaning)),
    '',
    ...fold('Seam allowances, hems and shrinkage are in the cut line already: add nothing.'),
    ...(gaps.length > 0
      ? fold(
          `Pieces may touch in ${gaps.map(oneLine).join(', ')} (gap 0): a line that two pieces share is drawn twice.`,
        )
      : []),
    ...fold(`A double notch is two nicks ${formatLength(5, 'mm')} apart.`),
    '',
  ].join('\n');
}

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
