export { NEST_DEFAULTS, nest } from './nest.js';
export { instanceSchema, readInstance, readPlacements } from './schema.js';
export type {
  NestInstance,
  NestItem,
  NestOptions,
  NestPhase,
  NestProgress,
  NestResult,
  Placement,
  TracePoint,
} from './types.js';
export { type Fault, type FaultKind, type VerifyReport, verify } from './verify.js';
