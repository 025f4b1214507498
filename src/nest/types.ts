import type { Vec } from '../geometry/vec.js';

/** One kind of piece, to be placed `demand` times. */
export interface NestItem {
  readonly id: string;
  /** Simple polygon, counter-clockwise, first vertex not repeated, in any unit. */
  readonly polygon: readonly Vec[];
  readonly demand: number;
  /** Allowed rotations in degrees, counter-clockwise. Quarter turns are exact; any other angle is allowed. */
  readonly rotations: readonly number[];
  /**
   * A copy may be turned away from an allowed rotation by so many degrees, either way; a start or pin by fewer too.
   * Default 0, at most 15.
   */
  readonly tilt?: number;
  /** Whether a copy may also be placed mirrored (x -> -x before the rotation). Default false. */
  readonly mirror?: boolean;
  /** One group name per copy: all placements of a group share one rotation. */
  readonly groups?: readonly string[];
  /** One name per copy: the pieces of a span lie within `spanLength` of the instance along the strip. */
  readonly spans?: readonly string[];
  /** Every copy touches this side of the strip: `low` is y = 0, `high` is y = stripWidth. */
  readonly edge?: 'low' | 'high';
}

/** A strip packing instance: width fixed, length to be made small. Unit-free. */
export interface NestInstance {
  readonly name: string;
  readonly stripWidth: number;
  readonly items: readonly NestItem[];
  /** Least Euclidean distance between two pieces. The strip's edges need none. Default 0. */
  readonly gap?: number;
  /**
   * Simple counter-clockwise polygons in the strip's frame that no piece may enter (flaws, splices); pieces keep
   * the gap from them. They may reach beyond the strip and overlap one another, and do not count as used length.
   */
  readonly zones?: readonly (readonly Vec[])[];
  /** Copies that stay exactly where they are put. */
  readonly pins?: readonly Placement[];
  /** Greatest length of strip that the pieces of one span may take; needed where items name spans. */
  readonly spanLength?: number;
  /** A whole layout without fault to improve on, instead of starting anew. */
  readonly start?: readonly Placement[];
}

/**
 * Where one copy lies: the item's polygon is mirrored (x -> -x) if `mirror`, turned counter-clockwise by
 * `rotation` degrees about its own origin, then moved by (x, y). The strip is 0 <= y <= stripWidth, x >= 0.
 */
export interface Placement {
  readonly item: string;
  /** 0-based among the item's copies. */
  readonly copy: number;
  readonly rotation: number;
  readonly mirror: boolean;
  readonly x: number;
  readonly y: number;
}

export type NestPhase = 'start' | 'prepare' | 'search' | 'tighten' | 'done';

/** What a long run reports while it works. */
export interface NestProgress {
  readonly phase: NestPhase;
  /** Seconds since the call. */
  readonly elapsed: number;
  /** Share of the budget used, 0 to 1. */
  readonly fraction: number;
  readonly length: number;
  readonly density: number;
  readonly round: number;
}

/** One improvement: after `seconds` and `round` rounds the best length was `length`. */
export interface TracePoint {
  readonly seconds: number;
  readonly round: number;
  readonly length: number;
}

export interface NestOptions {
  /** Wall-clock budget. Default 10 when `iterations` is not given either. */
  readonly seconds?: number;
  /** Rounds of the search: the reproducible budget. Excludes `seconds`. */
  readonly iterations?: number;
  /** Whole number. Default 1. */
  readonly seed?: number;
  /** Worker threads, 1 to the number of lanes; 0 searches in the calling thread. Default 2. */
  readonly threads?: number;
  /** Independent searches, whatever the threads; part of what the result depends on. Default 2. */
  readonly lanes?: number;
  /** Ends the run; the best layout so far is returned with `stopped` true. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: NestProgress) => void;
}

export interface NestResult {
  readonly name: string;
  /** Used length of the strip. */
  readonly length: number;
  /** Total piece area / (stripWidth x length). */
  readonly density: number;
  readonly placements: readonly Placement[];
  readonly seconds: number;
  /** Rounds done; the same seed, lanes and `iterations` equal to this number give the same placements. */
  readonly iterations: number;
  /** False when the clock or a signal cut a round short, so that `iterations` does not repeat the run. */
  readonly repeatable: boolean;
  readonly seed: number;
  readonly threads: number;
  readonly lanes: number;
  readonly trace: readonly TracePoint[];
  /** Moves of single pieces tried, over all lanes. */
  readonly moves: number;
  /** Seconds spent on tables before the search. */
  readonly preparation: number;
  /** True when the run was ended by its signal. */
  readonly stopped: boolean;
  /** What ended the search early, a thread that ran out of memory for instance; the layout is the best until then. */
  readonly failure?: string;
  /** Whether the exact check passed; a result that fails it is never returned, so this is always true. */
  readonly verified: true;
}
