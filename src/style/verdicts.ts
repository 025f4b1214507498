import { chartFailures } from '../grade/chart.js';
import { capHeights } from '../grade/truing.js';
import { tightest } from '../pattern/curvature.js';
import { frontAndBack } from '../pattern/measure.js';
import { edgeOf, hasPiece, type Pattern, pieceOf, pointOf } from '../pattern/model.js';
import { type SeamWalk, walkSeam } from '../pattern/walk.js';
import { formatLength, MM_PER_INCH, type Unit } from '../units.js';
import { curveAdvice, joinAdvice, seamAdvice } from './advice.js';
import type { Developed } from './corridor.js';
import type { FitRow } from './fit.js';
import type { Style } from './style.js';

/** `stop` keeps a style from being laid, `look` is told and stops nothing. */
export type VerdictState = 'good' | 'look' | 'stop';

export type VerdictKind = 'seam' | 'join' | 'curve' | 'armholes' | 'cap' | 'measure' | 'fit';

/** Where a verdict points: an edge, or a place on a piece of one size; mm. */
export interface VerdictMark {
  readonly size: string;
  readonly piece: string;
  readonly edge?: string;
  readonly at?: readonly [number, number];
}

/** One thing that was looked at in every size, and what to do about it. */
export interface Verdict {
  readonly kind: VerdictKind;
  readonly subject: string;
  readonly state: VerdictState;
  /** The verdict in a word or two: `sews`, `too long`. */
  readonly word: string;
  /** What was found, in the worst size. */
  readonly found: string;
  /** Sizes in which it is not good. */
  readonly sizes: readonly string[];
  readonly advice?: string;
  readonly marks: readonly VerdictMark[];
}

/** A neckline or armhole tighter than this is not sewn smoothly (house default), mm. */
export const LEAST_RADIUS = 8;
/** Front and back armhole of a knit differ by 0 to 1/2 in (from memory of common practice). */
export const ARMHOLES_WITHIN = MM_PER_INCH / 2;
/** A knit sleeve's cap is 0 to 1/2 in longer than both armholes (from memory of common practice). */
export const CAP_EASE = { least: 0, most: MM_PER_INCH / 2 } as const;
/** Edges that must not be too tight to sew: necklines, armholes and raglan seams. */
const CURVES = /^(?:neckline|armhole|(?:front-|back-)?raglan)$/;
/** A tape reads no finer than this, mm. */
const HAIR = 0.5;

/** Everything `check` looks at, a verdict each, in the order of a pattern maker's look: seams first, fit last. */
export const verdictsOf = (
  style: Style,
  developed: Developed,
  fit: readonly FitRow[],
  unit: Unit,
): Verdict[] => [
  ...seamVerdicts(style, developed, unit),
  ...joinVerdicts(developed),
  ...curveVerdicts(developed, unit),
  ...armholeVerdict(developed, unit),
  ...capVerdicts(developed, unit),
  ...measureVerdicts(developed, unit),
  ...fitVerdicts(fit, unit),
];

/** Whether a style may be laid. */
export const passes = (verdicts: readonly Verdict[]): boolean => verdicts.every((v) => v.state !== 'stop');

function seamVerdicts(style: Style, { base, stages, truing, range }: Developed, unit: Unit): Verdict[] {
  return base.seams.map((seam): Verdict => {
    const walks = truing.flatMap(({ size, seams }) =>
      seams.filter((w) => w.seam === seam.name).map((walk) => ({ size, walk })),
    );
    const worst = worstOf(walks, ({ walk }) => Math.abs(walk.difference) - walk.tolerance);
    const bad = walks.filter(({ walk }) => !walk.matches);
    const { walk, size } = worst;
    const long = (mm: number) => formatLength(mm, unit);
    const eased = walk.eased ? `, ${long(Math.abs(walk.eased))} of it eased in` : '';
    const found = `${long(walk.left)}, should be ${long(walk.wanted)}${eased}; off by ${hundredths(walk.difference)} mm in ${size}, ${walk.tolerance.toFixed(2)} allowed`;
    const state = bad.length > 0 ? 'stop' : 'good';
    const word = bad.length === 0 ? 'sews' : walk.difference > 0 ? 'too long' : 'too short';
    const verdict = { kind: 'seam', subject: seam.name, state, word, found } as const;
    if (bad.length === 0) return { ...verdict, sizes: [], marks: [] };
    const inBase = bad.some((b) => b.size === range.base);
    const since = inBase ? brokenSince(style.block, stages, seam.name) : undefined;
    return {
      ...verdict,
      sizes: bad.map((b) => b.size),
      advice: seamAdvice(seam, base, { inBase, since }),
      marks: bad.flatMap((b) =>
        [...seam.left, ...seam.right].map(({ piece, edge }) => ({ size: b.size, piece, edge })),
      ),
    };
  });
}

