import type { Vec } from '../../geometry/vec.js';
import type { Unit } from '../../units.js';
import type { DxfDropped } from './types.js';

/**
 * What a vertex of a line is: the end or corner of a line, a point that a curve passes through, or one that was
 * only put between such points to draw it.
 */
export type VertexKind = 'turn' | 'curve' | 'interpolated';

export interface PatternVertex {
  readonly at: Vec;
  readonly kind: VertexKind;
  /** Number of its grade rule. */
  readonly rule?: number;
}

/** A line of a piece; a closed one does not repeat its first vertex. */
export interface PatternLine {
  readonly vertices: readonly PatternVertex[];
  readonly closed: boolean;
}

export type NotchShape = 'slit' | 't' | 'castle' | 'check' | 'u';

export interface PatternNotch {
  readonly at: Vec;
  readonly shape: NotchShape;
  readonly depth: number;
  readonly width: number;
  /** Direction from `at` into the piece, degrees counter-clockwise; undefined when the file does not say. */
  readonly angle: number | undefined;
  readonly rule?: number;
}

export interface PatternHole {
  readonly at: Vec;
  readonly rule?: number;
}

export interface PatternNote {
  readonly at: Vec;
  /** Of its capitals. */
  readonly height: number;
  readonly text: string;
}

/** A straight line from tail to head. */
export interface PatternAxis {
  readonly from: Vec;
  readonly to: Vec;
}

/** How often one garment has a piece: as drawn, and mirrored. */
export interface PatternQuantity {
  readonly asDrawn: number;
  readonly mirrored: number;
}

/** One piece of one size, in the frame of its block. Lengths are mm, save where the file's units are unclear. */
export interface PatternPiece {
  readonly name: string;
  /** Name of the block it stands in. */
  readonly block: string;
  readonly size: string | undefined;
  readonly quantity: PatternQuantity | undefined;
  readonly material: string | undefined;
  readonly category: string | undefined;
  /** Counter-clockwise. */
  readonly boundary: PatternLine;
  /** Where a half is mirrored; undefined for a piece drawn whole. */
  readonly mirror: PatternAxis | undefined;
  readonly grain: PatternAxis | undefined;
  /** The x axis of the grade rules runs along it. */
  readonly gradeReference: PatternAxis | undefined;
  readonly internals: readonly PatternLine[];
  readonly cutouts: readonly PatternLine[];
  readonly sewLines: readonly PatternLine[];
  readonly notches: readonly PatternNotch[];
  readonly drillHoles: readonly PatternHole[];
  readonly annotations: readonly PatternNote[];
}

/** What the file says of itself; undefined where it says nothing. */
export interface PatternStyle {
  readonly name: string | undefined;
  readonly sampleSize: string | undefined;
  readonly ruleTable: string | undefined;
  readonly author: string | undefined;
  /** Day and time as written. */
  readonly created: string | undefined;
  readonly version: string | undefined;
}

/** A pattern file as plain values. */
export interface PatternDxf {
  readonly style: PatternStyle;
  /** Units of the file; undefined when it does not say, or contradicts itself: lengths are then in drawing units. */
  readonly units: Unit | undefined;
  /** What told the units. */
  readonly unitsFrom: 'text' | 'header' | 'option' | undefined;
  /** Millimetres that one drawing unit was taken for; 1 when the units are unclear. */
  readonly mmPerUnit: number;
  readonly pieces: readonly PatternPiece[];
  /** What was in the file and is not in the pieces. */
  readonly dropped: readonly DxfDropped[];
  /** What a careful reader should know. */
  readonly notes: readonly string[];
}
