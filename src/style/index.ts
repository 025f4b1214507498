export { allPieces, cuttingGaps, type Developed, developStyle } from './corridor.js';
export {
  bodyOf,
  type FitRow,
  fitRows,
  fitTable,
  type GirthFit,
  girthFit,
  type OpeningFit,
  type SizeFit,
} from './fit.js';
export {
  type BlockPreset,
  type PresetFile,
  type PresetLibrary,
  presetLibrary,
  presetNamed,
} from './presets.js';
export { locateInStyle, readStyle } from './read.js';
export { type StyleFile, styleSchema } from './schema.js';
export type { Style } from './style.js';
export {
  ARMHOLES_WITHIN,
  CAP_EASE,
  LEAST_RADIUS,
  passes,
  type Verdict,
  type VerdictKind,
  type VerdictState,
  verdictsOf,
} from './verdicts.js';
