export {
  type Cell,
  chartCsv,
  consumptionCsv,
  csv,
  cutListCsv,
  placementsCsv,
  truingCsv,
} from './csv.js';
export { cuttingReadme } from './cutting-readme.js';
export type { SizeNestOptions } from './drawing/size-nest.js';
export { markerDxf } from './dxf-marker.js';
export { assertWritable, type OutputFile, writeAll, writeFileAtomic } from './files.js';
export { fitCsv, growthCsv } from './grade-csv.js';
export { LAYERS, type Layer, type LayerName, MARKER_LAYERS } from './layers.js';
export { type MarkerPdfOptions, markerPdf } from './pdf/marker.js';
export { type OverviewOptions, overviewPdf } from './pdf/overview.js';
export type { Paper } from './pdf/paper.js';
export { type SizeNestPdfOptions, sizeNestPdf } from './pdf/size-nest.js';
export { type StepsPdfOptions, stepsPdf } from './pdf/steps.js';
export { type TileOptions, tiledPiecesPdf } from './pdf/tiles.js';
export {
  DELTA_BASES,
  type DeltaBase,
  type GradeRule,
  gradeByTable,
  pointRules,
  RULE_KEYWORDS,
  type RuledPoint,
  type RuleTable,
  type RuleTableOptions,
  type RuleUnits,
  rulePointsCsv,
  ruleTableOf,
  writeRuleTable,
} from './rule-table.js';
export {
  type ReadRuleOptions,
  type ReadRules,
  readRulePoints,
  readRuleTable,
} from './rule-table-read.js';
export { markerPictureSvg, markerSvg, piecesSvg, sizeNestSvg } from './svg.js';
export { type StepsDrawing, stepsSvg } from './svg-steps.js';
export { fileName } from './text.js';
