import type { CutPiece } from '../finish/types.js';
import { area, perimeter } from '../geometry/polygon.js';
import { type Fabric, type LayOptions, markerInstance, planMarker } from '../lay/index.js';

/** What one garment of a size puts on one ply of a fabric. In a tube a pair counts once: half of its pieces. */
export interface SizeContent {
  readonly size: string;
  /** Placed pieces; a fraction where two garments share one. */
  readonly pieces: number;
  /** Area inside the cut lines, mm2. */
  readonly area: number;
  /** Sum of the cut lines, mm. */
  readonly cutLength: number;
  /** Length along the cloth of its longest piece, mm. */
  readonly longest: number;
}

export interface FabricContent {
  /** Width of the laid cloth, mm: half the usable width where it is folded. */
  readonly width: number;
  readonly sizes: readonly SizeContent[];
}

/** Two garments, so that what a tube gives twice is shared fairly. */
const SAMPLE = 2;

/**
 * Measures what the garments of each size put on a fabric.
 *
 * @throws what `planMarker` throws: nothing of the fabric, a piece wider than it, hands a tube cannot give.
 */
export function fabricContent(
  pieces: readonly CutPiece[],
  fabric: Fabric,
  options: LayOptions,
  sizes: readonly string[],
): FabricContent {
  const plans = sizes.map((size) =>
    planMarker({
      name: `${fabric.name}-${size}`,
      style: '',
      pieces,
      fabric,
      ratio: { [size]: SAMPLE },
      options,
    }),
  );
  return {
    width: plans[0]!.frame.width,
    sizes: plans.map(markerInstance).map((strip, i) => {
      const sum = (of: (polygon: CutPiece['cut']) => number) =>
        strip.items.reduce((total, item) => total + item.demand * of(item.polygon), 0) / SAMPLE;
      return {
        size: sizes[i]!,
        pieces: sum(() => 1),
        area: sum(area),
        cutLength: sum(perimeter),
        longest: Math.max(...strip.items.map(({ polygon, rotations }) => along(polygon, rotations[0] ?? 0))),
      };
    }),
  };
}

/** Extent along the cloth of a polygon turned by so many degrees, mm. */
function along(polygon: CutPiece['cut'], degrees: number): number {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const xs = polygon.map(([x, y]) => cos * x - sin * y);
  return Math.max(...xs) - Math.min(...xs);
}
