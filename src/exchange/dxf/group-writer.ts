import { InputError } from '../../errors.js';
import type { Vec } from '../../geometry/vec.js';
import { fixed } from '../numbers.js';
import { dxfText } from '../text.js';

// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is refused.
const CONTROL = /[\u0000-\u001f\u007f-\u009f\u2028\u2029]/;
/** Names of blocks and layers up to R14: letters, digits and `$ - _`, 31 at the most (DXF reference, symbol names). */
const NAME = /^[A-Z0-9$_-]{1,31}$/i;

/** Collects a DXF's pairs; lines end in CR LF, the text is plain ASCII. */
export class GroupWriter {
  readonly #lines: string[] = [];
  readonly #decimals: number;

  constructor(decimals: number) {
    this.#decimals = decimals;
  }

  /** A word of the format itself, such as a record's type. */
  word(code: number, value: string): this {
    this.#lines.push(String(code).padStart(3), value);
    return this;
  }

  /** @throws InputError on a name that versions before 2000 cannot carry. */
  name(code: number, value: string): this {
    if (NAME.test(value)) return this.word(code, value);
    throw new InputError(`'${value.replace(CONTROL, '?')}' cannot be the name of a block or layer in a DXF`, {
      mend: 'use up to 31 plain letters, digits, $, - and _',
    });
  }

  /**
   * Lettering; what is not ASCII is written as `\U+` and its number.
   *
   * @throws InputError on a control character or line break, which would end the pair.
   */
  lettering(code: number, value: string): this {
    if (CONTROL.test(value)) {
      throw new InputError(
        `a text of the DXF holds a line break or control character: '${printable(value)}'`,
        {
          mend: 'write it in one line of plain characters',
        },
      );
    }
    return this.word(code, ascii(dxfText(value)));
  }

  whole(code: number, value: number): this {
    return this.word(code, String(Math.trunc(value)).padStart(6));
  }

  /** @throws InputError when the number is not finite. */
  real(code: number, value: number): this {
    return this.word(code, fixed(value, this.#decimals));
  }

  /** x, y and z at `code`, `code + 10` and `code + 20`. */
  point(code: number, [x, y]: Vec, z = 0): this {
    return this.real(code, x)
      .real(code + 10, y)
      .real(code + 20, z);
  }

  toString(): string {
    return `${this.#lines.join('\r\n')}\r\n`;
  }
}

/** Characters beyond the basic plane are written as their two halves, as the format has no other way. */
const ascii = (text: string): string =>
  text.replace(/[^ -~]/g, (c) => `\\U+${c.charCodeAt(0).toString(16).toUpperCase().padStart(4, '0')}`);

const printable = (text: string): string => text.replace(new RegExp(CONTROL, 'g'), '?').slice(0, 60);
