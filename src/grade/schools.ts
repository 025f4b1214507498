import { type Distribution, HOUSE_DISTRIBUTION } from './distribution.js';

/**
 * Named distributions a style can start from, each with where its shares come from. All place points as the
 * house does, so that a size chart stays exact; they differ in what the shoulder, neck and lengths get of a
 * grade. A style may change any point (`distribution.points`) or any measure (`increments`).
 */
export const DISTRIBUTIONS: Readonly<Record<string, Distribution>> = keyed([
  {
    name: 'house',
    title: 'every measure by its own increment',
    source:
      'house default; a quarter of a girth grade at each half front and half back is trade writing on grade rules',
    measures: {},
    points: HOUSE_DISTRIBUTION,
  },
  {
    name: 'inch-split',
    title: 'a quarter of the bust grade split 1 : 1 : 2 between neck, shoulder and armhole',
    // 1 in: 1/16 + 1/16 + 1/8 = 1/4; 2 in: 1/8 + 1/8 + 1/4 = 1/2; scye depth 1/8 and 1/4.
    source:
      'from memory of grading textbooks: 1 in grade 1/16 + 1/16 + 1/8 in, 2 in grade 1/8 + 1/8 + 1/4 in; only the totals, a quarter each, are sourced (trade writing on grade rules)',
    measures: {
      waist: { bust: 1 },
      hip: { bust: 1 },
      'neck-width': { bust: 1 / 8 },
      'across-shoulder': { bust: 1 / 4 },
      'armhole-depth': { bust: 1 / 8 },
    },
    points: HOUSE_DISTRIBUTION,
  },
  {
    name: 'inch-split-half',
    title: 'a quarter of the bust grade split 1 : 2 : 3 between neck, shoulder and armhole',
    // 1 1/2 in: 1/16 + 1/8 + 3/16 = 3/8; scye depth 1/8 to 3/16, here their middle.
    source:
      'from memory of grading textbooks: 1 1/2 in grade 1/16 + 1/8 + 3/16 in; only the total, a quarter, is sourced (trade writing on grade rules)',
    measures: {
      waist: { bust: 1 },
      hip: { bust: 1 },
      'neck-width': { bust: 1 / 12 },
      'across-shoulder': { bust: 1 / 4 },
      'armhole-depth': { bust: 5 / 48 },
    },
    points: HOUSE_DISTRIBUTION,
  },
  {
    name: 'slash-and-spread',
    title: 'the allocated grade spread evenly over cut lines',
    // Vertical lines at shoulder, armhole and side; horizontal ones through armhole, chest to waist, waist to hem.
    source:
      'T. Horlamus in Threads 101: a quarter of the overall grade is the allocated grade, split among vertical cut lines at shoulder, armhole and side that run to the hem, and length among horizontal ones; even thirds are the house choice. The neck keeps its own increment',
    measures: {
      waist: { bust: 1 },
      hip: { bust: 1 },
      'across-shoulder': { 'neck-width': 1, bust: 1 / 6 },
      'armhole-depth': { 'body-length': 1 / 3 },
      'back-waist-length': { 'body-length': 2 / 3 },
    },
    points: HOUSE_DISTRIBUTION,
  },
  {
    name: 'textbook-metric',
    title: 'shares of a metric textbook body table, two-dimensional',
    // Per 4 cm of bust: back width 1.0, neck girth 1.0 (a fifth to each half neck), top arm 1.2, wrist 0.5,
    // armscye depth 0.5, nape to waist 0.5.
    source:
      'from memory of a British textbook body table, women, 4 cm steps: back width 1.0, neck 1.0, top arm 1.2, wrist 0.5, armscye depth 0.5, nape to waist 0.5 cm; two-dimensional: suppression does not change',
    measures: {
      waist: { bust: 1 },
      hip: { bust: 1 },
      'across-shoulder': { bust: 1 / 4 },
      'neck-width': { bust: 1 / 10 },
      'armhole-depth': { bust: 1 / 8 },
      'back-waist-length': { bust: 1 / 8 },
      bicep: { bust: 3 / 10 },
      wrist: { bust: 1 / 8 },
    },
    points: HOUSE_DISTRIBUTION,
  },
]);

function keyed(list: readonly Distribution[]): Readonly<Record<string, Distribution>> {
  return Object.fromEntries(list.map((distribution) => [distribution.name, distribution]));
}
