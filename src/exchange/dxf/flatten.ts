import { InputError } from '../../errors.js';
import { flattenCounts, line, mapPoints, type Path, type Segment } from '../../geometry/path.js';
import { distance, perp, samePoint, scale as times, type Vec } from '../../geometry/vec.js';
import { splinePath } from './bspline.js';
import { ellipticArc, mappedAngle, polylinePath, sweepDegrees, sweepRadians } from './curves.js';
import { Drops, DXF_LIMITS } from './limits.js';
import type {
  BlockDrawing,
  DxfBlock,
  DxfEntity,
  DxfFile,
  DxfInsert,
  DxfLimits,
  FlatDrawing,
  FlatPath,
  FlatPoint,
  FlatText,
  FlattenOptions,
} from './types.js';

export const FLATTEN_DEFAULTS = { tolerance: 0.01, scale: 1 } as const;

/** Whoever takes the curves draws them as chords: all of them, to a tenth of a millimetre, need no more than these. */
const MOST_CHORDS = 5_000_000;
const COARSE = 0.1;

/** x -> a x + b y + e, y -> c x + d y + f. */
type Affine = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

interface Place {
  readonly map: Affine;
  /** Names of the blocks this lies in, outermost first. */
  readonly blocks: readonly string[];
  /** What layer `0` inside a block stands for (DXF reference: the layer of the INSERT). */
  readonly layer: string | undefined;
}

/**
 * A drawing as chains of lines and cubics, points and texts, every INSERT resolved with its scale, rotation,
 * mirroring and array. A block that contains itself, or is not there, is left out and counted. Work grows with
 * the shapes that come out, which are limited.
 *
 * @throws InputError when INSERTs unfold into more copies or vertices than the limits allow, or curves into chords.
 */
export function flattenEntities(file: DxfFile, options: FlattenOptions = {}): FlatDrawing {
  const { scale, tolerance } = { ...FLATTEN_DEFAULTS, ...options };
  const unfold = new Unfolding(new Shared(file, options), tolerance);
  unfold.all(file.entities, { map: [scale, 0, 0, scale, 0, 0], blocks: [], layer: undefined });
  return unfold.result();
}

/**
 * Every block of the file by itself, in its own frame (its base point at the origin), as `flattenEntities` does it;
 * the limits hold for all of them together.
 *
 * @throws InputError as `flattenEntities` does.
 */
export function flattenBlocks(file: DxfFile, options: FlattenOptions = {}): BlockDrawing[] {
  const { scale, tolerance } = { ...FLATTEN_DEFAULTS, ...options };
  const shared = new Shared(file, options);
  return file.blocks.map((block) => {
    const unfold = new Unfolding(shared, tolerance);
    const [x, y] = block.base;
    const map: Affine = [scale, 0, 0, scale, -x * scale, -y * scale];
    unfold.all(block.entities, { map, blocks: [block.name], layer: undefined });
    return { block, ...unfold.result() };
  });
}

/** Blocks by name, and what has been unfolded so far. */
class Shared {
  readonly file: DxfFile;
  readonly limits: DxfLimits;
  readonly blocks = new Map<string, DxfBlock>();
  copies = 0;
  vertices = 0;
  chords = 0;

  constructor(file: DxfFile, options: FlattenOptions) {
    this.file = file;
    this.limits = { ...DXF_LIMITS, ...options.limits };
    for (const block of file.blocks) {
      const key = block.name.toUpperCase();
      if (!this.blocks.has(key)) this.blocks.set(key, block);
    }
  }
}

class Unfolding {
  readonly #drops = new Drops();
  readonly #paths: FlatPath[] = [];
  readonly #points: FlatPoint[] = [];
  readonly #texts: FlatText[] = [];
  readonly #shared: Shared;
  readonly #limits: DxfLimits;
  readonly #tolerance: number;

  constructor(shared: Shared, tolerance: number) {
    this.#shared = shared;
    this.#limits = shared.limits;
    this.#tolerance = tolerance;
  }

