import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';

/**
 * The `body` dataset of 247 men and 260 women: G. Heinz, L. J. Peterson, R. W. Johnson, C. J. Kerk, "Exploring
 * relationships in body dimensions", Journal of Statistics Education 11 (2003); as Debian's r-cran-gclus carries
 * it (GPL, so it is read where it is installed and not kept here). `WALEWISE_BODY_DATA` names another place.
 */
const FILE = process.env['WALEWISE_BODY_DATA'] ?? '/usr/lib/R/site-library/gclus/data/body.RData';

export const hasBodyData = existsSync(FILE);

/** Columns of the dataset by name, cm. */
export function bodyData(): Map<string, readonly number[]> {
  const bytes = execFileSync('xz', ['--decompress', '--stdout', '--format=xz', FILE], { maxBuffer: 1 << 26 });
  const head = 'RDX2\nX\n';
  if (bytes.subarray(0, head.length).toString() !== head) throw new Error(`${FILE} is no saved R data`);
  const [, frame] = new Reader(bytes, head.length + 12).pair();
  if (!Array.isArray(frame.value) || !frame.names) throw new Error(`${FILE} holds no table`);
  return new Map(frame.names.map((name, i) => [name, (frame.value as RValue[])[i]!.value as number[]]));
}

interface RValue {
  readonly value: unknown;
  readonly names?: string[];
}

/** R's serialized data in its XDR form (R Internals, "Serialization Formats"), as far as a plain table needs. */
class Reader {
  readonly #bytes: Buffer;
  readonly #refs: string[] = [];
  #at: number;

  constructor(bytes: Buffer, at: number) {
    this.#bytes = bytes;
    this.#at = at;
  }

  /** The first tag and value of a pair list. */
  pair(): [string, RValue] {
    const { tag, value } = this.#pairs()[0]!;
    return [tag, value];
  }

  #int(): number {
    this.#at += 4;
    return this.#bytes.readInt32BE(this.#at - 4);
  }

  #pairs(flags = this.#int()): { tag: string; value: RValue }[] {
    const list: { tag: string; value: RValue }[] = [];
    let next = flags;
    while ((next & 0xff) === 2) {
      if (next & 0x200) this.#item();
      const tag = next & 0x400 ? String(this.#item().value) : '';
      list.push({ tag, value: this.#item() });
      next = this.#int();
    }
    return list;
  }

  #item(): RValue {
    const flags = this.#int();
    const type = flags & 0xff;
    if (type === 254) return { value: undefined };
    if (type === 255) return { value: this.#refs[(flags >> 8) - 1] };
    if (type === 1) {
      const name = String(this.#item().value);
      this.#refs.push(name);
      return { value: name };
    }
    if (type === 2) return { value: this.#pairs(flags) };
    const size = this.#int();
    if (type === 9) {
      if (size < 0) return { value: undefined };
      this.#at += size;
      return { value: this.#bytes.toString('utf8', this.#at - size, this.#at) };
    }
    const read: Readonly<Record<number, () => unknown>> = {
      10: () => this.#int(),
      13: () => this.#int(),
      14: () => {
        this.#at += 8;
        return this.#bytes.readDoubleBE(this.#at - 8);
      },
      16: () => this.#item().value,
      19: () => this.#item(),
    };
    const one = read[type];
    if (!one) throw new Error(`R type ${type} is not read here`);
    const value = Array.from({ length: size }, one);
    const attributes = flags & 0x200 ? this.#pairs() : [];
    const names = attributes.find((a) => a.tag === 'names')?.value.value;
    return Array.isArray(names) ? { value, names: names.map(String) } : { value };
  }
}
