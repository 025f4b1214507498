import { InputError, suggest } from '../errors.js';
import type { Allowance, AllowancePart, ByFabric, OrderPart, TablePart } from './schema.js';
import type { Order, OrderCell, PlanLimits, Quantities } from './types.js';

/**
 * An order whose sizes are those of the range, with the least and the most of each size and colour. A share is
 * rounded down to whole garments. Where both a size and a colour have an allowance of their own, the smaller
 * counts; nothing is cut of what is not ordered.
 *
 * @throws InputError, its place relative to the order, for a size that the range does not have, an allowance for
 *   what is neither size nor colour, or an order of nothing.
 */
export function resolveOrder(part: OrderPart, sizes: readonly string[]): Order {
  const colours = Object.keys(part.colours);
  for (const [colour, row] of Object.entries(part.colours)) {
    const stranger = Object.keys(row).find((size) => !sizes.includes(size));
    if (stranger !== undefined) {
      throw new InputError(`the order asks for ${colour} in an unknown size '${stranger}'`, {
        mend: suggest(stranger, sizes),
        place: { path: `colours.${colour}.${stranger}` },
      });
    }
  }
  for (const side of ['over', 'under'] as const) {
    const known = ['default', ...sizes, ...colours];
    const stranger = Object.keys(part[side]).find((key) => !known.includes(key));
    if (stranger !== undefined) {
      throw new InputError(`'${stranger}' is neither a size nor a colour of the order`, {
        mend: suggest(stranger, known),
        place: { path: `${side}.${stranger}` },
      });
    }
  }
  const cells = colours.flatMap((colour) =>
    sizes.map((size): OrderCell => {
      const ordered = part.colours[colour]?.[size] ?? 0;
      const over = allowed(part.over, colour, size, ordered);
      const under = Math.min(ordered, allowed(part.under, colour, size, ordered));
      return { colour, size, ordered, least: ordered - under, most: ordered === 0 ? 0 : ordered + over };
    }),
  );
  if (cells.every((cell) => cell.ordered === 0)) {
    throw new InputError('the order asks for no garment', {
      mend: "write garments by colour and size, such as 'colours: { navy: { S: 4, M: 8 } }'",
      place: { path: 'colours' },
    });
  }
  return { sizes, colours, cells };
}

function allowed(part: AllowancePart, colour: string, size: string, ordered: number): number {
  const own = [part[colour], part[size]].filter((a) => a !== undefined);
  const all = own.length > 0 ? own : part['default'] === undefined ? [] : [part['default']];
  return all.length === 0 ? 0 : Math.min(...all.map((a) => garmentsOf(a, ordered)));
}

const garmentsOf = (allowance: Allowance, ordered: number): number =>
  // 5 % of 20 is 1 although 0.05 x 20 may come out a hair below.
  'share' in allowance ? Math.floor(allowance.share * ordered + 1e-9) : allowance.garments;

/** An order of exactly these garments, without allowances. */
export function exactOrder(quantities: Quantities, sizes: readonly string[]): Order {
  return resolveOrder({ colours: quantities, over: {}, under: {} }, sizes);
}

/** The order of some of its colours. @throws InputError for a colour it does not have. */
export function onlyColours(order: Order, colours: readonly string[]): Order {
  const stranger = colours.find((colour) => !order.colours.includes(colour));
  if (stranger !== undefined) {
    throw new InputError(`the order has no colour '${stranger}'`, { mend: suggest(stranger, order.colours) });
  }
  return {
    ...order,
    colours: order.colours.filter((colour) => colours.includes(colour)),
    cells: order.cells.filter((cell) => colours.includes(cell.colour)),
  };
}

/** The limits of the table for one fabric. */
export function limitsFor(table: TablePart, fabric: string): PlanLimits {
  const of = (by: ByFabric) => by[fabric] ?? by['default'];
  const pieces = of(table.pieces);
  return {
    thicknesses: of(table.plies)!,
    ...(table.length === undefined ? {} : { tableLength: table.length }),
    garments: of(table.garments)!,
    ...(pieces === undefined ? {} : { pieces }),
  };
}

/** @throws InputError, its place relative to the table, for a limit of a fabric that the style does not have. */
export function assertTable(table: TablePart, fabrics: readonly string[]): void {
  const known = ['default', ...fabrics];
  for (const limit of ['plies', 'garments', 'pieces'] as const) {
    const stranger = Object.keys(table[limit]).find((name) => !known.includes(name));
    if (stranger === undefined) continue;
    throw new InputError(`the table limits ${limit} of an unknown fabric '${stranger}'`, {
      mend: suggest(stranger, known),
      place: { path: `${limit}.${stranger}` },
    });
  }
}

/** Garments by colour and size, from any list of cells. */
export function quantities<T extends { readonly colour: string; readonly size: string }>(
  cells: readonly T[],
  of: (cell: T) => number,
): Quantities {
  const all: Record<string, Record<string, number>> = {};
  for (const cell of cells) {
    all[cell.colour] ??= {};
    all[cell.colour]![cell.size] = of(cell);
  }
  return all;
}

export const totalOf = (all: Quantities): number =>
  Object.values(all).reduce((sum, row) => sum + Object.values(row).reduce((a, b) => a + b, 0), 0);
