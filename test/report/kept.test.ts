import { describe, expect, it, vi } from 'vitest';
import { layMarker, type Marker } from '../../src/lay/index.js';
import { planJson } from '../../src/plan/index.js';
import {
  areChildSizes,
  markerFrom,
  markerJson,
  readKeptPlan,
  readKeptRun,
  readKeptWidths,
} from '../../src/report/index.js';
import { FABRIC, LAY, sweatshirtPieces } from '../lay/samples.js';
import { samplePlan } from './plan-sample.js';

// A search starts worker threads on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const pieces = sweatshirtPieces();
const SEARCH = { iterations: 1, seed: 1, threads: 1 };
const laidBefore = new Map<string, Promise<Marker>>();

/** One garment on a fabric; every test of the same fabric shares one search. */
function laid(fabric: Partial<Marker['fabric']>): Promise<Marker> {
  const key = JSON.stringify(fabric);
  const spec = {
    name: 'm',
    style: 's',
    pieces,
    fabric: { ...FABRIC, ...fabric },
    ratio: { M: 1 },
    options: LAY,
  };
  const marker = laidBefore.get(key) ?? layMarker(spec, SEARCH);
  laidBefore.set(key, marker);
  return marker;
}
const style = (fabric: Partial<Marker['fabric']> = {}) => ({
  name: 's',
  pieces,
  fabrics: new Map([['self', { ...FABRIC, ...fabric }]]),
});
const kept = (markers: readonly Marker[]) => JSON.stringify({ style: 's', markers: markers.map(markerJson) });

describe('a kept marker', () => {
  it.each([
    ['open width', {}],
    ['folded, with halves on the fold', { mode: 'folded' }],
  ] as const)('comes back as it was laid: %s', async (_, fabric) => {
    const marker = await laid(fabric);
    const [json] = readKeptRun(kept([marker]), 'report.json').markers;
    const back = markerFrom(json!, style(fabric));
    expect(back.pieces.map((p) => p.outline)).toEqual(marker.pieces.map((p) => p.outline));
    expect(back).toMatchObject({
      ...marker,
      pieces: marker.pieces.map(({ number, garment }) => ({ number, garment })),
    });
    if (fabric !== undefined && 'mode' in fabric) {
      expect(marker.pieces.some((p) => p.fold !== undefined)).toBe(true);
    }
  });

  it('takes prices and rolls from the style as it is now, width and mode from when it was laid', async () => {
    const marker = await laid({});
    const now = { pricePerMetre: 12, rollLength: 60_000, usableWidth: 1850 };
    const back = markerFrom(markerJson(marker), style(now));
    expect(back.fabric).toMatchObject({ pricePerMetre: 12, rollLength: 60_000, usableWidth: 1650 });
  });

  it('is refused when the style is no longer the one it was laid for', async () => {
    const json = markerJson(await laid({}));
    const moved = pieces.map((p) =>
      p.name === 'back' ? { ...p, cut: p.cut.map(([x, y]) => [x * 1.01, y] as const) } : p,
    );
    expect(() => markerFrom(json, { ...style(), pieces: moved })).toThrow(
      "marker 'm' was laid for another state of the style: its pieces are no longer the ones that were laid",
    );
    expect(() => markerFrom(json, { ...style(), pieces: pieces.filter((p) => p.name !== 'back') })).toThrow(
      "no longer has the piece 'back' in size M",
    );
    expect(() => markerFrom(json, { ...style(), fabrics: new Map() })).toThrow(
      "no longer has the fabric 'self'",
    );
  });
});

describe('a kept file', () => {
  it.each([
    ['no JSON', '{', /this is not valid JSON/],
    ['something else', '{"a":1}', /not kept by this version of walewise: this field is missing/],
    ['a marker without placements', '{"style":"s","markers":[{"name":"m"}]}', /not kept by this version/],
  ])('that is %s is refused with its place and the mend', (_, text, message) => {
    expect(() => readKeptRun(text, 'out/report.json')).toThrow(message);
    try {
      readKeptRun(text, 'out/report.json');
    } catch (error) {
      expect(error).toMatchObject({
        place: { file: 'out/report.json' },
        mend: expect.stringContaining('walewise run'),
      });
    }
  });

  it('of a plan comes back with its markers in it', async () => {
    const marker = await laid({});
    const plan = samplePlan(marker);
    const text = JSON.stringify(planJson(plan));
    expect(readKeptPlan(text, 'plan.json', [marker])).toEqual({
      ...(JSON.parse(text) as object),
      fabrics: [{ ...planJson(plan).fabrics[0]!, markers: plan.fabrics[0]!.markers }],
    });
    expect(() => readKeptPlan(text, 'plan.json', [])).toThrow(
      "marker 'm' of the plan is not among the markers",
    );
    expect(() => readKeptPlan(text, 'plan.json', [{ ...marker, length: marker.length + 1 }])).toThrow(
      'not among',
    );
    expect(() => readKeptPlan('{"style":"s"}', 'plan.json', [])).toThrow('this field is missing');
  });

  it('of widths is a table of them', () => {
    const run = { seed: 1, length: 1, area: 1, mass: 1, garments: 1, efficiency: 0.8, rounds: 3 };
    const text = JSON.stringify({
      style: 'Tee',
      fabric: { name: 'self', currency: 'EUR' },
      cells: [{ width: 1650, mode: 'single', runs: [run] }],
    });
    expect(readKeptWidths(text, 'widths.json', 'Tee')).toEqual({
      fabric: 'self',
      currency: 'EUR',
      cells: [{ width: 1650, mode: 'single', runs: [run] }],
    });
    expect(() => readKeptWidths(text, 'widths.json', 'Crew')).toThrow(
      "it compares widths for 'Tee', not for 'Crew'",
    );
    expect(() => readKeptWidths('{}', 'widths.json', 'Tee')).toThrow('this field is missing');
  });
});

describe('sizes of children', () => {
  it.each([
    [['92', '98', '104'], undefined, true],
    [['2T', '3T'], undefined, true],
    [['XS', 'S', 'M'], undefined, false],
    [['34', '36', '38'], undefined, false],
    [['2', '4', '6'], undefined, false],
    [['56', '58', '60'], undefined, false],
    [['XS', 'S'], 'children', true],
    [['92', '98'], 'women', false],
    [[], undefined, false],
  ])('%j of the chart %s: %s', (sizes, chart, child) => {
    expect(areChildSizes(sizes, chart)).toBe(child);
  });
});
