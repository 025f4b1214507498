import type { Fabric, LayOptions } from '../lay/index.js';
import type { FabricPlan, Order } from './types.js';

/**
 * Checks a plan from its lays alone, sharing nothing with the program that made it: every size and colour within
 * its allowances, every stack, table and marker within the limits, pairs of plies face to face, and the sums.
 *
 * @returns one sentence per fault; none when the plan holds.
 */
export function planFaults(
  plan: Pick<FabricPlan, 'fabric' | 'limits' | 'markers' | 'lays' | 'cut'>,
  order: Order,
  options: Pick<LayOptions, 'endAllowance'>,
): string[] {
  const faults: string[] = [];
  const { fabric, limits } = plan;
  const markers = new Map(plan.markers.map((marker) => [marker.name, marker]));
  if (markers.size !== plan.markers.length) faults.push('two markers have the same name');

  for (const marker of plan.markers) {
    const garments = Object.values(marker.ratio).reduce((a, b) => a + b, 0);
    const say = (what: string) => faults.push(`marker ${marker.name} ${what}`);
    if (!Object.values(marker.ratio).every((n) => Number.isInteger(n) && n > 0)) say('has a broken ratio');
    if (garments !== marker.garments) say(`holds ${garments} garments and says ${marker.garments}`);
    if (garments > limits.garments) say(`holds ${garments} garments of at most ${limits.garments}`);
    if (limits.pieces !== undefined && marker.pieces > limits.pieces) {
      say(`holds ${marker.pieces} pieces of at most ${limits.pieces}`);
    }
    const onTable = marker.length + 2 * options.endAllowance;
    if (limits.tableLength !== undefined && onTable > limits.tableLength + 1e-3) {
      say(`takes ${onTable.toFixed(1)} mm of a table of ${limits.tableLength.toFixed(1)} mm`);
    }
    const own = plan.lays.filter((lay) => lay.marker === marker.name);
    const laid = own.reduce((sum, lay) => sum + lay.totalPlies, 0);
    if (own.length !== marker.lays) say(`is laid ${own.length} times and says ${marker.lays}`);
    if (laid !== marker.totalPlies) say(`has ${laid} plies and says ${marker.totalPlies}`);
  }

  const cut = new Map<string, number>();
  for (const lay of plan.lays) {
    const say = (what: string) => faults.push(`lay ${lay.number} ${what}`);
    const marker = markers.get(lay.marker);
    if (!marker) {
      say(`is of an unknown marker '${lay.marker}'`);
      continue;
    }
    const total = lay.plies.reduce((sum, part) => sum + part.plies, 0);
    if (total !== lay.totalPlies) say(`has ${total} plies and says ${lay.totalPlies}`);
    const thick = total * thicknessesOf(fabric);
    if (thick !== lay.thicknesses) say(`is ${thick} thicknesses high and says ${lay.thicknesses}`);
    if (thick > limits.thicknesses) say(`is ${thick} thicknesses high of at most ${limits.thicknesses}`);
    if (total === 0) say('is empty');
    for (const { colour, plies } of lay.plies) {
      if (!Number.isInteger(plies) || plies <= 0) say(`has ${plies} plies of ${colour}`);
      if (fabric.mode === 'face-to-face' && plies % 2 !== 0) say(`has ${plies} plies face to face`);
      for (const [size, n] of Object.entries(marker.ratio)) {
        const key = `${colour}/${size}`;
        cut.set(key, (cut.get(key) ?? 0) + n * plies);
      }
    }
  }

  for (const { colour, size, least, most } of order.cells) {
    const n = cut.get(`${colour}/${size}`) ?? 0;
    cut.delete(`${colour}/${size}`);
    if (n < least || n > most) faults.push(`${colour} ${size}: ${n} cut, ${least} to ${most} allowed`);
    if (n !== (plan.cut[colour]?.[size] ?? 0))
      faults.push(`${colour} ${size}: ${n} cut and another number told`);
  }
  for (const [key, n] of cut) if (n > 0) faults.push(`${key}: ${n} cut and none ordered`);
  return faults;
}

/** Told from the mode itself, not from what the lay room makes of it. */
const thicknessesOf = ({ mode }: Fabric): number => (mode === 'tubular' || mode === 'folded' ? 2 : 1);
