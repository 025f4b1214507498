import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { growthBySize } from '../../src/grade/ladder.js';

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
