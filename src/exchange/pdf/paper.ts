import fontkit from '@pdf-lib/fontkit';
import type { PDFFont, PDFRef } from 'pdf-lib';
import { PDFDocument, PDFName, PDFString } from 'pdf-lib';
import { fontBytes } from '../files.js';
import { LAYERS, type LayerName } from '../layers.js';
import { fixed } from '../numbers.js';
import { oneLine } from '../text.js';
import type { Content } from './content.js';

export const MM_TO_PT = 72 / 25.4;
/** The longest page that every reader shows at true scale: 14,400 points. */
export const MAX_PAGE_MM = 5080;

export const PAPERS = {
  A4: { width: 210, height: 297 },
  Letter: { width: 215.9, height: 279.4 },
  A3: { width: 297, height: 420 },
} as const;
export type Paper = keyof typeof PAPERS;

export interface Typefaces {
  readonly regular: PDFFont;
  readonly bold: PDFFont;
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
  readonly #layers = new Map<LayerName, PDFRef>();

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
    return new PaperDocument(pdf, { regular, bold });
  }

  /** Adds a page of `width` x `height` mm that shows `content`. */
  addPage(width: number, height: number, content: Content): void {
    const page = this.#pdf.addPage([width * MM_TO_PT, height * MM_TO_PT]);
    const { context } = this.#pdf;
    const fonts = { regular: this.fonts.regular.ref, bold: this.fonts.bold.ref };
    const properties = Object.fromEntries(content.layers.map((name) => [name, this.#layer(name)]));
    page.node.set(PDFName.of('Resources'), context.obj({ Font: fonts, Properties: properties }));
    // The page's space is points: one matrix turns everything that follows into millimetres.
    const scale = fixed(MM_TO_PT, 9);
    const stream = context.flateStream(`q ${scale} 0 0 ${scale} 0 0 cm\n${content.toString()}\nQ`);
    page.node.set(PDFName.of('Contents'), context.register(stream));
  }

  async bytes(): Promise<Uint8Array> {
    const { context, catalog } = this.#pdf;
    // In the order of the table, whatever was drawn first.
    const groups = LAYERS.flatMap(({ name }) => this.#layers.get(name) ?? []);
    if (groups.length > 0) {
      catalog.set(
        PDFName.of('OCProperties'),
        context.obj({ OCGs: groups, D: { Order: groups, ON: groups, Name: PDFString.of('Layers') } }),
      );
    }
    return this.#pdf.save();
  }

  #layer(name: LayerName): PDFRef {
    const known = this.#layers.get(name);
    if (known) return known;
    const title = LAYERS.find((layer) => layer.name === name)!.title;
    const { context } = this.#pdf;
    const ref = context.register(context.obj({ Type: 'OCG', Name: PDFString.of(title) }));
    this.#layers.set(name, ref);
    return ref;
  }
}
