import { area } from '../geometry/polygon.js';
import { shareOut } from './share.js';
import { laidWidth } from './spread.js';
import type { Consumption, Fabric, Marker } from './types.js';

const MM_PER_M = 1000;
const MM2_PER_M2 = 1_000_000;
const G_PER_KG = 1000;

/**
 * Fabric that one ply of a marker uses. Lengths in m, areas in m2, masses in kg, money in the fabric's currency.
 *
 *     ply length  = marker length + 2 x end allowance
 *     roll length = (ply length + overlaps of its splices) / (1 - relaxation loss)
 *     area        = roll length x full width (half of it where the cloth is folded) x layers
 *     mass        = area x g/m2 / 1000
 *     cost        = roll length x price per metre, or mass x price per kg
 *     utilisation = area of the pieces / ((ply length + overlaps) x full width)
 *
 * Wash shrinkage is in the pieces already and is not counted here again. A size's share is that of its pieces'
 * area; the shares add up to the whole exactly. (kg = m x m x g/m2 / 1000 and m = kg x 1000 / (g/m2 x m): common
 * practice, printed by many; the end allowance of 1.5 to 2 cm for elastic cloth is that of *Industrial Cutting of
 * Textile Materials*, p. 31.)
 */
export function consumption(marker: Marker): Consumption {
  const areaOfSize = new Map<string, number>();
  for (const { piece, outline } of marker.pieces) {
    areaOfSize.set(piece.size, (areaOfSize.get(piece.size) ?? 0) + area(outline));
  }
  const overlap = (marker.zones ?? []).reduce((sum, z) => sum + (z.overlap ?? 0), 0);
  return plyConsumption({
    ...marker,
    endAllowance: marker.options.endAllowance,
    overlap,
    areaOf: (size) => areaOfSize.get(size) ?? 0,
  });
}

/** What one ply is, laid or only reckoned; mm, mm2. */
export interface Ply {
  readonly name: string;
  readonly fabric: Fabric;
  readonly ratio: Readonly<Record<string, number>>;
  readonly length: number;
  readonly layers: number;
  readonly endAllowance: number;
  /** Cloth that lies double at splices. */
  readonly overlap: number;
  readonly efficiency: number;
  /** Area of all pieces of a size as they lie on one layer. */
  readonly areaOf: (size: string) => number;
}

/** The same of a ply whose pieces need not have been placed. */
export function plyConsumption(ply: Ply): Consumption {
  const { fabric } = ply;
  const width = fullLaidWidth(fabric) / MM_PER_M;
  const markerLength = ply.length / MM_PER_M;
  const plyLength = markerLength + (2 * ply.endAllowance) / MM_PER_M;
  const overlap = ply.overlap / MM_PER_M;
  const rollLength = (plyLength + overlap) / (1 - fabric.relaxationLoss / 100);
  const clothArea = rollLength * width * ply.layers;
  const mass = (clothArea * fabric.gramsPerSquareMetre) / G_PER_KG;
  const cost = costOf(fabric, rollLength, mass);
  const sizes = Object.entries(ply.ratio).filter(([, count]) => count > 0);
  const garments = sizes.reduce((sum, [, count]) => sum + count, 0);
  const areaOfSize = sizes.map(([size]) => ply.areaOf(size));
  const pieceArea = areaOfSize.reduce((sum, a) => sum + a, 0) / MM2_PER_M2;
  const shares = {
    length: shareOut(rollLength, areaOfSize),
    area: shareOut(clothArea, areaOfSize),
    mass: shareOut(mass, areaOfSize),
    cost: cost === undefined ? undefined : shareOut(cost, areaOfSize),
  };
  return {
    marker: ply.name,
    fabric: fabric.name,
    garments,
    markerLength,
    plyLength,
    ...(overlap > 0 ? { spliceOverlap: overlap } : {}),
    rollLength,
    area: clothArea,
    mass,
    ...(cost === undefined ? {} : { cost }),
    currency: fabric.currency,
    efficiency: ply.efficiency,
    utilisation: pieceArea / ((plyLength + overlap) * width),
    perGarment: {
      length: rollLength / garments,
      area: clothArea / garments,
      mass: mass / garments,
      ...(cost === undefined ? {} : { cost: cost / garments }),
    },
    bySize: sizes.map(([size, count], i) => ({
      size,
      garments: count,
      length: shares.length[i]!,
      area: shares.area[i]!,
      mass: shares.mass[i]!,
      ...(shares.cost ? { cost: shares.cost[i]! } : {}),
    })),
  };
}

/** Width of one layer as it lies, selvedges counted, mm: half the full width where it is folded. */
export const fullLaidWidth = (fabric: Fabric): number =>
  laidWidth({ mode: fabric.mode, usableWidth: fabric.fullWidth ?? fabric.usableWidth });

function costOf(fabric: Fabric, rollLength: number, mass: number): number | undefined {
  const { pricePerMetre, pricePerKilogram } = fabric;
  if (pricePerMetre !== undefined) return rollLength * pricePerMetre;
  return pricePerKilogram === undefined ? undefined : mass * pricePerKilogram;
}
