import { describe, expect, it, vi } from 'vitest';
import { consumption } from '../../src/lay/consumption.js';
import {
  cutSheets,
  purchaseCsv,
  purchases,
  reportHtml,
  reportJson,
  reportPdf,
  usesCsv,
  usesOf,
} from '../../src/report/index.js';
import type { ReportData } from '../../src/report/types.js';
import { DAY, sampleMarker } from '../exchange/sample.js';
import { hasTool, needing, run, withFile } from '../exchange/tools.js';
import { elementsOf, tablesOf } from './markup.js';
import { samplePlan } from './plan-sample.js';
import { sampleReport } from './sample.js';

// Fonts are shaped and outside programs started on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const pdftotext = hasTool('pdftotext');
const qpdf = hasTool('qpdf');

const textOfPdf = (bytes: Uint8Array): string =>
  withFile('report.pdf', bytes, (path) => run('pdftotext', ['-layout', path, '-']))
    // The program takes the narrow spaces of the small key of sizes for none.
    .replace(/(\d)x([A-Z0-9])/g, '$1 x $2');

function planned(over: Partial<ReportData> = {}): ReportData {
  const marker = sampleMarker();
  return sampleReport({
    markers: [marker],
    consumption: [consumption(marker)],
    plan: samplePlan(marker),
    ...over,
  });
}

const SAMPLES: readonly (readonly [string, () => ReportData])[] = [
  ['from markers', () => sampleReport()],
  ['from a plan', planned],
  ['in centimetres', () => planned({ unit: 'cm' })],
];

