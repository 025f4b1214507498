export { consumption } from './consumption.js';
export { type Demand, isSymmetric, type MarkerDemand, markerDemand } from './counts.js';
export { toMarker, walesAlong } from './frame.js';
export { assignGarments } from './garments.js';
export { allowedRotations, layMarker, type MarkerSpec, planMarker } from './marker.js';
export {
  type FabricPart,
  fabricSchema,
  LAY_DEFAULTS,
  type LayPart,
  laySchema,
  type MarkerPart,
  markersSchema,
  resolveFabric,
  type SizeRatio,
} from './schema.js';
export type {
  Consumption,
  Fabric,
  LayMode,
  LayOptions,
  Marker,
  Orientation,
  PlacedPiece,
} from './types.js';
