import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { armholePath } from '../../src/draft/armhole.js';
import { CAP_TOLERANCE, CROWN_LIFT, draftSleeve, type SleeveSpec } from '../../src/draft/sleeve.js';
import { CheckError } from '../../src/errors.js';
import {
  directionAt,
  end,
  endDirection,
  length,
  nodes,
  pointAt,
  start,
  startDirection,
} from '../../src/geometry/path.js';
import { distance, type Vec } from '../../src/geometry/vec.js';

const INCH = 25.4;

/** An armhole with a plumb side seam and a level shoulder, `height` mm high and `width` mm deep. */
const armhole = (height: number, width: number, inward: number) =>
  armholePath({ underarm: [200 + width, 0], tip: [200, height], side: [0, 1], shoulder: [-1, 0] }, inward);

const spec = (over: Partial<SleeveSpec> = {}): SleeveSpec => ({
  frontArmhole: armhole(200, 75, INCH / 2),
  backArmhole: armhole(205, 75, INCH / 4),
  bicep: 340,
  wrist: 210,
  length: 580,
  capEase: INCH / 2,
  crownLift: CROWN_LIFT,
  ...over,
});

describe('armholePath', () => {
  it('leaves the side seam and meets the shoulder squarely, upright at its guide point', () => {
    const path = armhole(200, 75, INCH / 4);
    expect(startDirection(path)[1]).toBeCloseTo(0, 9);
    expect(endDirection(path)[0]).toBeCloseTo(0, 9);
    const guide = nodes(path)[1]!;
    expect(guide).toEqual([200 - INCH / 4, 100]);
    expect(endDirection([path[0]!])).toEqual([0, 1]);
    expect(startDirection([path[1]!])).toEqual([0, 1]);
  });

  it('refuses an underarm inside the guide', () => {
    expect(() => armhole(200, -20, 5)).toThrow(CheckError);
  });
});

describe('draftSleeve', () => {
  it('makes the finished cap 1/2 in longer than both armholes (common practice, no source)', () => {
    const draft = draftSleeve(spec());
    const both = length(spec().frontArmhole) + length(spec().backArmhole);
    expect(Math.abs(draft.capLength - both - INCH / 2)).toBeLessThanOrEqual(CAP_TOLERANCE);
  });

  it('starts at a third of both armholes plus 1/4 to 1/2 in (common practice, no source)', () => {
    const draft = draftSleeve(spec());
    const third = (length(spec().frontArmhole) + length(spec().backArmhole)) / 3;
    expect(draft.firstHeight).toBeGreaterThanOrEqual(third + INCH / 4);
    expect(draft.firstHeight).toBeLessThanOrEqual(third + INCH / 2);
  });

  it('divides the cap at the shoulder: each part is its armhole and its share of the ease', () => {
    const { frontCap, backCap } = draftSleeve(spec());
    const front = length(spec().frontArmhole);
    const back = length(spec().backArmhole);
    expect(length(frontCap)).toBeCloseTo(front * (1 + INCH / 2 / (front + back)), 4);
    expect(length(backCap)).toBeCloseTo(back * (1 + INCH / 2 / (front + back)), 4);
  });

  it('is as wide as asked: a 12 in sleeve widened by 1 in each side is 14 in', () => {
    const draft = draftSleeve(spec({ bicep: 12 * INCH + 2 * INCH }));
    expect(start(draft.frontCap)[0] - end(draft.backCap)[0]).toBeCloseTo(14 * INCH, 9);
  });

  it('follows the bodice at the underarm and leaves the underarm seam at a right angle', () => {
    const { frontCap, frontUnderarm, backCap, backUnderarm } = draftSleeve(spec());
    const dot = (a: Vec, b: Vec) => a[0] * b[0] + a[1] * b[1];
    expect(dot(startDirection(frontCap), endDirection(frontUnderarm))).toBeCloseTo(0, 6);
    expect(dot(endDirection(backCap), startDirection(backUnderarm))).toBeCloseTo(0, 6);
    // Distances from the underarm point along the first 20 mm are those of the armhole itself.
    const bodice = spec().frontArmhole;
    for (const at of [5, 10, 20]) {
      const onCap = distance(pointAt(frontCap, at), start(frontCap));
      expect(onCap).toBeCloseTo(distance(pointAt(bodice, at), start(bodice)), 6);
    }
  });

  it('lies flat at the crown and is smooth all along', () => {
    const { frontCap, backCap } = draftSleeve(spec());
    const cap = [...frontCap, ...backCap];
    for (let i = 0; i + 1 < cap.length; i++) {
      const [a, b] = [endDirection([cap[i]!]), startDirection([cap[i + 1]!])];
      expect(a[0] * b[1] - a[1] * b[0]).toBeCloseTo(0, 6);
    }
    const top = nodes(cap).reduce((p, q) => (q[1] > p[1] ? q : p));
    expect(top[0]).toBeCloseTo(0, 6);
    expect(directionAt(cap, length(cap) * 0.5)[0]).toBeLessThan(-0.98);
  });

  it('has underarm seams of one length, for any width, ease and length that can be solved', () => {
    const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(between(290, 410), between(0, 20), between(450, 700), (bicep, capEase, sleeve) => {
        const draft = draftSleeve(spec({ bicep, capEase, length: sleeve, wrist: bicep * 0.6 }));
        expect(Math.abs(draft.capLength - draft.wantedCapLength)).toBeLessThanOrEqual(CAP_TOLERANCE);
        expect(length(draft.frontUnderarm)).toBeCloseTo(length(draft.backUnderarm), 9);
        expect(draft.capHeight).toBeGreaterThan(20);
      }),
      { numRuns: 60 },
    );
  });

  it('a wider sleeve has a lower cap', () => {
    const heights = [300, 330, 360, 390].map((bicep) => draftSleeve(spec({ bicep })).capHeight);
    expect(heights).toEqual([...heights].sort((a, b) => b - a));
  });

  it('refuses a sleeve too wide or too narrow with the numbers and the mend', () => {
    expect(() => draftSleeve(spec({ bicep: 700 }))).toThrow(
      /no cap height makes a sleeve 700.0 mm wide fit.*at a height of/,
    );
    try {
      draftSleeve(spec({ bicep: 40, wrist: 30 }));
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CheckError);
      expect((error as CheckError).mend).toMatch(/widen the sleeve/);
    }
  });
});
