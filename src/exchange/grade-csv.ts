import type { GrowthRow } from '../grade/steps.js';
import type { OpeningFit, SizeFit } from '../style/fit.js';
import { toUnit, type Unit } from '../units.js';
import { type Cell, csv } from './csv.js';

/** Growth of every point of measure into every size, with the steps that jump; lengths in `unit`. */
export function growthCsv(rows: readonly GrowthRow[], unit: Unit): string {
  const head = ['measure', 'from', 'to', 'growth', 'per step', 'jumps', 'cause', 'unit'];
  return csv([
    head,
    ...rows.flatMap(({ measure, steps }) =>
      steps.map((s): Cell[] => [
        measure,
        s.from,
        s.to,
        toUnit(s.growth, unit),
        toUnit(s.perStep, unit),
        s.jumps,
        s.cause,
        unit,
      ]),
    ),
  ]);
}

/** Fit of every size against its body: ease and stretch of each girth, then the way over the head. */
export function fitCsv(fit: readonly SizeFit[], unit: Unit): string {
  const head = ['size', 'what', 'body', 'garment', 'ease', 'stretch used %', 'stretch %', 'within', 'unit'];
  const rows = fit.flatMap(({ size, girths, neck, hand }): Cell[][] => [
    ...girths.map((g) => [
      size,
      g.girth,
      toUnit(g.body, unit),
      toUnit(g.garment, unit),
      toUnit(g.ease, unit),
      g.stretchUsed * 100,
      g.stretch * 100,
      g.within,
      unit,
    ]),
    ...(neck ? [openingCells(size, 'neck opening over the head', neck, unit)] : []),
    ...(hand ? [openingCells(size, 'wrist opening over the hand', hand, unit)] : []),
  ]);
  return csv([head, ...rows]);
}

const openingCells = (size: string, what: string, fit: OpeningFit, unit: Unit): Cell[] => [
  size,
  `${what} (${fit.limit})`,
  toUnit(fit.around, unit),
  toUnit(fit.relaxed, unit),
  toUnit(fit.relaxed - fit.around, unit),
  fit.stretchUsed * 100,
  fit.stretch * 100,
  fit.within,
  unit,
];
