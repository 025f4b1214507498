import { InputError } from '../errors.js';

/** Plies of one marker that are drawn off the same rolls, longest markers first. Metres. */
export interface PliesToDraw {
  readonly marker: string;
  /** Drawn off the roll for one ply, the roll's relaxation counted. */
  readonly drawn: number;
  readonly plies: number;
}

export interface RollRule {
  /** Length of a roll as delivered, m. */
  readonly length: number;
  /** Share of what is needed that is added for faults and re-cuts, percent. */
  readonly sparePercent: number;
  /** Cloth lost where the next roll is spliced in, m; left out: a ply is never spliced. */
  readonly spliceWaste?: number;
}

/** Rolls that are used alike. */
export interface RollUse {
  readonly rolls: number;
  /** Whole plies that end on one of these rolls, by marker; a spliced ply ends on the roll that finishes it. */
  readonly plies: readonly { readonly marker: string; readonly plies: number }[];
  /** Left on each of them when the next roll is taken, or at the end, m. */
  readonly remnant: number;
  /** Whether the next roll is spliced to its end. */
  readonly spliced: boolean;
}

export interface RollPlan {
  readonly rolls: number;
  /** Length of one roll as delivered, and what of it is counted on after the spare, m. */
  readonly rollLength: number;
  readonly counted: number;
  readonly use: readonly RollUse[];
  readonly splices: number;
  /** Cloth lost in splices, and what is left on all rolls together, m. */
  readonly spliceLoss: number;
  readonly remnants: number;
}

/** Two lengths this near, m, are one: a ply that fits by so little fits. */
const SAME = 1e-9;

/**
 * How many whole rolls a set of plies takes. The roll-end rule: plies are drawn one after another, the longest
 * marker first, and what is left of a roll that holds no whole further ply stays over as a remnant; or, where
 * splicing is allowed, the next roll is spliced on when that saves more than the splice wastes. Each roll counts
 * for length / (1 + spare). So more spare, a shorter roll or more plies never take fewer rolls.
 *
 *     without splices and of one marker: rolls = ceil(plies / floor(counted / drawn))
 *
 * (Common practice, no source.)
 *
 * @throws InputError when a ply is longer than a roll and may not be spliced, or a splice wastes a whole roll.
 */
export function rollPlan(asked: readonly PliesToDraw[], rule: RollRule): RollPlan {
  const counted = rule.length / (1 + rule.sparePercent / 100);
  const waste = rule.spliceWaste ?? Number.POSITIVE_INFINITY;
  const plies = [...asked].filter((a) => a.plies > 0).sort((a, b) => b.drawn - a.drawn);
  assertFits(plies, counted, rule);
  const ends = plyEnds(plies);
  const total = ends.length > 0 ? ends[ends.length - 1]!.at : 0;

  const use: RollUse[] = [];
  let splices = 0;
  let done = 0;
  let at = 0;
  while (done < ends.length) {
    const reach = at + counted;
    const first = done;
    while (done < ends.length && ends[done]!.at <= reach + SAME) done++;
    const whole = done > 0 ? ends[done - 1]!.at : 0;
    // What of the roll's end a splice would save.
    const gain = done < ends.length ? reach - Math.max(whole, at) - waste : 0;
    const spliced = gain > SAME;
    if (spliced) splices++;
    addUse(use, {
      rolls: 1,
      plies: countPlies(ends.slice(first, done).map((e) => e.marker)),
      remnant: spliced ? 0 : Math.max(0, reach - Math.max(whole, at)),
      spliced,
    });
    at = spliced ? reach - waste : Math.min(whole, total);
  }
  const rolls = use.reduce((sum, u) => sum + u.rolls, 0);
  return {
    rolls,
    rollLength: rule.length,
    counted,
    use,
    splices,
    spliceLoss: splices === 0 ? 0 : splices * waste,
    remnants: use.reduce((sum, u) => sum + u.rolls * u.remnant, 0),
  };
}

function assertFits(plies: readonly PliesToDraw[], counted: number, rule: RollRule): void {
  const longest = plies[0];
  if (!longest) return;
  const { spliceWaste } = rule;
  if (spliceWaste === undefined && longest.drawn > counted + SAME) {
    throw new InputError(
      `one ply of marker '${longest.marker}' takes ${longest.drawn.toFixed(2)} m and a roll counts for ${counted.toFixed(2)} m`,
      { mend: 'lay a shorter marker, or give the fabric a splice-waste so that plies may be spliced' },
    );
  }
  if (spliceWaste !== undefined && longest.drawn > counted + SAME && spliceWaste >= counted - SAME) {
    throw new InputError(
      `a splice that wastes ${spliceWaste.toFixed(2)} m leaves nothing of a roll of ${counted.toFixed(2)} m`,
      { mend: "look at the fabric's splice-waste and roll-length" },
    );
  }
}

/** Where every ply ends when all are laid end to end. */
function plyEnds(plies: readonly PliesToDraw[]): { readonly marker: string; readonly at: number }[] {
  const ends: { marker: string; at: number }[] = [];
  let before = 0;
  for (const { marker, drawn, plies: count } of plies) {
    for (let i = 1; i <= count; i++) ends.push({ marker, at: before + i * drawn });
    before += count * drawn;
  }
  return ends;
}

function countPlies(markers: readonly string[]): { marker: string; plies: number }[] {
  const counts = new Map<string, number>();
  for (const marker of markers) counts.set(marker, (counts.get(marker) ?? 0) + 1);
  return [...counts].map(([marker, plies]) => ({ marker, plies }));
}

/** Adds a roll to the last group when it is used like it. */
function addUse(use: RollUse[], next: RollUse): void {
  const last = use[use.length - 1];
  const alike =
    last !== undefined &&
    last.spliced === next.spliced &&
    Math.abs(last.remnant - next.remnant) < 1e-6 &&
    JSON.stringify(last.plies) === JSON.stringify(next.plies);
  if (alike) use[use.length - 1] = { ...last, rolls: last.rolls + 1 };
  else use.push(next);
}
