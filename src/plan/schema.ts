import { z } from 'zod';
import { lengthField } from '../fields.js';
import type { Unit } from '../units.js';
import type { CostRates } from './types.js';

/** Garments more or less than ordered: a number of garments, or a share of what is ordered. */
export type Allowance = { readonly garments: number } | { readonly share: number };

/** One allowance for all, or others for the sizes and colours it names; `default` is for those not named. */
export type AllowancePart = Readonly<Record<string, Allowance>>;

export interface OrderPart {
  readonly colours: Readonly<Record<string, Readonly<Record<string, number>>>>;
  readonly over: AllowancePart;
  readonly under: AllowancePart;
}

/** A limit by fabric; `default` is for fabrics not named. */
export type ByFabric = Readonly<Record<string, number>>;

export interface TablePart {
  /** mm. */
  readonly length?: number;
  readonly plies: ByFabric;
  readonly garments: ByFabric;
  readonly pieces: ByFabric;
}

/**
 * House values, common practice without a source: a stack of forty thicknesses is what one person can spread and
 * cut of sweatshirt cloth (fleece is given as 40 to 60, jersey 80 to 120, from memory).
 */
export const TABLE_DEFAULTS = { plies: 40, garments: 8 } as const;

/** House values for a small cutting room, invented: whoever plans for money states their own. */
export const COST_DEFAULTS: CostRates = {
  spreadingPerPly: 0.4,
  spreadingPerMetre: 0.12,
  marker: 6,
  cuttingPerMetre: 0.2,
  lay: 8,
};

const allowance = z.union([z.string(), z.number()]).transform((value, context): Allowance => {
  const match = /^(\d+\.?\d*|\.\d+)\s*(%?)$/.exec(String(value).trim());
  const amount = match ? Number(match[1]) : Number.NaN;
  if (match?.[2] && amount <= 100) return { share: amount / 100 };
  if (match && !match[2] && Number.isInteger(amount)) return { garments: amount };
  const message = `'${value}' is not an allowance: write a number of garments such as 2, or a share such as 5%`;
  context.addIssue({ code: 'custom', message });
  return z.NEVER;
});

const allowances = z.union([
  allowance.transform((all): AllowancePart => ({ default: all })),
  z.record(z.string(), allowance),
]);

/** Schema of the `order` part of a style: garments by colour and size, and what may be cut over or under. */
export const orderSchema = z
  .strictObject({
    colours: z.record(z.string().min(1), z.record(z.string(), z.int().min(0).max(1_000_000))),
    over: allowances.optional().describe('garments over, per size and colour: 2 or 5%'),
    under: allowances.optional().describe('garments under, per size and colour: 2 or 5%'),
  })
  .transform((o): OrderPart => ({ colours: o.colours, over: o.over ?? {}, under: o.under ?? {} }));

function byFabric(most: number) {
  const limit = z.int().min(1).max(most);
  return z.union([limit.transform((all): ByFabric => ({ default: all })), z.record(z.string(), limit)]);
}

/** Schema of the `table` part of a style: what the cutting table takes. */
export function tableSchema(unit: Unit) {
  return z
    .strictObject({
      length: lengthField(unit, 'positive').optional().describe('length of the table'),
      plies: byFabric(1000).optional().describe('highest stack, in thicknesses of cloth'),
      garments: byFabric(200).optional().describe('most garments in one marker'),
      pieces: byFabric(5000).optional().describe('most pieces in one marker'),
    })
    .transform(
      (t): TablePart => ({
        ...(t.length === undefined ? {} : { length: t.length }),
        plies: { default: TABLE_DEFAULTS.plies, ...t.plies },
        garments: { default: TABLE_DEFAULTS.garments, ...t.garments },
        pieces: t.pieces ?? {},
      }),
    );
}

const money = z.number().min(0).max(1_000_000).optional();

/** Schema of the `cost` part of a style, in its currency. */
export const costSchema = z
  .strictObject({
    'spreading-per-ply': money.describe('for every ply spread'),
    'spreading-per-metre': money.describe('for every metre spread'),
    marker: money.describe('for every marker made'),
    'cutting-per-metre': money.describe('for every metre of cut line, once per lay'),
    lay: money.describe('for setting up one lay'),
    short: money.describe('for every garment ordered and not cut'),
  })
  .transform(
    (c): CostRates => ({
      spreadingPerPly: c['spreading-per-ply'] ?? COST_DEFAULTS.spreadingPerPly,
      spreadingPerMetre: c['spreading-per-metre'] ?? COST_DEFAULTS.spreadingPerMetre,
      marker: c.marker ?? COST_DEFAULTS.marker,
      cuttingPerMetre: c['cutting-per-metre'] ?? COST_DEFAULTS.cuttingPerMetre,
      lay: c.lay ?? COST_DEFAULTS.lay,
      ...(c.short === undefined ? {} : { short: c.short }),
    }),
  );
