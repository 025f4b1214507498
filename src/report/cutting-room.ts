import { cutCount } from '../exchange/drawing/piece.js';
import { area } from '../geometry/polygon.js';
import { type Block, bold, heading, italic, list, numeric, paragraph, type Text, table } from './document.js';
import { garmentBlocks } from './pictures.js';
import type { ReportData } from './types.js';

const SQUARE_MM_PER_SQUARE_CM = 100;

/** What to cut: the pieces of one garment, and which placed pieces make one. */
export function cutBlocks(data: ReportData): Block[] {
  const rows = data.pieces.map((piece): Text[] => [
    piece.name,
    piece.fabric,
    cutCount(piece.counts),
    `${(area(piece.cut) / SQUARE_MM_PER_SQUARE_CM).toFixed(0)} cm²`,
    piece.stretch
      ? `${piece.stretch.percent} % along the ${piece.stretch.along === 'course' ? 'courses' : 'wales'}`
      : '',
  ]);
  return [
    heading('What to cut'),
    table(
      [
        { head: 'Piece' },
        { head: 'Fabric' },
        { head: 'One garment' },
        ...numeric(`Area, size ${data.range.base}`),
        { head: 'Stretch' },
      ],
      rows,
      { caption: 'Cut list of one garment' },
    ),
    ...garmentBlocks(data.markers),
  ];
}

/** Notes and cautions of the cutting room. They remind; they do not train. */
export const cautionBlocks = (options: { childSizes: boolean }): Block[] => [
  heading('In the cutting room'),
  paragraph(
    'Reminders only. The law and codes of the place, the maker’s manual and trained staff come first.',
  ),
  list([...CLOTH, ...CAUTIONS, ...(options.childSizes ? CHILDREN : NOT_ASSESSED)]),
];

/** What a cut sheet carries of them. */
export const sheetCautions = (options: { childSizes: boolean }): Block[] => [
  heading('Cautions', 3),
  paragraph('Local codes, the maker’s manual and trained staff come first.'),
  list([...CAUTIONS, ...(options.childSizes ? CHILDREN : [])]),
];

const CLOTH: readonly Text[] = [
  [
    bold('Cloth. '),
    'Measure the width that can be cut on every roll and use the narrowest. Let a knit lie unrolled before it is spread: a day, up to two for a very elastic one, says ',
    italic('Industrial Cutting of Textile Materials'),
    '. Spread without tension.',
  ],
  [
    bold('Before the first cut. '),
    'Measure the test square or the fabric rectangle, count the pieces against the cut list and cut one garment as a trial. Wash a sample: shrinkage is in the pieces only as far as it was stated.',
  ],
];

const CAUTIONS: readonly Text[] = [
  [
    bold('Blades. '),
    'Guards cover the blade and adjust to the height of the lay; five-finger chain-mail gloves for cutting and for handling blades; warning before a machine moves; a set procedure for changing and throwing away blades; fluff is cleaned away. Source: Health and Safety Executive (Great Britain), hse.gov.uk/textiles/machinery/cutting.htm. Chain mail can be caught by rotating parts: wear it only with the machines it is made for.',
  ],
  [
    bold('Changing a blade. '),
    'Switch off, isolate and lock out first (United States: 29 CFR 1910.147; EN ISO 14118; both cited from memory).',
  ],
  [
    bold('Laser. '),
    'Extract the fumes, never cut PVC or other chlorinated material, keep watch for fire (EN ISO 11553, EN 60825-1; cited from memory).',
  ],
  [
    bold('Heat. '),
    'A fast blade in a high lay of synthetics fuses the edges: lower the lay, slow the blade, use anti-fusion paper.',
  ],
];

const CHILDREN: readonly Text[] = [
  [
    bold('Children’s sizes: cords. '),
    'No cord or drawstring at the hood, head or neck of small children’s clothes. EN 14682:2014 covers children under 14: none up to about 7 years or 134 cm, no free ends at the neck up to 14. In the United States see ASTM F1816 (neck and hood 2T to 12, waist and hem 2T to 16). The rules of the place of sale hold; they are not checked here.',
  ],
  [
    bold('Children’s sizes: neck and small parts. '),
    'A neck opening must pass the head without force, in every size: see Fit, and try it on. Buttons, snaps and trims must stay on; keep a log of broken needles. Nightwear has rules on burning of its own (EN 14878 in Europe). None of this is assessed here: ask a laboratory.',
  ],
];

const NOT_ASSESSED: readonly Text[] = [
  [
    bold('Children’s wear. '),
    'Cords, small parts and nightwear have rules of their own (EN 14682:2014, ASTM F1816-18, EN 14878). They are not assessed here.',
  ],
];