describe.each(SAMPLES)('a report %s', (_, make) => {
  const html = reportHtml(make());

  it('is well formed, its tables have a cell below every head, and its headings step down one at a time', () => {
    const elements = elementsOf(html);
    expect(elements.filter((e) => e.name === 'h1')).toHaveLength(1);
    for (const table of tablesOf(html)) {
      const [head = [], ...rows] = table;
      for (const row of rows) expect(row.length === head.length || row.length === 1).toBe(true);
    }
    const levels = elements.filter((e) => /^h\d$/.test(e.name)).map((e) => Number(e.name[1]));
    levels.slice(1).forEach((level, i) => {
      expect(level - levels[i]!).toBeLessThanOrEqual(1);
    });
    expect(elements.filter((e) => ['script', 'link', 'img', 'iframe', 'a'].includes(e.name))).toEqual([]);
  });

  it.skipIf(!pdftotext)(
    needing('says in its PDF every figure and word of its HTML', 'pdftotext', pdftotext),
    async () => {
      const body = elementsOf(html).find((e) => e.name === 'body')!.text;
      const drawn = elementsOf(html)
        .filter((e) => e.name === 'svg' && !e.path.includes('svg'))
        .map((e) => e.text)
        .join(' ');
      const words = (text: string) => {
        const counts = new Map<string, number>();
        for (const word of text.split(/\s+/)) if (word) counts.set(word, (counts.get(word) ?? 0) + 1);
        return counts;
      };
      const inPictures = words(drawn);
      const inPdf = words(textOfPdf(await reportPdf(make())));
      const missing = [...words(body)].filter(
        ([word, count]) => (inPdf.get(word) ?? 0) < count - (inPictures.get(word) ?? 0),
      );
      // What is dropped at most is a word that is broken in a narrow column.
      expect(missing.filter(([word]) => word.length < 24)).toEqual([]);
    },
  );

  it.skipIf(!qpdf)(needing('is a PDF without faults, the same bytes each time', 'qpdf', qpdf), async () => {
    const bytes = await reportPdf(make());
    const said = withFile('report.pdf', bytes, (path) => run('qpdf', ['--check', path]));
    expect(said).toContain('No syntax or stream encoding errors found');
    expect(Buffer.from(await reportPdf(make())).equals(Buffer.from(bytes))).toBe(true);
  });

  it('tells the same amounts as HTML, CSV and JSON', () => {
    const data = make();
    const json = reportJson(data);
    const rows = purchaseCsv(data)
      .trimEnd()
      .split('\r\n')
      .map((line) => line.split(','));
    const column = (name: string) => rows[0]!.indexOf(name);
    const text = elementsOf(html).find((e) => e.name === 'body')!.text;
    expect(json.buy).toHaveLength(rows.length - 1);
    json.buy.forEach((bought, i) => {
      const row = rows[i + 1]!;
      expect(Number(row[column('bought m')])).toBeCloseTo(bought.bought.length, 4);
      expect(Number(row[column('bought kg')])).toBeCloseTo(bought.bought.mass, 4);
      expect(Number(row[column('off the roll m')])).toBeCloseTo(bought.drawn.length, 4);
      expect(text).toContain(`${bought.bought.length.toFixed(1)} m`);
      expect(text).toContain(`${bought.drawn.length.toFixed(2)} m`);
      expect(text).toContain(`${bought.bought.cost!.toFixed(2)} ${bought.currency}`);
    });
    const uses = usesCsv(data).trimEnd().split('\r\n');
    expect(uses).toHaveLength(json.uses.length + 1);
    expect(uses[0]).toMatch(/,cost,currency$/);
    // Sizes from small to large in every fabric and colour, whatever lay they came first in.
    const sizes = data.range.sizes.map(({ size }) => size);
    const lines = uses.slice(1).map((line) => line.split(','));
    lines.slice(1).forEach((row, i) => {
      const before = lines[i]!;
      if (before[0] !== row[0] || before[1] !== row[1]) return;
      expect(sizes.indexOf(row[2]!)).toBeGreaterThan(sizes.indexOf(before[2]!));
    });
    const backwards = data.consumption.map((c) => ({ ...c, bySize: [...c.bySize].reverse() }));
    expect(backwards.some(({ bySize }) => bySize.length > 1)).toBe(true);
    const turned = usesCsv({ ...data, consumption: backwards })
      .trimEnd()
      .split('\r\n');
    expect(turned.map((line) => line.split(',').slice(0, 3))).toEqual(
      uses.map((line) => line.split(',').slice(0, 3)),
    );
    const printed = tablesOf(html).filter((t) => t[0]![0] === 'Size' && t[0]![1] === 'Garments');
    expect(printed.length).toBeGreaterThan(0);
    for (const [, ...sizeRows] of printed) {
      const order = sizeRows.map((row) => sizes.indexOf(row[0]!)).filter((place) => place >= 0);
      expect(order).toEqual([...order].sort((a, b) => a - b));
    }
    expect(lines.every((row) => row.at(-1) === 'EUR')).toBe(true);
  });

  it('shares the cloth of a fabric and colour out so that its sizes add up in print', () => {
    const tables = tablesOf(html).filter((t) => t[0]![1] === 'Garments' && t[0]![2] === 'Length');
    expect(tables.length).toBeGreaterThan(0);
    for (const [, ...rows] of tables) {
      const total = rows[rows.length - 1]!;
      for (const column of [1, 2, 3, 4, 5]) {
        const figures = rows.map((row) => Math.round(Number.parseFloat(row[column]!) * 100));
        const sizes = figures.slice(0, -1).reduce((a, b) => a + b, 0);
        expect(sizes).toBe(figures[figures.length - 1]);
        expect(total[0]).toBe('All sizes');
      }
    }
  });
});

