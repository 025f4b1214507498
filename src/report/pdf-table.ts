import type { Content } from '../exchange/pdf/content.js';
import type { Table, Text } from './document.js';
import { drawLines, heightOf, type Line, type Setting, type Typesetter } from './pdf-text.js';

/** A table set in columns, ready to be drawn row by row. */
export interface SetTable {
  readonly columns: readonly { readonly left: number; readonly right: number; readonly numeric: boolean }[];
  readonly head: SetRow;
  readonly rows: readonly SetRow[];
  readonly width: number;
  /** Whether the last row adds the others up. */
  readonly total: boolean;
}

export interface SetRow {
  readonly cells: readonly (readonly Line[])[];
  readonly height: number;
}

const HEIGHT = 1.85;
/** Smaller sizes that a wide table is tried in, before its columns are parted. */
const SCALES = [1, 0.92, 0.84];
const PAD = 1.1;
const ROW_PAD = 0.9;

/**
 * Sets a table into `room` mm: figures are never broken, words wrap where they must. One that is too wide even
 * in the smallest type becomes several, each with the first column again.
 */
export function setTable(setter: Typesetter, table: Table, room: number): SetTable[] {
  for (const scale of SCALES) {
    const widths = columnWidths(setter, table, room, HEIGHT * scale);
    if (widths) return [setColumns(setter, table, widths, HEIGHT * scale)];
  }
  const height = HEIGHT * SCALES[SCALES.length - 1]!;
  return columnGroups(setter, table, room, height).map((columns) => {
    const part = pick(table, columns);
    const widths =
      columnWidths(setter, part, room, height) ?? columns.map(() => room / Math.max(columns.length, 1));
    return setColumns(setter, part, widths, height);
  });
}

/** Draws one row below `top`; returns where it ends. */
export function drawRow(
  content: Content,
  set: SetTable,
  row: SetRow,
  at: { left: number; top: number },
): number {
  set.columns.forEach(({ left, right, numeric }, i) => {
    const place = { left: at.left + left + PAD, top: at.top - ROW_PAD };
    drawLines(content, row.cells[i] ?? [], numeric ? { ...place, right: at.left + right - PAD } : place);
  });
  return at.top - row.height;
}

/** Widths of the columns, or nothing when they do not fit without breaking words. */
function columnWidths(setter: Typesetter, table: Table, room: number, height: number): number[] | undefined {
  const sizes = table.columns.map(({ head, numeric }, i) => {
    const cells = table.rows.map((row) => row[i] ?? '');
    const setting = (cell: number): Setting => rowSetting(table, cell, i, height);
    const headLeast = setter.least(head, { height, bold: true });
    const natural = Math.max(0, ...cells.map((cell, r) => setter.natural(cell, setting(r))));
    const least = numeric ? natural : Math.max(0, ...cells.map((cell, r) => setter.least(cell, setting(r))));
    const wanted = numeric ? natural : Math.max(natural, setter.natural(head, { height, bold: true }));
    return {
      least: Math.max(least, headLeast) + 2 * PAD,
      wanted: Math.max(wanted, headLeast) + 2 * PAD,
    };
  });
  const wanted = sum(sizes.map((s) => s.wanted));
  if (wanted <= room) return sizes.map((s) => s.wanted);
  const least = sum(sizes.map((s) => s.least));
  if (least > room) return undefined;
  const share = (room - least) / (wanted - least);
  return sizes.map((s) => s.least + (s.wanted - s.least) * share);
}

/** Columns in groups that fit, the first in each. */
function columnGroups(setter: Typesetter, table: Table, room: number, height: number): number[][] {
  const groups: number[][] = [];
  let group = [0];
  for (let i = 1; i < table.columns.length; i++) {
    const longer = [...group, i];
    if (group.length > 1 && !columnWidths(setter, pick(table, longer), room, height)) {
      groups.push(group);
      group = [0, i];
    } else group = longer;
  }
  return [...groups, group];
}

const pick = (table: Table, columns: readonly number[]): Table => ({
  ...table,
  columns: columns.map((i) => table.columns[i]!),
  rows: table.rows.map((row) => columns.map((i) => row[i] ?? '')),
});

function setColumns(setter: Typesetter, table: Table, widths: readonly number[], height: number): SetTable {
  let x = 0;
  const columns = widths.map((width, i) => {
    const left = x;
    x += width;
    return { left, right: x, numeric: table.columns[i]!.numeric ?? false };
  });
  const setRow = (cells: readonly Text[], setting: (column: number) => Setting): SetRow => {
    const set = widths.map((width, i) => setter.lines(cells[i] ?? '', setting(i), width - 2 * PAD));
    return { cells: set, height: Math.max(...set.map(heightOf), height) + 2 * ROW_PAD };
  };
  return {
    columns,
    head: setRow(
      table.columns.map((c) => c.head),
      () => ({ height, bold: true }),
    ),
    rows: table.rows.map((row, r) => setRow(row, (i) => rowSetting(table, r, i, height))),
    width: x,
    total: table.total ?? false,
  };
}

const rowSetting = (table: Table, row: number, column: number, height: number): Setting =>
  column === 0 || (table.total && row === table.rows.length - 1) ? { height, bold: true } : { height };

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
