import { CheckError, InputError } from '../errors.js';
import type { CutPiece } from '../finish/types.js';
import { area, bounds, type Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import {
  type NestInstance,
  type NestItem,
  type NestOptions,
  nest,
  type Placement,
  verify,
} from '../nest/index.js';
import { type Demand, markerDemand } from './counts.js';
import { toMarker, walesAlong } from './frame.js';
import { assignGarments } from './garments.js';
import type { SizeRatio } from './schema.js';
import type { Fabric, LayOptions, Marker, Orientation, PlacedPiece } from './types.js';

export interface MarkerSpec {
  readonly name: string;
  readonly style: string;
  /** Cut pieces of every size the ratio names; those of other fabrics are left out. */
  readonly pieces: readonly CutPiece[];
  readonly fabric: Fabric;
  readonly ratio: SizeRatio;
  readonly options: LayOptions;
  readonly stamp?: string;
}

/** Kept free at the folds of a tube, mm: a piece cut on the fold would stay joined to its twin below. */
const TUBE_FOLD_MARGIN = 5;

/** What a marker holds, checked before any search. */
interface Plan {
  readonly spec: MarkerSpec;
  readonly demands: readonly Demand[];
  readonly spare: Marker['spare'];
  readonly stripWidth: number;
}

/**
 * Looks whether a marker can be laid at all, without searching.
 *
 * @throws InputError when there is nothing to lay or a piece is wider than the fabric; CheckError when a tube
 *   cannot give a piece.
 */
export function planMarker(asked: MarkerSpec): Plan {
  const { fabric } = asked;
  const sideMargin = Math.max(asked.options.sideMargin, fabric.mode === 'tubular' ? TUBE_FOLD_MARGIN : 0);
  const spec = { ...asked, options: { ...asked.options, sideMargin } };
  const { demands, spare } = markerDemand(spec.pieces, fabric, spec.ratio);
  if (demands.length === 0) {
    throw new InputError(`marker '${spec.name}' holds no piece of fabric '${fabric.name}'`, {
      mend: 'check its size ratio and the fabric of the pieces',
    });
  }
  const stripWidth = fabric.usableWidth - 2 * sideMargin;
  assertFits(demands, fabric, stripWidth);
  return { spec, demands, spare, stripWidth };
}

/**
 * Lays every piece that a size ratio needs on the fabric, as short as the search finds, and checks the
 * written outlines exactly before it returns them.
 *
 * @throws what `planMarker` throws, and CheckError when the exact check fails.
 */
export async function layMarker(asked: MarkerSpec, search: NestOptions = {}): Promise<Marker> {
  const { spec, demands, spare, stripWidth } = planMarker(asked);
  const { fabric, options } = spec;
  const found = await nest(markerInstance({ spec, demands, spare, stripWidth }), search);
  const placed = placePieces(demands, found.placements, options);
  const length = Math.max(...placed.map((p) => bounds(p.outline).maxX)) + options.endMargin;
  assertVerified(spec, placed, length);
  const marker: Marker = {
    name: spec.name,
    style: spec.style,
    fabric,
    options,
    ratio: spec.ratio,
    width: fabric.usableWidth,
    length,
    pieces: placed,
    layers: fabric.mode === 'tubular' ? 2 : 1,
    spare,
    efficiency: placed.reduce((sum, p) => sum + area(p.outline), 0) / (fabric.usableWidth * length),
    search: {
      seconds: found.seconds,
      seed: found.seed,
      threads: found.threads,
      rounds: found.iterations,
    },
    verified: true,
  };
  return spec.stamp === undefined ? marker : { ...marker, stamp: spec.stamp };
}

/** The packing instance of a marker: one item for each of its demands. */
export const markerInstance = ({ spec, demands, stripWidth }: Plan): NestInstance => ({
  name: spec.name,
  stripWidth,
  items: demands.map((demand, i) => nestItem(demand, i, spec.fabric)),
  gap: spec.options.gap,
});

/** Turns a piece may lie in: the wales along the fabric unless its greatest stretch must run there instead. */
export function allowedRotations(
  piece: Pick<CutPiece, 'stretch'>,
  orientation: Orientation,
): readonly number[] {
  const turn = piece.stretch?.along === 'wale' ? 90 : 0;
  return orientation === 'one-way' ? [turn] : [turn, turn + 180];
}

function nestItem(demand: Demand, index: number, fabric: Fabric): NestItem {
  const sharesTurn = fabric.orientation === 'garment-one-way' && fabric.mode === 'single';
  // A placement in a tube may serve two garments: garments laid one way each then all lie one way.
  const orientation =
    fabric.orientation === 'garment-one-way' && !sharesTurn ? 'one-way' : fabric.orientation;
  return {
    id: String(index),
    polygon: inMarkerFrame(demand),
    demand: demand.garments.length,
    rotations: allowedRotations(demand.piece, orientation),
    ...(sharesTurn ? { groups: demand.garments } : {}),
  };
}

/** The cut line with the wales along the fabric; a mirrored polygon is reversed to stay counter-clockwise. */
function inMarkerFrame(demand: Demand): Polygon {
  const map = toMarker({ mirrored: demand.mirrored, rotation: 0, at: [0, 0] });
  const outline = demand.piece.cut.map(map);
  return demand.mirrored ? outline.reverse() : outline;
}

function placePieces(
  demands: readonly Demand[],
  placements: readonly Placement[],
  options: LayOptions,
): PlacedPiece[] {
  const placed = placements.map((placement) => {
    const demand = demands[Number(placement.item)]!;
    const at: Vec = [placement.x + options.endMargin, placement.y + options.sideMargin];
    const pose = { mirrored: demand.mirrored, rotation: placement.rotation, at };
    const outline = demand.piece.cut.map(toMarker(pose));
    return {
      piece: demand.piece,
      garment: demand.garments[placement.copy]!,
      ...pose,
      outline: demand.mirrored ? outline.reverse() : outline,
    };
  });
  return assignGarments(placed)
    .sort((p, q) => bounds(p.outline).minX - bounds(q.outline).minX || p.at[1] - q.at[1])
    .map((p, i) => ({ ...p, number: i + 1 }));
}

/** @throws InputError naming the widest piece, when it does not fit. */
function assertFits(demands: readonly Demand[], fabric: Fabric, stripWidth: number): void {
  const across = ({ piece }: Demand) => {
    const { minX, maxX, minY, maxY } = bounds(piece.cut.map(walesAlong));
    return piece.stretch?.along === 'wale' ? maxX - minX : maxY - minY;
  };
  const widest = demands.reduce((a, b) => (across(b) > across(a) ? b : a));
  if (across(widest) <= stripWidth) return;
  throw new InputError(
    `piece '${widest.piece.name}' in size ${widest.piece.size} is ${across(widest).toFixed(1)} mm wide and the fabric '${fabric.name}' has ${stripWidth.toFixed(1)} mm to lay it on`,
    { mend: 'use a wider fabric or cut the piece in more parts' },
  );
}

/** Checks what will be written, not what was searched: the outlines as they lie, each on its own. */
function assertVerified(spec: MarkerSpec, placed: readonly PlacedPiece[], length: number): void {
  const { options, fabric } = spec;
  const items = placed.map((p, i) => ({
    id: String(i),
    polygon: p.outline.map(([x, y]): Vec => [x - options.endMargin, y - options.sideMargin]),
    demand: 1,
    rotations: [0],
  }));
  const report = verify(
    { name: spec.name, stripWidth: fabric.usableWidth - 2 * options.sideMargin, items, gap: options.gap },
    items.map(({ id }) => ({ item: id, copy: 0, rotation: 0, mirror: false, x: 0, y: 0 })),
  );
  if (!report.ok || !Number.isFinite(length)) {
    throw new CheckError(
      `marker '${spec.name}' failed its exact check and was not written: ${report.faults[0]?.message ?? ''}`,
      {
        mend: 'this is a fault of the program: please report it with the style file and the seed',
      },
    );
  }
}
