import { InputError, suggest } from '../errors.js';
import type { Vec } from '../geometry/vec.js';
import { combined, type Distribution, distributionNamed, measuresOf } from './distribution.js';
import { betweenSizes, growthBySize, type Ladder } from './ladder.js';
import { assertMeasure } from './measures.js';
import { type IncrementPreset, presetGrowth } from './presets.js';
import type { GradePart, RuleText } from './schema.js';
import { DISTRIBUTIONS } from './schools.js';
import type { GradeSpec, MeasureGrowth, PointRule } from './types.js';

/**
 * Resolves the `grade` part of a style, each measure as growth per size: the preset's increments first, over
 * them what the named distribution works out from other measures, over these the style's own.
 *
 * @param preset the table that `part.preset` names; the caller finds it.
 * @throws InputError naming an unknown measure (a measure of the style's own needs both an increment and a
 *   place in the distribution), an unknown size of a break, an unknown distribution, or a
 *   rule that is not addressed as `piece.point`.
 */
export function gradeSpec(part: GradePart, preset?: IncrementPreset): GradeSpec {
  if (part.preset !== undefined && preset === undefined) {
    throw new InputError(`the increments '${part.preset}' were not found`, {
      place: { path: 'grade.increments.preset' },
    });
  }
  const ladder: Ladder = { sizes: part.sizes, base: part.base, halves: part.halves };
  const distribution = distributionNamed(part.distribution.name, DISTRIBUTIONS);
  const own = measuresOf(part.distribution.points);
  const increments: Record<string, MeasureGrowth> = {};
  for (const measure of Object.keys(preset?.increments ?? {})) {
    increments[measure] = { bySize: presetGrowth(preset!, measure, ladder), from: 'preset' };
  }
  for (const [measure, increment] of Object.entries(part.increments)) {
    const path = `grade.increments.${measure}`;
    assertMeasure(measure, own, path);
    increments[measure] = { bySize: growthBySize(ladder, increment, path), from: 'style' };
  }
  Object.assign(increments, workedOut(ladder, distribution, increments));
  for (const measure of own) assertMeasure(measure, Object.keys(increments), 'grade.distribution.points');
  return {
    ...ladder,
    increments,
    distribution: distribution.points,
    shares: part.distribution.points,
    rules: Object.entries(part.rules).map(([address, rule]) => pointRule(ladder, address, rule)),
    byRules: part.byRules,
  };
}

/** Growth of the measures a distribution works out from those given; a style's own stay as they are. */
function workedOut(
  ladder: Ladder,
  distribution: Distribution,
  given: Readonly<Record<string, MeasureGrowth>>,
): Record<string, MeasureGrowth> {
  const entries = Object.entries(distribution.measures)
    .filter(([measure]) => given[measure]?.from !== 'style')
    .map(([measure, combination]) => {
      const bySize = ladder.sizes.map((_, i) =>
        combined(
          combination,
          Object.fromEntries(Object.entries(given).map(([name, g]) => [name, g.bySize[i]!])),
        ),
      );
      return [measure, { bySize, from: 'distribution' }] as const;
    });
  return Object.fromEntries(entries);
}

function pointRule(ladder: Ladder, address: string, rule: RuleText): PointRule {
  const path = `grade.rules.${address}`;
  const dot = address.indexOf('.');
  if (dot <= 0 || dot === address.length - 1) {
    throw new InputError(`'${address}' is no point of a piece`, {
      mend: 'write piece.point, such as back.neck-point',
      place: { path },
    });
  }
  const bySize =
    rule.kind === 'moves' ? listedMoves(ladder, rule.bySize, path) : steppedMoves(ladder, rule, path);
  return { piece: address.slice(0, dot), point: address.slice(dot + 1), bySize };
}

function steppedMoves(ladder: Ladder, rule: RuleText & { kind: 'steps' }, path: string): Vec[] {
  const x = growthBySize(ladder, rule.x, `${path}.x`);
  const y = growthBySize(ladder, rule.y, `${path}.y`);
  return ladder.sizes.map((_, i) => [x[i]!, y[i]!]);
}

function listedMoves(ladder: Ladder, moves: Readonly<Record<string, Vec>>, path: string): Vec[] {
  const unknown = Object.keys(moves).find((size) => !ladder.sizes.includes(size));
  if (unknown !== undefined) {
    throw new InputError(`a rule names the unknown size '${unknown}'`, {
      mend: suggest(unknown, ladder.sizes),
      place: { path: `${path}.moves.${unknown}` },
    });
  }
  const atBase = moves[ladder.base];
  if (atBase && (atBase[0] !== 0 || atBase[1] !== 0)) {
    throw new InputError(`a rule cannot move a point in the base size '${ladder.base}'`, {
      mend: 'moves count from the base size: leave it out',
      place: { path: `${path}.moves.${ladder.base}` },
    });
  }
  const at = (size: string): Vec => {
    const move = moves[size] ?? (size === ladder.base ? ([0, 0] as const) : undefined);
    if (move) return move;
    throw new InputError(`the rule gives no move for size '${size}'`, { place: { path: `${path}.moves` } });
  };
  const between = ([0, 1] as const).map((axis) => betweenSizes(ladder, (size) => at(size)[axis]));
  // A half size may have a move of its own; otherwise it stands between its neighbours.
  return ladder.sizes.map((size, i) => moves[size] ?? [between[0]![i]!, between[1]![i]!]);
}
