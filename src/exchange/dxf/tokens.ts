import { InputError } from '../../errors.js';

/** Group codes of a DXF lie in this range (DXF reference, group code ranges). */
const LOWEST = -5;
const HIGHEST = 1071;
const COMMENT = 999;

/**
 * Reads a DXF's pairs one after another: a line with a group code, a line with its value. Ends of lines may be
 * CR, LF or both. Comments (999) are passed over. One pass, nothing kept.
 *
 *     const groups = new GroupReader(text, 'a.dxf');
 *     while (groups.next()) use(groups.code, groups.value, groups.line);
 */
export class GroupReader {
  readonly #text: string;
  readonly #file: string;
  #at = 0;
  #lines = 0;

  /** The pair `next` came to. */
  code = 0;
  value = '';
  /** Line of the code, 1-based; the value is on the next. */
  line = 0;

  constructor(text: string, file: string) {
    this.#text = text;
    this.#file = file;
  }

  /**
   * Steps to the next pair; false at the end of the text.
   *
   * @throws InputError at a line that should be a group code and is not.
   */
  next(): boolean {
    do {
      if (this.#at >= this.#text.length) return false;
      this.line = this.#lines + 1;
      const code = this.#readLine();
      if (code.trim() === '' && this.#restIsBlank()) return false;
      this.code = this.#codeOf(code);
      if (this.#at >= this.#text.length) return false;
      this.value = this.#readLine();
    } while (this.code === COMMENT);
    return true;
  }

  #readLine(): string {
    const text = this.#text;
    const from = this.#at;
    let to = from;
    let c = 0;
    while (to < text.length) {
      c = text.charCodeAt(to);
      if (c === 10 || c === 13) break;
      to++;
    }
    this.#at = to + (c === 13 && text.charCodeAt(to + 1) === 10 ? 2 : 1);
    this.#lines++;
    return text.slice(from, to);
  }

  /** Blank lines (and the old end-of-file character) after the last pair are no pair. */
  #restIsBlank(): boolean {
    const text = this.#text;
    for (let i = this.#at; i < text.length; i++) {
      const c = text.charCodeAt(i);
      if (c !== 10 && c !== 13 && c !== 32 && c !== 9 && c !== 26) return false;
    }
    return true;
  }

  #codeOf(line: string): number {
    const code = parseCode(line);
    if (code !== undefined && code >= LOWEST && code <= HIGHEST) return code;
    const shown = line.trim().slice(0, 40);
    throw new InputError(
      shown === ''
        ? 'a blank line stands where a group code belongs'
        : `'${printable(shown)}' stands where a group code (a whole number up to ${HIGHEST}) belongs`,
      {
        mend: 'a line was lost or added in or above this line: export the file again, do not edit it by hand',
        place: { file: this.#file, line: this.line },
      },
    );
  }
}

/** Whole numbers of up to four digits, blanks round them allowed. */
function parseCode(line: string): number | undefined {
  const trimmed = line.trim();
  return /^-?\d{1,4}$/.test(trimmed) ? Number(trimmed) : undefined;
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is replaced.
const printable = (text: string): string => text.replace(/[\u0000-\u001f\u007f-\u009f]/g, '?');
