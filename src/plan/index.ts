export { type Nest, type NestRequest, type PlanEffects, type PlanProgress, ROUNDS } from './agree.js';
export {
  type EfficiencyModel,
  efficiencyModel,
  type MarkerFacts,
  type NestRecord,
  readNestRecords,
} from './efficiency.js';
export {
  type QuickEstimate,
  quickEstimate,
  RECTANGLE_WASTAGE,
  type Rectangle,
  type RectangleEstimate,
  rectangleKilograms,
} from './estimate.js';
export { type Program, type Solve, type Solved, type SolveLimits, solveHere } from './highs.js';
export { type CutPlanJson, planJson } from './json.js';
export { cutFromStock, type OnHand, type Stock, type StockUse } from './on-hand.js';
export { exactOrder, limitsFor, onlyColours, quantities, resolveOrder, totalOf } from './order.js';
export { fabricTasks, type PlanSpec, planFabric, planOrder } from './plan.js';
export type { FabricTask } from './pricing.js';
export {
  COST_DEFAULTS,
  costSchema,
  type OrderPart,
  orderSchema,
  TABLE_DEFAULTS,
  type TablePart,
  tableSchema,
} from './schema.js';
export { solverThread } from './thread.js';
export type {
  Baseline,
  Cloth,
  CostParts,
  CostRates,
  CutPlan,
  FabricPlan,
  Lay,
  LengthSource,
  Order,
  OrderCell,
  PlanLimits,
  PlanMarker,
  Quantities,
  SolverNote,
} from './types.js';
export { planFaults } from './verify.js';
