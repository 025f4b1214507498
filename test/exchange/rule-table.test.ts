import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import {
  gradeByTable,
  pointRules,
  RULE_KEYWORDS,
  readRulePoints,
  readRuleTable,
  rulePointsCsv,
  ruleTableOf,
  writeRuleTable,
} from '../../src/exchange/index.js';
import { distance } from '../../src/geometry/vec.js';
import { gradePattern, seamFailures, trueRange } from '../../src/grade/index.js';
import { pieceOf, pointOf, pointsOf } from '../../src/pattern/model.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from '../grade/helpers.js';

const DATE = new Date('2026-03-31T08:15:00Z');
const base = samplePattern();
const spec = specOf({ increments: { ...EVERY_INCREMENT, bust: { step: 50, breaks: { XL: 60 } } } });
const range = gradePattern(base, spec);

/** A table as some other program might have written it. */
const foreign = (rows: string, over: Record<string, string> = {}) => {
  const head = {
    UNITS: 'METRIC',
    'GRADE RULE TABLE': 'FOREIGN',
    'NUMBER OF SIZES': '3',
    'SIZE LIST': 'S M L',
    'SAMPLE SIZE': 'M',
    ...over,
  };
  const lines = Object.entries(head).filter(([, value]) => value !== '');
  return [
    'ASTM/D13PROPOSAL 1 VERSION: D 6673-10',
    ...lines.map(([k, v]) => `${k}: ${v}`),
    rows,
    'END',
    '',
  ].join('\n');
};

describe('the rules of a graded range', () => {
  const { table, points } = ruleTableOf(range, 'sample');

  it('are the moves of every named point in the final geometry, against the sample size', () => {
    for (const { piece, point, rule } of points) {
      const { deltas } = table.rules.find((r) => r.number === rule)!;
      const at = pointOf(pieceOf(base, piece), point);
      range.sizes.forEach(({ pattern }, i) => {
        const there = pointOf(pieceOf(pattern, piece), point);
        const told = [at[0] + deltas[i]![0], at[1] + deltas[i]![1]] as const;
        expect(distance(there, told), `${piece}.${point}`).toBeLessThan(0.001);
      });
    }
    const named = base.pieces.flatMap((p) => [...pointsOf(p).keys()].map((name) => `${p.name}.${name}`));
    expect(points.map((p) => `${p.piece}.${p.point}`)).toEqual(named);
  });

  it('are shared by points that move alike', () => {
    const of = (piece: string, point: string) =>
      points.find((p) => p.piece === piece && p.point === point)!.rule;
    expect(of('front', 'underarm')).toBe(of('back', 'underarm'));
    expect(of('front', 'underarm')).not.toBe(of('back', 'shoulder-tip'));
    expect(table.rules.length).toBeLessThan(points.length);
  });

  it('claim nothing of the standard as verified', () => {
    expect(RULE_KEYWORDS.some((k) => k.verified)).toBe(false);
  });

  it('refuse a size name with a blank', () => {
    const sizes = range.sizes.map((s) => (s.size === 'XS' ? { ...s, size: 'X S' } : s));
    expect(() => ruleTableOf({ ...range, sizes }, 'x')).toThrow("cannot carry the size name 'X S'");
  });
});

