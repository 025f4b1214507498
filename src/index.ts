// Walewise as a library: the rooms of the corridor, in order.
export * as alter from './alter/index.js';
export { draftBlock } from './draft/block.js';
export { CheckError, InputError, UserError } from './errors.js';
export * as exchange from './exchange/index.js';
export * as finish from './finish/index.js';
export * as geometry from './geometry/index.js';
export * as grade from './grade/index.js';
export * as lay from './lay/index.js';
export * as nesting from './nest/index.js';
export * as pattern from './pattern/model.js';
export * as plan from './plan/index.js';
export * as report from './report/index.js';
export * as style from './style/index.js';
export { formatLength, inchFraction, parseLength, type Unit } from './units.js';
