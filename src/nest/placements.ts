import type { Snapshot } from './layout.js';
import type { Problem } from './problem.js';
import { turn } from './transform.js';
import type { Placement } from './types.js';
import { verify } from './verify.js';

/** Placements in the order of items and copies. */
export function toPlacements(
  { pieces, itemOf, copyOf, variants, instance }: Problem,
  layout: Snapshot,
): Placement[] {
  return Array.from({ length: pieces }, (_, i) => {
    const { rotation, mirror } = variants[layout.variant[i]!]!;
    return {
      item: instance.items[itemOf[i]!]!.id,
      copy: copyOf[i]!,
      rotation,
      mirror,
      x: layout.x[i]!,
      y: layout.y[i]!,
    };
  });
}

/** A whole layout without fault as the search keeps it. */
export function fromPlacements(problem: Problem, start: readonly Placement[]): Snapshot {
  const { instance, pieces, count, items, itemOf, copyOf, variants, fixed } = problem;
  const x = Float64Array.from(fixed, (place) => place?.x ?? 0);
  const y = Float64Array.from(fixed, (place) => place?.y ?? 0);
  const variant = Int32Array.from({ length: count }, (_, i) => fixed[i]?.variant ?? 0);
  for (let i = 0; i < pieces; i++) {
    const { id } = items[itemOf[i]!]!;
    const p = start.find((q) => q.item === id && q.copy === copyOf[i])!;
    x[i] = p.x;
    y[i] = p.y;
    variant[i] = variants.findIndex(
      (v) => v.item === itemOf[i] && v.rotation === turn(p.rotation) && v.mirror === p.mirror,
    );
  }
  return { length: verify(instance, start).length, x, y, variant };
}