/** The step since which a seam of the base no longer matches; undefined when it never did. */
function brokenSince(block: Pattern, stages: Developed['stages'], name: string): string | undefined {
  const matches = (pattern: Pattern): SeamWalk | undefined => {
    const seam = pattern.seams.find((s) => s.name === name);
    return seam && walkSeam(pattern, seam);
  };
  const patterns = [block, ...stages.map((s) => s.pattern)];
  const last = patterns.findLastIndex((pattern) => matches(pattern)?.matches === true);
  const step = last < 0 ? undefined : stages[last];
  return step && `step ${last + 1} (${step.step})`;
}

function joinVerdicts({ truing, range }: Developed): Verdict[] {
  const names = [...new Set(truing.flatMap(({ joins }) => joins.map((j) => j.join)))];
  return names.map((name): Verdict => {
    const all = truing.flatMap(({ size, joins }) =>
      joins.filter((j) => j.join === name).map((join) => ({ size, join })),
    );
    const { size, join } = worstOf(all, (one) => Math.abs(one.join.degrees) - one.join.tolerance);
    const bad = all.filter((one) => !one.join.smooth);
    const word = bad.length === 0 ? 'smooth' : join.degrees < 0 ? 'dips' : 'peaks';
    const found = `turns ${Math.abs(join.degrees).toFixed(1)} degrees in ${size}, ${join.tolerance} allowed`;
    const verdict = { kind: 'join', subject: name, word, found } as const;
    if (bad.length === 0) return { ...verdict, state: 'good', sizes: [], marks: [] };
    return {
      ...verdict,
      state: 'look',
      sizes: bad.map((b) => b.size),
      advice: joinAdvice(name),
      marks: bad.flatMap((b) =>
        b.join.at.map(({ piece, point }) => ({
          size: b.size,
          piece,
          at: pointOf(pieceOf(range.sizes.find((s) => s.size === b.size)!.pattern, piece), point),
        })),
      ),
    };
  });
}

function curveVerdicts({ base, range }: Developed, unit: Unit): Verdict[] {
  const curves = base.pieces.flatMap((piece) =>
    piece.edges.filter((e) => CURVES.test(e.name)).map((e) => ({ piece, edge: e.name })),
  );
  return curves.map(({ piece: { name }, edge }): Verdict => {
    const all = range.sizes.map(({ size, pattern }) => ({
      size,
      tight: tightest(edgeOf(pieceOf(pattern, name), edge).path),
    }));
    const worst = worstOf(all, (one) => -one.tight.radius);
    const bad = all.filter((one) => one.tight.radius < LEAST_RADIUS);
    const radius = Number.isFinite(worst.tight.radius)
      ? formatLength(worst.tight.radius, unit)
      : 'none, straight';
    const found = `least radius ${radius} in ${worst.size}, ${formatLength(LEAST_RADIUS, unit)} wanted`;
    const verdict = { kind: 'curve', subject: `${name} ${edge}`, found } as const;
    if (bad.length === 0) return { ...verdict, state: 'good', word: 'round', sizes: [], marks: [] };
    return {
      ...verdict,
      state: 'look',
      word: 'too tight',
      sizes: bad.map((b) => b.size),
      advice: curveAdvice(
        edge,
        bad.some((b) => b.size === range.base),
      ),
      marks: bad.map((b) => ({ size: b.size, piece: name, edge, at: b.tight.point })),
    };
  });
}

function armholeVerdict({ base, range }: Developed, unit: Unit): Verdict[] {
  const has = (piece: string) =>
    hasPiece(base, piece) && pieceOf(base, piece).edges.some((e) => e.name === 'armhole');
  if (!has('front') || !has('back')) return [];
  // A forward shoulder moves length from one to the other, which is no want of balance.
  const own = (pattern: Pattern, piece: string, mm: number) =>
    mm - (edgeOf(pieceOf(pattern, piece), 'armhole').shifted ?? 0);
  const all = range.sizes.map(({ size, pattern }) => {
    const { front, back } = frontAndBack(pattern, 'armhole');
    return { size, front: own(pattern, 'front', front), back: own(pattern, 'back', back) };
  });
  const worst = worstOf(all, (one) => Math.abs(one.front - one.back));
  const bad = all.filter((one) => Math.abs(one.front - one.back) > ARMHOLES_WITHIN + HAIR);
  const long = (mm: number) => formatLength(mm, unit);
  const found = `front ${long(worst.front)}, back ${long(worst.back)} in ${worst.size}; up to ${long(ARMHOLES_WITHIN)} apart is usual`;
  const verdict = { kind: 'armholes', subject: 'front and back armhole', found } as const;
  if (bad.length === 0) return [{ ...verdict, state: 'good', word: 'balanced', sizes: [], marks: [] }];
  return [
    {
      ...verdict,
      state: 'look',
      word: 'unbalanced',
      sizes: bad.map((b) => b.size),
      advice: 'put balance-armholes after the last step that changes an armhole, before draft-sleeve',
      marks: bad.flatMap((b) => ['front', 'back'].map((piece) => ({ size: b.size, piece, edge: 'armhole' }))),
    },
  ];
}

