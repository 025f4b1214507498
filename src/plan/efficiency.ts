import { z } from 'zod';
import { readBy } from '../fields.js';

/** What is known of a marker before it is laid. */
export interface MarkerFacts {
  /** Area inside all cut lines, mm2. */
  readonly area: number;
  /** Width pieces are laid on, mm. */
  readonly width: number;
  readonly garments: number;
  /** Different sizes. */
  readonly sizes: number;
  readonly pieces: number;
  /** Length along the cloth of its longest piece, mm. */
  readonly longest: number;
}

/** A marker that was laid. */
export interface NestRecord extends MarkerFacts {
  /** Style and fabric: markers of one group share pieces and cloth. */
  readonly group: string;
  /** mm. */
  readonly length: number;
}

export interface Prediction {
  /** mm. */
  readonly length: number;
  /** Half width of the band that holds 90 % of such markers, as a share of the length. */
  readonly band: number;
}

export interface EfficiencyModel {
  readonly predict: (facts: MarkerFacts, group: string) => Prediction;
  /** The same model with more markers known. */
  readonly learn: (records: readonly NestRecord[]) => EfficiencyModel;
  readonly records: readonly NestRecord[];
  /** Standard deviations of length x width / area: of a marker in its group, of a group among groups. */
  readonly noise: Noise;
}

interface Noise {
  readonly marker: number;
  readonly group: number;
  /** By how much short markers scatter more. */
  readonly short: number;
}

/**
 * Length of a marker from the areas of its pieces, the width, and the numbers of garments and sizes.
 *
 *     length x width / area = b0 + b1 e + b2 / sizes + b3 sqrt(area / pieces) / width + group + rest
 *     e = longest piece / (area / width)
 *
 * and at least e, as no marker is shorter than its longest piece. e falls as garments are added: it carries the
 * ragged end of the marker, which is part of a piece long however many garments there are.
 *
 * Least squares in which every coefficient has a prior (a Bayesian linear regression), so that there is an answer
 * before the first nest, and each group of markers (a style on a fabric) has an offset of its own, drawn from
 * what groups differ by. The rest spreads by sigma sqrt(1 + (k e)^2): short markers scatter more. The spreads are those of greatest marginal likelihood on a grid,
 * found once from the given records; markers learned later move the coefficients and their group's offset.
 */
export function efficiencyModel(records: readonly NestRecord[]): EfficiencyModel {
  const noise = likeliestNoise(records);
  return modelOf(records, noise);
}

/** Nine in ten of a normal distribution lie within so many standard deviations. */
const NINETY = 1.645;

/** Before anything is known: about 85 % full without ends, which lose some; nothing known of the rest. */
const PRIOR = { mean: [1.15, 0.35, 0, 0], spread: [0.3, 0.4, 0.3, 1] } as const;

/** Where no record tells: markers scatter by 3 %, styles by 5 % (house values, before the first nest). */
const NOISE_UNKNOWN: Noise = { marker: 0.03, group: 0.05, short: 2 };
// Groups are let differ by 2 % at least, however alike the known ones are: searches of other lengths differ too.
const NOISE_GRID = {
  marker: [0.01, 0.015, 0.02, 0.025, 0.03, 0.04, 0.06],
  group: [0.02, 0.03, 0.045, 0.065, 0.09],
  short: [0, 1, 2, 3, 4.5],
};

/** Length of the longest piece over that of the marker if nothing were lost. */
const endShare = (m: MarkerFacts): number => (m.longest * m.width) / m.area;

const features = (m: MarkerFacts): number[] => [
  1,
  endShare(m),
  1 / m.sizes,
  Math.sqrt(m.area / m.pieces) / m.width,
];

const variance = (m: MarkerFacts, noise: Noise): number =>
  noise.marker ** 2 * (1 + (noise.short * endShare(m)) ** 2);

const waste = (r: NestRecord): number => (r.length * r.width) / r.area;