describe('sizes that share a metre in thirds', () => {
  it('add up in print to the metre', () => {
    const marker = sampleMarker();
    const used = consumption(marker);
    const third = { garments: 1, length: 1 / 3, area: 1 / 3, mass: 1 / 3, cost: 1 / 3 };
    const bySize = ['S', 'M', 'L'].map((size) => ({ size, ...third }));
    const data = sampleReport({
      markers: [marker],
      consumption: [{ ...used, bySize }],
      plies: {},
      unit: 'cm',
    });
    const rows = tablesOf(reportHtml(data)).find((t) => t[0]![1] === 'Garments' && t[0]![2] === 'Length')!;
    expect(rows.slice(1).map((row) => row.slice(2, 6))).toEqual([
      ['0.34 m', '0.34 m²', '0.34 kg', '0.34 EUR'],
      ['0.33 m', '0.33 m²', '0.33 kg', '0.33 EUR'],
      ['0.33 m', '0.33 m²', '0.33 kg', '0.33 EUR'],
      ['1.00 m', '1.00 m²', '1.00 kg', '1.00 EUR'],
    ]);
  });
});

describe('a report from a plan', () => {
  const text = elementsOf(reportHtml(planned()))
    .find((e) => e.name === 'body')!
    .text.replace(/\s+/g, ' ');

  it('buys and lays by colour', () => {
    const data = planned();
    const bought = purchases(data);
    expect(bought.map((p) => [p.colour, p.plies, p.garments])).toEqual([
      ['rust', 12, 36],
      ['slate', 5, 15],
    ]);
    const drawn = data.plan!.fabrics[0]!.cloth.metres;
    expect(bought.reduce((sum, p) => sum + p.drawn.length, 0)).toBeCloseTo(drawn, 9);
    expect(usesOf(data).reduce((sum, u) => sum + u.garments, 0)).toBe(data.plan!.garments);
    expect(reportJson(data).lays.map((l) => l.total)).toEqual([12, 5]);
  });

  it('shows the order with what is cut instead, and the lays', () => {
    expect(text).toContain('Order, garments by size and colour');
    expect(text).toContain('23 cut 24');
    expect(text).toContain('Plies rust');
  });

  it('shows the simpler ways beside it, and calls the bound what it is', () => {
    expect(text).toContain('One size per marker');
    expect(text).toContain('lengths reckoned, 2 garments too many');
    expect(text).toContain('the table is too short');
    expect(text).toMatch(/is the bound of the priced model over the generated columns/);
    expect(text).toContain('It is no bound of the real problem.');
    expect(text).not.toMatch(/optim/i);
  });

  it('puts the estimate made before beside what is drawn off the rolls', () => {
    const estimates = [
      {
        fabric: 'terry',
        garments: 50,
        marker: { garments: 3, sizes: 2, length: 2300 },
        efficiency: 0.8,
        cloth: { metres: 41.5, squareMetres: 68.5, kilograms: 19.17 },
        metresPerGarment: 0.83,
        cost: 477,
        currency: 'EUR',
        band: 0.07,
        nests: 70,
        rectangles: { kilograms: 21.5, metres: 46.5, wastage: 10 },
      },
    ];
    const data = planned({ estimates });
    const rows = tablesOf(reportHtml(data)).find((t) => t[0]!.includes('Estimate'))!;
    const drawn = purchases(data).reduce((sum, p) => sum + p.drawn.length, 0);
    expect(rows[1]!.map((cell) => cell.replace(/\s+/g, ' '))).toEqual([
      'terry',
      '41.50 m (45.38 yd) ± 7.0 %',
      '19.17 kg',
      '21.50 kg with 10 % waste',
      expect.stringContaining(`${drawn.toFixed(2)} m`),
      expect.stringMatching(/kg$/),
    ]);
    expect(reportJson(data).estimates).toEqual(estimates);
  });

  it('says where lengths were only reckoned', () => {
    const plan = samplePlan(sampleMarker());
    const [fabric] = plan.fabrics;
    const { marker: _, ...bare } = fabric!.markers[0]!;
    const modelled = {
      ...plan,
      fabrics: [
        {
          ...fabric!,
          source: 'modelled' as const,
          markers: [{ ...bare, source: 'modelled' as const, band: 0.06 }],
        },
      ],
    };
    const said = reportHtml(planned({ plan: modelled, markers: [], fabrics: [fabric!.fabric] }));
    expect(said).toContain('are reckoned from areas and were not nested (up to ± 6.0 %)');
  });
});

