export { type CheckPage, checkHtml } from './check-page.js';
export { type MarkerJson, markerJson, type ReportJson, reportJson } from './json.js';
export { type Purchase, purchases } from './purchase.js';
export { reportHtml } from './report.js';
export type { FitRow, ReportData, ReportFile } from './types.js';
