/**
 * Divides `total` (0 or more) in proportion to weights of 0 or more, so that the shares, added in any order, are
 * exactly `total`: they are whole multiples of its last binary place, and what rounding leaves over goes to the
 * largest. Without any weight all shares are equal but for such a place.
 */
export function shareOut(total: number, weights: readonly number[]): number[] {
  if (total === 0 || weights.length === 0) return weights.map(() => 0);
  const parts = weights.some((w) => w > 0) ? weights : weights.map(() => 1);
  const whole = parts.reduce((sum, w) => sum + w, 0);
  // Multiples of one unit that stay within 2^53 of them add up without rounding.
  const unit = lastPlace(total);
  const shares = parts.map((w) => Math.round((total * (w / whole)) / unit));
  const largest = shares.indexOf(Math.max(...shares));
  shares[largest]! += total / unit - shares.reduce((sum, s) => sum + s, 0);
  return shares.map((s) => s * unit);
}

/**
 * Rounds numbers to `decimals` so that the rounded ones add up to the rounded sum: each is rounded down and the
 * units that are left go to the largest fractions (the method of largest remainders, A. Hamilton 1792), the first
 * of equal ones first. A table printed this way adds up for whoever checks it.
 */
export function roundTogether(values: readonly number[], decimals: number): number[] {
  const unit = 10 ** decimals;
  const scaled = values.map((v) => v * unit);
  const rounded = scaled.map((v) => Math.floor(v + NOISE));
  const whole = Math.round(scaled.reduce((sum, v) => sum + v, 0));
  const left = whole - rounded.reduce((sum, v) => sum + v, 0);
  scaled
    .map((v, i) => ({ i, fraction: v - rounded[i]! }))
    .sort((a, b) => b.fraction - a.fraction || a.i - b.i)
    .slice(0, Math.max(left, 0))
    .forEach(({ i }) => {
      rounded[i]!++;
    });
  return rounded.map((v) => v / unit);
}

/** The worth of the last binary place of a number above 0. */
function lastPlace(value: number): number {
  let exponent = Math.floor(Math.log2(value));
  if (2 ** exponent > value) exponent--;
  if (2 ** (exponent + 1) <= value) exponent++;
  return 2 ** (exponent - 52);
}

/** A float that stands this little under a whole number is that number. */
const NOISE = 1e-9;
