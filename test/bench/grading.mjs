// How long grading takes: 12 sizes x 12 pieces graded, trued and measured. Build first, then run
//   npm run build && node test/bench/grading.mjs [runs]
// Prints one line: the median of the runs after warm-up, and the fastest and slowest of them.
import { alter, draftBlock, grade, pattern } from '../../dist/src/index.js';

const RUNS = Math.max(5, Number(process.argv[2] ?? 40));
const WARM_UP = 15;

const BODY = {
  bust: 940,
  waist: 780,
  hip: 1020,
  shoulder: 122,
  backWaistLength: 410,
  neck: 371,
  bicep: 290,
  wrist: 160,
  armLength: 590,
  armholeDepth: 205,
  hipDepth: 200,
  head: 560,
};

/** A lined sweatshirt: body in three layers, a sleeve solved from its armholes, five bands from their edges. */
function twelvePieces() {
  const block = draftBlock('bench', BODY);
  let { pattern: base } = alter.redraftSleeve(block, alter.DRAFT_SLEEVE_DEFAULTS, block);
  for (const layer of ['lining', 'interlining']) {
    for (const half of ['back', 'front']) {
      base = pattern.withPiece(base, { ...pattern.pieceOf(base, half), name: `${layer}-${half}` });
    }
  }
  const neck = ['back.neckline', 'front.neckline'];
  for (const [name, along, ratio] of [
    ['neckband', neck, 0.85],
    ['neck-tape', neck, 1],
    ['cuff', ['sleeve.wrist'], 0.85],
    ['hem-band', ['back.hem', 'front.hem'], 0.9],
    ['lining-hem', ['lining-back.hem', 'lining-front.hem'], 1],
  ]) {
    const options = { ...alter.DRAFT_BAND_DEFAULTS, name, along, ratio, depth: 30 };
    base = alter.draftBand(base, options).pattern;
  }
  return base;
}

/** The centre neck of every layer moves as that of the shell. */
function linings(...halves) {
  const shell = grade.DISTRIBUTIONS.house.points;
  const named = (layer, half) => [`${layer}-${half}.center-neck`, shell[`${half}.center-neck`]];
  return Object.fromEntries(
    ['lining', 'interlining'].flatMap((layer) => halves.map((half) => named(layer, half))),
  );
}

const SPEC = grade.gradeSpec(
  grade.gradeSchema('mm').parse({
    sizes: Array.from({ length: 12 }, (_, i) => `${2 * i}`),
    base: '10',
    distribution: { points: linings('back', 'front') },
    increments: {
      bust: { step: 30, breaks: { 14: 45 } },
      waist: { step: 30, breaks: { 14: 45 } },
      hip: { step: 30, breaks: { 14: 45 } },
      'across-shoulder': 7,
      'neck-width': 3,
      'armhole-depth': { step: 4, breaks: { 14: 5 } },
      'front-neck-depth': 1.5,
      'back-waist-length': 4,
      'body-length': 8,
      bicep: { step: 10, breaks: { 14: 14 } },
      wrist: 3,
      'sleeve-length': 4,
    },
  }),
);

const base = twelvePieces();

function once() {
  const range = grade.gradePattern(base, SPEC);
  const truing = grade.trueRange(range);
  const chart = grade.sizeChart(range);
  return { range, truing, chart };
}

const { range, truing } = once();
const pieces = range.sizes[0].pattern.pieces.length;
const failures = grade.seamFailures(truing).length;
if (range.sizes.length !== 12 || pieces !== 12 || failures > 0) {
  throw new Error(
    `${range.sizes.length} sizes, ${pieces} pieces, ${failures} seams off: not what is measured`,
  );
}
for (let i = 0; i < WARM_UP; i++) once();
const times = Array.from({ length: RUNS }, () => {
  const start = performance.now();
  once();
  return performance.now() - start;
}).sort((a, b) => a - b);
const ms = (value) => `${value.toFixed(1)} ms`;
console.log(
  `grading: 12 sizes x 12 pieces graded, trued and measured: median ${ms(times[times.length >> 1])} ` +
    `(${ms(times[0])} to ${ms(times.at(-1))}, ${RUNS} runs, Node ${process.version})`,
);
