/** Heights in cm by which children's wear is sized in Europe (EN 13402-3 steps of 6 cm, from memory). */
const HEIGHTS = { from: 56, to: 158, beyondAdults: 62 } as const;

/**
 * Whether a size range is one for children: its body chart says so, or its sizes are heights (92, 98, ...) or
 * toddlers' sizes (2T). Sizes that adults have too, such as S or 8, tell nothing.
 */
export function areChildSizes(sizes: readonly string[], chart?: string): boolean {
  if (chart !== undefined) return /child|toddler|baby|infant/i.test(chart);
  if (sizes.length === 0) return false;
  if (sizes.every((size) => /^\d+T$/i.test(size))) return true;
  const heights = sizes.map(Number);
  return (
    heights.every((h) => h >= HEIGHTS.from && h <= HEIGHTS.to) &&
    heights.some((h) => h >= HEIGHTS.beyondAdults)
  );
}
