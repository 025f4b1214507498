import fontkit from '@pdf-lib/fontkit';
import { zlibSync } from 'fflate';
import { PDFDocument, PDFName, type PDFRef, PDFString } from 'pdf-lib';
import { fontBytes } from '../files.js';
import { LAYERS, type LayerName } from '../layers.js';
import { fixed } from '../numbers.js';
import { oneLine } from '../text.js';
import type { Content } from './content.js';
import { Typeface } from './typeface.js';

export const MM_TO_PT = 72 / 25.4;
/** The longest page that every reader shows at true scale: 14,400 points. */
export const MAX_PAGE_MM = 5080;

export const PAPERS = {
  A4: { width: 210, height: 297 },
  Letter: { width: 215.9, height: 279.4 },
  A3: { width: 297, height: 420 },
  A0: { width: 841, height: 1189 },
} as const;
export type Paper = keyof typeof PAPERS;

/** Layers of drawings, and the marks of sheets to be joined, which no drawing has. */
export type PdfLayer = LayerName | 'SHEET';
const PDF_LAYERS: readonly { readonly name: PdfLayer; readonly title: string }[] = [
  ...LAYERS,
  { name: 'SHEET', title: 'Sheet names, trim lines and match marks' },
];

export interface Typefaces {
  readonly regular: Typeface;
  readonly bold: Typeface;
}

export interface DocumentInfo {
  readonly title: string;
  readonly subject: string;
  readonly keywords?: readonly string[];
  /** Written as the time of creation and change: the same date gives the same bytes. */
  readonly date: Date;
}

/** A PDF whose pages are drawn by our own content strings, in millimetres, with layers to switch on and off. */
export class PaperDocument {
  readonly fonts: Typefaces;
  readonly #pdf: PDFDocument;
  readonly #layers = new Map<PdfLayer, PDFRef>();

  private constructor(pdf: PDFDocument, fonts: Typefaces) {
    this.#pdf = pdf;
    this.fonts = fonts;
  }

  static async open(info: DocumentInfo): Promise<PaperDocument> {
    const pdf = await PDFDocument.create({ updateMetadata: false });
    pdf.registerFontkit(fontkit);
    pdf.setTitle(oneLine(info.title), { showInWindowTitleBar: true });
    pdf.setSubject(oneLine(info.subject));
    pdf.setKeywords([...(info.keywords ?? [])].map(oneLine));
    pdf.setCreator('Walewise');
    pdf.setProducer('Walewise (pdf-lib)');
    pdf.setLanguage('en');
    pdf.setCreationDate(info.date);
    pdf.setModificationDate(info.date);
    const regular = await pdf.embedFont(fontBytes('DejaVuSans'), { subset: true });
    const bold = await pdf.embedFont(fontBytes('DejaVuSans-Bold'), { subset: true });
    return new PaperDocument(pdf, { regular: new Typeface(regular), bold: new Typeface(bold) });
  }

  /**
   * Adds a page of `width` x `height` mm that shows `content`. With a `userUnit` above 1 the page is written that
   * many times smaller, and readers that know user units (PDF 1.6) show it at its true size.
   */
  addPage(
    width: number,
    height: number,
    content: Content,
    { userUnit = 1 }: { userUnit?: number } = {},
  ): void {
    const page = this.#pdf.addPage([(width * MM_TO_PT) / userUnit, (height * MM_TO_PT) / userUnit]);
    const { context } = this.#pdf;
    const fonts = { regular: this.fonts.regular.font.ref, bold: this.fonts.bold.font.ref };
    const properties = Object.fromEntries(content.layers.map((name) => [name, this.#layer(name)]));
    page.node.set(PDFName.of('Resources'), context.obj({ Font: fonts, Properties: properties }));
    if (userUnit !== 1) page.node.set(PDFName.of('UserUnit'), context.obj(userUnit));
    // The page's space is points: one matrix turns everything that follows into millimetres.
    const scale = fixed(MM_TO_PT / userUnit, 9);
    const text = `q ${scale} 0 0 ${scale} 0 0 cm\n${content.toString()}\nQ`;
    const packed = zlibSync(latin1(text), { level: 6 });
    page.node.set(
      PDFName.of('Contents'),
      context.register(context.stream(packed, { Filter: 'FlateDecode' })),
    );
  }

  async bytes(): Promise<Uint8Array> {
    const { context, catalog } = this.#pdf;
    // In the order of the table, whatever was drawn first.
    const groups = PDF_LAYERS.flatMap(({ name }) => this.#layers.get(name) ?? []);
    if (groups.length > 0) {
      catalog.set(
        PDFName.of('OCProperties'),
        context.obj({ OCGs: groups, D: { Order: groups, ON: groups, Name: PDFString.of('Layers') } }),
      );
    }
    return this.#pdf.save();
  }

  #layer(name: PdfLayer): PDFRef {
    const known = this.#layers.get(name);
    if (known) return known;
    const title = PDF_LAYERS.find((layer) => layer.name === name)!.title;
    const { context } = this.#pdf;
    const ref = context.register(context.obj({ Type: 'OCG', Name: PDFString.of(title) }));
    this.#layers.set(name, ref);
    return ref;
  }
}

/** Content is operators, numbers and glyph codes: one byte a character. */
function latin1(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return bytes;
}
