import { scaleLinear } from 'd3-scale';
import { OKABE_ITO } from '../exchange/palette.js';
import { escapeXml } from '../exchange/text.js';
import { LAY_MODES, type LayMode, runSpread, type WidthCell, type WidthMeasure } from '../lay/index.js';

/** One panel: a measure of every width and mode. */
export interface Panel {
  readonly measure: WidthMeasure;
  readonly title: string;
  /** From the stored value to what is drawn. */
  readonly shown: (value: number, garments: number) => number;
  readonly decimals: number;
}

const PANEL = { width: 470, height: 250, left: 62, right: 16, top: 34, bottom: 44 } as const;
const COLUMNS = 2;
const KEY_HEIGHT = 30;
/** Modes stand a little beside each other, so that their marks do not cover one another. */
const BESIDE = 7;

/**
 * The comparison as one drawing: a panel for each measure, width to the right, one colour and one kind of dot per
 * mode; small dots are single runs, the bar goes from the least to the greatest, the line follows the means. Axes do
 * not start at 0: differences are small.
 */
export function widthsPlot(cells: readonly WidthCell[], panels: readonly Panel[], title: string): string {
  const rows = Math.ceil(panels.length / COLUMNS);
  const [w, h] = [COLUMNS * PANEL.width, KEY_HEIGHT + rows * PANEL.height];
  const modes = LAY_MODES.filter((mode) => cells.some((cell) => cell.mode === mode));
  const parts = panels.map((panel, i) => {
    const at = `translate(${(i % COLUMNS) * PANEL.width},${KEY_HEIGHT + Math.floor(i / COLUMNS) * PANEL.height})`;
    return `<g transform="${at}">${panelSvg(cells, modes, panel)}</g>`;
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${w} ${h}" width="${w}" height="${h}" font-family="sans-serif" font-size="12" role="img">`,
    `<title>${escapeXml(title)}</title>`,
    `<rect width="${w}" height="${h}" fill="#fff"/>`,
    key(
      modes,
      cells.some((cell) => cell.fault !== undefined),
    ),
    ...parts,
    '</svg>\n',
  ].join('\n');
}

function panelSvg(cells: readonly WidthCell[], modes: readonly LayMode[], panel: Panel): string {
  const { measure, shown, decimals } = panel;
  const { width, height, left, right, top, bottom } = PANEL;
  const value = (cell: WidthCell, v: number) => shown(v, cell.runs[0]?.garments ?? 1);
  const laid = cells.filter((cell) => runSpread(cell, measure) !== undefined);
  const all = laid.flatMap((cell) => cell.runs.map((run) => value(cell, run[measure]!)));
  const widths = [...new Set(cells.map((cell) => cell.width))].sort((a, b) => a - b);
  const margin = widths.length > 1 ? (widths[widths.length - 1]! - widths[0]!) * 0.06 : 50;
  const x = scaleLinear()
    .domain([widths[0]! - margin, widths[widths.length - 1]! + margin])
    .range([left, width - right]);
  const y = scaleLinear()
    .domain(padded(all))
    .nice(5)
    .range([height - bottom, top]);
  const floor = height - bottom;
  const head = `<text x="${left}" y="18" font-weight="bold">${escapeXml(panel.title)}</text>`;
  const grid = y
    .ticks(5)
    .map(
      (tick) =>
        `<path d="M${left} ${n(y(tick))}H${width - right}" stroke="#ddd"/><text x="${left - 6}" y="${n(y(tick) + 4)}" text-anchor="end" fill="#444">${tickText(tick, decimals)}</text>`,
    );
  // Every width is named while there is room for its name.
  const names = widths.length <= 12 ? widths : x.ticks(8);
  const foot = names.map(
    (mm) =>
      `<path d="M${n(x(mm))} ${floor}v4" stroke="#444"/><text x="${n(x(mm))}" y="${floor + 17}" text-anchor="middle" fill="#444">${cm(mm)}</text>`,
  );
  const series = modes.map((mode, index) => {
    const colour = OKABE_ITO[index]!;
    const aside = (index - (modes.length - 1) / 2) * BESIDE;
    const own = cells.filter((cell) => cell.mode === mode).sort((a, b) => a.width - b.width);
    const found = own.flatMap((cell) => {
      const spread = runSpread(cell, measure);
      return spread ? [{ cell, spread, px: x(cell.width) + aside }] : [];
    });
    const line = found
      .map(({ cell, spread, px }, i) => `${i === 0 ? 'M' : 'L'}${n(px)} ${n(y(value(cell, spread.mean)))}`)
      .join('');
    const marks = found.map(({ cell, spread, px }) => {
      const [low, high] = [y(value(cell, spread.least)), y(value(cell, spread.most))];
      const dots = cell.runs.map(
        (run) =>
          `<circle cx="${n(px)}" cy="${n(y(value(cell, run[measure]!)))}" r="2" fill="#fff" stroke="${colour}"/>`,
      );
      const bar = `<path d="M${n(px)} ${n(low)}V${n(high)}M${n(px - 4)} ${n(low)}h8M${n(px - 4)} ${n(high)}h8" stroke="${colour}" fill="none"/>`;
      return `${bar}${dot(index, px, y(value(cell, spread.mean)), colour)}${dots.join('')}`;
    });
    const crosses = own
      .filter((cell) => cell.fault !== undefined)
      .map((cell) => cross(x(cell.width) + aside, floor - 8, colour));
    const path = line.includes('L') ? `<path d="${line}" stroke="${colour}" fill="none" opacity=".6"/>` : '';
    return path + marks.join('') + crosses.join('');
  });
  const axis = `<path d="M${left} ${top}V${floor}H${width - right}" stroke="#444" fill="none"/><text x="${(left + width - right) / 2}" y="${height - 8}" text-anchor="middle" fill="#444">usable width, cm</text>`;
  const empty =
    laid.length > 0
      ? ''
      : `<text x="${width / 2}" y="${height / 2}" text-anchor="middle" fill="#444">nothing laid</text>`;
  return [head, ...grid, axis, ...foot, ...series, empty].join('');
}

/** The domain of values, wide enough that run-to-run noise does not fill the panel when all are alike. */
function padded(values: readonly number[]): [number, number] {
  if (values.length === 0) return [0, 1];
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const pad = Math.max((most - least) * 0.08, Math.abs(most) * 0.01);
  return [least - pad, most + pad];
}

function key(modes: readonly LayMode[], faults: boolean): string {
  let at: number = PANEL.left;
  const entries = modes.map((mode, index) => {
    const colour = OKABE_ITO[index]!;
    const entry = `${dot(index, at, 14, colour)}<text x="${at + 10}" y="18">${mode}</text>`;
    at += 30 + 7.5 * mode.length;
    return entry;
  });
  const note = `mean; bar: least to greatest of the runs${faults ? ';  x: cannot be laid' : ''}`;
  return `<g>${entries.join('')}<text x="${at + 6}" y="18" fill="#444">${note}</text></g>`;
}

/** A dot for the mean: circle, square, diamond, triangle by mode. */
function dot(index: number, x: number, y: number, colour: string): string {
  const r = 4.5;
  const paths = [
    undefined,
    `M${n(x - r)} ${n(y - r)}h${2 * r}v${2 * r}h${-2 * r}z`,
    `M${n(x)} ${n(y - r - 1)}l${r + 1} ${r + 1}l${-r - 1} ${r + 1}l${-r - 1} ${-r - 1}z`,
    `M${n(x)} ${n(y - r - 1)}l${r + 1} ${2 * r}h${-2 * r - 2}z`,
  ];
  const path = paths[index % paths.length];
  return path === undefined
    ? `<circle cx="${n(x)}" cy="${n(y)}" r="${r}" fill="${colour}"/>`
    : `<path d="${path}" fill="${colour}"/>`;
}

const cross = (x: number, y: number, colour: string): string =>
  `<path d="M${n(x - 4)} ${n(y - 4)}l8 8m0 -8l-8 8" stroke="${colour}" stroke-width="2"/>`;

const n = (value: number): string => String(Number(value.toFixed(1)));
const cm = (mm: number): string => String(Number((mm / 10).toFixed(1)));

/** With as many decimals as the measure has, fewer where they are zeros anyway. */
const tickText = (value: number, decimals: number): string => String(Number(value.toFixed(decimals)));
