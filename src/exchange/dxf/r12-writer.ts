import type { DrawnFile } from './drawing.js';
import { plainDress, writeEntity } from './entity-writer.js';
import { GroupWriter } from './group-writer.js';

/**
 * A drawing as DXF R12 (AC1009), for machines that read nothing newer: polylines with VERTEX records, no handles,
 * plain ASCII, CR LF. R12 has no field for units: say them in a text. The same drawing gives the same bytes.
 *
 * @throws InputError on a number that is not finite, a name or text that the format cannot carry.
 */
export function writeR12(drawing: DrawnFile): string {
  const out = new GroupWriter(drawing.decimals);
  const dress = plainDress(out);
  const [low, high] = drawing.extent;
  out.word(0, 'SECTION').word(2, 'HEADER');
  out.word(9, '$ACADVER').word(1, 'AC1009');
  out.word(9, '$EXTMIN').point(10, low).word(9, '$EXTMAX').point(10, high);
  out.word(0, 'ENDSEC');

  out.word(0, 'SECTION').word(2, 'TABLES');
  out.word(0, 'TABLE').word(2, 'LTYPE').whole(70, 1);
  out.word(0, 'LTYPE').word(2, 'CONTINUOUS').whole(70, 0).word(3, 'Solid line').whole(72, 65);
  out.whole(73, 0).real(40, 0).word(0, 'ENDTAB');
  out
    .word(0, 'TABLE')
    .word(2, 'LAYER')
    .whole(70, drawing.layers.length + 1);
  for (const { name, colour } of [{ name: '0', colour: 7 }, ...drawing.layers]) {
    out.word(0, 'LAYER').name(2, name).whole(70, 0).whole(62, colour).word(6, 'CONTINUOUS');
  }
  out.word(0, 'ENDTAB');
  out.word(0, 'TABLE').word(2, 'STYLE').whole(70, 1);
  out.word(0, 'STYLE').word(2, 'STANDARD').whole(70, 0).real(40, 0).real(41, 1).real(50, 0);
  out.whole(71, 0).real(42, 1).word(3, 'txt').word(4, '').word(0, 'ENDTAB');
  out.word(0, 'ENDSEC');

  out.word(0, 'SECTION').word(2, 'BLOCKS');
  for (const { name, entities } of drawing.blocks) {
    out.word(0, 'BLOCK').name(8, '0').name(2, name).whole(70, 0).point(10, [0, 0]).name(3, name);
    for (const entity of entities) writeEntity(out, entity, dress);
    out.word(0, 'ENDBLK').name(8, '0');
  }
  out.word(0, 'ENDSEC');

  out.word(0, 'SECTION').word(2, 'ENTITIES');
  for (const entity of drawing.entities) writeEntity(out, entity, dress);
  return out.word(0, 'ENDSEC').word(0, 'EOF').toString();
}
