import type { BuiltPiece } from './build-piece.js';
import type { Dropped, ImportUnit } from './drawing.js';
import type { FoundPiece } from './found.js';
import type { PointMoves } from './style-text.js';

/** How the sizes of a style come about from what a file tells. */
export interface Grading {
  readonly sizes: readonly string[];
  readonly base: string;
  readonly rules: readonly PointMoves[];
  /** The pieces again, with points that rules need. */
  readonly pieces: readonly BuiltPiece[];
  readonly notes: readonly string[];
}

/** Allowances that a file shows between its sewing and cut lines, mm. */
export interface Allowances {
  readonly default?: number;
  readonly edges: Readonly<Record<string, number>>;
}

/** What every kind of file comes to: pieces in mm, and what it says beside them. */
export interface Source {
  readonly kind: 'svg' | 'dxf' | 'pattern-dxf';
  /** What told the units, and the unit itself where it has a name. */
  readonly scaling: string;
  readonly unitSaid: ImportUnit | undefined;
  readonly style: string | undefined;
  readonly pieces: readonly FoundPiece[];
  readonly notes: readonly string[];
  readonly dropped: readonly Dropped[];
  readonly grading: (built: readonly BuiltPiece[]) => Grading;
  readonly allowances?: (built: readonly BuiltPiece[]) => {
    readonly found: Allowances;
    readonly notes: readonly string[];
  };
}

/** A grade-rule table as text. */
export interface RulesText {
  readonly text: string;
  readonly file: string;
}