describe('units and cautions of a report', () => {
  it('gives yards beside metres to who works in inches, and metres alone to others', () => {
    const yards = /\d yd/;
    expect(reportHtml(planned())).toMatch(yards);
    // The facts of a marker's drawing always name both.
    const metric = tablesOf(reportHtml(planned({ unit: 'cm' }))).flat(2);
    expect(metric.filter((cell) => yards.test(cell))).toEqual([]);
  });

  it('warns of cords and the neck where the sizes are children’s, and defers to local rules', () => {
    const child = reportHtml(planned({ childSizes: true }));
    expect(child).toContain('EN 14682:2014');
    expect(child).toContain('A neck opening must pass the head without force');
    expect(child).toContain('The rules of the place of sale hold');
    expect(reportHtml(planned())).not.toContain('A neck opening must pass the head');
  });

  it('shows the widths that were compared with the spread of their runs', () => {
    const run = (seed: number, length: number) => ({
      seed,
      length,
      area: length * 1.65,
      mass: length * 0.46,
      cost: length * 11,
      garments: 16,
      efficiency: 0.8,
      rounds: 4,
    });
    const widths = [
      {
        fabric: 'terry',
        currency: 'EUR',
        cells: [
          { width: 1650, mode: 'single' as const, runs: [run(1, 14), run(2, 14.4)] },
          { width: 1850, mode: 'single' as const, runs: [run(1, 14.2), run(2, 14.9)] },
          { width: 600, mode: 'single' as const, runs: [], fault: 'a piece is wider than the fabric' },
        ],
      },
    ];
    const text = elementsOf(reportHtml(planned({ widths }))).find((e) => e.name === 'body')!.text;
    expect(text).toContain('Widths compared');
    expect(text).toContain('14.00 to 14.40 m');
    expect(text).toContain('a piece is wider than the fabric');
    expect(text).toMatch(/Least cost a garment: .*1650 mm.*The runs do not tell it from .*1850 mm/);
  });

  it('counts whole rolls, with what each holds and leaves', () => {
    const [marker] = sampleReport().markers;
    const withRolls = { ...marker!, fabric: { ...marker!.fabric, rollLength: 30_000 } };
    const data = sampleReport({
      markers: [withRolls],
      consumption: [consumption(withRolls)],
      plies: { main: 16 },
    });
    const [bought] = purchases(data);
    const text = elementsOf(reportHtml(data)).find((e) => e.name === 'body')!.text;
    expect(bought!.rolls!.rolls).toBeGreaterThan(1);
    expect(text).toContain(`${bought!.rolls!.rolls} rolls`);
    expect(text).toContain('Roll by roll');
    expect(text).toContain(`${bought!.rolls!.use[0]!.plies[0]!.plies} x main`);
  });
});

