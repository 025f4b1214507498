import { warningsOn } from '../exchange/drawing/marker.js';
import { buyBlocks } from './buy.js';
import { chartBlocks, fitBlocks, truingBlocks } from './checks.js';
import { cautionBlocks, cutBlocks } from './cutting-room.js';
import { type Block, bold, type Document, heading, list, paragraph } from './document.js';
import { day, plural, UNIT_NAMES } from './format.js';
import { documentHtml } from './html-document.js';
import { layBlocks } from './lays.js';
import { documentPdf, type PdfOptions } from './pdf-document.js';
import { markerBlocks, patternBlocks } from './pictures.js';
import type { ReportData } from './types.js';
import { usedBlocks } from './used.js';
import { widthBlocks } from './widths.js';

/**
 * The fabric-usage report: pictures first, then what to buy, how to lay and what to cut, the figures and checks
 * behind it, and the notes of the cutting room.
 *
 * @throws InputError for a lay of a marker that nothing is known of.
 */
export function reportDocument(data: ReportData): Document {
  const sizes = data.range.sizes.map((s) => s.size);
  const span = sizes.length > 1 ? `${sizes[0]} to ${sizes[sizes.length - 1]}` : sizes[0];
  const title = `${data.style}: fabric report`;
  const blocks: Block[] = [
    ...stamps(data),
    heading(title, 1),
    paragraph(
      `${day(data.date)} · ${plural(sizes.length, 'size')}${span ? `, ${span}` : ''}, base ${data.range.base} · lengths in ${UNIT_NAMES[data.unit]}`,
      'lead',
    ),
    ...warnings(data),
    ...markerBlocks(data),
    ...buyBlocks(data),
    ...layBlocks(data),
    ...cutBlocks(data),
    ...usedBlocks(data),
    ...widthBlocks(data),
    ...patternBlocks(data),
    ...chartBlocks(data),
    ...truingBlocks(data),
    ...fitBlocks(data),
    ...files(data),
    ...cautionBlocks({ childSizes: data.childSizes ?? false }),
  ];
  return { title, subject: `sizes ${sizes.join(', ')}, base ${data.range.base}`, date: data.date, blocks };
}

/**
 * The report as one HTML file that needs no network. All text of the data is escaped; the same data give the
 * same bytes.
 *
 * @throws InputError when a coordinate is not finite, or what `reportDocument` throws.
 */
export const reportHtml = (data: ReportData): string => documentHtml(reportDocument(data));

/** The same report as a PDF on A4 or Letter: the same blocks, the same figures. @throws as `reportHtml`. */
export const reportPdf = (data: ReportData, options: PdfOptions = {}): Promise<Uint8Array> =>
  documentPdf(reportDocument(data), options);

/** What must not be overlooked stands above the title. */
const stamps = (data: ReportData): Block[] =>
  [...new Set(data.markers.flatMap(warningsOn))].map((text) => ({ kind: 'stamp', text }));

const warnings = (data: ReportData): Block[] =>
  data.warnings.length === 0 ? [] : [{ kind: 'list', items: data.warnings, warn: 'To look at' }];

const files = (data: ReportData): Block[] =>
  data.files && data.files.length > 0
    ? [heading('Files'), list(data.files.map((file) => [bold(file.name), `: ${file.meaning}`]))]
    : [];
