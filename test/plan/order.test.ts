import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { friendlyErrors } from '../../src/fields.js';
import {
  assertTable,
  exactOrder,
  limitsFor,
  onlyColours,
  resolveOrder,
  totalOf,
} from '../../src/plan/order.js';
import {
  COST_DEFAULTS,
  costSchema,
  orderSchema,
  TABLE_DEFAULTS,
  tableSchema,
} from '../../src/plan/schema.js';

const SIZES = ['S', 'M', 'L'];
const read = (data: unknown) => resolveOrder(orderSchema.parse(data, { error: friendlyErrors }), SIZES);
const cell = (order: ReturnType<typeof read>, colour: string, size: string) =>
  order.cells.find((c) => c.colour === colour && c.size === size)!;

describe('an order', () => {
  it('has a cell for every size in every colour, nothing allowed where nothing is said', () => {
    const order = read({ colours: { navy: { S: 4, L: 2 } } });
    expect(order.cells.map((c) => [c.size, c.least, c.ordered, c.most])).toEqual([
      ['S', 4, 4, 4],
      ['M', 0, 0, 0],
      ['L', 2, 2, 2],
    ]);
  });

  it('takes allowances as shares, rounded down to whole garments, or as garments', () => {
    const order = read({ colours: { navy: { S: 20, M: 39, L: 4 } }, over: '5%', under: 3 });
    expect(cell(order, 'navy', 'S')).toMatchObject({ least: 17, most: 21 });
    expect(cell(order, 'navy', 'M')).toMatchObject({ least: 36, most: 40 });
    expect(cell(order, 'navy', 'L')).toMatchObject({ least: 1, most: 4 });
  });

  it('lets sizes and colours have allowances of their own, the smaller of the two counting', () => {
    const order = read({
      colours: { navy: { S: 10, M: 10 }, oat: { S: 10, M: 10 } },
      over: { default: 1, S: 4, oat: 2 },
    });
    expect(cell(order, 'navy', 'M').most).toBe(11);
    expect(cell(order, 'navy', 'S').most).toBe(14);
    expect(cell(order, 'oat', 'M').most).toBe(12);
    expect(cell(order, 'oat', 'S').most).toBe(12);
  });

  it('never cuts a size that is not ordered, and never fewer than none', () => {
    const order = read({ colours: { navy: { S: 2, M: 0 } }, over: 5, under: 5 });
    expect(cell(order, 'navy', 'M')).toMatchObject({ least: 0, most: 0 });
    expect(cell(order, 'navy', 'S').least).toBe(0);
  });

  it('names the nearest size, colour or fabric for a slip of the keyboard', () => {
    const slip = (data: unknown) => {
      try {
        read(data);
      } catch (error) {
        return error as InputError;
      }
      throw new Error('nothing was refused');
    };
    const size = slip({ colours: { navy: { XM: 4 } } });
    expect(size).toBeInstanceOf(InputError);
    expect(size.message).toBe("the order asks for navy in an unknown size 'XM'");
    expect(size.mend).toMatch(/did you mean 'M'|known: S, M, L/);
    expect(size.place.path).toBe('colours.navy.XM');
    const allowance = slip({ colours: { navy: { M: 4 } }, over: { nacy: 1 } });
    expect(allowance.mend).toBe("did you mean 'navy'?");
    expect(allowance.place.path).toBe('over.nacy');
    expect(() => assertTable(tableSchema('cm').parse({ plies: { sefl: 20 } }), ['self', 'rib'])).toThrow(
      "the table limits plies of an unknown fabric 'sefl'",
    );
    expect(slip({ colours: { navy: { S: 0 } } }).message).toBe('the order asks for no garment');
  });

  it('refuses what is no allowance and what is no count', () => {
    const issue = (data: unknown) => orderSchema.safeParse(data, { error: friendlyErrors }).error!.issues[0]!;
    expect(issue({ colours: { navy: { S: 4.5 } } }).path).toEqual(['colours', 'navy', 'S']);
    expect(issue({ colours: {}, ovr: 3 }).message).toMatch(/unknown field 'ovr': did you mean 'over'/);
    for (const over of ['5 garments', '-1', '1.5', '120%']) {
      expect(orderSchema.safeParse({ colours: {}, over }).success).toBe(false);
    }
  });

  it('gives the order of some of its colours, and an order without allowances', () => {
    const order = read({ colours: { navy: { S: 4 }, oat: { S: 6 } }, over: 2 });
    expect(onlyColours(order, ['oat']).cells.every((c) => c.colour === 'oat')).toBe(true);
    expect(() => onlyColours(order, ['oats'])).toThrow("the order has no colour 'oats'");
    const exact = exactOrder({ navy: { S: 3 } }, SIZES);
    expect(exact.cells.map((c) => c.most)).toEqual([3, 0, 0]);
    expect(totalOf({ navy: { S: 3, M: 2 }, oat: { S: 1 } })).toBe(6);
  });
});

describe('the cutting table and its costs', () => {
  it('has limits by fabric, its length in the units of the style', () => {
    const table = tableSchema('in').parse({ length: '6 m', plies: { rib: 30 }, garments: 5, pieces: 80 });
    expect(limitsFor(table, 'rib')).toEqual({ thicknesses: 30, tableLength: 6000, garments: 5, pieces: 80 });
    expect(limitsFor(table, 'self').thicknesses).toBe(TABLE_DEFAULTS.plies);
    expect(limitsFor(tableSchema('in').parse({ length: 100 }), 'self').tableLength).toBe(2540);
    expect(limitsFor(tableSchema('in').parse({}), 'self')).toEqual({ thicknesses: 40, garments: 8 });
  });

  it('has house rates where the style states none, and refuses less than nothing', () => {
    expect(costSchema.parse({})).toEqual(COST_DEFAULTS);
    expect(costSchema.parse({ lay: 0, short: 12 })).toEqual({ ...COST_DEFAULTS, lay: 0, short: 12 });
    expect(costSchema.safeParse({ marker: -1 }).success).toBe(false);
    expect(costSchema.safeParse({ markers: 1 }, { error: friendlyErrors }).error!.issues[0]!.message).toBe(
      "unknown field 'markers': did you mean 'marker'?",
    );
  });
});
