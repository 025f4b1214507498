import { InputError } from '../errors.js';
import { type RollPlan, rollPlan } from './purchase-rolls.js';
import type { Consumption, Fabric } from './types.js';

/** Plies of one marker in one colour, and what one of them uses. */
export interface LaidPlies {
  readonly used: Consumption;
  readonly plies: number;
}

/** An amount of cloth: metres, square metres, kilograms, money. */
export interface ClothAmount {
  readonly length: number;
  readonly area: number;
  readonly mass: number;
  /** Left out when the fabric has no price. */
  readonly cost?: number;
}

/**
 * What one fabric in one colour comes to, from the pieces to the invoice; each amount holds the one before it.
 * Amounts are exact except `bought`, which is rounded up.
 */
export interface Purchase {
  readonly fabric: string;
  /** Left out when the order has no colours. */
  readonly colour?: string;
  readonly garments: number;
  readonly plies: number;
  /** Area inside the cut lines, m2. */
  readonly pieces: number;
  /** Markers, end to end. */
  readonly markers: ClothAmount;
  /** Plies with their end allowances and the overlaps of splices, as they lie on the table. */
  readonly spread: ClothAmount;
  /** Off the roll, before it relaxed. */
  readonly drawn: ClothAmount;
  /** With the spare and, where rolls are spliced, the splices. */
  readonly needed: ClothAmount;
  readonly bought: ClothAmount;
  /** Only where the fabric states the length of its rolls. */
  readonly rolls?: RollPlan;
  /** Why the plies cannot be drawn off such rolls; metres are then bought. */
  readonly rollFault?: string;
  readonly currency: string;
}

const MM_PER_M = 1000;
/** Cloth is asked for in tenths of a metre or of a kilogram, money in hundredths: all rounded up. */
const ASKED_FOR = 0.1;
const CENT = 0.01;

/**
 * What to buy of one fabric for plies of one colour.
 *
 *     drawn  = sum of plies x length off the roll of one ply
 *     needed = drawn x (1 + spare) + splices x splice waste
 *     bought = needed rounded up to 0.1 m, to 0.1 kg where the fabric is sold by weight, or whole rolls
 */
export function purchase(laid: readonly LaidPlies[], fabric: Fabric, colour?: string): Purchase {
  const sum = (of: (c: Consumption) => number): number =>
    laid.reduce((total, { used, plies }) => total + plies * of(used), 0);
  const drawn: ClothAmount = {
    length: sum((c) => c.rollLength),
    area: sum((c) => c.area),
    mass: sum((c) => c.mass),
    ...(laid.every(({ used }) => used.cost !== undefined) && isPriced(fabric)
      ? { cost: sum((c) => c.cost!) }
      : {}),
  };
  const spare = fabric.sparePercent ?? 0;
  const { rolls, fault } = rollsFor(laid, fabric, spare);
  const needed = timesTo(drawn, drawn.length * (1 + spare / 100) + (rolls?.spliceLoss ?? 0));
  return {
    fabric: fabric.name,
    ...(colour === undefined ? {} : { colour }),
    garments: sum((c) => c.garments),
    plies: sum(() => 1),
    pieces: sum(pieceArea),
    markers: timesTo(
      drawn,
      sum((c) => c.markerLength),
    ),
    spread: timesTo(
      drawn,
      sum((c) => c.plyLength + (c.spliceOverlap ?? 0)),
    ),
    drawn,
    needed,
    bought: roundedUp(needed, fabric, rolls),
    ...(rolls ? { rolls } : {}),
    ...(fault === undefined ? {} : { rollFault: fault }),
    currency: fabric.currency,
  };
}

/** Area of the pieces of one ply, m2: what utilisation is the share of. */
export const pieceArea = (c: Consumption): number =>
  (c.utilisation * c.area * (c.plyLength + (c.spliceOverlap ?? 0))) / c.rollLength;

/** A ply that no roll holds is found only once it is laid: that is told beside the metres, not in their place. */
function rollsFor(
  laid: readonly LaidPlies[],
  fabric: Fabric,
  sparePercent: number,
): { rolls?: RollPlan; fault?: string } {
  if (fabric.rollLength === undefined) return {};
  const asked = laid.map(({ used, plies }) => ({ marker: used.marker, drawn: used.rollLength, plies }));
  const rule = {
    length: fabric.rollLength / MM_PER_M,
    sparePercent,
    ...(fabric.spliceWaste === undefined ? {} : { spliceWaste: fabric.spliceWaste / MM_PER_M }),
  };
  try {
    return { rolls: rollPlan(asked, rule) };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { fault: `${error.message}: ${error.mend}` };
  }
}

function roundedUp(needed: ClothAmount, fabric: Fabric, rolls: RollPlan | undefined): ClothAmount {
  const asked = rolls
    ? timesTo(needed, rolls.rolls * rolls.rollLength)
    : fabric.pricePerMetre === undefined && fabric.pricePerKilogram !== undefined
      ? timesTo(needed, needed.length * (upTo(needed.mass, ASKED_FOR) / (needed.mass || 1)))
      : timesTo(needed, upTo(needed.length, ASKED_FOR));
  return asked.cost === undefined ? asked : { ...asked, cost: upTo(asked.cost, CENT) };
}

/** The same cloth, `length` metres of it. */
function timesTo(cloth: ClothAmount, length: number): ClothAmount {
  const factor = cloth.length === 0 ? 0 : length / cloth.length;
  return {
    length,
    area: cloth.area * factor,
    mass: cloth.mass * factor,
    ...(cloth.cost === undefined ? {} : { cost: cloth.cost * factor }),
  };
}

/** Rounded up to a multiple of a tenth or a hundredth; a float that stands a hair above one is that one. */
export function upTo(value: number, step: number): number {
  const per = Math.round(1 / step);
  // Adding 0 turns a negative zero into a plain one.
  return Math.ceil(value * per - 1e-6) / per + 0;
}

const isPriced = (fabric: Fabric): boolean =>
  fabric.pricePerMetre !== undefined || fabric.pricePerKilogram !== undefined;
