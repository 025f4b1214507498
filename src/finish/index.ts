export { addAllowances, type CutCorner, cutCorners, type Side } from './allowance.js';
export { finishPiece, finishRange } from './finish.js';
export { labelPlace } from './label.js';
export {
  allowanceOf,
  assertAllowances,
  FINISH_DEFAULTS,
  NO_SHRINKAGE,
  shrinkageFactors,
} from './options.js';
export { finishSchema } from './schema.js';
export type { CutNotch, CutPiece, FinishedSize, FinishOptions, Shrinkage } from './types.js';