describe('cut sheets', () => {
  const marker = sampleMarker();
  const input = {
    style: 'Harbour crew',
    label: 'Fennel & Tarn',
    unit: 'in' as const,
    date: DAY,
    lays: [
      {
        number: 3,
        marker,
        plies: [
          { colour: 'rust', plies: 7 },
          { colour: 'slate', plies: 5 },
        ],
      },
    ],
    notes: ['Keep the <offcuts>.'],
  };

  it('are a PDF and an HTML file for every lay, the same bytes each time', async () => {
    const files = await cutSheets(input);
    expect(files.map((f) => f.name)).toEqual(['cut-sheet-3-main.pdf', 'cut-sheet-3-main.html']);
    const again = await cutSheets(input);
    files.forEach((file, i) => {
      expect(Buffer.from(again[i]!.content).equals(Buffer.from(file.content))).toBe(true);
    });
  });

  it('count plies, garments, bundles and pieces alike', async () => {
    const html = String((await cutSheets(input))[1]!.content);
    const text = elementsOf(html).find((e) => e.name === 'body')!.text;
    expect(text).toContain('3 a ply, 36 in all');
    expect(text).toContain('harbour-crew-20250314-3');
    expect(text).toContain('Keep the <offcuts>.');
    expect(text).toContain('4 % along, 3 % across: cut it unwashed');
    const tables = tablesOf(html);
    const plies = tables.find((t) => t[0]![1] === 'Plies from below')!;
    expect(plies.slice(1).map((row) => [row[0], row[1], row[2], row[6]])).toEqual([
      ['rust', '1 to 7', '7', '21'],
      ['slate', '8 to 12', '5', '15'],
      ['All', '', '12', '36'],
    ]);
    const bundles = tables.find((t) => t[0]![0] === 'Bundle')!.slice(1);
    expect(bundles.map((row) => row[0])).toEqual(['S-1', 'M-1', 'M-2']);
    expect(bundles.reduce((sum, row) => sum + Number(row[3]), 0)).toBe(12 * marker.pieces.length);
    const pieces = tables.find((t) => t[0]![0] === 'Piece')!;
    expect(pieces[0]).toEqual(['Piece', 'One garment', 'S', 'M', 'All']);
    expect(pieces[pieces.length - 1]).toEqual(['All', '', '48', '96', '144']);
  });

  it('count both layers of a tube, and a half on the fold as one piece', async () => {
    const tube = sampleReport().markers[1]!;
    const files = await cutSheets({ ...input, lays: [{ number: 1, marker: tube, plies: [{ plies: 4 }] }] });
    const pieces = tablesOf(String(files[1]!.content)).find((t) => t[0]![0] === 'Piece')!;
    expect(pieces.slice(1).map((row) => [row[0], row[2]])).toEqual([
      ['front', '4'],
      ['sleeve', '8'],
      ['All', '12'],
    ]);
  });

  it('tell how far pieces lie off the grain and the span for shade, where the lay has them', async () => {
    const first = marker.pieces[0]!;
    const off = {
      ...marker,
      options: { ...marker.options, tilt: 2, shadeSpan: 2000 },
      pieces: [{ ...first, rotation: first.rotation + 1.4 }, ...marker.pieces.slice(1)],
    };
    const sheet = async (laid: typeof marker) =>
      String((await cutSheets({ ...input, lays: [{ ...input.lays[0]!, marker: laid }] }))[1]!.content);
    expect(await sheet(off)).toMatch(
      /Off the grain<\/dt><dd>up to 1\.4 degrees[\s\S]*for shade<\/dt><dd>2\.00 m/,
    );
    expect(await sheet(marker)).not.toMatch(/Off the grain|for shade/);
  });

  it('stamp an odd number of plies face to face, and refuse a lay without plies', async () => {
    const pair = {
      ...marker,
      spread: { ...marker.spread, mode: 'face-to-face' as const, plies: 'even' as const },
    };
    const files = await cutSheets({ ...input, lays: [{ ...input.lays[0]!, marker: pair }] });
    expect(String(files[1]!.content)).toContain('ODD PLIES: 12 plies face to face, 7 rust, 5 slate');
    await expect(cutSheets({ ...input, lays: [{ number: 1, marker, plies: [] }] })).rejects.toThrow(
      "lay 1 of marker 'main' has no plies",
    );
  });

  it.skipIf(!pdftotext)(needing('say the same in their PDF', 'pdftotext', pdftotext), async () => {
    const [pdf, html] = await cutSheets({ ...input, childSizes: true });
    const words = (text: string) => new Set(text.split(/\s+/));
    const inPdf = words(textOfPdf(pdf!.content as Uint8Array));
    const page = elementsOf(String(html!.content));
    const inHtml = page
      .filter((e) => ['td', 'th', 'dd', 'dt', 'li', 'p'].includes(e.name))
      .map((e) => e.text);
    expect([...words(inHtml.join(' '))].filter((word) => !inPdf.has(word))).toEqual([]);
    expect(inPdf.has('14682:2014')).toBe(true);
  });
});
