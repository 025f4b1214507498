import { unzipSync } from 'fflate';
import { describe, expect, it, vi } from 'vitest';
import { packFiles, servicePack, zipFiles } from '../../src/exchange/pack.js';
import { DAY, sampleMarker, TERRY, tubeMarker } from './sample.js';
import { hasPython, needing, PYTHON, run, withFile } from './tools.js';

// Starting Python takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const OPTIONS = { units: 'in', date: DAY } as const;
/** A fabric whose price and weight would show if they were let out. */
const PRICED = { ...TERRY, pricePerMetre: 77.31, pricePerKilogram: 66.13, gramsPerSquareMetre: 283.7 };
const MARKERS = [sampleMarker({ over: { fabric: PRICED } }), tubeMarker()];
const names = (files: readonly { readonly name: string }[]) => files.map((f) => f.name).sort();

describe('a service pack', () => {
  it('holds a drawing and an overview for each marker, the lists and a note, and what was added', async () => {
    const sheet = { name: 'cut-sheet-1-main.pdf', content: new Uint8Array([37, 80]) };
    expect(names(await packFiles(MARKERS, { ...OPTIONS, also: [sheet] }))).toEqual([
      'READ-ME.txt',
      'cut-lines.csv',
      'cut-sheet-1-main.pdf',
      'marker-main-overview.pdf',
      'marker-main.dxf',
      'marker-tube-overview.pdf',
      'marker-tube.dxf',
      'piece-list.csv',
    ]);
  });

  it('tells nothing private of the style: no price, cost, weight, measurement, alteration or seam', async () => {
    const entries = unzipSync(await servicePack(MARKERS, OPTIONS));
    const decoder = new TextDecoder();
    for (const [name, bytes] of Object.entries(entries)) {
      const text = name.endsWith('.pdf')
        ? withFile('p.pdf', bytes, (path) => run('pdftotext', [path, '-']))
        : decoder.decode(bytes);
      expect(text.length).toBeGreaterThan(50);
      for (const secret of [
        '77.31',
        '66.13',
        '283.7',
        'EUR',
        /\bprice/i,
        /\bcosts?\b/i,
        /increment/i,
        /\bchest\b/i,
        /\bslash\b/i,
        /\bseam:/i,
        /truing/i,
      ]) {
        expect(text, name).not.toMatch(secret);
      }
    }
  });

  it('tells the cutter scale, units, width, plies, cut length, layers and cautions', async () => {
    const entries = unzipSync(await servicePack(MARKERS, { ...OPTIONS, plies: { main: 9, tube: 4 } }));
    const note = new TextDecoder().decode(entries['READ-ME.txt']).replace(/\s+/g, ' ');
    for (const words of [
      'Scale 1 : 1. Millimetres',
      'Usable width 64 15/16 in (1650 mm)',
      'Plies: 9 ',
      'Plies: 4, 8 thicknesses of cloth',
      'Cut length of one ply: 19.920 m',
      'CUT The line to cut, once for every placed piece',
      'Gap between pieces 2 mm',
      'trained staff come first',
    ]) {
      expect(note).toContain(words);
    }
  });

  it('carries a stamp in the note, in the tables and in every drawing', async () => {
    const marker = sampleMarker({ over: { stamp: 'SEAMS DO NOT MATCH' } });
    for (const { name, content } of await packFiles([marker], OPTIONS)) {
      const text =
        typeof content === 'string'
          ? content
          : withFile('p.pdf', content, (path) => run('pdftotext', [path, '-']));
      expect(text, name).toContain('SEAMS DO NOT MATCH');
    }
  });

  it('is refused without a marker, and when two markers would be one file', async () => {
    await expect(packFiles([], OPTIONS)).rejects.toThrow('there is no marker to pack');
    const twins = [sampleMarker(), sampleMarker({ over: { name: 'Main' } })];
    await expect(servicePack(twins, OPTIONS)).rejects.toThrow(
      'two files of the pack would be named marker-Main',
    );
  });
});

describe('the zip', () => {
  const files = [
    { name: 'b.txt', content: 'Größe\n' },
    { name: 'a.bin', content: new Uint8Array(5000).fill(7) },
  ];

  it('is the same bytes for the same files and day, in any order and in every time zone', async () => {
    const first = zipFiles(files, DAY);
    expect(Buffer.compare(first, zipFiles([...files].reverse(), DAY))).toBe(0);
    const zone = process.env.TZ;
    for (const TZ of ['Pacific/Auckland', 'America/Anchorage']) {
      process.env.TZ = TZ;
      expect(Buffer.compare(first, zipFiles(files, DAY))).toBe(0);
    }
    if (zone === undefined) delete process.env.TZ;
    else process.env.TZ = zone;
    expect(Buffer.compare(first, zipFiles(files, new Date('2025-03-15T00:00:00Z')))).not.toBe(0);
    const pack = await servicePack(MARKERS, OPTIONS);
    expect(Buffer.compare(pack, await servicePack(MARKERS, OPTIONS))).toBe(0);
  });

  it.skipIf(!hasPython)(
    needing("is whole and dated as asked for Python's zipfile", 'python3', hasPython),
    () => {
      const script = `
import json, sys, zipfile
z = zipfile.ZipFile(sys.argv[1])
print(json.dumps([z.testzip(), [[i.filename, list(i.date_time), i.file_size] for i in z.infolist()], z.read("b.txt").decode("utf-8")]))`;
      const read = JSON.parse(
        withFile('p.zip', zipFiles(files, DAY), (path) => run(PYTHON, ['-c', script, path])),
      );
      expect(read).toEqual([
        null,
        [
          ['a.bin', [2025, 3, 14, 0, 0, 0], 5000],
          ['b.txt', [2025, 3, 14, 0, 0, 0], 8],
        ],
        'Größe\n',
      ]);
    },
  );
});
