export type { Alteration, AlterContext, Altered, Note, Step } from './alteration.js';
export { assertSound, defineAlteration } from './alteration.js';
export { lowerArmhole, reshapeArmhole } from './armhole.js';
export { BALANCE_DEFAULTS, balanceArmholes } from './balance-armholes.js';
export { BAND_KNITS, type BandPlace, bandRatio } from './band-ratio.js';
export { DERIVE_FRONT_DEFAULTS, deriveFront } from './derive-front.js';
export { DRAFT_BAND_DEFAULTS, draftBand } from './draft-band.js';
export { COLLAR_HEIGHTS, draftCollar } from './draft-collar.js';
export { DRAFT_HOOD_DEFAULTS, draftHood, HOOD_OF_HEAD } from './draft-hood.js';
export {
  DRAFT_SLEEVE_DEFAULTS,
  REACH_SHARES,
  redraftSleeve,
  type SleeveReach,
  type SleeveSize,
} from './draft-sleeve.js';
export { DROP_SHOULDER_DEFAULTS, dropShoulder } from './drop-shoulder.js';
export { forwardShoulder } from './forward-shoulder.js';
export { KANGAROO_POCKET_DEFAULTS, kangarooPocket } from './kangaroo-pocket.js';
export { LENGTHEN_DEFAULTS, lengthen } from './lengthen.js';
export { LEVEL_DEFAULTS, levelSideSeams } from './level-side-seams.js';
export { markStretch } from './mark-stretch.js';
export { MATCH_SHOULDERS_DEFAULTS, matchShoulders } from './match-shoulders.js';
export { NECK_SHAPE_DEFAULTS, neckShape } from './neck-shape.js';
export { RAGLAN_DEFAULTS, type RaglanOptions, raglan } from './raglan.js';
export { RAISE_SHOULDER_DEFAULTS, raiseShoulder } from './raise-shoulder.js';
export { ALTERATIONS, recipeSchema, rederive, runRecipe, type Stage } from './recipe.js';
export { type Range, SAFE_RANGES } from './safe-ranges.js';
export { SIDE_SEAM_DEFAULTS, shapeSideSeam } from './shape-side-seam.js';
export { type Cut, slash } from './slash.js';
export { WIDEN_DEFAULTS, widenNeckline } from './widen-neckline.js';
