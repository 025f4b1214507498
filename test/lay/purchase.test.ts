import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LaidPlies, purchase, upTo } from '../../src/lay/purchase.js';
import { orderUse } from '../../src/lay/purchase-order.js';
import { type PliesToDraw, type RollRule, rollPlan } from '../../src/lay/purchase-rolls.js';
import { fabricSchema, resolveFabric } from '../../src/lay/schema.js';
import type { Consumption, Fabric } from '../../src/lay/types.js';
import { FABRIC } from './samples.js';

/** One ply of a marker, `drawn` m off a roll that is 1.7 m wide. */
function used(marker: string, drawn: number, over: Partial<Consumption> = {}): Consumption {
  const area = drawn * 1.7;
  return {
    marker,
    fabric: 'self',
    garments: 3,
    markerLength: drawn * 0.94,
    plyLength: drawn * 0.97,
    rollLength: drawn,
    area,
    mass: area * 0.28,
    cost: drawn * 11,
    currency: 'EUR',
    efficiency: 0.8,
    utilisation: 0.75,
    perGarment: { length: drawn / 3, area: area / 3, mass: (area * 0.28) / 3 },
    bySize: [
      { size: 'S', garments: 1, length: drawn * 0.3, area: area * 0.3, mass: area * 0.3 * 0.28 },
      { size: 'M', garments: 2, length: drawn * 0.7, area: area * 0.7, mass: area * 0.7 * 0.28 },
    ],
    ...over,
  };
}

const priced: Fabric = { ...FABRIC, pricePerMetre: 11 };

const plies = fc.array(
  fc.record({ drawn: fc.double({ min: 0.5, max: 9, noNaN: true }), plies: fc.integer({ min: 1, max: 40 }) }),
  { minLength: 1, maxLength: 4 },
);
const asked = plies.map((all): PliesToDraw[] => all.map((p, i) => ({ marker: `m${i}`, ...p })));
const rule = fc.record(
  {
    length: fc.double({ min: 15, max: 90, noNaN: true }),
    sparePercent: fc.double({ min: 0, max: 20, noNaN: true }),
    spliceWaste: fc.double({ min: 0, max: 2, noNaN: true }),
  },
  { requiredKeys: ['length', 'sparePercent'] },
);