  result(): FlatDrawing {
    return { paths: this.#paths, points: this.#points, texts: this.#texts, dropped: this.#drops.list() };
  }

  all(entities: readonly DxfEntity[], place: Place): void {
    for (const entity of entities) {
      // Whatever comes of it: a copy of a million shapes without length is work too.
      this.#count(1, entity.lineNumber);
      if (entity.kind === 'insert') this.#insert(entity, place);
      else this.#shape(entity, place);
    }
  }

  #shape(entity: Exclude<DxfEntity, DxfInsert>, place: Place): void {
    const { lineNumber } = entity;
    const { map, blocks } = place;
    const layer = entity.layer === '0' && place.layer !== undefined ? place.layer : entity.layer;
    const head = { layer, lineNumber, blocks };
    if (entity.kind === 'point') {
      const { at, z, thickness, angle } = entity;
      const k = meanScale(map);
      if (!this.#isNear([apply(map, at)], 'POINT', lineNumber)) return;
      this.#points.push({
        ...head,
        at: apply(map, at),
        z: z * k,
        thickness: thickness * k,
        angle: angle === undefined ? undefined : mappedAngle(angle, linear(map)),
      });
    } else if (entity.kind === 'text') {
      const { at, height, rotation, text } = entity;
      if (!this.#isNear([apply(map, at)], 'TEXT', lineNumber)) return;
      this.#texts.push({
        ...head,
        at: apply(map, at),
        height: height * meanScale(map),
        rotation: mappedAngle(rotation, linear(map)),
        text,
      });
    } else {
      const noun = NOUNS[entity.kind];
      const chain = chainOf(entity, this.#tolerance / greatestScale(map), this.#limits.vertices);
      if (typeof chain === 'string') {
        this.#drops.add(`${noun} ${chain}`, lineNumber);
        return;
      }
      this.#count(chain.length, lineNumber);
      const path = mapPoints(chain, (p) => apply(map, p)).filter(hasLength);
      if (path.length === 0) this.#drops.add(`${noun} without length`, lineNumber);
      else if (this.#isNear(path.flatMap(controls), noun, lineNumber)) {
        this.#countChords(path, lineNumber);
        const closed = samePoint(path[0]!.a, path[path.length - 1]!.b, 0);
        this.#paths.push({ ...head, path, closed });
      }
    }
  }

  #isNear(points: readonly Vec[], noun: string, line: number): boolean {
    const { extent } = this.#limits;
    const near = points.every(([x, y]) => Math.abs(x) <= extent && Math.abs(y) <= extent);
    if (!near) this.#drops.add(`${noun} that reaches beyond ${extent} units`, line);
    return near;
  }

  #insert(insert: DxfInsert, place: Place): void {
    const { lineNumber } = insert;
    const block = this.#shared.blocks.get(insert.block.toUpperCase());
    const fault = this.#faultOf(insert, block, place);
    if (fault !== undefined || !block) {
      this.#drops.add(`INSERT ${fault}`, lineNumber);
      return;
    }
    const cells = insert.columns * insert.rows;
    this.#shared.copies += cells;
    if (this.#shared.copies > this.#limits.copies) {
      throw new InputError(`the blocks of the DXF unfold into more than ${this.#limits.copies} copies`, {
        mend: 'explode the arrays you need, or leave out what is repeated for decoration',
        place: { file: this.#shared.file.name, line: lineNumber },
      });
    }
    const inside = {
      blocks: [...place.blocks, block.name],
      layer: insert.layer === '0' ? place.layer : insert.layer,
    };
    const turn = Math.PI / 180;
    const [cos, sin] = [exact(Math.cos(insert.rotation * turn)), exact(Math.sin(insert.rotation * turn))];
    for (let row = 0; row < insert.rows; row++) {
      for (let column = 0; column < insert.columns; column++) {
        const [dx, dy] = [column * insert.columnSpacing, row * insert.rowSpacing];
        const local: Affine = [
          cos * insert.scaleX,
          -sin * insert.scaleY,
          sin * insert.scaleX,
          cos * insert.scaleY,
          insert.at[0] + cos * dx - sin * dy,
          insert.at[1] + sin * dx + cos * dy,
        ];
        const [bx, by] = block.base;
        const map = composed(composed(place.map, local), [1, 0, 0, 1, -bx, -by]);
        if (!reasonable(map, this.#limits.extent)) {
          this.#drops.add('INSERT that is scaled or moved out of reason', lineNumber);
          continue;
        }
        this.all(block.entities, { ...inside, map });
      }
    }
  }

  #faultOf(insert: DxfInsert, block: DxfBlock | undefined, place: Place): string | undefined {
    const name = insert.block.slice(0, 60);
    if (!block) return `of the block '${name}', which is not there`;
    if (insert.scaleX === 0 || insert.scaleY === 0) return 'with a scale of 0';
    if (place.blocks.includes(block.name)) return `of the block '${name}' in itself`;
    const deep = place.blocks.length >= this.#limits.nesting;
    return deep ? `deeper than ${this.#limits.nesting} blocks` : undefined;
  }

  #countChords(path: Path, line: number): void {
    for (const chords of flattenCounts(path, COARSE)) this.#shared.chords += chords;
    if (this.#shared.chords <= MOST_CHORDS) return;
    throw new InputError('the curves of the DXF are too long to be drawn as chords', {
      mend: 'look for a curve that runs far off, or export curves as polylines',
      place: { file: this.#shared.file.name, line },
    });
  }

  #count(vertices: number, line: number): void {
    this.#shared.vertices += vertices;
    if (this.#shared.vertices <= this.#limits.vertices) return;
    throw new InputError(`the DXF unfolds into more than ${this.#limits.vertices} vertices`, {
      mend: 'leave out what is repeated, or export fewer pieces at a time',
      place: { file: this.#shared.file.name, line },
    });
  }
}

type Curve = Exclude<DxfEntity, { kind: 'insert' | 'point' | 'text' }>;

const NOUNS: Readonly<Record<Curve['kind'], string>> = {
  line: 'LINE',
  arc: 'ARC',
  circle: 'CIRCLE',
  ellipse: 'ELLIPSE',
  polyline: 'POLYLINE',
  spline: 'SPLINE',
};

/** The chain of one entity, or why it has none. */
function chainOf(entity: Curve, tolerance: number, most: number): Path | string {
  const radians = Math.PI / 180;
  switch (entity.kind) {
    case 'line':
      return distance(entity.a, entity.b) === 0 ? [] : [line(entity.a, entity.b)];
    case 'circle': {
      const { centre, radius } = entity;
      return ellipticArc(centre, [radius, 0], [0, radius], 0, 2 * Math.PI, tolerance);
    }
    case 'arc': {
      const { centre, radius, from, to } = entity;
      const sweep = sweepDegrees(from, to) * radians;
      return ellipticArc(centre, [radius, 0], [0, radius], from * radians, sweep, tolerance);
    }
    case 'ellipse': {
      const { centre, major, ratio, from, to } = entity;
      if (distance(major, [0, 0]) === 0 || ratio === 0) return [];
      const sweep = sweepRadians(from, to);
      return ellipticArc(centre, major, times(perp(major), ratio), from, sweep, tolerance);
    }
    case 'polyline':
      return polylinePath(entity, tolerance);
    case 'spline':
      return splinePath(entity, tolerance, most);
  }
}

const apply = ([a, b, c, d, e, f]: Affine, [x, y]: Vec): Vec => [a * x + b * y + e, c * x + d * y + f];

const linear =
  ([a, b, c, d]: Affine) =>
  ([x, y]: Vec): Vec => [a * x + b * y, c * x + d * y];

/** First `inner`, then `outer`. */
function composed(outer: Affine, inner: Affine): Affine {
  const [a, b, c, d] = outer;
  const [e, f] = apply(outer, [inner[4], inner[5]]);
  return [
    a * inner[0] + b * inner[2],
    a * inner[1] + b * inner[3],
    c * inner[0] + d * inner[2],
    c * inner[1] + d * inner[3],
    e,
    f,
  ];
}

const meanScale = ([a, b, c, d]: Affine): number => Math.sqrt(Math.abs(a * d - b * c));
/** At least the greatest scale of the map in any direction. */
const greatestScale = ([a, b, c, d]: Affine): number => Math.hypot(a, b, c, d);

const controls = (s: Segment): Vec[] => (s.kind === 'line' ? [s.a, s.b] : [s.a, s.c, s.d, s.b]);

const hasLength = (s: Segment): boolean => !controls(s).every((p) => samePoint(p, s.a, 0));

const reasonable = (map: Affine, extent: number): boolean => map.every((v) => Math.abs(v) <= extent);

/** Right angles turn exactly. */
const exact = (v: number): number => (Math.abs(v) < 1e-15 ? 0 : v);
