import { InputError } from '../errors.js';
import { type Purchase, purchase } from '../lay/purchase.js';
import { type OrderUse, orderUse } from '../lay/purchase-order.js';
import type { Consumption, Fabric, Marker } from '../lay/types.js';
import type { ReportData } from './types.js';

/** One lay of a report: a marker, and the plies of it by colour. */
export interface ReportLay {
  /** Running number, from 1. */
  readonly number: number;
  readonly marker: string;
  readonly fabric: string;
  /** From the bottom of the stack upwards; one entry without a colour where the order has none. */
  readonly plies: readonly { readonly colour?: string; readonly plies: number }[];
  readonly total: number;
}

type Laying = Pick<ReportData, 'consumption' | 'plies' | 'plan'>;

/** What is laid: the lays of the plan, or one lay of every marker with the plies asked for, one if none are. */
export function laysOf(data: Laying): ReportLay[] {
  if (data.plan) {
    return data.plan.fabrics.flatMap(({ lays }) =>
      lays.map(({ number, marker, fabric, plies, totalPlies }) => ({
        number,
        marker,
        fabric,
        plies,
        total: totalPlies,
      })),
    );
  }
  return data.consumption.map((c, i) => {
    const plies = data.plies?.[c.marker] ?? 1;
    return { number: i + 1, marker: c.marker, fabric: c.fabric, plies: [{ plies }], total: plies };
  });
}

/** Plies of a marker over all its lays. */
export const pliesOf = (data: Laying, marker: string): number =>
  laysOf(data)
    .filter((lay) => lay.marker === marker)
    .reduce((sum, lay) => sum + lay.total, 0);

interface Laid {
  readonly fabric: string;
  readonly colour?: string;
  readonly used: Consumption;
  readonly plies: number;
}

/** Every lay's plies of one colour with what one of them uses. @throws InputError for a lay without figures. */
function laidPlies(data: Laying): Laid[] {
  return laysOf(data).flatMap((lay) => {
    const used = data.consumption.find((c) => c.marker === lay.marker && c.fabric === lay.fabric);
    if (!used) throw new InputError(`nothing is known of what marker '${lay.marker}' uses`);
    return lay.plies.map((p) => ({ fabric: lay.fabric, used, ...p }));
  });
}

/** Use of cloth by fabric, colour and size. */
export const usesOf = (data: Laying): OrderUse[] => orderUse(laidPlies(data));

/** Use of cloth by fabric and colour in the order of first use, the sizes of each from small to large. */
export function usesBySize(
  data: Laying & { readonly range: { readonly sizes: readonly { readonly size: string }[] } },
): OrderUse[] {
  const uses = usesOf(data);
  const lotOf = ({ fabric, colour }: OrderUse) => JSON.stringify([fabric, colour]);
  const lots = [...new Set(uses.map(lotOf))];
  const sizes = data.range.sizes.map(({ size }) => size);
  return uses.toSorted(
    (a, b) =>
      lots.indexOf(lotOf(a)) - lots.indexOf(lotOf(b)) || sizes.indexOf(a.size) - sizes.indexOf(b.size),
  );
}

/** The fabrics that are laid, each as its markers have it. */
export function fabricsOf(
  data: Pick<Laying, 'consumption' | 'plan'> & {
    readonly markers: readonly Pick<Marker, 'fabric'>[];
    readonly fabrics?: readonly Fabric[];
  },
): Fabric[] {
  const known = [
    ...data.markers.map((m) => m.fabric),
    ...(data.fabrics ?? []),
    ...(data.plan?.fabrics.map((f) => f.fabric) ?? []),
  ];
  const names = [...new Set(data.consumption.map((c) => c.fabric))];
  return names.flatMap((name) => known.find((f) => f.name === name) ?? []);
}

/**
 * What to buy, for each fabric and colour in the order of first use.
 *
 * @throws InputError for a marker or fabric that nothing is known of.
 */
export function purchases(
  data: Laying & {
    readonly markers: readonly Pick<Marker, 'fabric'>[];
    readonly fabrics?: readonly Fabric[];
  },
): Purchase[] {
  const groups = new Map<string, Laid[]>();
  for (const laid of laidPlies(data)) {
    const key = JSON.stringify([laid.fabric, laid.colour]);
    groups.set(key, [...(groups.get(key) ?? []), laid]);
  }
  return [...groups.values()].map((laid) => {
    const { fabric: name, colour } = laid[0]!;
    const fabric = fabricsOf(data).find((f) => f.name === name);
    if (!fabric) throw new InputError(`nothing is known of the fabric '${name}' to buy`);
    return purchase(laid, fabric, colour);
  });
}
