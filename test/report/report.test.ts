import { describe, expect, it } from 'vitest';
import { cloth, difference, mass } from '../../src/report/format.js';
import { reportHtml, reportJson } from '../../src/report/index.js';
import { purchases } from '../../src/report/laid.js';
import { STYLE, sampleMarker } from '../exchange/sample.js';
import { hasTool, needing, run, withFile } from '../exchange/tools.js';
import { sampleReport } from './sample.js';

const textOf = (html: string) =>
  html
    .replace(/<style>.*?<\/style>/s, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('the report as one HTML file', () => {
  const html = reportHtml(sampleReport());

  it('asks for nothing from the network and runs nothing', () => {
    expect(html).not.toMatch(/<script|<link|<img|<iframe|\bsrc=|\bhref=|url\(|@import/i);
    expect([...html.matchAll(/https?:\/\/[^"'\s<]+/g)].map((m) => m[0])).toEqual(
      expect.arrayContaining(['http://www.w3.org/2000/svg']),
    );
    expect(new Set(html.match(/https?:\/\/[^"'\s<]+/g)).size).toBe(1);
  });

  it('shows the pictures before the tables of figures', () => {
    const order = [
      'Markers',
      'What to buy',
      'How to lay',
      'What to cut',
      'Fabric used',
      'Pattern',
      'Size chart',
      'Truing',
      'Fit',
      'Files',
      'In the cutting room',
    ];
    const at = order.map((title) => html.indexOf(`<h2>${title}</h2>`));
    expect(at.every((i) => i > 0)).toBe(true);
    expect([...at].sort((a, b) => a - b)).toEqual(at);
    // Two markers, the base size, and one piece in all sizes.
    expect(html.match(/<svg xmlns/g)).toHaveLength(4);
  });

  it('gives cloth in metres and yards, and lengths in the unit of the reader', () => {
    const text = textOf(html);
    expect(text).toMatch(/\d+\.\d\d m \(\d+\.\d\d yd\)/);
    expect(text).toContain('lengths in inches');
    // 1040.04 mm in sixteenths.
    expect(text).toContain('40 15/16');
    expect(textOf(reportHtml(sampleReport({ unit: 'cm' })))).toContain('104');
  });

  it('names what is out of tolerance and what to do about it', () => {
    const text = textOf(html);
    expect(text).toContain('Outside tolerance: body length XL');
    expect(text).toContain('Seams that do not match: shoulder 3XL');
    expect(text).toContain('first side too long by 3.2 mm in 3XL');
    expect(text).toContain('dip of 3.6° in 3XL');
    expect(text).toContain('widen the neckline by 1/2 in');
  });

  it('puts the worst seam first', () => {
    const truing = html.slice(html.indexOf('Seams: difference'), html.indexOf('Joins: degrees'));
    const names = [...truing.matchAll(/<th scope="row">([^<]*)</g)].map((m) => m[1]);
    expect(names).toEqual(['shoulder', 'side', 'cap']);
  });

  it('says so where all is well', () => {
    const good = sampleReport();
    const text = textOf(
      reportHtml({ ...good, truing: good.truing.slice(0, 3), chart: good.chart.slice(0, 1), fit: [] }),
    );
    expect(text).toContain('All 3 seams match in every size.');
    expect(text).toContain('All 2 joins run on smoothly.');
    expect(text).toContain('Every measure is within its tolerance.');
    expect(text).not.toContain('✗');
  });

  it('lists which numbers make a garment', () => {
    expect(textOf(html)).toContain('M-2 5 front, 6 sleeve, 7 sleeve (mirrored), 8 neckband');
  });

  it('shows a stamp and an unverified marker above the title', () => {
    const marker = sampleMarker({ over: { stamp: 'SEAMS <OFF>', verified: false } });
    const consumption = sampleReport().consumption.slice(0, 1);
    const stamped = reportHtml(sampleReport({ markers: [marker], consumption }));
    const title = stamped.indexOf('<h1>');
    expect(stamped.indexOf('<p class="stamp">SEAMS &lt;OFF&gt;</p>')).toBeGreaterThan(0);
    expect(stamped.indexOf('<p class="stamp">SEAMS &lt;OFF&gt;</p>')).toBeLessThan(title);
    expect(stamped.indexOf('<p class="stamp">NOT VERIFIED')).toBeLessThan(title);
    expect(html).not.toContain('class="stamp"');
  });

  it('escapes every name that comes from outside', () => {
    const evil = '<script>alert(1)</script>"\'&';
    const data = sampleReport();
    const poisoned = reportHtml({
      ...data,
      style: evil,
      warnings: [evil],
      files: [{ name: evil, meaning: evil }],
      fit: [{ size: evil, check: evil, measured: 1, wanted: evil, within: false, advice: evil }],
      chart: data.chart.map((row) => ({ ...row, measure: evil })),
      truing: data.truing.map((t) => ({
        ...t,
        size: evil,
        seams: t.seams.map((s) => ({ ...s, seam: evil })),
      })),
      markers: data.markers.map((m) => ({
        ...m,
        name: evil,
        stamp: evil,
        fabric: { ...m.fabric, name: evil, description: evil },
        pieces: m.pieces.map((p) => ({ ...p, garment: evil, piece: { ...p.piece, name: evil, size: evil } })),
      })),
      pieces: data.pieces.map((p) => ({ ...p, name: evil, fabric: evil })),
      consumption: data.consumption.map((c) => ({ ...c, marker: evil, fabric: evil, currency: evil })),
    });
    expect(poisoned).not.toContain('<script');
    expect(poisoned).toContain('&lt;script&gt;');
  });

  it('is the same each time, and stands without markers, pieces or fit', () => {
    expect(reportHtml(sampleReport())).toBe(html);
    const bare = textOf(
      reportHtml(
        sampleReport({ markers: [], consumption: [], pieces: [], fit: [], files: [], warnings: [] }),
      ),
    );
    expect(bare).toContain('No marker was laid.');
    expect(bare).not.toContain('undefined');
  });

  it('names its sources on safety and claims no training', () => {
    const text = textOf(html);
    expect(text).toContain('hse.gov.uk/textiles/machinery/cutting.htm');
    expect(text).toContain('trained staff come first');
    expect(text).toContain('not assessed');
  });

  const chromium = hasTool('chromium');
  it.skipIf(!chromium)(
    needing('opens in Chromium with every table and drawing in place', 'chromium', chromium),
    () => {
      const dom = withFile('report.html', html, (path) =>
        run('chromium', ['--headless', '--no-sandbox', '--disable-gpu', '--dump-dom', `file://${path}`]),
      );
      expect(dom.match(/<svg xmlns/g)).toHaveLength(4);
      expect(dom.match(/<table/g)).toHaveLength(html.match(/<table/g)!.length);
      expect(dom.match(/<td/g)).toHaveLength(html.match(/<td/g)!.length);
      expect(dom.match(/<text /g)).toHaveLength(html.match(/<text /g)!.length);
    },
    60_000,
  );
});

describe('what to buy', () => {
  it('is plies x one ply + spare, summed over the markers of a fabric and rounded up', () => {
    const { consumption, markers } = sampleReport();
    const [terry, tube] = consumption;
    const data = {
      markers,
      consumption: [terry!, { ...tube!, fabric: terry!.fabric }],
      plies: { main: 16, tube: 3 },
    };
    const [bought, ...rest] = purchases(data);
    expect(rest).toEqual([]);
    const drawn = 16 * terry!.rollLength + 3 * tube!.rollLength;
    expect(bought!.drawn.length).toBeCloseTo(drawn, 9);
    expect(bought!.needed.length).toBeCloseTo(drawn * 1.03, 9);
    expect(bought!.needed.mass).toBeCloseTo((16 * terry!.mass + 3 * tube!.mass) * 1.03, 9);
    expect(bought!.needed.cost).toBeCloseTo((16 * terry!.cost! + 3 * tube!.cost!) * 1.03, 9);
    expect(bought!.bought.length).toBeCloseTo(Math.ceil(drawn * 10.3) / 10, 9);
    expect([bought!.plies, bought!.garments]).toEqual([19, 51]);
  });

  it('counts one ply where none is given and has no cost without a price', () => {
    const { consumption, markers } = sampleReport();
    const { cost: _, ...unpriced } = consumption[0]!;
    const [bought] = purchases({ markers, consumption: [unpriced] });
    expect(bought!.drawn.length).toBe(unpriced.rollLength);
    expect(bought!.bought).not.toHaveProperty('cost');
  });

  it('names a fabric that nothing is known of', () => {
    expect(() => purchases({ markers: [], consumption: sampleReport().consumption })).toThrow(
      "nothing is known of the fabric 'terry' to buy",
    );
  });
});

describe('figures in words', () => {
  it('turns metres into yards of 0.9144 m', () => {
    // 2 kg of 200 g/m² at 1.5 m is 6.667 m = 7.291 yd; a published table prints the metres as yards.
    expect(cloth(2 / (0.2 * 1.5), 'in')).toBe('6.67 m (7.29 yd)');
    expect(cloth(0.9144, 'in')).toBe('0.91 m (1.00 yd)');
    expect(cloth(0.9144, 'cm')).toBe('0.91 m');
  });

  it('gives small masses in grams and differences with their sign', () => {
    expect([mass(0.2223), mass(27.432)]).toEqual(['222 g', '27.43 kg']);
    expect([difference(-0.26), difference(0.04), difference(3.2)]).toEqual(['−0.3', '0', '+3.2']);
  });
});

describe('the report as data', () => {
  it('survives JSON unchanged and carries every placement', () => {
    const json = reportJson(sampleReport());
    expect(JSON.parse(JSON.stringify(json))).toEqual(json);
    expect(json).toMatchObject({
      style: STYLE,
      date: '2025-03-14',
      base: 'M',
    });
    expect(json.sizes).toEqual(['XS', 'S', 'M', 'L', 'XL', '2XL', '3XL']);
    expect(json.markers[0]!.placements).toHaveLength(12);
    expect(json.markers[0]!.placements[2]).toMatchObject({
      number: 3,
      piece: 'sleeve',
      mirrored: true,
      garment: 'M-1',
    });
    expect(json.buy.map((b) => b.fabric)).toEqual(['terry', 'tube']);
    expect(json.lays.map((l) => [l.marker, l.total])).toEqual([
      ['main', 16],
      ['tube', 3],
    ]);
    expect(json.pieces.map((p) => p.name)).toEqual(['front', 'sleeve', 'neckband']);
  });
});
