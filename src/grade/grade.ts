import { CheckError, InputError, suggest } from '../errors.js';
import type { Vec } from '../geometry/vec.js';
import {
  assertClosed,
  edgeOf,
  type Growth,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  pointsOf,
  withPiece,
} from '../pattern/model.js';
import { moveRuled, remembering } from './carried.js';
import { keepCorners, seamEdges } from './corners.js';
import { assertSimple } from './crossing.js';
import { asBase, deriveAgain } from './derivations.js';
import { combined, type PointShare, shareOf } from './distribution.js';
import { stepsFromBase } from './ladder.js';
import type { GradedSize, GradeSpec, SizeRange } from './types.js';

/** Moves of a piece's ruled points, mm against the base; which measures they draw on. */
interface PiecePlan {
  readonly piece: string;
  readonly movesAt: (size: number, growth: Growth) => Map<string, Vec>;
  readonly measures: ReadonlySet<string>;
}

/**
 * Grades a base pattern into every size: moves the named points by the distribution of the increments or by
 * explicit rules, carries the edges between them, then draws the derived pieces again in pattern order.
 *
 * Point coordinates are affine in the increments; growth of zero leaves every graded piece as it is. A piece
 * without any ruled point keeps its size. Internal lines keep their place against the fold and the underarm
 * level, which do not move. Every size may be the base of another range: its derived pieces count from there.
 * Where pieces are cut from a pattern of construction, that one is graded.
 *
 * @throws InputError for a rule on an unknown piece or point, a rule on a derived piece, a piece that only
 *   some points of have a rule, a point that would leave the fold, or an increment of the style that nothing
 *   uses; CheckError for a piece that crosses itself in some size.
 */
export function gradePattern(base: Pattern, spec: GradeSpec): SizeRange {
  if (base.construction) return gradeCutFrom(base, base.construction, spec);
  const start = free(base, spec.byRules);
  const plans = planMoves(start, spec);
  const used = new Set(plans.flatMap((plan) => [...plan.measures]));
  const steps = stepsFromBase(spec);
  const sizes = spec.sizes.map((size, i): GradedSize => {
    const growth = growthAt(spec, i);
    const pattern = naming(size, () => {
      const moved = plans.reduce((p, plan) => movePiece(p, plan, i, growth), start);
      // Before the derived pieces, whose own failure would only echo a crossing here.
      for (const { piece } of plans) assertSimple(pieceOf(moved, piece), (p) => ruleField(spec, piece, p));
      const drawn = deriveAgain(moved, growth, used);
      for (const piece of drawn.pieces) if (piece.derived) assertSimple(piece);
      return asBase(drawn, growth);
    });
    return { size, steps: steps[i]!, growth, pattern };
  });
  assertAllUsed(spec, used);
  return { base: spec.base, sizes };
}

/** Pieces that are cut from another pattern: that one is graded, and they are cut from it again in every size. */
function gradeCutFrom(base: Pattern, construction: Pattern, spec: GradeSpec): SizeRange {
  const graded = gradePattern(construction, spec);
  const sizes = graded.sizes.map((one): GradedSize => {
    const pattern = naming(one.size, () => {
      const drawn = deriveAgain({ ...base, construction: one.pattern }, one.growth, new Set());
      for (const piece of drawn.pieces) assertSimple(piece);
      return asBase(drawn, one.growth);
    });
    return { ...one, pattern };
  });
  return { ...graded, sizes };
}

/** The field of the style that moves a point: its rule, else the increments. */
const ruleField = ({ rules }: GradeSpec, piece: string, point: string): string =>
  rules.some((r) => r.piece === piece && r.point === point)
    ? `grade.rules.${piece}.${point}`
    : 'grade.increments';

/** The pattern with the named pieces' derivations switched off. */
function free(pattern: Pattern, names: readonly string[]): Pattern {
  return names.reduce((p, name) => {
    const { derived, ...piece } = pieceOf(p, name);
    if (derived) return withPiece(p, piece);
    throw new InputError(`piece '${name}' is not derived from others, so it is graded by rules anyway`, {
      mend: 'take it out of by-rules',
      place: { path: 'grade.by-rules' },
    });
  }, pattern);
}

function planMoves(pattern: Pattern, spec: GradeSpec): PiecePlan[] {
  assertAddresses(pattern, spec);
  return pattern.pieces
    .filter((piece) => !piece.derived)
    .map((piece) => planPiece(piece, spec))
    .filter((plan) => plan !== undefined);
}

