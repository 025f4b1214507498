import { describe, expect, it } from 'vitest';
import { cutLineNotes, hasCutLineFaults } from '../../src/cli/laying.js';
import { sampleMarker } from '../exchange/sample.js';

describe('cut lines that a cutting service would stumble over', () => {
  it('are told and counted as a failed check', () => {
    const marker = sampleMarker();
    expect(hasCutLineFaults([marker])).toBe(false);
    const [first, ...others] = marker.pieces;
    const broken = { ...marker, pieces: [{ ...first!, outline: [...first!.outline].reverse() }, ...others] };
    expect(hasCutLineFaults([marker, broken])).toBe(true);
    expect(cutLineNotes([broken]).join()).toMatch(/WARNING: marker .*does not run counter-clockwise/);
  });
});
