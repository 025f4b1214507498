import { createRequire } from 'node:module';

/** What dxf-parser, an independent reader, found; its own type declarations do not resolve in ES modules. */
export interface ReadDxf {
  readonly header: Readonly<Record<string, unknown>>;
  readonly entities: readonly ReadEntity[];
}

export interface ReadEntity {
  readonly type: string;
  readonly layer: string;
  readonly handle: string;
  /** Of a polyline: whether it is closed. */
  readonly shape?: boolean;
  readonly vertices?: readonly { readonly x: number; readonly y: number }[];
  readonly text?: string;
  readonly startPoint?: { readonly x: number; readonly y: number };
  readonly textHeight?: number;
}

const DxfParser = createRequire(import.meta.url)('dxf-parser') as new () => {
  parseSync(text: string): ReadDxf;
};

export const readDxf = (text: string): ReadDxf => new DxfParser().parseSync(text);
