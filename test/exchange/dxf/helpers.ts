import { Buffer } from 'node:buffer';
import { readDxf } from '../../../src/exchange/dxf/index.js';
import type { DxfFile, DxfLimits } from '../../../src/exchange/dxf/types.js';

export type Pair = readonly [code: number, value: string | number];

/** Pairs as the text of a DXF. */
export const groups = (pairs: readonly Pair[], newline = '\n'): string =>
  pairs.map(([code, value]) => `${String(code).padStart(3)}${newline}${value}${newline}`).join('');

export const section = (name: string, ...body: Pair[]): Pair[] => [
  [0, 'SECTION'],
  [2, name],
  ...body,
  [0, 'ENDSEC'],
];

/** A whole file with these entities. */
export const drawing = (...entities: Pair[]): string =>
  groups([...section('ENTITIES', ...entities), [0, 'EOF']]);

export const read = (text: string, limits: Partial<DxfLimits> = {}): DxfFile =>
  readDxf(Buffer.from(text), 'test.dxf', limits);

/** The error that `f` ends in. */
export function errorOf(
  f: () => unknown,
): Error & { place?: { file?: string; line?: number }; mend?: string } {
  try {
    f();
  } catch (error) {
    return error as Error;
  }
  throw new Error('expected an error');
}
