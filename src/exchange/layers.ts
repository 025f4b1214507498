/** How a layer is drawn: millimetres, and `#rrggbb`. */
export interface Pen {
  readonly width: number;
  readonly dash: readonly number[];
  readonly colour: string;
}

export interface Layer {
  readonly name: string;
  /** What it is called where a reader can switch layers on and off. */
  readonly title: string;
  /** One sentence for whoever cuts. */
  readonly meaning: string;
  /** Index into the colour table that every DXF reader carries. */
  readonly colourIndex: number;
  readonly pen: Pen;
}

const BLACK = '#000000';
const GREY = '#595959';

/** Every layer of our drawings, in the order in which they are drawn. Names hold in DXF, PDF and SVG alike. */
export const LAYERS = [
  {
    name: 'FABRIC',
    title: 'Fabric edge',
    meaning: 'The rectangle of cloth that the marker uses: usable width by marker length. Do not cut it.',
    colourIndex: 6,
    pen: { width: 0.5, dash: [12, 3, 2, 3], colour: GREY },
  },
  {
    name: 'ZONE',
    title: 'Flaws and splices',
    meaning:
      'Flaws of the cloth that pieces keep off, and splice lines that no piece crosses; only in a marker laid for cloth that has them. Do not cut.',
    colourIndex: 6,
    pen: { width: 0.5, dash: [3, 2], colour: GREY },
  },
  {
    name: 'CUT',
    title: 'Cut line',
    meaning:
      'The line to cut, once for every placed piece: a closed polyline, or an open one from fold to fold for a piece laid on a fold. Seam allowances and hems are included.',
    colourIndex: 7,
    pen: { width: 0.4, dash: [], colour: BLACK },
  },
  {
    name: 'SEW',
    title: 'Sewing line',
    meaning: 'Where the stitching goes. Drawn on paper patterns, not in markers; never cut.',
    colourIndex: 8,
    pen: { width: 0.25, dash: [4, 2], colour: GREY },
  },
  {
    name: 'NOTCH',
    title: 'Notches',
    meaning:
      'Nicks from the cut line into the seam allowance, each as long as it is deep; two nicks side by side are one double notch.',
    colourIndex: 1,
    pen: { width: 0.4, dash: [], colour: BLACK },
  },
  {
    name: 'INTERNAL',
    title: 'Internal lines',
    meaning: 'Lines inside a piece for placing or folding. Mark them if asked to; do not cut.',
    colourIndex: 3,
    pen: { width: 0.25, dash: [6, 2, 1, 2], colour: GREY },
  },
  {
    name: 'FOLD',
    title: 'Fold or centre line',
    meaning:
      'Where a piece lies on a fold of the cloth, or the centre line of a piece drawn opened. Do not cut: the piece opens there.',
    colourIndex: 2,
    pen: { width: 0.3, dash: [10, 3], colour: GREY },
  },
  {
    name: 'GRAIN',
    title: 'Grain',
    meaning:
      'Direction of the wales. One arrow head: the piece must lie this way round (see the note on the marker). Two heads: either way round. Do not cut.',
    colourIndex: 4,
    pen: { width: 0.25, dash: [], colour: GREY },
  },
  {
    name: 'STRETCH',
    title: 'Stretch',
    meaning:
      'Direction in which a piece must stretch most, an arrow with two heads and the stretch in words, where the style states it. Do not cut.',
    colourIndex: 30,
    pen: { width: 0.25, dash: [], colour: GREY },
  },
  {
    name: 'LABEL',
    title: 'Labels',
    meaning:
      'Style, piece, size, garment (bundle), running number and face of the cloth of each piece, inside it; a small piece bears fewer words. Do not cut.',
    colourIndex: 5,
    pen: { width: 0.25, dash: [], colour: BLACK },
  },
  {
    name: 'NOTE',
    title: 'Notes',
    meaning: 'What the whole drawing is, beside the cloth: style, fabric, sizes, warnings. Do not cut.',
    colourIndex: 5,
    pen: { width: 0.25, dash: [], colour: BLACK },
  },
] as const satisfies readonly Layer[];

export type LayerName = (typeof LAYERS)[number]['name'];

/** Layers that a marker can hold; the sewing line is for paper patterns. */
export const MARKER_LAYERS: readonly LayerName[] = LAYERS.map((l) => l.name).filter((n) => n !== 'SEW');

export const layerOf = (name: LayerName): Layer => LAYERS.find((l) => l.name === name)!;
