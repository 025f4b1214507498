// Nests that the efficiency model of cut plans learns from: markers of the demo styles over sizes, garments and
// widths, each with a small budget of rounds. Run after a build:
//   node test/bench/efficiency.mjs [--rounds 12] [--only GROUP] [--out presets/nests.json]
// Nests that the file already holds with the same budget are kept, so that a run can be stopped and taken up again.
// --check prints how well the model tells nests of a style it has not seen, and the width of its bands.
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { loadStyle } from '../../dist/src/cli/load.js';
import { layMarker } from '../../dist/src/lay/marker.js';
import { contentOf } from '../../dist/src/plan/agree.js';
import { efficiencyModel } from '../../dist/src/plan/efficiency.js';
import { allPieces } from '../../dist/src/style/index.js';

const root = resolve(import.meta.dirname, '../..');
const { values } = parseArgs({
  options: {
    rounds: { type: 'string', default: '12' },
    only: { type: 'string' },
    out: { type: 'string', default: join(root, 'presets/nests.json') },
    check: { type: 'boolean', default: false },
  },
});
const rounds = Number(values.rounds);
const file = existsSync(values.out) ? JSON.parse(readFileSync(values.out, 'utf8')) : { nests: [] };

if (values.check) check(file.nests);
else await nestAll();

async function nestAll() {
  const nests = [...file.nests];
  for (const name of ['harbour-crew', 'skerry-tee', 'lantern-turtleneck', 'puffin-crew']) {
    const { style, developed } = await loadStyle(join(root, `fixtures/demo/${name}.yaml`));
    const pieces = allPieces(developed.finished);
    const sizes = style.grade.sizes;
    const [small, middle, large] = [sizes[0], sizes[Math.floor(sizes.length / 2)], sizes.at(-1)];
    const middles = sizes.slice(1, 4);
    const ratios = [
      { [middle]: 1 },
      { [middle]: 2 },
      { [small]: 1, [large]: 1 },
      { [middle]: 4 },
      Object.fromEntries(middles.map((size, i) => [size, i === 1 ? 2 : 1])),
      Object.fromEntries(sizes.map((size) => [size, 1])),
      Object.fromEntries(sizes.map((size) => [size, size === middle ? 2 : 1])),
    ];
    for (const fabric of style.fabrics.values()) {
      if (!pieces.some((piece) => piece.fabric === fabric.name)) continue;
      const group = `${style.name} / ${fabric.name}`;
      if (values.only !== undefined && values.only !== group) continue;
      const jobs = [
        ...ratios.map((ratio) => ({ ratio, fabric })),
        ...[ratios[1], ratios[4], ratios[5]].map((ratio) => ({ ratio, fabric: wider(fabric) })),
      ];
      for (const { ratio, fabric } of jobs) {
        const key = JSON.stringify(ratio);
        const known = (n) =>
          n.group === group &&
          JSON.stringify(n.ratio) === key &&
          n.rounds === rounds &&
          n.usable === fabric.usableWidth;
        if (nests.some(known)) continue;
        const began = performance.now();
        const marker = await layMarker(
          { name: 'bench', style: style.name, pieces, fabric, ratio, options: style.lay.options },
          { iterations: rounds, seed: 1, threads: 1 },
        );
        const { area, pieces: placed, length } = contentOf(marker);
        const counts = Object.values(ratio);
        const record = {
          group,
          ratio,
          garments: counts.reduce((a, b) => a + b, 0),
          sizes: counts.length,
          pieces: placed,
          area: Math.round(area),
          usable: fabric.usableWidth,
          width: fabric.usableWidth - 2 * marker.options.sideMargin,
          longest: Math.round(Math.max(...marker.pieces.map((p) => extent(p.outline)))),
          length: Number(length.toFixed(1)),
          rounds,
          seconds: Number(((performance.now() - began) / 1000).toFixed(1)),
        };
        nests.push(record);
        console.log(
          group,
          fabric.usableWidth,
          key,
          `${record.seconds} s, ${((100 * area) / (record.width * length)).toFixed(1)} %`,
        );
        write(nests);
      }
    }
  }
}

function extent(outline) {
  const xs = outline.map(([x]) => x);
  return Math.max(...xs) - Math.min(...xs);
}

/** The same cloth, an eighth wider: how much the width matters is to be learned too. */
function wider({ fullWidth: _, ...fabric }) {
  return { ...fabric, usableWidth: Math.round(fabric.usableWidth * 1.125) };
}

function write(nests) {
  const lines = nests.map((n) => `    ${JSON.stringify(n)}`).join(',\n');
  const head = {
    name: 'nests',
    title: 'Markers laid before, for the efficiency model of cut plans',
    source:
      'our own nests of the demo styles with small budgets, by test/bench/efficiency.mjs; area mm2, width and length mm',
  };
  const text = JSON.stringify(head, null, 2).replace(/\n}$/, `,\n  "nests": [\n${lines}\n  ]\n}\n`);
  writeFileSync(values.out, text);
}

/** Leaves out one style at a time, tells its nests from the others, and counts how many lie in the band. */
function check(nests) {
  const styles = [...new Set(nests.map((n) => n.group.split(' / ')[0]))];
  let inside = 0;
  for (const style of styles) {
    const own = nests.filter((n) => n.group.startsWith(style));
    const model = efficiencyModel(nests.filter((n) => !own.includes(n)));
    for (const nest of own) {
      const { length, band } = model.predict(nest, nest.group);
      const miss = nest.length / length - 1;
      if (Math.abs(miss) <= band) inside++;
      console.log(
        nest.group.padEnd(28),
        `${nest.garments} garments, ${nest.sizes} sizes: ${(100 * miss).toFixed(1)} %, band ${(100 * band).toFixed(1)} %`,
      );
    }
  }
  const all = efficiencyModel(nests);
  console.log(`${inside} of ${nests.length} in the band of 90 %; spreads`, all.noise);
}
