import { CheckError, InputError } from '../errors.js';
import type { CutPiece } from '../finish/types.js';
import { area, bounds } from '../geometry/polygon.js';
import { type NestInstance, type NestOptions, nest, type Placement, verify } from '../nest/index.js';
import { type Demand, markerDemand, sizesOf } from './counts.js';
import { assertFits, assertSpans } from './fits.js';
import { clothZones, type FlawsPart } from './flaws.js';
import { assignGarments } from './garments.js';
import { markerItems } from './instance.js';
import type { SizeRatio } from './schema.js';
import { type LayFrame, layFrame, spreadOf } from './spread.js';
import type { ClothZone, Fabric, LayOptions, Marker, PlacedPiece } from './types.js';

export interface MarkerSpec {
  readonly name: string;
  readonly style: string;
  /** Cut pieces of every size the ratio names; those of other fabrics are left out. */
  readonly pieces: readonly CutPiece[];
  readonly fabric: Fabric;
  readonly ratio: SizeRatio;
  readonly options: LayOptions;
  /** Flaws and splices of its cloth. */
  readonly flaws?: FlawsPart;
  readonly stamp?: string;
}

/** What a marker holds, checked before any search. */
export interface MarkerPlan {
  readonly spec: MarkerSpec;
  readonly demands: readonly Demand[];
  readonly spare: Marker['spare'];
  readonly frame: LayFrame;
  readonly zones: readonly ClothZone[];
}

/**
 * Looks whether a marker can be laid at all, without searching.
 *
 * @throws InputError when there is nothing to lay, a piece is wider than the fabric, a flaw lies off the cloth or a
 *   garment cannot lie within the shade span; CheckError when the lay mode cannot give a piece's hands.
 */
export function planMarker(spec: MarkerSpec): MarkerPlan {
  const { fabric, options } = spec;
  const { demands, spare } = markerDemand(spec.pieces, fabric, spec.ratio, options);
  if (demands.length === 0) {
    throw new InputError(`marker '${spec.name}' holds no piece of fabric '${fabric.name}'`, {
      mend: 'check its size ratio and the fabric of the pieces',
    });
  }
  const frame = layFrame(fabric, options);
  assertFits(demands, fabric, frame, options);
  assertSpans(demands, fabric, frame, options);
  return { spec, demands, spare, frame, zones: clothZones(spec.flaws ?? {}, frame.width) };
}

/**
 * Lays every piece that a size ratio needs on the fabric, as short as the search finds, and checks the
 * written outlines exactly before it returns them.
 *
 * @throws what `planMarker` throws, and CheckError when the exact check fails.
 */
export async function layMarker(spec: MarkerSpec, search: NestOptions = {}): Promise<Marker> {
  const plan = planMarker(spec);
  const { demands, spare, frame, zones } = plan;
  const { fabric, options } = spec;
  const { instance, place } = itemsOf(plan);
  const found = await nest(instance, search).catch((error: unknown) => Promise.reject(inTrade(error, spec)));
  const placed = numbered(spec, demands, found.placements, place);
  const length = Math.max(...placed.map((p) => bounds(p.outline).maxX)) + options.endMargin;
  assertVerified(plan, placed, length);
  const spread = spreadOf(fabric);
  return {
    name: spec.name,
    style: spec.style,
    fabric,
    options,
    ratio: spec.ratio,
    sizes: sizesOf(spec.pieces),
    width: frame.width,
    length,
    pieces: placed,
    spread,
    layers: spread.layers,
    ...(zones.length > 0 ? { zones } : {}),
    spare,
    efficiency: placed.reduce((sum, p) => sum + area(p.outline), 0) / (frame.width * length),
    search: {
      seconds: found.seconds,
      seed: found.seed,
      threads: found.threads,
      rounds: found.iterations,
      ...(found.failure === undefined ? {} : { failure: found.failure }),
    },
    verified: true,
    ...(spec.stamp === undefined ? {} : { stamp: spec.stamp }),
  };
}

/** The engine knows no garments: where it finds no room for one within the shade span, that is said here. */
function inTrade(error: unknown, { name, options }: MarkerSpec): unknown {
  const { shadeSpan } = options;
  if (!(error instanceof InputError) || shadeSpan === undefined || !error.message.includes('span'))
    return error;
  return new InputError(
    `marker '${name}': no place was found for every garment within ${(shadeSpan / 10).toFixed(1)} cm of cloth`,
    { mend: 'give a longer shade-span, or lay fewer garments that share pieces', cause: error },
  );
}

/** The packing instance of a marker: one item for each of its demands. */
export const markerInstance = (plan: MarkerPlan): NestInstance => itemsOf(plan).instance;

const itemsOf = ({ spec, demands, zones, frame }: MarkerPlan) =>
  markerItems(demands, zones, { name: spec.name, fabric: spec.fabric, options: spec.options, frame });

/** The placed pieces, dealt out to garments and numbered along the cloth. */
function numbered(
  { fabric, options }: MarkerSpec,
  demands: readonly Demand[],
  placements: readonly Placement[],
  place: (placement: Placement) => Pick<PlacedPiece, 'mirrored' | 'rotation' | 'at' | 'outline'>,
): PlacedPiece[] {
  const placed = placements.map((placement) => {
    const demand = demands[Number(placement.item)]!;
    return {
      piece: demand.piece,
      garment: demand.garments[placement.copy]!,
      ...place(placement),
      ...(demand.fold === undefined ? {} : { fold: demand.fold }),
    };
  });
  // With a shade span the search has kept each garment together already.
  const dealt = options.shadeSpan === undefined ? assignGarments(placed, fabric) : placed;
  return dealt
    .sort((p, q) => bounds(p.outline).minX - bounds(q.outline).minX || p.at[1] - q.at[1])
    .map((p, i) => ({ ...p, number: i + 1 }));
}

/** Margins may be short by the rounding of a float, mm. */
const HAIR = 1e-9;

/** Checks what will be written, not what was searched: the outlines as they lie, each on its own. */
export function assertVerified(plan: MarkerPlan, placed: readonly PlacedPiece[], length: number): void {
  const { spec, frame, zones } = plan;
  const { options, name } = spec;
  const items = placed.map((p, i) => ({
    id: String(i),
    polygon: p.outline,
    demand: 1,
    rotations: [0],
    ...(p.fold === undefined ? {} : { edge: p.fold }),
  }));
  const report = verify(
    { name, stripWidth: frame.width, items, gap: options.gap, zones: zones.map((z) => z.outline) },
    items.map(({ id }) => ({ item: id, copy: 0, rotation: 0, mirror: false, x: 0, y: 0 })),
  );
  const outside = placed.find((p) => {
    const box = bounds(p.outline);
    const low = p.fold === 'low' ? 0 : frame.low;
    const high = p.fold === 'high' ? 0 : frame.high;
    return (
      box.minX < options.endMargin - HAIR || box.minY < low - HAIR || box.maxY > frame.width - high + HAIR
    );
  });
  if (report.ok && !outside && Number.isFinite(length)) return;
  const fault =
    report.faults[0]?.message ?? (outside ? `${outside.piece.name} lies in a margin` : 'it has no length');
  throw new CheckError(`marker '${name}' failed its exact check and was not written: ${fault}`, {
    mend: 'this is a fault of the program: please report it with the style file and the seed',
  });
}
