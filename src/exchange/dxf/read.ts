import { InputError } from '../../errors.js';
import type { Vec } from '../../geometry/vec.js';
import { decodeDxf } from './encoding.js';
import { entityOf, isKnown, polylineHead, vertexOf } from './entities.js';
import { Drops, DXF_LIMITS } from './limits.js';
import { type DxfRecord, RecordReader } from './records.js';
import type { DxfBlock, DxfEntity, DxfFile, DxfGroup, DxfLayer, DxfLimits, DxfVertex } from './types.js';

/**
 * Reads a DXF in text form (R12 to today): header, layers, blocks and entities as plain values, in drawing
 * units, each with its line. Heights (z) of outlines are passed over. What is not read, or cannot be, is counted
 * in `dropped`. A file that breaks off gives what was whole before the break: a block or polyline that is cut
 * through is left out. Work and memory grow no faster than the file.
 *
 * @param name of the file, for messages.
 * @throws InputError for a file that is no text DXF, for pairs that are out of step, with the line, and for a
 *   file beyond the limits.
 */
export function readDxf(bytes: Uint8Array, name: string, limits: Partial<DxfLimits> = {}): DxfFile {
  const bounds = { ...DXF_LIMITS, ...limits };
  if (bytes.length > bounds.bytes) {
    throw new InputError(
      `the DXF has ${megabytes(bytes.length)} MB; more than ${megabytes(bounds.bytes)} MB are not read`,
      { mend: 'export fewer sizes or pieces at a time', place: { file: name } },
    );
  }
  const { text, encoding, note } = decodeDxf(bytes, name);
  const drawing = new Drawing(name, bounds);
  if (note !== undefined) drawing.drops.add(note, name);
  const records = new RecordReader(text, name, bounds);
  for (let record = records.next(); record; record = records.next()) {
    if (!drawing.take(record)) break;
  }
  return drawing.finish(encoding);
}

/** Records become blocks and entities as they come; nothing is looked at twice. */
class Drawing {
  readonly drops = new Drops();
  readonly #name: string;
  readonly #limits: DxfLimits;
  readonly #header = new Map<string, DxfGroup[]>();
  readonly #layers: DxfLayer[] = [];
  readonly #blocks: DxfBlock[] = [];
  readonly #blockNames = new Set<string>();
  readonly #entities: DxfEntity[] = [];
  #section: string | undefined;
  #sections = new Set<string>();
  #block: { head: Omit<DxfBlock, 'entities'>; entities: DxfEntity[] } | undefined;
  #polyline: OpenPolyline | undefined;
  #vertices = 0;
  #complete = false;

  constructor(name: string, limits: DxfLimits) {
    this.#name = name;
    this.#limits = limits;
  }