describe('a written rule table', () => {
  it.each(['METRIC', 'ENGLISH'] as const)('in %s reads back to the same rules', (units) => {
    const { table } = ruleTableOf(range, 'sample', units);
    const read = readRuleTable(writeRuleTable(table, { date: DATE }));
    expect(read.notes).toEqual([]);
    expect(read.deltaBase).toBe('sample');
    expect(read.table).toMatchObject({ name: 'sample', sizes: SIZES, sample: 'M', units });
    read.table.rules.forEach((rule, i) => {
      expect(rule.number).toBe(table.rules[i]!.number);
      rule.deltas.forEach((delta, j) => {
        expect(distance(delta, table.rules[i]!.deltas[j]!)).toBeLessThan(0.001);
      });
    });
  });

  it('may count from size to size, and reads back to the same rules', () => {
    const { table } = ruleTableOf(range, 'sample');
    const text = writeRuleTable(table, { date: DATE, deltaBase: 'smaller' });
    const read = readRuleTable(text);
    expect(read.deltaBase).toBe('smaller');
    expect(text).not.toBe(writeRuleTable(table, { date: DATE }));
    read.table.rules.forEach((rule, i) => {
      rule.deltas.forEach((delta, j) => {
        // Each of the steps on the way is rounded.
        expect(distance(delta, table.rules[i]!.deltas[j]!)).toBeLessThan(0.004);
      });
    });
  });

  it('is plain ASCII with CRLF, the same bytes for the same date', () => {
    const { table } = ruleTableOf(range, 'Brücke\n№ 5');
    const text = writeRuleTable(table, { date: DATE, author: 'Ø' });
    expect(text).toMatch(/^[\x20-\x7e\r\n]*$/);
    expect(text.split('\r\n').slice(0, 10)).toEqual([
      'ASTM/D13Proposal 1 Version: D 6673-04',
      'Author: ?',
      'Creation Date: 03-31-2026',
      'Creation Time: 08:15',
      'Units: METRIC',
      'Grade Rule Table: Brucke No 5',
      'Number Of Sizes: 7',
      'Size List: XS S M L XL 2XL 3XL',
      'Sample Size: M',
      'Rule: Delta 1',
    ]);
    expect(text.endsWith('End\r\n')).toBe(true);
    expect(writeRuleTable(table, { date: DATE, author: 'Ø' })).toBe(text);
  });

  it('grades the base again to the same points and true seams', () => {
    const { table, points } = ruleTableOf(range, 'sample');
    const { table: read } = readRuleTable(writeRuleTable(table, { date: DATE }));
    const list = readRulePoints(rulePointsCsv(points)).filter((p) => ['back', 'front'].includes(p.piece));
    const again = gradePattern(base, gradeByTable(spec, read, list));
    again.sizes.forEach(({ pattern }, i) => {
      for (const piece of pattern.pieces) {
        const before = pieceOf(range.sizes[i]!.pattern, piece.name);
        for (const [name, at] of pointsOf(piece)) {
          expect(distance(at, pointOf(before, name)), `${piece.name}.${name}`).toBeLessThan(0.01);
        }
      }
    });
    expect(seamFailures(trueRange(again))).toEqual([]);
  });

  it('serves a style on another base, with sizes left out and half sizes', () => {
    const { table, points } = ruleTableOf(range, 'sample');
    const ladder = {
      sizes: ['S', 'M', 'L', 'L/XL', 'XL'],
      base: 'L',
      halves: { 'L/XL': { from: 'L', to: 'XL', share: 0.5 } },
    };
    const rules = pointRules(table, points, ladder);
    const underarm = rules.find((r) => r.piece === 'back' && r.point === 'underarm')!;
    expect(underarm.bySize.map(([x]) => x)).toEqual([-25, -12.5, 0, 7.5, 15]);
  });
});

