import { z } from 'zod';
import { lengthField } from '../fields.js';
import type { Unit } from '../units.js';
import type { HalfTape, TapeMeasurements } from './tape.js';

/** Tape measurements of a paper block as a style spells them; plain lengths in `unit`. */
export function tapeSchema(unit: Unit) {
  const length = lengthField(unit, 'positive');
  const half = z
    .strictObject({
      chest: length.describe('half: fold to side seam at the underarm'),
      waist: length.optional().describe('half, at the waist'),
      hem: length.describe('half, at the hem'),
      'neck-width': length.describe('half: fold to neck point'),
      'across-shoulder': length.describe('half: fold to shoulder tip'),
      shoulder: length.describe('neck point to tip'),
      'neck-depth': length.describe('neck point level down to the centre neck'),
      'armhole-depth': length.describe('neck point level down to the underarm level'),
      'waist-length': length.optional().describe('neck point level down to the waist'),
      length: length.describe('neck point level down to the hem'),
      armhole: length.describe('along its curve'),
      neckline: length.optional().describe('half, along its curve'),
      side: length.optional().describe('along the side seam'),
    })
    .superRefine((o, context) => {
      if ((o.waist === undefined) === (o['waist-length'] === undefined)) return;
      const missing = o.waist === undefined ? 'waist' : 'waist-length';
      context.addIssue({ code: 'custom', path: [missing], message: `say '${missing}' too, or neither` });
    })
    .transform(
      (o): HalfTape => ({
        chest: o.chest,
        hem: o.hem,
        neckWidth: o['neck-width'],
        acrossShoulder: o['across-shoulder'],
        shoulder: o.shoulder,
        neckDepth: o['neck-depth'],
        armholeDepth: o['armhole-depth'],
        length: o.length,
        armhole: o.armhole,
        ...(o.waist === undefined ? {} : { waist: o.waist }),
        ...(o['waist-length'] === undefined ? {} : { waistLength: o['waist-length'] }),
        ...(o.neckline === undefined ? {} : { neckline: o.neckline }),
        ...(o.side === undefined ? {} : { side: o.side }),
      }),
    );
  return z
    .strictObject({
      back: half,
      front: half,
      sleeve: z.strictObject({
        width: length.describe('whole, at the bicep'),
        wrist: length.describe('whole, at the lower end'),
        length: length.describe('crown to lower end'),
        cap: length.optional().describe('along the whole cap'),
      }),
    })
    .transform(
      ({ back, front, sleeve: { cap, ...sleeve } }): TapeMeasurements => ({
        back,
        front,
        sleeve: cap === undefined ? sleeve : { ...sleeve, cap },
      }),
    );
}
