import { spreadOf } from '../lay/spread.js';
import type { Fabric, LayMode } from '../lay/types.js';

const RUNS: Readonly<Record<Fabric['orientation'], string>> = {
  'one-way': 'Every piece lies the same way round.',
  'garment-one-way': 'Pieces of one garment lie one way round; garments may oppose each other.',
  'either-way': 'Pieces may lie either way round.',
};

/** What whoever spreads must know of a fabric and its lay mode. */
export const spreadingOf = (fabric: Pick<Fabric, 'mode' | 'orientation'>): string =>
  `${spreadOf(fabric).note} ${RUNS[fabric.orientation]}`;

const MODES: Readonly<Record<LayMode, string>> = {
  single: 'open width, face up',
  'face-to-face': 'open width, face to face',
  folded: 'folded lengthwise',
  tubular: 'tube laid flat',
};

/** A lay mode as a cutter says it. */
export const modeName = (mode: LayMode): string => MODES[mode];
