import { consumptionCsv, type OutputFile } from '../exchange/index.js';
import { area } from '../geometry/polygon.js';
import {
  type Consumption,
  consumption,
  type Fabric,
  type Marker,
  plyConsumption,
  spreadOf,
} from '../lay/index.js';
import type { CutPlan } from '../plan/index.js';
import {
  areChildSizes,
  cutSheets,
  laysCsv,
  laysOf,
  type PdfOptions,
  purchaseCsv,
  type ReportData,
  type ReportFile,
  reportHtml,
  reportJson,
  reportPdf,
  type SheetLay,
  usesCsv,
} from '../report/index.js';
import { allPieces, fitRows } from '../style/index.js';
import type { Unit } from '../units.js';
import { warningsOf } from './common.js';
import type { LoadedStyle } from './load.js';

export interface ReportChoice {
  readonly unit: Unit;
  readonly date: Date;
  readonly plies?: Readonly<Record<string, number>>;
  readonly plan?: CutPlan;
  /** Percent to buy beyond what is laid, in place of each fabric's own. */
  readonly spare?: number;
  readonly widths?: NonNullable<ReportData['widths']>;
  readonly estimates?: NonNullable<ReportData['estimates']>;
}

/** What a report shows of a style and its markers. */
export function reportDataOf(loaded: LoadedStyle, laid: readonly Marker[], choice: ReportChoice): ReportData {
  const { style, developed } = loaded;
  const { unit, date, plies, plan, widths, estimates } = choice;
  const { range, chart, truing, finished } = developed;
  const fit = fitRows(style, range, unit);
  const markers = laid.map((m) => ({ ...m, fabric: withSpare(m.fabric, choice.spare) }));
  return {
    style: style.name,
    unit,
    date,
    range,
    chart,
    truing,
    markers,
    consumption: [...markers.map(consumption), ...(plan ? reckoned(loaded, plan) : [])],
    fabrics: [...style.fabrics.values()].map((f) => withSpare(f, choice.spare)),
    ...(plies === undefined ? {} : { plies }),
    ...(plan === undefined ? {} : { plan }),
    ...(widths === undefined ? {} : { widths }),
    ...(estimates === undefined ? {} : { estimates }),
    pieces: finished.find((s) => s.size === range.base)!.pieces,
    warnings: warningsOf(loaded, fit, unit),
    fit,
    childSizes: areChildSizes(
      range.sizes.map((s) => s.size),
      style.chart?.name,
    ),
  };
}

const withSpare = (fabric: Fabric, spare: number | undefined): Fabric =>
  spare === undefined ? fabric : { ...fabric, sparePercent: spare };

/** What plies of a plan's markers use that were not laid: their lengths come from the plan's model. */
function reckoned({ style, developed }: LoadedStyle, plan: CutPlan): Consumption[] {
  const pieces = allPieces(developed.finished);
  return plan.fabrics.flatMap(({ fabric, markers }) => {
    const { layers } = spreadOf(fabric);
    const areaOf = (size: string) =>
      pieces
        .filter((p) => p.fabric === fabric.name && p.size === size)
        .reduce((sum, p) => sum + (area(p.cut) * (p.counts.asDrawn + p.counts.mirrored)) / layers, 0);
    return markers
      .filter((m) => m.marker === undefined)
      .map(({ name, ratio, length, efficiency }) =>
        plyConsumption({
          name,
          fabric,
          ratio,
          length,
          layers,
          endAllowance: style.lay.options.endAllowance,
          overlap: 0,
          efficiency,
          areaOf: (size) => areaOf(size) * (ratio[size] ?? 0),
        }),
      );
  });
}

/**
 * The report in all its forms, with cut sheets where it is known how many plies are laid. The report lists `beside`
 * and its own files.
 *
 * @throws what `purchases` throws.
 */
export async function reportFiles(
  given: ReportData,
  options: { label?: string; paper?: PdfOptions['paper']; beside?: readonly ReportFile[] },
): Promise<{ files: OutputFile[]; report: ReportData }> {
  const { label, beside = [] } = options;
  const paper = options.paper === undefined ? {} : { paper: options.paper };
  const laid = given.consumption.length > 0;
  const known = given.plan !== undefined || given.plies !== undefined;
  const sheets = known
    ? await cutSheets({
        style: given.style,
        ...(label === undefined ? {} : { label }),
        unit: given.unit,
        date: given.date,
        lays: sheetLays(given),
        childSizes: given.childSizes ?? false,
        ...paper,
      })
    : [];
  const tables: OutputFile[] = laid
    ? [
        { name: 'consumption.csv', content: consumptionCsv(given.consumption) },
        { name: 'fabric-to-buy.csv', content: purchaseCsv(given) },
        { name: 'fabric-by-size.csv', content: usesCsv(given) },
        // A plan writes its own.
        ...(given.plies ? [{ name: 'lays.csv', content: laysCsv(given) }] : []),
      ]
    : [];
  const own = [...tables, ...sheets].map((f) => f.name);
  const named = [...own, 'report.json', 'report.html', 'report.pdf'];
  const report: ReportData = {
    ...given,
    files: [...beside, ...named.map((name): ReportFile => ({ name, meaning: reportMeaning(name) ?? '' }))],
  };
  return {
    files: [
      ...tables,
      ...sheets,
      { name: 'report.json', content: `${JSON.stringify(reportJson(report), null, 2)}\n` },
      { name: 'report.html', content: reportHtml(report) },
      { name: 'report.pdf', content: await reportPdf(report, paper) },
    ],
    report,
  };
}

/** Lays whose marker was nested; one that was only reckoned cannot be cut yet. */
export const sheetLays = (data: Pick<ReportData, 'markers' | 'consumption' | 'plies' | 'plan'>): SheetLay[] =>
  laysOf(data).flatMap(({ number, marker: name, plies }) => {
    const marker = data.markers.find((m) => m.name === name);
    return marker ? [{ number, marker, plies }] : [];
  });

/** What a file of the report is for. */
const MEANINGS: readonly (readonly [RegExp, string])[] = [
  [/^cut-sheet-.*\.pdf$/, 'one lay for the cutting table: spreading, plies, bundles, pieces'],
  [/^cut-sheet-.*\.html$/, 'the same lay for a screen'],
  [/^consumption/, 'fabric used per marker and size, one ply'],
  [/^fabric-to-buy/, 'what to buy, per fabric and colour'],
  [/^fabric-by-size/, 'fabric off the roll by colour and size'],
  [/^lays/, 'lays with their plies by colour'],
  [/^report\.html$/, 'fabric-usage report: open it in a browser'],
  [/^report\.pdf$/, 'the report to print'],
  [/^report\.json$/, "the report for machines; 'report' makes it again from this"],
];

export const reportMeaning = (name: string): string | undefined =>
  MEANINGS.find(([pattern]) => pattern.test(name))?.[1];
