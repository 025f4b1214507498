import type { PDFFont } from 'pdf-lib';

/** A text as the page shows it: glyph codes in hexadecimal, and its width when the type size is 1. */
export interface SetText {
  readonly codes: string;
  readonly width: number;
}

/** Letters that are shaped word by word: no glyph depends on what stands beyond a space. */
const WORD_BY_WORD = /^[\u0020-\u024f\u2010-\u2027]*$/;

/** One embedded typeface. Shaping is slow and the words of a marker repeat, so each word is shaped once. */
export class Typeface {
  readonly font: PDFFont;
  readonly #known = new Map<string, SetText>();

  constructor(font: PDFFont) {
    this.font = font;
  }

  set(text: string): SetText {
    if (!WORD_BY_WORD.test(text)) return this.#shape(text);
    let codes = '';
    let width = 0;
    for (const word of text.split(/( )/)) {
      if (word === '') continue;
      const shaped = this.#shape(word);
      codes += shaped.codes;
      width += shaped.width;
    }
    return { codes, width };
  }

  #shape(text: string): SetText {
    const known = this.#known.get(text);
    if (known) return known;
    // At size 1000 the width comes in the font's own thousandths.
    const shaped = {
      codes: this.font.encodeText(text).asString(),
      width: this.font.widthOfTextAtSize(text, 1000) / 1000,
    };
    this.#known.set(text, shaped);
    return shaped;
  }
}
