import type { ClothAmount, LaidPlies } from './purchase.js';

/** What the garments of one size in one colour take of one fabric. */
export interface OrderUse extends ClothAmount {
  readonly fabric: string;
  readonly colour?: string;
  readonly size: string;
  readonly garments: number;
}

/** Plies of one colour of one marker. */
export interface ColourPlies extends LaidPlies {
  readonly colour?: string;
}

/**
 * Cloth drawn off the rolls by fabric, colour and size, in the order of first use: plies x the size's share of a
 * ply, added over the lays. The rows of a fabric and colour add up to what is drawn of it.
 */
export function orderUse(laid: readonly ColourPlies[]): OrderUse[] {
  const rows = new Map<string, OrderUse>();
  for (const { used, plies, colour } of laid) {
    if (plies === 0) continue;
    for (const { size, garments, length, area, mass, cost } of used.bySize) {
      const key = JSON.stringify([used.fabric, colour, size]);
      const known = rows.get(key);
      const priced = cost !== undefined && (known === undefined || known.cost !== undefined);
      rows.set(key, {
        fabric: used.fabric,
        ...(colour === undefined ? {} : { colour }),
        size,
        garments: (known?.garments ?? 0) + plies * garments,
        length: (known?.length ?? 0) + plies * length,
        area: (known?.area ?? 0) + plies * area,
        mass: (known?.mass ?? 0) + plies * mass,
        ...(priced ? { cost: (known?.cost ?? 0) + plies * cost } : {}),
      });
    }
  }
  return [...rows.values()];
}
