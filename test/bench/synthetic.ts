import type { Vec } from '../../src/geometry/vec.js';
import type { NestInstance } from '../../src/nest/index.js';
import { Random } from '../../src/nest/random.js';

/** Kinds of piece in a synthetic instance, as in a marker of few styles and sizes. */
const KINDS = 8;

/**
 * Pieces like garment parts: rounded outlines with shallow curves inward, wide and narrow, each allowed half
 * a turn, on a strip about six pieces wide that gets longer with their number.
 */
export function syntheticInstance(pieces: number, vertices: number, seed = 1): NestInstance {
  const random = new Random(seed);
  const items = Array.from({ length: Math.min(KINDS, pieces) }, (_, k) => ({
    id: String(k),
    polygon: outline(random, vertices),
    demand: Math.floor(pieces / KINDS) + (k < pieces % KINDS ? 1 : 0),
    rotations: [0, 180],
  }));
  return { name: `synthetic-${pieces}x${vertices}`, stripWidth: 1650, items };
}

/** A closed curve in polar form, of a few waves, so that more vertices draw the same kind of shape finer. */
function outline(random: Random, vertices: number): Vec[] {
  const length = 200 + 250 * random.next();
  const width = 90 + 120 * random.next();
  const waves = [2, 3, 4, 5].map((n) => ({
    n,
    size: (0.22 * random.next()) / n,
    phase: 6.283 * random.next(),
  }));
  return Array.from({ length: vertices }, (_, i): Vec => {
    const angle = (2 * Math.PI * i) / vertices;
    const r = 1 + waves.reduce((sum, { n, size, phase }) => sum + size * Math.cos(n * angle + phase), 0);
    const rounded = (v: number) => Math.round(v * 1000) / 1000;
    return [rounded(length * r * Math.cos(angle)), rounded(width * r * Math.sin(angle))];
  });
}
