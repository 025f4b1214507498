export * as clip from './clip.js';
export type { Crossing, Cubic, Line, Path, Segment } from './path.js';
export * as path from './path.js';
export type { Box, Polygon } from './polygon.js';
export * as polygon from './polygon.js';
export type { Vec } from './vec.js';
export * as vec from './vec.js';
