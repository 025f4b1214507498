import { z } from 'zod';
import { lengthField } from '../fields.js';
import type { Unit } from '../units.js';

/** Body measurements a block is drafted from, mm. Girths are whole girths. */
export interface BodyMeasurements {
  readonly bust: number;
  readonly waist: number;
  readonly hip: number;
  /** Neck point to shoulder tip along the shoulder. */
  readonly shoulder: number;
  /** Nape to waist along the centre back. */
  readonly backWaistLength: number;
  /** Neck base girth. */
  readonly neck: number;
  /** Upper arm girth, arm relaxed. */
  readonly bicep: number;
  readonly wrist: number;
  /** Shoulder tip to wrist, arm slightly bent. */
  readonly armLength: number;
  /** Nape level down to the underarm level (scye depth). */
  readonly armholeDepth: number;
  /** Waist down to the fullest hip. */
  readonly hipDepth: number;
  readonly head: number;
}

/** How much larger (or, negative, smaller) the block is than the body; girths whole, mm. */
export interface BlockEase {
  readonly bust: number;
  readonly waist: number;
  readonly hip: number;
  readonly bicep: number;
  readonly wrist: number;
  readonly neck: number;
  /** Added to the scye depth. */
  readonly armholeDepth: number;
}

/** Ease of a fitted block in a stable knit (house default; bands after common knitting standards). */
export const FITTED_EASE: BlockEase = {
  bust: 50,
  waist: 60,
  hip: 40,
  bicep: 40,
  wrist: 40,
  neck: 15,
  armholeDepth: 10,
};

/** Body measurements as files spell them (kebab-case keys), lengths in `unit` unless they name their own. */
export function bodySchema(unit: Unit) {
  const length = lengthField(unit, 'positive');
  return z
    .strictObject({
      bust: length,
      waist: length,
      hip: length,
      shoulder: length,
      'back-waist-length': length,
      neck: length,
      bicep: length,
      wrist: length,
      'arm-length': length,
      'armhole-depth': length,
      'hip-depth': length,
      head: length,
    })
    .transform(
      (body): BodyMeasurements => ({
        bust: body.bust,
        waist: body.waist,
        hip: body.hip,
        shoulder: body.shoulder,
        backWaistLength: body['back-waist-length'],
        neck: body.neck,
        bicep: body.bicep,
        wrist: body.wrist,
        armLength: body['arm-length'],
        armholeDepth: body['armhole-depth'],
        hipDepth: body['hip-depth'],
        head: body.head,
      }),
    );
}

/** Ease as files spell it; what is left out keeps the value of a fitted block. */
export function easeSchema(unit: Unit) {
  const length = lengthField(unit).optional();
  return z
    .strictObject({
      bust: length,
      waist: length,
      hip: length,
      bicep: length,
      wrist: length,
      neck: length,
      'armhole-depth': length,
    })
    .transform(
      (ease): BlockEase => ({
        bust: ease.bust ?? FITTED_EASE.bust,
        waist: ease.waist ?? FITTED_EASE.waist,
        hip: ease.hip ?? FITTED_EASE.hip,
        bicep: ease.bicep ?? FITTED_EASE.bicep,
        wrist: ease.wrist ?? FITTED_EASE.wrist,
        neck: ease.neck ?? FITTED_EASE.neck,
        armholeDepth: ease['armhole-depth'] ?? FITTED_EASE.armholeDepth,
      }),
    );
}
