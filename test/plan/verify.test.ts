import { describe, expect, it } from 'vitest';
import { solveHere } from '../../src/plan/highs.js';
import { planFabric } from '../../src/plan/plan.js';
import type { FabricPlan, Lay } from '../../src/plan/types.js';
import { planFaults } from '../../src/plan/verify.js';
import { END_TO_END, NO_ENDS, orderOf, taskOf } from './samples.js';

const ORDER = orderOf(['S', 'L'], { navy: [6, 3], oat: [4, 3] });
const TASK = taskOf(
  { S: 700, L: 900 },
  { thicknesses: 4, garments: 3, tableLength: 2600, pieces: 12 },
  { lay: 5 },
);
const sound = await planFabric(TASK, ORDER, { model: END_TO_END }, { solve: solveHere });

const faults = (plan: FabricPlan, options = NO_ENDS) => planFaults(plan, ORDER, options).join('\n');
const withLay = (change: (lay: Lay) => Lay): FabricPlan => ({
  ...sound,
  lays: sound.lays.map((lay, i) => (i === 0 ? change(lay) : lay)),
});

describe('the check of a plan', () => {
  it('passes a sound plan', () => {
    expect(faults(sound)).toBe('');
  });

  it('sees each broken limit and each wrong sum', () => {
    const first = sound.lays[0]!;
    const { limits } = sound;
    expect(faults({ ...sound, limits: { ...limits, thicknesses: 1 } })).toMatch(
      /thicknesses high of at most 1/,
    );
    expect(faults({ ...sound, limits: { ...limits, tableLength: 500 } })).toMatch(/of a table of 500.0 mm/);
    expect(faults({ ...sound, limits: { ...limits, garments: 1 } })).toMatch(/garments of at most 1/);
    expect(faults({ ...sound, limits: { ...limits, pieces: 3 } })).toMatch(/pieces of at most 3/);
    expect(faults(sound, { ...NO_ENDS, endAllowance: 800 })).toMatch(/of a table of 2600.0 mm/);
    expect(faults({ ...sound, lays: sound.lays.slice(1) })).toMatch(/to \d+ allowed/);
    expect(faults(withLay((lay) => ({ ...lay, marker: 'none' })))).toMatch(/unknown marker 'none'/);
    expect(faults(withLay((lay) => ({ ...lay, totalPlies: lay.totalPlies + 1 })))).toMatch(/plies and says/);
    expect(
      faults(withLay((lay) => ({ ...lay, plies: lay.plies.map((p) => ({ ...p, plies: 1.5 })) }))),
    ).toMatch(/has 1.5 plies/);
    expect(faults({ ...sound, cut: { ...sound.cut, navy: { S: 99, L: 3 } } })).toMatch(/another number told/);
    expect(faults({ ...sound, markers: [...sound.markers, sound.markers[0]!] })).toMatch(/the same name/);
    const stranger = withLay((lay) => ({ ...lay, plies: [{ colour: 'rust', plies: first.totalPlies }] }));
    expect(faults(stranger)).toMatch(/rust\/\w: \d+ cut and none ordered/);
    const odd = { ...sound, fabric: { ...sound.fabric, mode: 'face-to-face' as const } };
    const pairs = withLay((lay) => ({ ...lay, plies: [{ colour: 'navy', plies: 3 }], totalPlies: 3 }));
    expect(faults({ ...odd, lays: pairs.lays })).toMatch(/3 plies face to face/);
  });
});
