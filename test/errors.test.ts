import { describe, expect, it } from 'vitest';
import { CheckError, didYouMean, formatPlace, InputError, suggest } from '../src/errors.js';

describe('UserError', () => {
  it('keeps a place already known when an outer room adds its own', () => {
    const error = new InputError('bad', { place: { path: 'alter.1.slash' } }).at({
      file: 'a.yaml',
      path: 'alter',
      line: 3,
    });
    expect(error.place).toEqual({ file: 'a.yaml', path: 'alter.1.slash', line: 3 });
    expect(formatPlace(error.place)).toBe('a.yaml:3 (alter.1.slash)');
  });

  it('stays of its kind and keeps its mend when prefixed', () => {
    const error = new CheckError('too wide', { mend: 'narrow it' }).prefixed('step 2: ');
    expect(error).toBeInstanceOf(CheckError);
    expect([error.message, error.mend, error.name]).toEqual(['step 2: too wide', 'narrow it', 'CheckError']);
  });
});

describe('suggest', () => {
  it('offers the nearest name for a slip and lists the names otherwise', () => {
    expect(didYouMean('shoulde', ['hem', 'shoulder'])).toBe('shoulder');
    expect(suggest('zzz', ['hem', 'side'])).toBe('known: hem, side');
    expect(suggest('zzz', [])).toBe('none is defined');
  });
});
