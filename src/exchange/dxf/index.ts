export type { Drawn, DrawnBlock, DrawnFile, DrawnLayer } from './drawing.js';
export { FLATTEN_DEFAULTS, flattenBlocks, flattenEntities } from './flatten.js';
export { DXF_LIMITS } from './limits.js';
export { type BuildOptions, patternPieces, ruledPieces } from './pattern-build.js';
export { PATTERN_DXF_DEFAULTS, type PatternDxfOptions, patternDxf } from './pattern-files.js';
export {
  PATTERN_KEYWORDS,
  PATTERN_LAYERS,
  type PatternKeyword,
  type PatternLayer,
  type PatternRole,
  patternLayer,
  roleOfLayer,
} from './pattern-layers.js';
export { READ_PATTERN_DEFAULTS, type ReadPatternOptions, readPatternDxf } from './pattern-read.js';
export type {
  NotchShape,
  PatternAxis,
  PatternDxf,
  PatternHole,
  PatternLine,
  PatternNotch,
  PatternNote,
  PatternPiece,
  PatternQuantity,
  PatternStyle,
  PatternVertex,
  VertexKind,
} from './pattern-types.js';
export { type PatternHead, patternDrawing } from './pattern-write.js';
export { writeR12 } from './r12-writer.js';
export { writeR13 } from './r13-writer.js';
export { readDxf } from './read.js';
export { DXF_TABLE, type DxfTableLine } from './table.js';
export type {
  BlockDrawing,
  DxfArc,
  DxfBlock,
  DxfCircle,
  DxfDropped,
  DxfEllipse,
  DxfEntity,
  DxfFile,
  DxfGroup,
  DxfInsert,
  DxfLayer,
  DxfLimits,
  DxfLine,
  DxfPoint,
  DxfPolyline,
  DxfSpline,
  DxfText,
  DxfVertex,
  FlatDrawing,
  FlatPath,
  FlatPoint,
  FlatText,
  FlattenOptions,
} from './types.js';
