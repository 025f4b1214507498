import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import process from 'node:process';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { readRuleTable } from '../../src/exchange/rule-table-read.js';

const FOLDER = join(import.meta.dirname, '../../fixtures/bad/rul');

/** What each table's error says, its line, and what there is to do. */
const TABLES: Readonly<Record<string, readonly [message: string, line: number, mend: RegExp]>> = {
  'huge-count.rul': ["'Number Of Sizes' says 4294967296, the list has 3", 4, /correct the count/],
  'huge-rule-number.rul': ["'RULE: DELTA 99999999999999999999' is no rule", 7, /write it as 'Rule: Delta 1'/],
  'infinite.rul': ["'1e999' is not a delta", 8, /plain numbers below a million/],
  'many-sizes.rul': ['more than 500 sizes', 5, /split the table/],
  'nan.rul': ["'NaN' is not a delta", 8, /plain numbers below a million/],
  'numbers-first.rul': ['numbers stand before the first rule', 7, /write a line 'Rule: Delta'/],
  'odd-units.rul': ["unknown units 'FURLONG'", 2, /'Units: METRIC'/],
  'packed.rul': ['the rule table is not text in UTF-8', 1, /save it as text in UTF-8/],
  'rule-twice.rul': ['rule 1 is there twice', 9, /take one of the two out/],
  'size-twice.rul': ["size 'S' is listed twice", 5, /take it out of the list/],
  'too-few-deltas.rul': ['rule 1 has 6 numbers where 4 sizes need 8', 7, /export the table again/],
  'truncated.rul': ['rule 2 has 5 numbers where 3 sizes need 6', 9, /export the table again/],
  'utf-16.rul': ['the rule table is not text in UTF-8', 1, /save it as text in UTF-8/],
  'wrong-size-list.rul': ["the sample size 'M' is not among the sizes 34, 36, 38", 6, /\w{3}/],
};

describe('the corpus of malformed and hostile grade-rule tables', () => {
  it('is expected by name, each file once', () => {
    expect(readdirSync(FOLDER).sort()).toEqual(Object.keys(TABLES).sort());
  });

  it.each(Object.entries(TABLES))(
    '%s is refused with file, line and mend, within 5 s of processor time',
    (name, [message, line, mend]) => {
      // As the program reads it: bytes that are no UTF-8 become replacement characters.
      const text = readFileSync(join(FOLDER, name), 'utf8');
      const before = process.cpuUsage();
      let fault: unknown;
      try {
        readRuleTable(text, { file: name });
      } catch (error) {
        fault = error;
      }
      const { user, system } = process.cpuUsage(before);
      expect(fault).toBeInstanceOf(InputError);
      const error = fault as InputError;
      expect(error.message).toContain(message);
      expect(error.place).toEqual({ file: name, line });
      expect(error.mend).toMatch(mend);
      expect(user + system, 'microseconds of processor time').toBeLessThan(5e6);
    },
  );
});
