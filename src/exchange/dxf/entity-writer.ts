import type { Drawn } from './drawing.js';
import type { GroupWriter } from './group-writer.js';

/** What R13 adds to an entity: a handle and the names of the classes it is made of. */
export interface Dress {
  /** Starts a record. */
  start(type: string, layer: string): void;
  /** Names a class. */
  subclass(name: string): void;
}

/** Plain records, as R12 and older have them. */
export const plainDress = (out: GroupWriter): Dress => ({
  start: (type, layer) => out.word(0, type).name(8, layer),
  subclass: () => undefined,
});

/** @throws InputError on a number that is not finite or a text that would break the file. */
export function writeEntity(out: GroupWriter, entity: Drawn, dress: Dress): void {
  const { layer } = entity;
  switch (entity.kind) {
    case 'polyline': {
      dress.start('POLYLINE', layer);
      dress.subclass('AcDb2dPolyline');
      out
        .whole(66, 1)
        .point(10, [0, 0])
        .whole(70, entity.closed ? 1 : 0);
      for (const at of entity.points) {
        dress.start('VERTEX', layer);
        dress.subclass('AcDbVertex');
        dress.subclass('AcDb2dVertex');
        out.point(10, at);
      }
      dress.start('SEQEND', layer);
      return;
    }
    case 'line':
      dress.start('LINE', layer);
      dress.subclass('AcDbLine');
      out.point(10, entity.a).point(11, entity.b);
      return;
    case 'point':
      dress.start('POINT', layer);
      dress.subclass('AcDbPoint');
      out.point(10, entity.at, entity.z ?? 0);
      if (entity.thickness !== undefined) out.real(39, entity.thickness);
      if (entity.angle !== undefined) out.real(50, entity.angle);
      return;
    case 'text': {
      const across = entity.align === 'middle' ? 1 : 0;
      const half = entity.align === 'middle' || entity.align === 'left';
      dress.start('TEXT', layer);
      dress.subclass('AcDbText');
      out.point(10, entity.at).real(40, entity.height).lettering(1, entity.text);
      if (entity.angle) out.real(50, entity.angle);
      if (half) out.whole(72, across).point(11, entity.at);
      dress.subclass('AcDbText');
      if (half) out.whole(73, 2);
      return;
    }
    case 'insert':
      dress.start('INSERT', layer);
      dress.subclass('AcDbBlockReference');
      out.name(2, entity.block).point(10, entity.at);
      return;
  }
}
