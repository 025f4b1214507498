import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Groups } from '../../src/nest/groups.js';
import { createProblem } from '../../src/nest/problem.js';
import { corner, item, rectangle, triangle } from './shapes.js';

const problem = createProblem({
  name: 'garments',
  stripWidth: 40,
  items: [
    item('body', corner, 3, { groups: ['a', 'b', 'c'] }),
    item('sleeve', triangle, 6, { groups: ['a', 'a', 'b', 'b', 'c', 'c'] }),
    item('band', rectangle(7, 2), 4),
    item('pocket', rectangle(2, 1), 1, { groups: ['c'] }),
  ],
});
const { count, itemOf, groupOf, variants, variantsOfItem, groupRotations } = problem;

/** A variant for each copy, by random numbers. */
const posed = (picks: readonly number[]): Int32Array =>
  Int32Array.from({ length: count }, (_, i) => {
    const all = variantsOfItem[itemOf[i]!]!;
    return all[picks[i]! % all.length]!;
  });
const picks = fc.array(fc.nat(1), { minLength: count, maxLength: count });

/** Copies astray at best when each group lies as told: of every item, those beyond the places per rotation. */
function leastAstray(variant: Int32Array, rotation: Int32Array): number {
  let sum = 0;
  for (const kind of [0, 1, 3]) {
    for (const turn of [0, 180]) {
      let spare = 0;
      for (let i = 0; i < count; i++) {
        if (itemOf[i] !== kind) continue;
        if (variants[variant[i]!]!.base === turn) spare++;
        if (groupRotations[groupOf[i]!]![rotation[groupOf[i]!]!] === turn) spare--;
      }
      sum += Math.max(0, spare);
    }
  }
  return sum;
}

describe('groups of pieces that lie one way', () => {
  it('deal copies so that as few as possible lie otherwise than their group, and say which', () => {
    fc.assert(
      fc.property(
        picks,
        fc.array(fc.tuple(fc.nat(count - 1), fc.nat(1)), { maxLength: 20 }),
        (start, moves) => {
          const variant = posed(start);
          const groups = new Groups(problem);
          groups.read(variant);
          const check = () => {
            expect(groups.astray.reduce((a, b) => a + b, 0)).toBe(leastAstray(variant, groups.rotation));
            for (let i = 0; i < count; i++) {
              if (groups.of[i]! < 0) continue;
              expect(groups.astray[i]).toBe(variants[variant[i]!]!.base === groups.wanted(i) ? 0 : 1);
            }
            // The same groups are served by the same items as before.
            const served = (of: Int32Array) => [...itemOf].map((k, i) => `${k} ${of[i]}`).sort();
            expect(served(groups.of)).toEqual(served(groupOf));
          };
          check();
          for (const [i, pick] of moves) {
            if (groups.of[i]! < 0) continue;
            const all = variantsOfItem[itemOf[i]!]!;
            variant[i] = all[pick % all.length]!;
            groups.turned(i, variant);
            check();
          }
        },
      ),
      { numRuns: 100, seed: 3 },
    );
  });

  it('foresee whether a turn sets a copy astray', () => {
    // All lie one way: a lone turn goes astray. With a body of another garment turned, its fellow is missed.
    const variant = posed(new Array(count).fill(0));
    const groups = new Groups(problem);
    groups.read(variant);
    expect([...groups.astray]).toEqual(new Array(count).fill(0));
    const [up, down] = variantsOfItem[0]!;
    expect(groups.strays(0, down!, variant)).toBe(true);
    expect(groups.strays(0, up!, variant)).toBe(false);
    variant[0] = down!;
    groups.turned(0, variant);
    expect(groups.astray[0]).toBe(1);
    expect(groups.strays(0, up!, variant)).toBe(false);
  });

  it('name copies by the groups of the instance, each copy once and of its own item', () => {
    fc.assert(
      fc.property(picks, (start) => {
        const variant = posed(start);
        const groups = new Groups(problem);
        groups.read(variant);
        const roles = groups.roles();
        expect([...roles].sort((a, b) => a - b)).toEqual([...itemOf.keys()]);
        roles.forEach((from, to) => {
          expect(itemOf[from]).toBe(itemOf[to]);
          expect(groups.of[from]).toBe(groupOf[to]);
        });
      }),
      { numRuns: 50, seed: 8 },
    );
  });
});