describe('a rule table from elsewhere', () => {
  it('may wrap its numbers, shout its keywords and space them as it likes', () => {
    const text = foreign('rule :delta 7\n-1.5,\n0.25 0 0\n1.5 , -.25');
    const { table } = readRuleTable(text);
    expect(table.rules).toEqual([
      {
        number: 7,
        deltas: [
          [-1.5, 0.25],
          [0, 0],
          [1.5, -0.25],
        ],
      },
    ]);
  });

  it('counts inches in inches', () => {
    const text = foreign('RULE: DELTA 1\n-0.5,0 0,0 0.5,0', { UNITS: 'English' });
    expect(readRuleTable(text).table.rules[0]!.deltas[2]![0]).toBeCloseTo(12.7, 12);
  });

  it('is known by its zero column: deltas from the next smaller size add up', () => {
    const text = foreign('RULE: DELTA 1\n0,0 2,1 3,1', { 'SIZE LIST': 'S M L' });
    const read = readRuleTable(text);
    expect(read.deltaBase).toBe('smaller');
    expect(read.table.rules[0]!.deltas).toEqual([
      [-2, -1],
      [0, 0],
      [3, 1],
    ]);
  });

  it('that does not tell what its deltas count from is not guessed at', () => {
    const text = foreign('RULE: DELTA 1\n0,0 2,1 3,1', { 'SAMPLE SIZE': 'S' });
    expect(() => readRuleTable(text)).toThrow('does not tell whether its deltas count from');
    expect(readRuleTable(text, { deltaBase: 'sample' }).table.rules[0]!.deltas[2]).toEqual([3, 1]);
    expect(readRuleTable(text, { deltaBase: 'smaller' }).table.rules[0]!.deltas[2]).toEqual([5, 2]);
    const neither = foreign('RULE: DELTA 1\n1,0 2,1 3,1');
    expect(() => readRuleTable(neither)).toThrow('count neither from the sample size nor');
    expect(() => readRuleTable(neither, { deltaBase: 'sample' })).toThrow(
      'moves its point in the sample size',
    );
  });

  it('has the same rules whichever way its deltas count', () => {
    const delta = fc.integer({ min: -500, max: 500 }).map((n) => n / 100);
    const row = fc.tuple(fc.tuple(delta, delta), fc.tuple(delta, delta));
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 5 }), (rows) => {
        const numbered = (text: (row: (typeof rows)[number]) => string) =>
          foreign(rows.map((r, i) => `RULE: DELTA ${i + 1}\n${text(r)}`).join('\n'));
        const fromSample = numbered(([s, l]) => `${-s[0]},${-s[1]} 0,0 ${l[0]},${l[1]}`);
        const fromSmaller = numbered(([s, l]) => `0,0 ${s[0]},${s[1]} ${l[0]},${l[1]}`);
        const [a, b] = [
          readRuleTable(fromSample, { deltaBase: 'sample' }),
          readRuleTable(fromSmaller, { deltaBase: 'smaller' }),
        ];
        a.table.rules.forEach((rule, i) => {
          rule.deltas.forEach((d, j) => {
            expect(distance(d, b.table.rules[i]!.deltas[j]!)).toBeLessThan(1e-9);
          });
        });
      }),
    );
  });

  it.each([
    ['no units', foreign('', { UNITS: '' }), 'does not say its units', undefined],
    ['strange units', foreign('', { UNITS: 'FURLONG' }), "unknown units 'FURLONG'", 2],
    ['a wrong count', foreign('', { 'NUMBER OF SIZES': '4' }), 'says 4, the list has 3', 4],
    ['a strange sample', foreign('', { 'SAMPLE SIZE': 'XL' }), "'XL' is not among the sizes", 6],
    ['a size twice', foreign('', { 'SIZE LIST': 'S M S' }), "size 'S' is listed twice", 5],
    ['too few numbers', foreign('RULE: DELTA 1\n0,0 1,1'), 'rule 1 has 4 numbers where 3 sizes need 6', 7],
    ['a comma for a point', foreign('RULE: DELTA 1\n0,0 0,0 1,5,0'), 'rule 1 has 7 numbers', 7],
    ['a number that is none', foreign('RULE: DELTA 1\n0,0 0,0 1,1e999'), "'1e999' is not a delta", 8],
    ['a rule twice', foreign('RULE: DELTA 1\n0,0 0,0 1,1\nRULE: DELTA 1'), 'rule 1 is there twice', 9],
    ['a rule without a number', foreign('RULE: DELTA\n'), "no rule: expected 'Rule: Delta'", 7],
    ['numbers before a rule', foreign('1,1'), 'numbers stand before the first rule', 7],
    ['nothing in it', '', "no line 'Size List: ...'", undefined],
  ])('with %s is refused, with its line', (_, text, message, line) => {
    const error = refusal(() => readRuleTable(text, { file: 'x.rul' }));
    expect(error.message).toContain(message);
    expect(error.place).toEqual({ file: 'x.rul', ...(line === undefined ? {} : { line }) });
  });

  it('keeps going past lines it does not know, and says which', () => {
    const text = foreign('COMMENT: made on a Friday\nRULE: DELTA 1\n-1,0 0,0 1,0').replace('END\n', '');
    expect(readRuleTable(text).notes).toEqual([
      "line 7: passed over 'COMMENT: made on a Friday'",
      "the table has no 'End': it may have been cut off",
    ]);
  });

  it('never throws anything but a fault the user can mend, whatever the text', () => {
    const word = fc.constantFrom(
      'Rule: Delta 1',
      'Rule:',
      'Size List: S M',
      'Sample Size: S',
      'Units: METRIC',
      'End',
      '1,2',
      '0,0 0,0',
      ':',
      '\ufeff',
      '\u0000',
      'Size List:',
      'NaN, Infinity',
    );
    fc.assert(
      fc.property(fc.array(fc.oneof(word, fc.string()), { maxLength: 12 }), (lines) => {
        try {
          readRuleTable(lines.join('\n'));
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
      { numRuns: 400 },
    );
  });
});

describe('the points of a rule table', () => {
  it('name piece, point and rule', () => {
    expect(readRulePoints('piece,point,rule\r\nback, neck-point ,3\r\n')).toEqual([
      { piece: 'back', point: 'neck-point', rule: 3 },
    ]);
  });

  it('are refused with their line when one does not fit', () => {
    const error = refusal(() => readRulePoints('piece,point,rule\nback,waist', 'p.csv'));
    expect(error.place).toEqual({ file: 'p.csv', line: 2 });
    expect(() => readRulePoints('a,b,1\na,b,2')).toThrow("'a.b' is listed twice");
  });

  it('are refused when the table lacks their rule or a size of the style', () => {
    const { table } = ruleTableOf(range, 'sample');
    const ladder = { sizes: ['M', 'L'], base: 'M' };
    expect(() => pointRules(table, [{ piece: 'back', point: 'waist', rule: 99 }], ladder)).toThrow(
      "'back.waist' follows rule 99, which the table 'sample' lacks",
    );
    expect(() => pointRules(table, [], { sizes: ['M', '5XL'], base: 'M' })).toThrow("no size '5XL'");
  });
});

function refusal(work: () => unknown): InputError {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}
