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
export { markerDxf } from './dxf-marker.js';
export { type OutputFile, writeAll, writeFileAtomic } from './files.js';
export { LAYERS, type Layer, type LayerName, MARKER_LAYERS } from './layers.js';
export { type MarkerPdfOptions, markerPdf } from './pdf/marker.js';
export { type OverviewOptions, overviewPdf } from './pdf/overview.js';
export type { Paper } from './pdf/paper.js';
export { type TileOptions, tiledPiecesPdf } from './pdf/tiles.js';
export { markerPictureSvg, markerSvg, piecesSvg, sizeNestSvg } from './svg.js';
export { fileName } from './text.js';
