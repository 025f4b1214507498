// How long the files of a large marker take: 300 pieces of the demo style in plain rows, nothing nested.
// Build first, then run
//   npm run build && node test/bench/export.mjs [runs] [pieces]
// Prints milliseconds by kind of file: the first run in a fresh process, and the median of all runs; by the clock,
// and of the processor, which a busy machine does not lengthen.
import { loadStyle } from '../../dist/src/cli/load.js';
import * as exchange from '../../dist/src/exchange/index.js';
import { area, bounds } from '../../dist/src/geometry/polygon.js';
import * as lay from '../../dist/src/lay/index.js';
import * as style from '../../dist/src/style/index.js';

const RUNS = Math.max(1, Number(process.argv[2] ?? 5));
const PIECES = Math.max(1, Number(process.argv[3] ?? 300));
const GAP = 2;

/** Pieces of every size in columns across the cloth, as many as asked for. */
function rows({ style: demo, developed }, count) {
  const fabric = demo.fabrics.get('self');
  const own = style.allPieces(developed.finished).filter((p) => p.fabric === 'self');
  const hands = own.flatMap((piece) => [
    ...Array.from({ length: piece.counts.asDrawn }, () => ({ piece, mirrored: false })),
    ...Array.from({ length: piece.counts.mirrored }, () => ({ piece, mirrored: true })),
  ]);
  const pieces = [];
  const ratio = {};
  let [x, y, depth] = [0, 0, 0];
  for (let i = 0; i < count; i++) {
    const { piece, mirrored } = hands[i % hands.length];
    const round = 1 + Math.floor(i / hands.length);
    const loose = bounds(piece.cut.map(lay.toMarker({ mirrored, rotation: 0, at: [0, 0] })));
    if (y + loose.maxY - loose.minY > fabric.usableWidth) [x, y, depth] = [x + depth + GAP, 0, 0];
    const at = [x - loose.minX, y - loose.minY];
    const turned = piece.cut.map(lay.toMarker({ mirrored, rotation: 0, at }));
    const outline = mirrored ? turned.reverse() : turned;
    ratio[piece.size] = round;
    pieces.push({
      piece,
      garment: `${piece.size}-${round}`,
      number: i + 1,
      mirrored,
      rotation: 0,
      at,
      outline,
    });
    y += loose.maxY - loose.minY + GAP;
    depth = Math.max(depth, loose.maxX - loose.minX);
  }
  const length = x + depth;
  const inside = pieces.reduce((sum, p) => sum + area(p.outline), 0);
  return {
    name: `rows-${count}`,
    style: demo.name,
    fabric,
    options: { gap: GAP, sideMargin: 0, endMargin: 0, endAllowance: 20 },
    ratio,
    sizes: Object.keys(ratio),
    width: fabric.usableWidth,
    length,
    pieces,
    spread: lay.spreadOf(fabric),
    layers: 1,
    spare: [],
    efficiency: inside / (length * fabric.usableWidth),
    search: { seconds: 0, seed: 1, threads: 1, rounds: 0 },
    verified: true,
  };
}

const file = new URL('../../fixtures/demo/harbour-crew.yaml', import.meta.url).pathname;
const marker = rows(await loadStyle(file), PIECES);
const vertices = marker.pieces.reduce((sum, p) => sum + p.outline.length, 0);
console.log(
  `${marker.pieces.length} pieces, ${vertices} vertices, ${(marker.length / 1000).toFixed(1)} m x ${(marker.width / 1000).toFixed(2)} m`,
);

const date = new Date('2026-03-31T00:00:00Z');
const KINDS = {
  dxf: () => exchange.markerDxf(marker),
  pdf: () => exchange.markerPdf(marker, { units: 'in', date }),
  overview: () => exchange.overviewPdf(marker, { units: 'in', date }),
  svg: () => exchange.markerSvg(marker),
  csv: () => exchange.placementsCsv(marker) + exchange.pieceListCsv([marker]),
  'cut lines': () => exchange.cutLinesCsv([exchange.checkCutLines(marker)]),
};

const kinds = Object.keys(KINDS);
const wall = Object.fromEntries(kinds.map((kind) => [kind, []]));
const cpu = Object.fromEntries(kinds.map((kind) => [kind, []]));
const sizes = {};
for (let run = 0; run < RUNS; run++) {
  for (const [kind, write] of Object.entries(KINDS)) {
    const [from, used] = [performance.now(), process.cpuUsage()];
    const written = await write();
    const { user, system } = process.cpuUsage(used);
    wall[kind].push(performance.now() - from);
    cpu[kind].push((user + system) / 1000);
    sizes[kind] = written.length;
  }
}
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const sum = (table, pick) => Object.values(table).reduce((total, list) => total + pick(list), 0);
const show = (name, first, usual, firstCpu, usualCpu, note) => {
  const [a, b, c, d] = [first, usual, firstCpu, usualCpu].map((ms) => ms.toFixed(0).padStart(5));
  console.log(`${name.padEnd(10)} first ${a} ms (cpu ${c}), median ${b} ms (cpu ${d})${note}`);
};
for (const kind of kinds) {
  const [w, c] = [wall[kind], cpu[kind]];
  show(kind, w[0], median(w), c[0], median(c), `, ${sizes[kind]} long`);
}
const head = (list) => list[0];
show('together', sum(wall, head), sum(wall, median), sum(cpu, head), sum(cpu, median), '');
