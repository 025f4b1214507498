export {
  type Cell,
  chartCsv,
  consumptionCsv,
  csv,
  cutLinesCsv,
  cutListCsv,
  pieceListCsv,
  placementsCsv,
  stampCsv,
  stampTables,
  truingCsv,
} from './csv.js';
export { type CutLineReport, checkCutLines } from './cut-lines.js';
export { type CuttingNoteOptions, cutLengthNote, cuttingReadme, sharedNote } from './cutting-readme.js';
export type { SizeNestOptions } from './drawing/size-nest.js';
export {
  DXF_LIMITS,
  DXF_TABLE,
  type DxfDropped,
  type DxfFile,
  type DxfLimits,
  type DxfTableLine,
  FLATTEN_DEFAULTS,
  type FlatDrawing,
  flattenBlocks,
  flattenEntities,
  PATTERN_DXF_DEFAULTS,
  PATTERN_KEYWORDS,
  PATTERN_LAYERS,
  type PatternDxf,
  type PatternDxfOptions,
  type PatternPiece,
  patternDxf,
  type ReadPatternOptions,
  readDxf,
  readPatternDxf,
} from './dxf/index.js';
export { MARKER_DXF_DEFAULTS, type MarkerDxfOptions, markerDxf } from './dxf-marker.js';
export type { DxfUnits } from './dxf-sheet.js';
export { assertWritable, type OutputFile, writeAll, writeFileAtomic } from './files.js';
export { fitCsv, growthCsv } from './grade-csv.js';
export { type Imported, type ImportOptions, importDrawing } from './import/import-drawing.js';
export { LAYERS, type Layer, type LayerName, MARKER_LAYERS } from './layers.js';
export { type PackOptions, packFiles, servicePack, zipFiles } from './pack.js';
export { type MarkerPdfOptions, markerPdf, userUnitFor, userUnitWarning } from './pdf/marker.js';
export { type OverviewOptions, overviewPdf } from './pdf/overview.js';
export { PAPERS, type Paper } from './pdf/paper.js';
export { type SizeNestPdfOptions, sizeNestPdf } from './pdf/size-nest.js';
export { type StepsPdfOptions, stepsPdf } from './pdf/steps.js';
export { type TileOptions, tiledMarkerPdf, tiledPiecesPdf } from './pdf/tiles.js';
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
export { fileName, fileStem } from './text.js';