  /** False when the file is at its end. */
  take(record: DxfRecord): boolean {
    const { type } = record;
    if (this.#polyline && type !== 'VERTEX') this.#endPolyline(record);
    if (type === 'EOF') {
      this.#endBlock(record.line);
      this.#complete = true;
      return false;
    }
    if (!record.whole && !ENDS.has(type)) {
      this.#cutOff(record);
      return false;
    }
    if (type === 'SECTION') this.#startSection(record);
    else if (type === 'ENDSEC') {
      this.#endBlock(record.line);
      this.#section = undefined;
    } else if (this.#section === 'TABLES') {
      if (type === 'LAYER') this.#layers.push(layerOf(record));
    } else if (this.#section === 'BLOCKS' || this.#section === 'ENTITIES') this.#takeEntity(record);
    else if (this.#section === undefined && isKnown(type)) {
      this.drops.add(`${type} outside every section`, record.line);
    }
    return true;
  }

  finish(encoding: string): DxfFile {
    if (!this.#sections.has('ENTITIES') && !this.#sections.has('BLOCKS')) {
      throw new InputError(
        this.#complete
          ? 'the DXF has neither blocks nor entities'
          : 'the DXF breaks off before its blocks and entities',
        { mend: 'export it again and give the whole file', place: { file: this.#name } },
      );
    }
    if (!this.#complete)
      this.drops.add('the end of the file (it has no EOF: it may have been cut off)', 'its end');
    return {
      name: this.#name,
      version: this.#header.get('$ACADVER')?.[0]?.value,
      encoding,
      header: this.#header,
      insUnits: this.#setting('$INSUNITS'),
      measurement: this.#setting('$MEASUREMENT'),
      layers: this.#layers,
      blocks: this.#blocks,
      entities: this.#entities,
      dropped: this.drops.list(),
      complete: this.#complete,
    };
  }

  #startSection(record: DxfRecord): void {
    if (this.#section !== undefined) this.drops.add('ENDSEC that is missing', record.line);
    this.#endBlock(record.line);
    this.#section = record.text(2)?.toUpperCase() ?? '';
    this.#sections.add(this.#section);
    if (this.#section === 'HEADER') this.#readHeader(record);
  }

  #readHeader(record: DxfRecord): void {
    let groups: DxfGroup[] | undefined;
    for (const group of record.groups()) {
      if (group.code === 9) {
        groups = [];
        this.#header.set(group.value.toUpperCase(), groups);
      } else groups?.push(group);
    }
  }

  #takeEntity(record: DxfRecord): void {
    const { type, line } = record;
    if (this.#section === 'BLOCKS') {
      if (type === 'BLOCK') this.#startBlock(record);
      else if (type === 'ENDBLK') this.#endBlock(undefined);
      else if (!this.#block) this.drops.add(`${type.slice(0, 40)} outside every block`, line);
      if (type === 'BLOCK' || !this.#block) return;
    }
    if (type === 'SEQEND') return;
    if (type === 'VERTEX') this.#takeVertex(record);
    else if (type === 'POLYLINE') {
      this.#polyline = { head: polylineHead(record, this.drops), vertices: [], fault: record.fault };
    } else {
      const entity = entityOf(record, this.drops);
      if (!entity) return;
      if (entity.kind === 'polyline') this.#count(entity.vertices.length, line);
      if (entity.kind === 'spline') {
        this.#count(entity.knots.length + entity.control.length + entity.fit.length, line);
      }
      this.#sink().push(entity);
    }
  }

  #takeVertex(record: DxfRecord): void {
    const open = this.#polyline;
    if (!open) this.drops.add('VERTEX without a POLYLINE', record.line);
    if (!open?.head) return;
    this.#count(1, record.line);
    const vertex = vertexOf(record, open.head.flip);
    open.fault ??= record.fault === undefined ? undefined : `with a VERTEX ${record.fault}`;
    if (vertex) open.vertices.push(vertex);
  }

  /** At the SEQEND, or at whatever stands where it should. */
  #endPolyline(record: DxfRecord): void {
    const { head, vertices, fault } = this.#polyline!;
    if (!record.whole && !ENDS.has(record.type)) return;
    this.#polyline = undefined;
    if (!head) return;
    const { layer, lineNumber, closed } = head;
    if (record.type !== 'SEQEND') this.drops.add('SEQEND that is missing', record.line);
    if (fault !== undefined) this.drops.add(`POLYLINE ${fault}`, lineNumber);
    else if (vertices.length === 0) this.drops.add('POLYLINE without vertices', lineNumber);
    else this.#sink().push({ kind: 'polyline', layer, lineNumber, closed, vertices });
  }

  #startBlock(record: DxfRecord): void {
    this.#endBlock(record.line);
    const name = record.text(2) ?? record.text(3) ?? '';
    const base: Vec = [record.length(10, 0), record.length(20, 0)];
    if (record.fault !== undefined) this.drops.add(`base point of a BLOCK ${record.fault}`, record.line);
    if (this.#blockNames.has(name.toUpperCase())) {
      this.drops.add(`second BLOCK of the same name (an INSERT takes the first)`, record.line);
    }
    this.#blockNames.add(name.toUpperCase());
    this.#block = {
      head: { name, base, layer: record.text(8) || '0', lineNumber: record.line },
      entities: [],
    };
  }

  /** @param missing line of what stands where the ENDBLK should; undefined at an ENDBLK. */
  #endBlock(missing: number | undefined): void {
    if (!this.#block) return;
    if (missing !== undefined) this.drops.add('ENDBLK that is missing', missing);
    this.#blocks.push({ ...this.#block.head, entities: this.#block.entities });
    this.#block = undefined;
  }

  /** The text ended inside this record: it, and whatever it was to be part of, is not to be relied on. */
  #cutOff(record: DxfRecord): void {
    if (this.#block) {
      this.drops.add(`BLOCK '${this.#block.head.name.slice(0, 40)}' that is cut off`, record.line);
    } else if (this.#polyline) {
      this.drops.add('POLYLINE that is cut off', this.#polyline.head?.lineNumber ?? record.line);
    } else this.drops.add(`${record.type.slice(0, 40)} that is cut off`, record.line);
    this.#block = undefined;
    this.#polyline = undefined;
  }

  #sink(): DxfEntity[] {
    return this.#block?.entities ?? this.#entities;
  }

  #count(vertices: number, line: number): void {
    this.#vertices += vertices;
    if (this.#vertices <= this.#limits.vertices) return;
    throw new InputError(`the DXF has more than ${this.#limits.vertices} vertices`, {
      mend: 'export fewer sizes or pieces at a time, or fewer points on curves',
      place: { file: this.#name, line },
    });
  }

  #setting(name: string): number | undefined {
    const text = this.#header.get(name)?.[0]?.value;
    return text !== undefined && /^\d{1,4}$/.test(text) ? Number(text) : undefined;
  }
}

/** Records that close something: nothing in them matters, so a file may break off there. */
const ENDS = new Set(['SEQEND', 'ENDBLK', 'ENDSEC']);

interface OpenPolyline {
  /** Undefined for one that is passed over with its vertices. */
  readonly head: ReturnType<typeof polylineHead>;
  readonly vertices: DxfVertex[];
  fault: string | undefined;
}

/** A layer is off when its colour is negative (DXF reference, LAYER). */
function layerOf(record: DxfRecord): DxfLayer {
  const colour = record.number(62, 7);
  return {
    name: record.text(2) ?? '',
    off: colour < 0,
    frozen: (record.flags(70) & 1) !== 0,
    colour: Math.abs(colour),
  };
}

const megabytes = (bytes: number): string => (bytes / 1024 / 1024).toFixed(1);
