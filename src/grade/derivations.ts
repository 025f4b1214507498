import { type Growth, type Pattern, pieceOf, withPiece } from '../pattern/model.js';

/**
 * Draws the derived pieces again, in pattern order, with the growth they ask for; notes in `used` which
 * measures that is.
 */
export function deriveAgain(pattern: Pattern, growth: Growth, used: Set<string>): Pattern {
  const names = pattern.pieces.filter((p) => p.derived).map((p) => p.name);
  return names.reduce((p, name) => pieceOf(p, name).derived!.run(p, recording(growth, used)), pattern);
}

/**
 * The pattern as a base of its own: its derived pieces count growth from here on, not from the base that
 * this pattern was graded from.
 */
export function asBase(pattern: Pattern, growth: Growth): Pattern {
  if (Object.values(growth).every((mm) => mm === 0)) return pattern;
  return pattern.pieces.reduce((p, piece) => countingFrom(p, piece.name, growth), pattern);
}

function countingFrom(pattern: Pattern, name: string, offset: Growth): Pattern {
  const { derived, ...piece } = pieceOf(pattern, name);
  if (!derived) return pattern;
  const run = (p: Pattern, growth: Growth) =>
    countingFrom(derived.run(p, onTop(offset, growth)), name, offset);
  return withPiece(pattern, { ...piece, derived: { ...derived, run } });
}

/** The growth with another below it. Asks `growth` for each measure, so that it still knows what is used. */
const onTop = (offset: Growth, growth: Growth): Growth =>
  new Proxy(growth, {
    get(target, key) {
      const own: unknown = Reflect.get(target, key);
      if (typeof key !== 'string' || !Object.hasOwn(offset, key)) return own;
      return offset[key]! + (typeof own === 'number' ? own : 0);
    },
  });

/** The same growth; notes which measures a derivation asks for. */
const recording = (growth: Growth, used: Set<string>): Growth =>
  new Proxy(growth, {
    get(target, key) {
      if (typeof key === 'string') used.add(key);
      return Reflect.get(target, key);
    },
    ownKeys(target) {
      for (const key of Object.keys(target)) used.add(key);
      return Reflect.ownKeys(target);
    },
  });