function planPiece(piece: Piece, spec: GradeSpec): PiecePlan | undefined {
  const shares = new Map<string, PointShare>();
  const rules = new Map<string, readonly Vec[]>();
  for (const point of pointsOf(piece).keys()) {
    const rule = spec.rules.find((r) => r.piece === piece.name && r.point === point);
    const share = shareOf(spec.shares, piece.name, point) ?? shareOf(spec.distribution, piece.name, point);
    if (rule) rules.set(point, rule.bySize);
    else if (share) shares.set(point, share);
  }
  if (shares.size + rules.size === 0) return undefined;
  // A corner without a rule would stay behind while its neighbours move; a mark is carried along its edge.
  const corner = piece.edges.find((edge) => !shares.has(edge.from) && !rules.has(edge.from))?.from;
  if (corner !== undefined) {
    throw new InputError(`nothing says how '${piece.name}.${corner}' grows`, {
      mend: `give it a rule: grade: { rules: { ${piece.name}.${corner}: { x: ..., y: ... } } }`,
      place: { path: 'grade' },
    });
  }
  return {
    piece: piece.name,
    movesAt: (size, growth) =>
      new Map([
        ...[...shares].map(([name, s]) => [name, [combined(s.x, growth), combined(s.y, growth)]] as const),
        ...[...rules].map(([name, bySize]) => [name, bySize[size]!] as const),
      ]),
    measures: new Set([...shares.values()].flatMap((s) => [...Object.keys(s.x), ...Object.keys(s.y)])),
  };
}

/** Every rule and every share of the style itself must meet a point that is graded. */
function assertAddresses(pattern: Pattern, spec: GradeSpec): void {
  for (const { piece, point } of spec.rules) assertRuled(pattern, piece, point, 'grade.rules');
  for (const address of Object.keys(spec.shares)) {
    const dot = address.indexOf('.');
    const path = 'grade.distribution.points';
    if (dot >= 0) assertRuled(pattern, address.slice(0, dot), address.slice(dot + 1), path);
    else {
      const names = pattern.pieces.filter((p) => !p.derived).flatMap((p) => [...pointsOf(p).keys()]);
      if (names.includes(address)) continue;
      throw new InputError(`no graded piece has a point '${address}'`, {
        mend: suggest(address, [...new Set(names)]),
        place: { path: `${path}.${address}` },
      });
    }
  }
}

function assertRuled(pattern: Pattern, pieceName: string, point: string, path: string): void {
  const place = { path: `${path}.${pieceName}.${point}` };
  try {
    const piece = pieceOf(pattern, pieceName);
    pointOf(piece, point);
    if (!piece.derived) return;
    throw new InputError(
      `a rule for '${pieceName}.${point}' has no effect: '${pieceName}' is drawn again from ${piece.derived.from.join(' and ')} in every size`,
      { mend: `drop the rule, or list '${pieceName}' under grade.by-rules` },
    );
  } catch (error) {
    throw error instanceof InputError ? error.at(place) : error;
  }
}

function movePiece(pattern: Pattern, plan: PiecePlan, size: number, growth: Growth): Pattern {
  const piece = pieceOf(pattern, plan.piece);
  const moves = plan.movesAt(size, growth);
  if (piece.fold) {
    const fold = edgeOf(piece, piece.fold);
    const stray = [fold.from, fold.to].find((point) => Math.abs(moves.get(point)?.[0] ?? 0) > 1e-9);
    if (stray !== undefined) {
      throw new InputError(`'${piece.name}.${stray}' lies on the fold and must not move across it`, {
        mend: 'leave x out of its rule',
        place: { path: 'grade' },
      });
    }
  }
  const moved = assertClosed(moveRuled(piece, moves));
  const kept = keepCorners(piece, moved, seamEdges(pattern, piece.name));
  return withPiece(pattern, remembering(piece, kept));
}

const growthAt = (spec: GradeSpec, size: number): Growth =>
  Object.fromEntries(Object.entries(spec.increments).map(([name, g]) => [name, g.bySize[size]!]));

function assertAllUsed(spec: GradeSpec, used: ReadonlySet<string>): void {
  const idle = Object.entries(spec.increments).find(
    ([name, g]) => g.from === 'style' && !used.has(name) && g.bySize.some((mm) => mm !== 0),
  );
  if (!idle) return;
  throw new InputError(`nothing in the pattern grows by '${idle[0]}'`, {
    mend: `leave the increment out, or give it a place: grade: { distribution: { points: ... } }. In use: ${[...used].sort().join(', ')}`,
    place: { path: `grade.increments.${idle[0]}` },
  });
}

/** Runs `work` and puts the size in front of what goes wrong. */
function naming<T>(size: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof CheckError || error instanceof InputError)) throw error;
    const options = { mend: error.mend, place: error.place, cause: error };
    const message = `size ${size}: ${error.message}`;
    throw error instanceof CheckError ? new CheckError(message, options) : new InputError(message, options);
  }
}