function capVerdicts({ base, truing, range }: Developed, unit: Unit): Verdict[] {
  if (!base.seams.some((s) => s.name === 'cap')) return [];
  const all = truing.flatMap(({ size, seams }) =>
    seams.filter((w) => w.seam === 'cap').map((walk) => ({ size, ease: walk.left - walk.right })),
  );
  const outside = (ease: number) => Math.max(CAP_EASE.least - ease, ease - CAP_EASE.most);
  const worst = worstOf(all, (one) => outside(one.ease));
  const bad = all.filter((one) => outside(one.ease) > HAIR);
  const long = (mm: number) => formatLength(mm, unit);
  const eases = { kind: 'cap', subject: 'cap ease' } as const;
  const found = `${long(worst.ease)} in ${worst.size}; ${long(CAP_EASE.least)} to ${long(CAP_EASE.most)} for a knit`;
  const ease: Verdict =
    bad.length === 0
      ? { ...eases, state: 'good', word: 'sets in', found, sizes: [], marks: [] }
      : {
          ...eases,
          state: 'look',
          word: worst.ease > CAP_EASE.most ? 'too much' : 'too little',
          found,
          sizes: bad.map((b) => b.size),
          advice: `say the ease you want: draft-sleeve: { cap-ease: ${long(CAP_EASE.most / 2)} }`,
          marks: bad.flatMap((b) =>
            ['front-cap', 'back-cap'].map((edge) => ({ size: b.size, piece: 'sleeve', edge })),
          ),
        };
  const falls = capHeights(range).filter((cap) => cap.falls);
  if (falls.length === 0) return [ease];
  return [
    ease,
    {
      kind: 'cap',
      subject: 'cap height',
      state: 'look',
      word: 'falls',
      found: falls
        .map((cap) => `${long(cap.height)} in ${cap.size}, lower than in the size below`)
        .join('; '),
      sizes: falls.map((cap) => cap.size),
      advice:
        'the sleeve widens faster than its armholes grow: lower the bicep increment or raise armhole-depth',
      marks: falls.map((cap) => ({ size: cap.size, piece: 'sleeve', edge: 'front-cap' })),
    },
  ];
}

function measureVerdicts({ chart }: Developed, unit: Unit): Verdict[] {
  const failures = chartFailures(chart);
  const names = [...new Set(failures.map((f) => f.measure))];
  if (names.length === 0) {
    const found = `${chart.length} points of measure show base and increments in every size`;
    return [
      { kind: 'measure', subject: 'size chart', state: 'good', word: 'grows', found, sizes: [], marks: [] },
    ];
  }
  return names.map((name): Verdict => {
    const own = failures.filter((f) => f.measure === name);
    const worst = worstOf(own, (f) => Math.abs(f.difference ?? 0));
    return {
      kind: 'measure',
      subject: name,
      state: 'stop',
      word: 'off',
      found: `${formatLength(worst.measured, unit)} in ${worst.size}, ${worst.difference?.toFixed(1)} mm off what the increments say`,
      sizes: own.map((f) => f.size),
      advice: 'look at the distribution of the increments over the points this is measured between',
      marks: [],
    };
  });
}

function fitVerdicts(fit: readonly FitRow[], unit: Unit): Verdict[] {
  const names = [...new Set(fit.map((row) => row.check))];
  return names.map((name): Verdict => {
    const rows = fit.filter((row) => row.check === name);
    const bad = rows.filter((row) => !row.within);
    const shown = bad[0] ?? rows[0]!;
    const found = `${formatLength(shown.measured, unit)} in ${shown.size}, wanted ${shown.wanted}`;
    const verdict = {
      kind: 'fit',
      subject: name,
      found,
      sizes: bad.map((row) => row.size),
      marks: [],
    } as const;
    if (bad.length === 0) return { ...verdict, state: 'good', word: 'fits' };
    return { ...verdict, state: 'look', word: 'does not fit', advice: shown.advice ?? 'widen it' };
  });
}

const worstOf = <T>(all: readonly T[], badness: (one: T) => number): T =>
  all.reduce((worst, one) => (badness(one) > badness(worst) ? one : worst));

/** Millimetres to 0.01, without the sign of a difference that rounds to nothing. */
const hundredths = (mm: number): string => mm.toFixed(2).replace(/^-(0\.00)$/, '$1');
