import type { DrawnFile } from './drawing.js';
import { type Dress, writeEntity } from './entity-writer.js';
import { GroupWriter } from './group-writer.js';

/**
 * A drawing as DXF R13 (AC1012): handles, class names, a record for every block and the dictionaries a reader of
 * that version asks for. Plain ASCII, CR LF; the same drawing gives the same bytes.
 *
 * @throws InputError on a number that is not finite, a name or text that the format cannot carry.
 */
export function writeR13(drawing: DrawnFile): string {
  const body = new R13(drawing.decimals);
  body.tables(drawing);
  body.blocks(drawing);
  body.entities(drawing);
  body.objects();
  // The header names the next free handle, so it is written last and put first.
  return header(drawing, body.nextHandle()) + body.toString();
}

function header({ decimals, extent: [low, high] }: DrawnFile, seed: string): string {
  const out = new GroupWriter(decimals);
  out.word(0, 'SECTION').word(2, 'HEADER');
  out.word(9, '$ACADVER').word(1, 'AC1012').word(9, '$DWGCODEPAGE').word(3, 'ANSI_1252');
  out.word(9, '$HANDSEED').word(5, seed);
  out.word(9, '$EXTMIN').point(10, low).word(9, '$EXTMAX').point(10, high);
  return out.word(0, 'ENDSEC').toString();
}

const LINETYPES = ['ByBlock', 'ByLayer', 'Continuous'];
const SPACES = ['*Model_Space', '*Paper_Space'];

class R13 {
  readonly #out: GroupWriter;
  readonly #dress: Dress;
  /** Handles of the block records, by name; 330 of an entity names the one it stands in. */
  readonly #records = new Map<string, string>();
  #owner = '0';
  #handles = 0;

  constructor(decimals: number) {
    const out = new GroupWriter(decimals);
    this.#out = out;
    this.#dress = {
      start: (type, layer) => {
        out.word(0, type).word(5, this.#handle()).word(330, this.#owner);
        out.word(100, 'AcDbEntity').name(8, layer);
      },
      subclass: (name) => out.word(100, name),
    };
  }

  toString(): string {
    return this.#out.toString();
  }

  nextHandle(): string {
    return (this.#handles + 1).toString(16).toUpperCase();
  }

  tables({ layers, blocks }: DrawnFile): void {
    const out = this.#out;
    out.word(0, 'SECTION').word(2, 'TABLES');
    this.#table('VPORT', ['*Active'], (name) => {
      this.#record('VPORT', 'AcDbViewportTableRecord').word(2, name).whole(70, 0);
      out.real(10, 0).real(20, 0).real(11, 1).real(21, 1).real(12, 0).real(22, 0);
      out.real(40, 1000).real(41, 1.5);
    });
    this.#table('LTYPE', LINETYPES, (name) => {
      this.#record('LTYPE', 'AcDbLinetypeTableRecord').word(2, name).whole(70, 0).word(3, '');
      out.whole(72, 65).whole(73, 0).real(40, 0);
    });
    this.#table('LAYER', [{ name: '0', colour: 7 }, ...layers], ({ name, colour }) => {
      this.#record('LAYER', 'AcDbLayerTableRecord').name(2, name).whole(70, 0).whole(62, colour);
      out.word(6, 'Continuous');
    });
    this.#table('STYLE', ['Standard'], (name) => {
      this.#record('STYLE', 'AcDbTextStyleTableRecord').word(2, name).whole(70, 0).real(40, 0);
      out.real(41, 1).real(50, 0).whole(71, 0).real(42, 1).word(3, 'txt').word(4, '');
    });
    this.#table('VIEW', [], () => undefined);
    this.#table('UCS', [], () => undefined);
    this.#table('APPID', ['ACAD'], (name) => {
      this.#record('APPID', 'AcDbRegAppTableRecord').word(2, name).whole(70, 0);
    });
    this.#table('DIMSTYLE', [], () => undefined);
    this.#table('BLOCK_RECORD', [...SPACES, ...blocks.map((b) => b.name)], (name) => {
      this.#record('BLOCK_RECORD', 'AcDbBlockTableRecord').word(2, name);
      this.#records.set(name, this.#lastHandle());
    });
    out.word(0, 'ENDSEC');
  }

  blocks({ blocks }: DrawnFile): void {
    const out = this.#out;
    out.word(0, 'SECTION').word(2, 'BLOCKS');
    for (const name of SPACES) this.#block(name, () => undefined);
    for (const { name, entities } of blocks) {
      this.#block(name, () => {
        for (const entity of entities) writeEntity(out, entity, this.#dress);
      });
    }
    out.word(0, 'ENDSEC');
  }

  entities({ entities }: DrawnFile): void {
    this.#owner = this.#records.get(SPACES[0]!)!;
    this.#out.word(0, 'SECTION').word(2, 'ENTITIES');
    for (const entity of entities) writeEntity(this.#out, entity, this.#dress);
    this.#out.word(0, 'ENDSEC');
  }

  objects(): void {
    const out = this.#out;
    const [root, groups] = [this.#handle(), this.#handle()];
    out.word(0, 'SECTION').word(2, 'OBJECTS');
    out.word(0, 'DICTIONARY').word(5, root).word(100, 'AcDbDictionary');
    out.word(3, 'ACAD_GROUP').word(350, groups);
    out.word(0, 'DICTIONARY').word(5, groups).word(330, root).word(100, 'AcDbDictionary');
    out.word(0, 'ENDSEC').word(0, 'EOF');
  }

  #table<T>(name: string, rows: readonly T[], write: (row: T) => void): void {
    const out = this.#out;
    out.word(0, 'TABLE').word(2, name).word(5, this.#handle());
    out.word(100, 'AcDbSymbolTable').whole(70, rows.length);
    for (const row of rows) write(row);
    out.word(0, 'ENDTAB');
  }

  #record(type: string, subclass: string): GroupWriter {
    return this.#out
      .word(0, type)
      .word(5, this.#handle())
      .word(100, 'AcDbSymbolTableRecord')
      .word(100, subclass);
  }

  #block(name: string, content: () => void): void {
    const out = this.#out;
    this.#owner = this.#records.get(name)!;
    this.#dress.start('BLOCK', '0');
    this.#dress.subclass('AcDbBlockBegin');
    // Only the two spaces have a star in their names.
    const named = (code: number) => (SPACES.includes(name) ? out.word(code, name) : out.name(code, name));
    named(2).whole(70, 0).point(10, [0, 0]);
    named(3).word(1, '');
    content();
    this.#dress.start('ENDBLK', '0');
    this.#dress.subclass('AcDbBlockEnd');
  }

  #handle(): string {
    this.#handles += 1;
    return this.#lastHandle();
  }

  #lastHandle(): string {
    return this.#handles.toString(16).toUpperCase();
  }
}
