export { consumption, type Ply, plyConsumption } from './consumption.js';
export { boundGarments, type Demand, type MarkerDemand, markerDemand, sizesOf } from './counts.js';
export { clothZones, type FlawsPart, flawsSchema } from './flaws.js';
export { toMarker, walesAlong } from './frame.js';
export { assignGarments } from './garments.js';
export { halfOf, isSymmetric, isSymmetricPiece } from './halves.js';
export {
  assertVerified,
  layMarker,
  type MarkerPlan,
  type MarkerSpec,
  markerInstance,
  planMarker,
} from './marker.js';
export { laidOutline } from './outline.js';
export {
  type FabricPart,
  FOLD_MARGIN,
  fabricSchema,
  LAY_DEFAULTS,
  type LayPart,
  laySchema,
  type MarkerPart,
  markersSchema,
  resolveFabric,
  type SizeRatio,
} from './schema.js';
export { isOpen, type LayFrame, laidWidth, layFrame, spreadOf } from './spread.js';
export { allowedRotations, liesReversed, mostOffGrain, offGrain, turnOf } from './turns.js';
export type {
  ClothZone,
  Consumption,
  Fabric,
  LayMode,
  LayOptions,
  Marker,
  OnFold,
  Orientation,
  PlacedPiece,
  Side,
  Spread,
} from './types.js';
export { LAY_MODES, ON_FOLD } from './types.js';
export {
  atUsableWidth,
  compareWidths,
  inMode,
  type RunSpread,
  runSpread,
  WIDTH_MEASURES,
  type WidthCell,
  type WidthMeasure,
  type WidthRun,
  type WidthVerdict,
} from './widths.js';