describe('whole rolls', () => {
  it('are the plies over the plies that one roll holds, not the metres over its length', () => {
    // 9 plies of 14.62 m are 131.6 m, which three rolls of 50 m hold by metres; each gives three plies only.
    const plan = rollPlan([{ marker: 'm', drawn: 14.62, plies: 10 }], { length: 50, sparePercent: 0 });
    expect(plan.rolls).toBe(4);
    expect(plan.use.map((u) => [u.rolls, u.plies[0]!.plies])).toEqual([
      [3, 3],
      [1, 1],
    ]);
    expect(plan.use[0]!.remnant).toBeCloseTo(50 - 3 * 14.62, 9);
    expect(plan.remnants).toBeCloseTo(200 - 146.2, 9);
  });

  it('go on with the shorter marker on what the longer one left', () => {
    const plan = rollPlan(
      [
        { marker: 'short', drawn: 3, plies: 2 },
        { marker: 'long', drawn: 8, plies: 2 },
      ],
      { length: 23, sparePercent: 0 },
    );
    expect(plan.rolls).toBe(1);
    expect(plan.use[0]!.plies).toEqual([
      { marker: 'long', plies: 2 },
      { marker: 'short', plies: 2 },
    ]);
  });

  it('are spliced only where a splice saves more than it wastes', () => {
    const twelve = [{ marker: 'm', drawn: 10, plies: 12 }];
    expect(rollPlan(twelve, { length: 25, sparePercent: 0 }).rolls).toBe(6);
    const spliced = rollPlan(twelve, { length: 25, sparePercent: 0, spliceWaste: 1 });
    // 25 m and four times 24 m hold the 120 m.
    expect([spliced.rolls, spliced.splices, spliced.spliceLoss]).toEqual([5, 4, 4]);
    expect(spliced.remnants).toBeCloseTo(1, 9);
    // Even half a metre that is saved is worth a splice: 20.5, 41, 61.5, 82, 102.5 and 123 m are reached.
    expect(rollPlan(twelve, { length: 25, sparePercent: 0, spliceWaste: 4.5 })).toMatchObject({
      rolls: 6,
      splices: 5,
    });
    // The 5 m at a roll's end are just what a splice of 5 m would waste.
    expect(rollPlan(twelve, { length: 25, sparePercent: 0, spliceWaste: 5 })).toMatchObject({
      rolls: 6,
      splices: 0,
    });
  });

  it('hold every ply once, and every metre is a ply, a splice or a remnant', () => {
    fc.assert(
      fc.property(asked, rule, (want, how) => {
        const plan = rollPlan(want, how as RollRule);
        const got = new Map<string, number>();
        for (const u of plan.use) {
          for (const p of u.plies) got.set(p.marker, (got.get(p.marker) ?? 0) + u.rolls * p.plies);
        }
        expect(want.map((w) => got.get(w.marker))).toEqual(want.map((w) => w.plies));
        const drawn = want.reduce((sum, w) => sum + w.drawn * w.plies, 0);
        expect(plan.rolls * plan.counted).toBeCloseTo(drawn + plan.spliceLoss + plan.remnants, 6);
        expect(plan.use.reduce((sum, u) => sum + u.rolls, 0)).toBe(plan.rolls);
      }),
    );
  });

  it('of one marker without splices agree with the closed formula', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 900 }),
        fc.integer({ min: 1, max: 200 }),
        fc.integer({ min: 900, max: 9000 }),
        (drawn, n, length) => {
          const plan = rollPlan([{ marker: 'm', drawn: drawn / 100, plies: n }], {
            length: length / 100,
            sparePercent: 0,
          });
          expect(plan.rolls).toBe(Math.ceil(n / Math.floor(length / drawn)));
        },
      ),
    );
  });

  it('never get fewer with more spare, shorter rolls or more plies', () => {
    fc.assert(
      fc.property(asked, rule, fc.double({ min: 0, max: 10, noNaN: true }), (want, how, more) => {
        const given = how as RollRule;
        const { rolls } = rollPlan(want, given);
        expect(
          rollPlan(want, { ...given, sparePercent: given.sparePercent + more }).rolls,
        ).toBeGreaterThanOrEqual(rolls);
        expect(rollPlan(want, { ...given, length: given.length + more }).rolls).toBeLessThanOrEqual(rolls);
        const bigger = want.map((w, i) => (i === 0 ? { ...w, plies: w.plies + 1 } : w));
        expect(rollPlan(bigger, given).rolls).toBeGreaterThanOrEqual(rolls);
      }),
    );
  });

  it('refuse a ply longer than a roll, unless it may be spliced', () => {
    const long = [{ marker: 'm', drawn: 30, plies: 2 }];
    expect(() => rollPlan(long, { length: 25, sparePercent: 0 })).toThrow(
      "one ply of marker 'm' takes 30.00 m and a roll counts for 25.00 m",
    );
    expect(rollPlan(long, { length: 25, sparePercent: 0, spliceWaste: 0.5 }).rolls).toBe(3);
    expect(() => rollPlan(long, { length: 25, sparePercent: 0, spliceWaste: 25 })).toThrow(
      'leaves nothing of a roll',
    );
  });

  it('are none where nothing is laid', () => {
    expect(rollPlan([], { length: 50, sparePercent: 0 })).toMatchObject({ rolls: 0, remnants: 0, use: [] });
  });
});

