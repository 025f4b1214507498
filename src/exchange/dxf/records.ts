import { InputError } from '../../errors.js';
import type { Vec } from '../../geometry/vec.js';
import { GroupReader } from './tokens.js';
import type { DxfGroup, DxfLimits } from './types.js';

/** Longer than any number that a drawing needs; a pattern match on it stays cheap. */
const LONGEST_NUMBER = 64;
const NUMBER = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?$/;

/** What follows in a record is a second object inside it (DXF reference, MTEXT columns). */
const EMBEDDED = 101;

/**
 * A `0` group and the groups up to the next one. Numbers are read on demand; the first that cannot be read is
 * kept as `fault`, and whoever builds an entity asks for it at the end.
 */
export class DxfRecord {
  readonly codes: number[] = [];
  readonly values: string[] = [];
  readonly lines: number[] = [];
  /** False when the text ended inside this record, or may have. */
  whole = true;
  fault: string | undefined;

  constructor(
    readonly type: string,
    readonly line: number,
    readonly extent: number,
  ) {}

  /** The first value of a group, blanks round it taken off. */
  text(code: number): string | undefined {
    const i = this.codes.indexOf(code);
    return i < 0 ? undefined : this.values[i]!.trim();
  }

  /** Like `text`, with the blanks inside the lettering kept. */
  lettering(code: number): string | undefined {
    const i = this.codes.indexOf(code);
    return i < 0 ? undefined : this.values[i]!;
  }

  /** A length or coordinate; a missing one is a fault unless there is a fallback. */
  length(code: number, fallback?: number): number {
    return this.#numbered(code, fallback, this.extent, 'coordinate');
  }

  /** A number of another kind: an angle, a factor, a flag. */
  number(code: number, fallback?: number): number {
    return this.#numbered(code, fallback, 1e15, 'value');
  }

  flags(code: number): number {
    return Math.trunc(this.number(code, 0));
  }

  point(code: number): Vec {
    return [this.length(code), this.length(code + 10)];
  }

  /** A group's value as a coordinate, by its place in the record. */
  lengthAt(i: number): number {
    return this.#parsed(this.values[i]!, this.extent, 'coordinate');
  }

  numberAt(i: number): number {
    return this.#parsed(this.values[i]!, 1e15, 'value');
  }

  groups(): DxfGroup[] {
    return this.codes.map((code, i) => ({ code, value: this.values[i]!.trim(), line: this.lines[i]! }));
  }

  #numbered(code: number, fallback: number | undefined, most: number, noun: string): number {
    const i = this.codes.indexOf(code);
    if (i >= 0) return this.#parsed(this.values[i]!, most, noun);
    if (fallback === undefined) this.fault ??= `without its group ${code}`;
    return fallback ?? 0;
  }

  #parsed(raw: string, most: number, noun: string): number {
    const text = raw.length > LONGEST_NUMBER ? '' : raw.trim();
    const value = NUMBER.test(text) ? Number(text) : Number.NaN;
    if (Math.abs(value) <= most) return value;
    if (/^[-+]?\d+,\d+$/.test(text)) this.fault ??= 'with a decimal comma: numbers are written with a point';
    else if (Number.isNaN(value) || noun === 'value') this.fault ??= `with a ${noun} that is not a number`;
    else this.fault ??= `with a coordinate beyond ${most} units`;
    return 0;
  }
}

/** Groups a DXF's pairs into records, one at a time. */
export class RecordReader {
  readonly #groups: GroupReader;
  readonly #file: string;
  readonly #limits: DxfLimits;
  #pending: { type: string; line: number } | undefined;
  #count = 0;

  /** @throws InputError when the text does not begin as a DXF does. */
  constructor(text: string, file: string, limits: DxfLimits) {
    this.#groups = new GroupReader(text, file);
    this.#file = file;
    this.#limits = limits;
    if (this.#begins()) return;
    throw new InputError('this is not a DXF: it does not begin with a section', {
      mend: 'give a DXF in text form (ASCII), whole from its first line',
      place: { file, line: Math.max(1, this.#groups.line) },
    });
  }

  /** A first line that is no group code belongs to a file of another kind, not to a DXF with a fault. */
  #begins(): boolean {
    try {
      return this.#step() && this.#pending !== undefined;
    } catch (error) {
      if (error instanceof InputError) return false;
      throw error;
    }
  }

  /**
   * The next record, undefined after the last.
   *
   * @throws InputError at a broken pair, and beyond the limit of records.
   */
  next(): DxfRecord | undefined {
    const head = this.#pending;
    if (!head) return undefined;
    this.#pending = undefined;
    if (++this.#count > this.#limits.records) {
      throw new InputError(`the DXF has more than ${this.#limits.records} records`, {
        mend: 'export fewer sizes or pieces at a time',
        place: { file: this.#file, line: head.line },
      });
    }
    const record = new DxfRecord(head.type, head.line, this.#limits.extent);
    if (head.type === 'EOF') return record;
    let embedded = false;
    while (this.#step()) {
      if (this.#pending) return record;
      const { code, value, line } = this.#groups;
      if (code === EMBEDDED) embedded = true;
      if (embedded) continue;
      record.codes.push(code);
      record.values.push(value);
      record.lines.push(line + 1);
    }
    record.whole = false;
    return record;
  }

  #step(): boolean {
    if (!this.#groups.next()) return false;
    const { code, value, line } = this.#groups;
    if (code === 0) this.#pending = { type: value.trim().toUpperCase(), line };
    return true;
  }
}
