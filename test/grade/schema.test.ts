import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { InputError } from '../../src/errors.js';
import { gradeSchema, gradeSpec, MEASURES, parseIncrementPreset } from '../../src/grade/index.js';
import { specOf } from './helpers.js';

const part = (fields: Record<string, unknown>) =>
  gradeSchema('in').safeParse({ sizes: ['S', 'M', 'L', 'XL'], base: 'M', ...fields });

const firstIssue = (fields: Record<string, unknown>) => {
  const result = part(fields);
  if (result.success) throw new Error('was accepted');
  const issue = result.error.issues[0]!;
  return `${issue.path.join('.')}: ${issue.message}`;
};

describe('the grade part of a style', () => {
  it('reads lengths in the unit of the style, or in the one they name', () => {
    const increments = {
      bust: { step: '2', breaks: { XL: '2 1/2' } },
      wrist: '1/4',
      bicep: '1.6 cm',
      hip: 2,
    };
    const { increments: read } = gradeSchema('in').parse({ sizes: ['M', 'L', 'XL'], base: 'M', increments });
    expect(read['bust']).toEqual({ step: 50.8, breaks: { XL: 63.5 } });
    expect(read['wrist']!.step).toBeCloseTo(6.35, 12);
    expect(read['bicep']!.step).toBeCloseTo(16, 12);
    expect(read['hip']!.step).toBeCloseTo(50.8, 12);
  });

  it('takes sizes written as numbers for names', () => {
    const read = gradeSchema('cm').parse({ sizes: [36, 38, 40], base: 38 });
    expect(read).toMatchObject({ sizes: ['36', '38', '40'], base: '38' });
  });

  it('points at the length that is none', () => {
    expect(firstIssue({ increments: { bust: { step: 2, breaks: { XL: 'lots' } } } })).toMatch(
      /^increments\.bust\.breaks\.XL: 'lots' is not a length/,
    );
  });

  it('refuses a size listed twice, and a base that is not listed', () => {
    expect(firstIssue({ sizes: ['M', 'L', 'M'] })).toContain("size 'M' is listed twice");
    expect(firstIssue({ base: 'XXS' })).toContain("the base size 'XXS' is not among the sizes S, M, L, XL");
  });

  it('takes half sizes, half-way unless they say otherwise, and puts them in their places', () => {
    const read = gradeSchema('in').parse({
      sizes: [8, 10, 12],
      base: 9,
      'half-sizes': { 9: [8, 10], 11: { between: [10, 12], at: '25%' } },
    });
    expect(read.sizes).toEqual(['8', '9', '10', '11', '12']);
    expect(read.halves['11']).toEqual({ from: '10', to: '12', share: 0.25 });
  });

  it('points at a half size that lies nowhere', () => {
    expect(firstIssue({ 'half-sizes': { 'S+': ['S', 'L'] } })).toMatch(
      /^half-sizes\.S\+: half size 'S\+' must lie between two neighbouring sizes/,
    );
    expect(firstIssue({ 'half-sizes': { 'S+': { between: ['S', 'M'], at: 1 } } })).toContain('not at 1');
  });

  it('refuses a field it does not know', () => {
    expect(firstIssue({ size: 'M' })).toContain('size');
  });

  it('prints as JSON Schema with every measure and its meaning', () => {
    const schema = z.toJSONSchema(gradeSchema('in'), { io: 'input', unrepresentable: 'any' }) as unknown as {
      properties: { increments: { properties: Record<string, { description?: string }> } };
    };
    const { properties } = schema.properties.increments;
    expect(Object.keys(properties).sort()).toEqual(['preset', ...Object.keys(MEASURES)].sort());
    expect(properties['bust']!.description).toBe('whole girth at the underarm');
  });
});

