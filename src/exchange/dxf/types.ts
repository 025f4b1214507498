import type { Path } from '../../geometry/path.js';
import type { Vec } from '../../geometry/vec.js';

/** One pair of a DXF file: a group code and its value as written, line breaks and blanks round it taken off. */
export interface DxfGroup {
  readonly code: number;
  readonly value: string;
  /** Line of the value, 1-based. */
  readonly line: number;
}

/** Something that was in the file and is not in the result; like things are counted together. */
export interface DxfDropped {
  /** Such as `HATCH` or `LINE with a coordinate that is not a number`. */
  readonly what: string;
  readonly count: number;
  /** Where the first of them stands, such as `line 120`. */
  readonly where: string;
}

/** What every entity carries. Coordinates and lengths are in drawing units until `flattenEntities` scales them. */
interface EntityHead {
  readonly layer: string;
  /** Line of the entity's `0` group in the file, 1-based. */
  readonly lineNumber: number;
}

export interface DxfLine extends EntityHead {
  readonly kind: 'line';
  readonly a: Vec;
  readonly b: Vec;
}

/** Counter-clockwise from `from` to `to`, degrees. */
export interface DxfArc extends EntityHead {
  readonly kind: 'arc';
  readonly centre: Vec;
  readonly radius: number;
  readonly from: number;
  readonly to: number;
}

export interface DxfCircle extends EntityHead {
  readonly kind: 'circle';
  readonly centre: Vec;
  readonly radius: number;
}

/** Runs from `from` to `to` (radians of the parameter) at centre + cos t * major + sin t * ratio * perp(major). */
export interface DxfEllipse extends EntityHead {
  readonly kind: 'ellipse';
  readonly centre: Vec;
  readonly major: Vec;
  readonly ratio: number;
  readonly from: number;
  readonly to: number;
}

export interface DxfVertex {
  readonly at: Vec;
  /** Tangent of a quarter of the angle of the arc to the next vertex, positive counter-clockwise; 0 is straight. */
  readonly bulge: number;
}

/** LWPOLYLINE, or POLYLINE with its VERTEX records. */
export interface DxfPolyline extends EntityHead {
  readonly kind: 'polyline';
  readonly closed: boolean;
  readonly vertices: readonly DxfVertex[];
}

/** A B-spline by its control points, or (no control points) a curve through `fit`. */
export interface DxfSpline extends EntityHead {
  readonly kind: 'spline';
  readonly degree: number;
  readonly closed: boolean;
  readonly knots: readonly number[];
  /** One per control point, or empty for a spline that is not rational. */
  readonly weights: readonly number[];
  readonly control: readonly Vec[];
  readonly fit: readonly Vec[];
}

/** A block's content, moved by -base, scaled, turned (degrees) and moved to `at`; repeated `columns` x `rows` times. */
export interface DxfInsert extends EntityHead {
  readonly kind: 'insert';
  readonly block: string;
  readonly at: Vec;
  readonly scaleX: number;
  readonly scaleY: number;
  readonly rotation: number;
  readonly columns: number;
  readonly rows: number;
  readonly columnSpacing: number;
  readonly rowSpacing: number;
}

export interface DxfPoint extends EntityHead {
  readonly kind: 'point';
  readonly at: Vec;
  /** Group 30; a pattern file keeps the depth of a notch there. */
  readonly z: number;
  /** Group 39; a pattern file keeps the width of a notch there. */
  readonly thickness: number;
  /** Group 50, degrees counter-clockwise; undefined when the file has none. */
  readonly angle: number | undefined;
}

/** One line or (MTEXT) several, joined by `\n`; codes of the format are taken out. */
export interface DxfText extends EntityHead {
  readonly kind: 'text';
  /** The point the text is set from: its alignment point where it has one. */
  readonly at: Vec;
  readonly height: number;
  /** Degrees counter-clockwise. */
  readonly rotation: number;
  readonly text: string;
}

