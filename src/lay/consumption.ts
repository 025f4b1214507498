import { area } from '../geometry/polygon.js';
import type { Consumption, Marker } from './types.js';

const MM_PER_M = 1000;
const MM2_PER_M2 = 1_000_000;
const G_PER_KG = 1000;

/**
 * Fabric that one ply of a marker uses. Lengths in m, areas in m2, masses in kg, money in the fabric's currency.
 *
 *     ply length  = marker length + 2 x end allowance
 *     roll length = ply length / (1 - relaxation loss)
 *     area        = roll length x full width x layers
 *     mass        = area x g/m2 / 1000
 *     cost        = roll length x price per metre, or mass x price per kg
 *     utilisation = area of the pieces / (ply length x full width)
 *
 * Wash shrinkage is in the pieces already and is not counted here again. A size's share is that of its pieces'
 * area. (kg = m x m x g/m2 / 1000: common practice, no source.)
 */
export function consumption(marker: Marker): Consumption {
  const { fabric, options } = marker;
  const width = (fabric.fullWidth ?? fabric.usableWidth) / MM_PER_M;
  const markerLength = marker.length / MM_PER_M;
  const plyLength = markerLength + (2 * options.endAllowance) / MM_PER_M;
  const rollLength = plyLength / (1 - fabric.relaxationLoss / 100);
  const clothArea = rollLength * width * marker.layers;
  const mass = (clothArea * fabric.gramsPerSquareMetre) / G_PER_KG;
  const cost = costOf(marker, rollLength, mass);
  const pieceArea = marker.pieces.reduce((sum, p) => sum + area(p.outline), 0) / MM2_PER_M2;
  const garments = Object.values(marker.ratio).reduce((sum, n) => sum + n, 0);
  const part = (share: number) => ({
    length: rollLength * share,
    area: clothArea * share,
    mass: mass * share,
    ...(cost === undefined ? {} : { cost: cost * share }),
  });
  return {
    marker: marker.name,
    fabric: fabric.name,
    garments,
    markerLength,
    plyLength,
    rollLength,
    area: clothArea,
    mass,
    ...(cost === undefined ? {} : { cost }),
    currency: fabric.currency,
    efficiency: marker.efficiency,
    utilisation: pieceArea / (plyLength * width),
    perGarment: part(1 / garments),
    bySize: Object.entries(marker.ratio)
      .filter(([, count]) => count > 0)
      .map(([size, count]) => {
        const own = marker.pieces.filter((p) => p.piece.size === size);
        const ownArea = own.reduce((sum, p) => sum + area(p.outline), 0) / MM2_PER_M2;
        return { size, garments: count, ...part(ownArea / pieceArea) };
      }),
  };
}

function costOf(marker: Marker, rollLength: number, mass: number): number | undefined {
  const { pricePerMetre, pricePerKilogram } = marker.fabric;
  if (pricePerMetre !== undefined) return rollLength * pricePerMetre;
  return pricePerKilogram === undefined ? undefined : mass * pricePerKilogram;
}
