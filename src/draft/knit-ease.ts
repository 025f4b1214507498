import type { BlockEase, BodyMeasurements } from './body.js';

/** How far a knit stretches across the wales, by class. */
export type KnitClass = 'stable' | 'moderate' | 'stretchy' | 'super-stretch' | 'rib';

interface Reduction {
  /** Share of a body girth that the garment is smaller by. */
  readonly girth: number;
  /** Least stretch across the wales that the class has, percent. */
  readonly stretch: number;
}

/**
 * A close-fitting block of a stretchy knit is smaller than the body: by 2 % in a moderate knit, 3 % in a stretchy
 * one, 5 % where it stretches all ways, 10 % in rib (from memory of a stretch-fabric textbook). Stretch by class
 * from sewing instruction (quiltnparty.com): stable 18 to 25 %, moderate 25 to 30 %, stretchy about 50 %, super 75
 * to 100 %; rib 100 % from memory. A tight garment of pressure knits is reduced by 10 % on average (Anthropometry,
 * Apparel Sizing and Design, p. 356).
 */
export const KNIT_REDUCTIONS: Readonly<Record<KnitClass, Reduction>> = {
  stable: { girth: 0, stretch: 18 },
  moderate: { girth: 0.02, stretch: 25 },
  stretchy: { girth: 0.03, stretch: 50 },
  'super-stretch': { girth: 0.05, stretch: 75 },
  rib: { girth: 0.1, stretch: 100 },
};

/** Share of a narrower quarter that is taken off the shoulder (house default). */
const SHOULDER_SHARE = 0.6;

export const KNIT_CLASSES = Object.keys(KNIT_REDUCTIONS) as readonly KnitClass[];

/** What a block of a knit is drafted from. */
export interface KnitBlock {
  readonly body: BodyMeasurements;
  readonly ease: BlockEase;
}

/**
 * Measurements and ease of a close-fitting block of a knit, mm: the girths of body and arm are smaller than the
 * body's by the class's share, the armhole shallower by the same, and the shoulder tip lies further in, so that
 * the armhole keeps some width. The neck keeps its ease, since the head must pass it, and lengths stay. A stable
 * knit does not give: it keeps the fitted ease.
 */
export function knitBlock(body: BodyMeasurements, fitted: BlockEase, knit: KnitClass): KnitBlock {
  const { girth } = KNIT_REDUCTIONS[knit];
  if (girth === 0) return { body, ease: fitted };
  const less = (mm: number) => -girth * mm;
  // Of what a quarter of the bust loses against the fitted block, the shoulder gives its part.
  const narrower = (fitted.bust + girth * body.bust) / 4;
  return {
    body: { ...body, shoulder: body.shoulder - SHOULDER_SHARE * narrower },
    ease: {
      bust: less(body.bust),
      waist: less(body.waist),
      hip: less(body.hip),
      bicep: less(body.bicep),
      wrist: less(body.wrist),
      neck: fitted.neck,
      armholeDepth: less(body.armholeDepth),
    },
  };
}