export type DxfEntity =
  | DxfLine
  | DxfArc
  | DxfCircle
  | DxfEllipse
  | DxfPolyline
  | DxfSpline
  | DxfInsert
  | DxfPoint
  | DxfText;

export interface DxfLayer {
  readonly name: string;
  readonly off: boolean;
  readonly frozen: boolean;
  /** Index into the colour table of every reader. */
  readonly colour: number;
}

export interface DxfBlock {
  readonly name: string;
  readonly base: Vec;
  readonly layer: string;
  readonly entities: readonly DxfEntity[];
  readonly lineNumber: number;
}

export interface DxfFile {
  /** As given by the caller, for messages. */
  readonly name: string;
  /** `$ACADVER`, such as `AC1012`; undefined when the file does not say. */
  readonly version: string | undefined;
  /** How its bytes were read, as a name of the encoding standard: `utf-8`, `windows-1252`, ... */
  readonly encoding: string;
  /** Header variables by name with the `$`, each with its groups. */
  readonly header: ReadonlyMap<string, readonly DxfGroup[]>;
  /** `$INSUNITS`: 0 none, 1 inches, 4 millimetres, 5 centimetres, 6 metres, ...; undefined when it is not there. */
  readonly insUnits: number | undefined;
  /** `$MEASUREMENT`: 0 English, 1 metric. Many writers leave a default there: a hint, no proof. */
  readonly measurement: number | undefined;
  readonly layers: readonly DxfLayer[];
  /** In the order of the file; a name may be there twice. */
  readonly blocks: readonly DxfBlock[];
  /** The drawing itself, paper space left out. */
  readonly entities: readonly DxfEntity[];
  readonly dropped: readonly DxfDropped[];
  /** Whether the file came to its `EOF`; otherwise the last thing in it was dropped. */
  readonly complete: boolean;
}

/** Where a flat shape came from: names of the blocks it lay in, outermost first; empty for the drawing itself. */
interface FlatHead extends EntityHead {
  readonly blocks: readonly string[];
}

/** A chain of lines and cubics without empty segments. A closed one ends exactly where it starts. */
export interface FlatPath extends FlatHead {
  readonly path: Path;
  /** The entity was flagged closed, or its ends meet. */
  readonly closed: boolean;
}

export interface FlatPoint extends FlatHead {
  readonly at: Vec;
  readonly z: number;
  readonly thickness: number;
  readonly angle: number | undefined;
}

export interface FlatText extends FlatHead {
  readonly at: Vec;
  readonly height: number;
  readonly rotation: number;
  readonly text: string;
}

/** A drawing with every INSERT resolved, in the order of the file, lengths times `scale`. */
export interface FlatDrawing {
  readonly paths: readonly FlatPath[];
  readonly points: readonly FlatPoint[];
  readonly texts: readonly FlatText[];
  /** What unfolding had to leave out; what reading left out is in `DxfFile.dropped`. */
  readonly dropped: readonly DxfDropped[];
}

/** One block unfolded in its own frame. */
export interface BlockDrawing extends FlatDrawing {
  readonly block: DxfBlock;
}

export interface FlattenOptions {
  /** Greatest distance of a chain from an arc, ellipse or rational spline it stands for, after scaling. Default 0.01. */
  readonly tolerance?: number;
  /** Millimetres per drawing unit. Default 1: lengths stay in drawing units. */
  readonly scale?: number;
  /** Stretches the default limits. */
  readonly limits?: Partial<DxfLimits>;
}

/** How much a file may ask for. Beyond a limit reading stops with an error that names it. */
export interface DxfLimits {
  /** Bytes of the file. */
  readonly bytes: number;
  /** Records (`0` groups). */
  readonly records: number;
  /** Vertices, knots and control points, in the file and again after unfolding. */
  readonly vertices: number;
  /** How deep INSERTs may stand in blocks. */
  readonly nesting: number;
  /** Block copies that unfolding makes, every cell of an array counted. */
  readonly copies: number;
  /** Largest coordinate or length, drawing units; what lies beyond is dropped. */
  readonly extent: number;
}