describe('a grade spec', () => {
  const preset = parseIncrementPreset({
    name: 'test',
    title: 'Test',
    source: 'invented for this test',
    unit: 'cm',
    sizes: ['XS', 'S', 'M', 'L', 'XL'],
    base: 'M',
    increments: {
      bust: { step: 4, breaks: { L: 5, XL: 6 }, source: 'invented' },
      wrist: { step: 0.5, source: 'invented' },
    },
  });

  it('lets the style override single measures of its preset', () => {
    const spec = specOf({ increments: { preset: 'test', wrist: 8 }, sizes: ['S', 'M', 'L'] }, preset);
    expect(spec.increments['bust']).toEqual({ bySize: [-40, 0, 50], from: 'preset' });
    expect(spec.increments['wrist']).toEqual({ bySize: [-8, 0, 8], from: 'style' });
  });

  it('keeps the distances of a preset for a style on another base or with sizes left out', () => {
    const spec = specOf({ increments: { preset: 'test' }, sizes: ['XS', 'M', 'XL'], base: 'XL' }, preset);
    expect(spec.increments['bust']!.bySize).toEqual([-190, -110, 0]);
  });

  it('refuses sizes a preset with breaks does not know, and says which', () => {
    const increments = { preset: 'test' };
    expect(() => specOf({ increments, sizes: ['M', 'XL', '4XL'] }, preset)).toThrow("do not know '4XL'");
  });

  it('gives other sizes even steps where the preset has no breaks', () => {
    const even = { ...preset, increments: { wrist: preset.increments['wrist']! } };
    const spec = specOf({ increments: { preset: 'test' }, sizes: ['1', '2', '3'], base: '1' }, even);
    expect(spec.increments['wrist']!.bySize).toEqual([0, 5, 10]);
  });

  it('suggests the measure that was meant', () => {
    const wrong = () => specOf({ increments: { 'across-sholder': 12 } });
    expect(wrong).toThrow("unknown measure 'across-sholder'");
    expect(thrown(wrong)).toMatchObject({
      mend: "did you mean 'across-shoulder'?",
      place: { path: 'grade.increments.across-sholder' },
    });
  });

  it('names an unknown size in a break with its place', () => {
    const wrong = () => specOf({ increments: { bust: { step: 50, breaks: { XXL: 60 } } } });
    expect(wrong).toThrow("unknown size 'XXL'");
    expect(thrown(wrong).place.path).toBe('grade.increments.bust.breaks.XXL');
  });

  it('accepts a measure of the style only with both an increment and a place in its distribution', () => {
    const distribution = { points: { 'back.waist': { x: { 'waist-shaping': '1/4' } } } };
    expect(specOf({ distribution, increments: { 'waist-shaping': 4 } }).shares['back.waist']!.x).toEqual({
      'waist-shaping': 0.25,
    });
    expect(() => specOf({ distribution })).toThrow("unknown measure 'waist-shaping'");
  });

  it('refuses a rule that is not addressed to a point of a piece', () => {
    expect(() => specOf({ rules: { 'neck-point': { x: 1 } } })).toThrow(
      "'neck-point' is no point of a piece",
    );
  });

  it('takes the whole moves of every size, as a rule table lists them', () => {
    const moves = { S: ['-3', -1], L: [3, '1 mm'], XL: ['0.7 cm', 2] };
    const spec = specOf({ sizes: ['S', 'M', 'L', 'XL'], rules: { 'back.waist': { moves } } });
    expect(spec.rules).toEqual([
      {
        piece: 'back',
        point: 'waist',
        bySize: [
          [-3, -1],
          [0, 0],
          [3, 1],
          [7, 2],
        ],
      },
    ]);
  });

  it('lets a half size without a move of its own stand between its neighbours', () => {
    const half = { sizes: ['S', 'M', 'L'], 'half-sizes': { ML: ['M', 'L'], SM: ['S', 'M'] } };
    const moves = { S: [-3, -1], L: [3, 1], SM: [-2, 0] };
    const spec = specOf({ ...half, rules: { 'back.waist': { moves } } });
    expect(spec.rules[0]!.bySize).toEqual([
      [-3, -1],
      [-2, 0],
      [0, 0],
      [1.5, 0.5],
      [3, 1],
    ]);
  });

  it('refuses listed moves that leave a size out, name a strange one or move the base', () => {
    const rules = (moves: object) => () =>
      specOf({ sizes: ['S', 'M', 'L'], rules: { 'back.waist': { moves } } });
    expect(rules({ S: [0, 0] })).toThrow("no move for size 'L'");
    expect(rules({ S: [0, 0], L: [1, 1], XXL: [2, 2] })).toThrow("unknown size 'XXL'");
    expect(rules({ S: [0, 0], M: [1, 0], L: [1, 1] })).toThrow("base size 'M'");
  });

  it('says when the preset it names was not given', () => {
    const read = gradeSchema('in').parse({ sizes: ['M'], base: 'M', increments: { preset: 'nobody' } });
    expect(() => gradeSpec(read)).toThrow("the increments 'nobody' were not found");
  });
});

function thrown(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
  }
  throw new Error('nothing was thrown');
}
