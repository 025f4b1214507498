import type { DxfEntity, DxfFile, FlatDrawing } from '../dxf/index.js';
import type { Drawing, Lettering, Stroke } from './drawing.js';

/** Codes of `$INSUNITS` (DXF reference) that a drawing of pieces may be in: millimetres each. */
const INSUNITS: Readonly<Record<number, readonly [mm: number, name: string]>> = {
  1: [25.4, 'inches'],
  2: [304.8, 'feet'],
  4: [1, 'millimetres'],
  5: [10, 'centimetres'],
  6: [1000, 'metres'],
};

/** Whether a DXF is a pattern file after ASTM D6673: blocks with lines on layer 1 and texts that name pieces. */
export function isPatternFile(file: DxfFile): boolean {
  const says = (pattern: RegExp, entities: readonly DxfEntity[]) =>
    entities.some((e) => e.kind === 'text' && pattern.test(e.text));
  const whole = says(/^\s*ASTM\//im, file.entities);
  return file.blocks.some(
    ({ entities }) =>
      entities.some((e) => e.kind !== 'text' && /^0*1$/.test(e.layer.trim())) &&
      (whole || says(/^\s*piece\s*name\s*:/im, entities)),
  );
}

/** A DXF whose INSERTs are unfolded, as lines and letters; units by `$INSUNITS`. */
export function dxfDrawing(file: DxfFile, flat: FlatDrawing): Drawing {
  const off = new Set(file.layers.filter((l) => l.off || l.frozen).map((l) => l.name));
  const hidden = flat.paths.filter((p) => off.has(p.layer));
  const strokes = flat.paths
    .filter((p) => !off.has(p.layer))
    .map(
      (p): Stroke => ({
        path: p.path,
        closed: p.closed,
        layer: p.layer,
        where: `line ${p.lineNumber}`,
        ...(p.blocks.length > 0 ? { name: p.blocks[p.blocks.length - 1]! } : {}),
      }),
    );
  const texts = flat.texts.flatMap((t): Lettering[] =>
    t.text
      .split('\n')
      .map((text) => text.trim())
      .filter((text) => text !== '')
      .map((text) => ({ text, at: t.at, layer: t.layer, where: `line ${t.lineNumber}` })),
  );
  const known = INSUNITS[file.insUnits ?? 0];
  const first = hidden[0];
  return {
    file: file.name,
    strokes,
    texts,
    dropped: [
      ...file.dropped,
      ...flat.dropped,
      ...(first
        ? [{ what: 'lines on layers that are off', count: hidden.length, where: `line ${first.lineNumber}` }]
        : []),
      ...(file.complete
        ? []
        : [{ what: 'what came after the end of the file: it breaks off', count: 1, where: 'end' }]),
      ...(flat.points.length > 0
        ? [{ what: 'points', count: flat.points.length, where: `line ${flat.points[0]!.lineNumber}` }]
        : []),
    ],
    unit: known
      ? { mm: known[0], said: `the file says ${known[1]} ($INSUNITS ${file.insUnits})` }
      : undefined,
    hint: hintOf(file),
  };
}

function hintOf(file: DxfFile): string {
  const units =
    file.insUnits === undefined
      ? 'it has no $INSUNITS'
      : `$INSUNITS ${file.insUnits} is no unit of a pattern`;
  if (file.measurement === undefined) return units;
  return `${units}; $MEASUREMENT says ${file.measurement === 0 ? 'inches' : 'metric'}, which many programs leave as it is`;
}