describe('what to buy', () => {
  const laid = plies.map((all): LaidPlies[] =>
    all.map((p, i) => ({ used: used(`m${i}`, p.drawn), plies: p.plies })),
  );
  const spare = fc.double({ min: 0, max: 30, noNaN: true });

  it('never falls from one step to the next, from the pieces to the invoice', () => {
    fc.assert(
      fc.property(laid, spare, (all, sparePercent) => {
        const p = purchase(all, { ...priced, sparePercent });
        const steps = [p.markers, p.spread, p.drawn, p.needed, p.bought].map((c) => c.length);
        // A hair above a tenth of a metre is that tenth.
        for (let i = 1; i < steps.length; i++) expect(steps[i]!).toBeGreaterThan(steps[i - 1]! - 1e-6);
        expect(p.pieces).toBeLessThanOrEqual(p.markers.area * 1.0001);
        expect(p.bought.length - p.needed.length).toBeLessThan(0.1 + 1e-9);
        expect(p.bought.cost!).toBeGreaterThan(p.needed.cost! - 1e-5);
      }),
    );
  });

  it('never falls with more spare, and never counts wash shrinkage', () => {
    fc.assert(
      fc.property(laid, spare, spare, (all, a, b) => {
        const [less, more] = a < b ? [a, b] : [b, a];
        const buy = (sparePercent: number, shrinkage: number) =>
          purchase(all, {
            ...priced,
            sparePercent,
            shrinkage: { walewise: shrinkage, coursewise: shrinkage },
          });
        expect(buy(more, 0).bought.length).toBeGreaterThanOrEqual(buy(less, 0).bought.length);
        expect(buy(less, 7)).toEqual(buy(less, 0));
      }),
    );
  });

  it('is rounded up: to 0.1 m, to 0.1 kg where the cloth is sold by weight, to 0.01 of money', () => {
    const one = [{ used: used('m', 1.234), plies: 1 }];
    expect(purchase(one, priced).bought.length).toBe(1.3);
    expect(purchase(one, priced).bought.cost).toBe(14.3);
    const byWeight = purchase(one, { ...FABRIC, pricePerKilogram: 15 });
    expect(byWeight.bought.mass).toBeCloseTo(0.6, 12);
    expect(purchase(one, FABRIC).bought).not.toHaveProperty('cost');
    expect([upTo(1.2, 0.1), upTo(1.2000000001, 0.1), upTo(1.21, 0.1), upTo(0, 0.1)]).toEqual([
      1.2, 1.2, 1.3, 0,
    ]);
  });

  it('is whole rolls where the fabric states their length', () => {
    const p = purchase([{ used: used('m', 14.62), plies: 9 }], {
      ...priced,
      rollLength: 60_000,
      sparePercent: 3,
    });
    expect(p.rolls).toMatchObject({ rolls: 3, rollLength: 60 });
    expect(p.bought.length).toBe(180);
    expect(p.bought.cost).toBe(180 * 11);
    expect(p.needed.length).toBeCloseTo(9 * 14.62 * 1.03, 9);
  });

  it('tells that no roll holds a ply, and asks for metres then', () => {
    const p = purchase([{ used: used('m', 30), plies: 2 }], { ...priced, rollLength: 25_000 });
    expect(p).not.toHaveProperty('rolls');
    expect(p.rollFault).toContain("one ply of marker 'm' takes 30.00 m and a roll counts for 25.00 m");
    expect(p.rollFault).toContain('splice-waste');
    expect(p.bought.length).toBe(60);
  });

  it('counts the splices of rolls as needed', () => {
    const p = purchase([{ used: used('m', 10), plies: 10 }], {
      ...priced,
      rollLength: 25_000,
      spliceWaste: 1000,
    });
    expect(p.needed.length).toBeCloseTo(100 + p.rolls!.splices, 9);
  });
});

describe('how a fabric says it is bought', () => {
  const read = (part: Record<string, unknown>) =>
    resolveFabric(
      'self',
      fabricSchema('in').parse({ 'usable-width': '165 cm', 'g-per-m2': 280, ...part }),
      undefined,
      'EUR',
    );

  it('takes spare, length of a roll and splice waste in any unit', () => {
    expect(read({ spare: '3%', 'roll-length': '60 m', 'splice-waste': '50 cm' })).toMatchObject({
      sparePercent: 3,
      rollLength: 60_000,
      spliceWaste: 500,
    });
    expect(read({ 'roll-length': '65 yd' }).rollLength).toBeCloseTo(59_436, 6);
    expect(read({})).not.toHaveProperty('rollLength');
  });

  it('refuses a roll length that forgot its unit, and what is no spare', () => {
    // Sixty inches.
    expect(() => read({ 'roll-length': 60 })).toThrow("fabric 'self': a roll of 1.52 m is not one of cloth");
    expect(() => read({ spare: '120%' })).toThrow('is not a percentage from 0 to under 100');
    expect(() => read({ 'splice-waste': -1 })).toThrow('must not be negative');
  });
});

describe('cloth by colour and size', () => {
  it('adds up to what is drawn, colour by colour', () => {
    const rows = orderUse([
      { used: used('a', 10), plies: 5, colour: 'rust' },
      { used: used('b', 4), plies: 2, colour: 'rust' },
      { used: used('a', 10), plies: 3, colour: 'slate' },
      { used: used('b', 4), plies: 0, colour: 'slate' },
    ]);
    expect(rows.map((r) => [r.colour, r.size, r.garments])).toEqual([
      ['rust', 'S', 7],
      ['rust', 'M', 14],
      ['slate', 'S', 3],
      ['slate', 'M', 6],
    ]);
    const drawn = (colour: string) =>
      rows.filter((r) => r.colour === colour).reduce((sum, r) => sum + r.length, 0);
    expect(drawn('rust')).toBeCloseTo(58, 12);
    expect(drawn('slate')).toBeCloseTo(30, 12);
    expect(rows[0]).not.toHaveProperty('cost');
  });
});
