/**
 * What one question costs, apart from any search: "what does piece i overlap at this place?" asked of every
 * scheme in turn for the same places in the same layout, and the strip maps that answer it for all places at
 * once.
 */
import type { Layout } from '../../../src/nest/layout.js';
import { createNear, type Near, PlainNear } from '../../../src/nest/near.js';
import { Random } from '../../../src/nest/random.js';
import { StripMap } from '../../../src/nest/strip-map.js';
import type { Measure } from './measure.js';
import { processorSeconds } from './race.js';

/** Places asked about, and maps filled, per turn. */
const PLACES = 2000;
const MAPS = 1000;

export interface Rate {
  readonly name: string;
  readonly perSecond: number;
  /** Places found without overlap, of those asked about: what all schemes ought to agree on; undefined for maps. */
  readonly free: number | undefined;
}

interface Question {
  readonly i: number;
  readonly variant: number;
  readonly x: number;
  readonly y: number;
}

/** Queries per processor second of each scheme, over `turns` turns each. */
export function queryRates(
  layout: Layout,
  measures: readonly (readonly [name: string, measure: Measure])[],
  turns: number,
): Rate[] {
  const { count } = layout;
  const ones = new Float64Array(count * count).fill(1);
  const questions = questionsOn(layout);
  for (const [, measure] of measures) {
    for (let i = 0; i < count; i++) measure.set(i, layout.variant[i]!, layout.x[i]!, layout.y[i]!);
  }
  const { fields, tolerance } = layout;
  const askNear = (near: Near) => (question: Question) => {
    const { i, variant, x, y } = question;
    near.gather(i, variant, x, y, 0, tolerance);
    return near.costAt(x, y);
  };
  const nears = [
    ['no-fit tables, WebAssembly', createNear(fields, count)],
    ['no-fit tables, plain', new PlainNear(fields, count)],
  ] as const;
  for (const [, near] of nears) near.observe(layout.x, layout.y, layout.variant, ones, 0);
  const askers = [
    ...nears.map(([name, near]) => ({ name, answer: askNear(near) })),
    ...measures.map(([name, measure]) => ({
      name,
      answer: ({ i, variant, x, y }: Question) => measure.cost(i, variant, x, y, ones, 0, Infinity),
    })),
  ];
  return inTurn(askers, questions, turns).map(({ name, seconds, answers }) => ({
    name,
    perSecond: (turns * questions.length) / seconds,
    free: answers.filter((cost) => cost === 0).length,
  }));
}

/** Positions of strip maps filled per processor second. */
export function mapRates(
  layouts: readonly (readonly [name: string, layout: Layout])[],
  turns: number,
): Rate[] {
  const maps = Array.from({ length: MAPS }, (_, k) => k);
  const fillers = layouts.map(([name, layout]) => {
    const map = new StripMap();
    const { count, variant, baseWeight } = layout;
    const fill = (k: number) =>
      map.fill(layout, k % count, variant[k % count]!, baseWeight) ? map.nx * map.ny : 0;
    return { name, answer: fill };
  });
  return inTurn(fillers, maps, turns).map(({ name, seconds, answers }) => ({
    name,
    perSecond: (turns * answers.reduce((a, b) => a + b, 0)) / seconds,
    free: undefined,
  }));
}

/** Asks everyone all questions, turn by turn; the first turn, in which code is compiled, does not count. */
function inTurn<Question>(
  askers: readonly { readonly name: string; answer(question: Question): number }[],
  questions: readonly Question[],
  turns: number,
): { name: string; seconds: number; answers: Float64Array }[] {
  const kept = askers.map(({ name }) => ({ name, seconds: 0, answers: new Float64Array(questions.length) }));
  for (let turn = -1; turn < turns; turn++) {
    askers.forEach((asker, k) => {
      const { answers } = kept[k]!;
      const began = processorSeconds();
      for (let q = 0; q < questions.length; q++) answers[q] = asker.answer(questions[q]!);
      if (turn >= 0) kept[k]!.seconds += processorSeconds() - began;
    });
  }
  return kept;
}

/** Half anywhere on the strip, half within a tenth of a piece of where the piece stands. */
function questionsOn(layout: Layout): Question[] {
  const random = new Random(7);
  const { variants } = layout.problem;
  return Array.from({ length: PLACES }, (_, k): Question => {
    const i = random.below(layout.count);
    const variant = layout.variant[i]!;
    const { minX, minY, maxX, maxY, leastY, mostY } = variants[variant]!;
    layout.reach(i, variant);
    const { leastX, mostX } = layout;
    const away = (long: number) => 0.2 * (random.next() - 0.5) * long;
    if (k % 2 === 0) {
      const x = leastX + random.next() * (mostX - leastX);
      return { i, variant, x, y: leastY + random.next() * (mostY - leastY) };
    }
    const x = Math.max(leastX, Math.min(mostX, layout.x[i]! + away(maxX - minX)));
    return { i, variant, x, y: Math.max(leastY, Math.min(mostY, layout.y[i]! + away(maxY - minY))) };
  });
}