function modelOf(records: readonly NestRecord[], noise: Noise): EfficiencyModel {
  const groups = [...new Set(records.map((r) => r.group))];
  const base = PRIOR.mean.length;
  const size = base + groups.length;
  const row = (facts: MarkerFacts, group: string): number[] => {
    const x = [...features(facts), ...new Array<number>(groups.length).fill(0)];
    const at = groups.indexOf(group);
    if (at >= 0) x[base + at] = 1;
    return x;
  };
  // Normal equations of the posterior: precision matrix and its right side.
  const precision = Array.from({ length: size }, (_, i) =>
    Array.from({ length: size }, (_, j) =>
      i !== j ? 0 : 1 / (i < base ? PRIOR.spread[i]! : noise.group) ** 2,
    ),
  );
  const right = Array.from({ length: size }, (_, i) =>
    i < base ? PRIOR.mean[i]! / PRIOR.spread[i]! ** 2 : 0,
  );
  for (const record of records) {
    const x = row(record, record.group);
    const weight = 1 / variance(record, noise);
    for (let i = 0; i < size; i++) {
      if (x[i] === 0) continue;
      right[i]! += weight * x[i]! * waste(record);
      for (let j = 0; j < size; j++) precision[i]![j]! += weight * x[i]! * x[j]!;
    }
  }
  const factor = cholesky(precision);
  const mean = backward(factor, forward(factor, right));
  return {
    records,
    noise,
    learn: (more) => modelOf([...records, ...more], noise),
    predict: (facts, group) => {
      const x = row(facts, group);
      const y = Math.max(1, endShare(facts), dot(x, mean));
      const half = forward(factor, x);
      const ofGroup = groups.includes(group) ? 0 : noise.group ** 2;
      const spread = Math.sqrt(dot(half, half) + variance(facts, noise) + ofGroup);
      return { length: (y * facts.area) / facts.width, band: (NINETY * spread) / y };
    },
  };
}

function likeliestNoise(records: readonly NestRecord[]): Noise {
  if (new Set(records.map((r) => r.group)).size < 2) return NOISE_UNKNOWN;
  let best = { value: Number.NEGATIVE_INFINITY, noise: NOISE_UNKNOWN };
  for (const marker of NOISE_GRID.marker) {
    for (const group of NOISE_GRID.group) {
      for (const short of NOISE_GRID.short) {
        const value = logLikelihood(records, { marker, group, short });
        if (value > best.value) best = { value, noise: { marker, group, short } };
      }
    }
  }
  return best.noise;
}

/** Log of the density of the records' wastes with all coefficients integrated out, less a constant. */
function logLikelihood(records: readonly NestRecord[], noise: Noise): number {
  const x = records.map(features);
  const rest = records.map((r, i) => waste(r) - dot(x[i]!, PRIOR.mean));
  const covariance = records.map((r, i) =>
    records.map((s, j) => {
      const shared = PRIOR.spread.reduce((sum, spread, k) => sum + spread ** 2 * x[i]![k]! * x[j]![k]!, 0);
      return shared + (r.group === s.group ? noise.group ** 2 : 0) + (i === j ? variance(r, noise) : 0);
    }),
  );
  const factor = cholesky(covariance);
  const z = forward(factor, rest);
  return -dot(z, z) / 2 - factor.reduce((sum, row, i) => sum + Math.log(row[i]!), 0);
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, i) => sum + v * b[i]!, 0);

/** Lower triangle L of a positive definite matrix: L x its transpose. */
function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const factor = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i]![j]!;
      for (let k = 0; k < j; k++) sum -= factor[i]![k]! * factor[j]![k]!;
      factor[i]![j] = i === j ? Math.sqrt(sum) : sum / factor[j]![j]!;
    }
  }
  return factor;
}

/** Solves L z = right. */
function forward(factor: readonly (readonly number[])[], right: readonly number[]): number[] {
  const z: number[] = [];
  for (let i = 0; i < right.length; i++) {
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= factor[i]![k]! * z[k]!;
    z.push(sum / factor[i]![i]!);
  }
  return z;
}

/** Solves (transpose of L) x = z. */
function backward(factor: readonly (readonly number[])[], z: readonly number[]): number[] {
  const x = new Array<number>(z.length).fill(0);
  for (let i = z.length - 1; i >= 0; i--) {
    let sum = z[i]!;
    for (let k = i + 1; k < z.length; k++) sum -= factor[k]![i]! * x[k]!;
    x[i] = sum / factor[i]![i]!;
  }
  return x;
}

const nestFile = z.object({
  source: z.string(),
  nests: z.array(
    z.object({
      group: z.string(),
      area: z.number().positive(),
      width: z.number().positive(),
      garments: z.int().positive(),
      sizes: z.int().positive(),
      pieces: z.int().positive(),
      longest: z.number().positive(),
      length: z.number().positive(),
    }),
  ),
});

/**
 * Reads the file of nests made before.
 *
 * @throws InputError naming the field that does not fit.
 */
export const readNestRecords = (data: unknown): readonly NestRecord[] => readBy(nestFile, data).nests;
