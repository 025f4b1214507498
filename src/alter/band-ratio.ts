import { InputError, suggest } from '../errors.js';

/** What a band is sewn to. */
export type BandPlace = 'neck' | 'cuff' | 'hem';

/** Shortest and longest a band of one knit is cut, as shares of its edge. */
interface RatioRange {
  readonly least: number;
  readonly most: number;
}

/**
 * Ratios by knit for a neckband, from memory of common practice: jersey of the body 85 to 90 %, 1x1 rib 80 to
 * 85 %, rib with elastane 75 to 80 %; a 2x2 rib stretches as the 1x1 or more. Sewing instruction (sewing.org)
 * has 2/3 to 3/4 for a rib with much stretch. Published percentages are only approximations: they vary with a
 * band's depth and its recovery (growyourownclothes.com).
 */
const NECK: Readonly<Record<string, RatioRange>> = {
  jersey: { least: 0.85, most: 0.9 },
  'rib-1x1': { least: 0.8, most: 0.85 },
  'rib-2x2': { least: 0.8, most: 0.85 },
  'rib-elastane': { least: 0.75, most: 0.8 },
};

/** Cuffs 75 to 85 % of the sleeve's end, hem bands 80 to 90 % of the hem, whatever the knit (from memory). */
const CUFF: RatioRange = { least: 0.75, most: 0.85 };
const HEM: RatioRange = { least: 0.8, most: 0.9 };

/** Recovery at which a knit takes the shortest band, and below which it takes the longest (house default). */
const FULL_RECOVERY = 0.98;
const POOR_RECOVERY = 0.85;

export const BAND_KNITS: readonly string[] = Object.keys(NECK);

/**
 * Length of a band over the length of its edge, for a knit and where it is sewn. A knit that goes back to its
 * size when let go holds a shorter band; one that stays stretched would sag, and is cut longer.
 *
 * @param recovery share of the stretch that goes back; the middle of the range when left out.
 * @throws InputError for an unknown knit.
 */
export function bandRatio(knit: string, place: BandPlace, recovery?: number): number {
  if (!Object.hasOwn(NECK, knit)) {
    throw new InputError(`no band ratio is known for '${knit}'`, { mend: suggest(knit, BAND_KNITS) });
  }
  const neck = NECK[knit]!;
  // Cuff and hem ranges are as wide as all knits together: a firmer knit takes their upper half.
  const { least, most } = place === 'neck' ? neck : within(place === 'cuff' ? CUFF : HEM, neck);
  if (recovery === undefined) return (least + most) / 2;
  const share = (recovery - POOR_RECOVERY) / (FULL_RECOVERY - POOR_RECOVERY);
  return most - (most - least) * Math.min(1, Math.max(0, share));
}

function within(range: RatioRange, neck: RatioRange): RatioRange {
  const all = Object.values(NECK);
  const low = Math.min(...all.map((r) => r.least));
  const high = Math.max(...all.map((r) => r.most));
  const at = (ratio: number) => range.least + ((range.most - range.least) * (ratio - low)) / (high - low);
  return { least: at(neck.least), most: at(neck.most) };
}
