import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { growthBySize, stepsFromBase, withHalves } from '../../src/grade/ladder.js';

const sizes = ['XS', 'S', 'M', 'L', 'XL', '2XL'];

describe('growth by size', () => {
  it('is zero at the base and negated below it', () => {
    expect(growthBySize({ sizes, base: 'M' }, { step: 2, breaks: {} })).toEqual([-4, -2, 0, 2, 4, 6]);
  });

  it('lets a break above the base set the step into that size and every larger one', () => {
    const growth = growthBySize({ sizes, base: 'M' }, { step: 2, breaks: { XL: 3 } });
    expect(growth).toEqual([-4, -2, 0, 2, 5, 8]);
  });

  it('lets a break below the base set the step that leaves that size and every smaller one', () => {
    const growth = growthBySize({ sizes, base: 'M' }, { step: 2, breaks: { S: 1, XL: 3 } });
    expect(growth).toEqual([-3, -2, 0, 2, 5, 8]);
  });

  it('lets a break at the base set every step below it and none above', () => {
    const growth = growthBySize({ sizes, base: 'M' }, { step: 2, breaks: { M: 1.5 } });
    expect(growth).toEqual([-3, -1.5, 0, 2, 4, 6]);
  });

  it('works with the base at either end', () => {
    expect(growthBySize({ sizes, base: 'XS' }, { step: 1, breaks: { L: 2 } })).toEqual([0, 1, 2, 4, 6, 8]);
    expect(growthBySize({ sizes, base: '2XL' }, { step: 1, breaks: { L: 2 } })).toEqual([
      -8, -6, -4, -2, -1, 0,
    ]);
  });

  it('is symmetric: the ladder turned over, with each break on the other end of its step, negates the growth', () => {
    const steps = fc.record({
      step: fc.integer({ min: -9, max: 9 }),
      changed: fc.integer({ min: -9, max: 9 }),
    });
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 5 }),
        fc.integer({ min: 1, max: 5 }),
        steps,
        (base, at, { step, changed }) => {
          const forward = growthBySize(
            { sizes, base: sizes[base]! },
            { step, breaks: { [sizes[at]!]: changed } },
          );
          const turned = [...sizes].reverse();
          // The step named by its larger size is named by its other end once the ladder is turned over.
          const mirrored = growthBySize(
            { sizes: turned, base: sizes[base]! },
            { step, breaks: { [sizes[at - 1]!]: changed } },
          );
          expect(mirrored.map((mm) => -mm + 0).reverse()).toEqual(forward.map((mm) => mm + 0));
        },
      ),
    );
  });

  it('names a break at an unknown size', () => {
    expect(() =>
      growthBySize({ sizes, base: 'M' }, { step: 2, breaks: { XXL: 3 } }, 'grade.increments.bust'),
    ).toThrow("a break names the unknown size 'XXL'");
  });

  it('refuses a break at the smallest size, below which no step lies', () => {
    expect(() => growthBySize({ sizes, base: 'M' }, { step: 2, breaks: { XS: 3 } })).toThrow(InputError);
  });

  it('refuses a base that is not among the sizes', () => {
    expect(() => growthBySize({ sizes, base: 'm' }, { step: 2, breaks: {} })).toThrow("base size 'm'");
  });
});

describe('half sizes', () => {
  const halves = {
    '11': { from: '10', to: '12', share: 0.5 },
    '13': { from: '12', to: '14', share: 0.25 },
  };
  const sizes = withHalves(['8', '10', '12', '14'], halves);

  it('take their place between their neighbours and their share of the step', () => {
    expect(sizes).toEqual(['8', '10', '11', '12', '13', '14']);
    const increment = { step: 4, breaks: { 14: 8 } };
    expect(growthBySize({ sizes, base: '10', halves }, increment)).toEqual([-4, 0, 2, 4, 6, 12]);
    expect(stepsFromBase({ sizes, base: '10', halves })).toEqual([-1, 0, 0.5, 1, 1.25, 2]);
  });

  it('may be the base, inside the step that has no break', () => {
    const increment = { step: 4, breaks: { 10: 2, 14: 8 } };
    expect(growthBySize({ sizes, base: '11', halves }, increment)).toEqual([-4, -2, 0, 2, 4, 10]);
  });

  it('leave the other sizes where they are without them', () => {
    const whole = ['8', '10', '12', '14'];
    const increment = fc.record({
      step: fc.double({ min: -9, max: 9, noNaN: true }),
      breaks: fc.constant({}),
    });
    fc.assert(
      fc.property(increment, fc.constantFrom(...whole), (one, base) => {
        const among = growthBySize({ sizes, base, halves }, one);
        const alone = growthBySize({ sizes: whole, base }, one);
        expect(whole.map((size) => among[sizes.indexOf(size)])).toEqual(alone);
      }),
    );
  });

  it('refuse a break, name the size above', () => {
    const broken = () =>
      growthBySize({ sizes, base: '10', halves }, { step: 4, breaks: { 11: 2 } }, 'grade.increments.bust');
    expect(broken).toThrow("a break cannot stand at the half size '11'");
    expect(broken).toThrow(expect.objectContaining({ mend: "name the size above it, '12'" }));
  });

  it('must lie between two neighbours that are there', () => {
    const between = (from: string, to: string) => () =>
      withHalves(['8', '10', '12'], { '9': { from, to, share: 0.5 } });
    expect(between('8', '12')).toThrow("half size '9' must lie between two neighbouring sizes");
    expect(between('10', '8')).toThrow('the smaller first');
    expect(between('8', '1O')).toThrow("half size '9' lies beside the unknown size '1O'");
    expect(() => withHalves(['8', '10'], { '8': { from: '8', to: '10', share: 0.5 } })).toThrow(
      'listed twice',
    );
  });
});
