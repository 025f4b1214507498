import { describe, expect, it } from 'vitest';
import { cubic, endDirection, line, type Path, segmentPoint } from '../../src/geometry/path.js';
import { carry } from '../../src/pattern/reshape.js';

/** From the underarm inward and up, past the tip's x and back out to the tip. */
const armhole: Path = [
  cubic([270, 450], [215, 450], [198, 500], [198, 560]),
  cubic([198, 560], [198, 600], [200, 640], [208, 680]),
];

describe('a chain that leaves the range of its ends', () => {
  it('moves with the end it leaves: an armhole keeps its scoop beside the tip', () => {
    const wide = carry(armhole, [310, 450], [214, 680]);
    expect(wide[0]!.b).toEqual([204, 560]);
    expect(endDirection(wide)).toEqual(endDirection(armhole));
    // The underarm, not the upper part, takes up the width.
    expect(segmentPoint(wide[1]!, 0.5)[0] - segmentPoint(armhole[1]!, 0.5)[0]).toBeCloseTo(6, 9);
  });

  it('is spread by arc length where it leaves by more than that range', () => {
    const hollow: Path = [line([270, 0], [250, 100]), line([250, 100], [273, 200])];
    const carried = carry(hollow, [270, 0], [283, 200]);
    const total = Math.hypot(20, 100) + Math.hypot(23, 100);
    expect(carried[0]!.b[0]).toBeCloseTo(250 + (10 * Math.hypot(20, 100)) / total, 9);
  });
});
