/**
 * Searches side by side in one process: whoever has used the least processor time has the next turn, so that
 * all live through the same minutes of a busy machine.
 */
import type { Snapshot } from '../../../src/nest/layout.js';

export interface Contestant {
  /** The best layout without overlap so far. */
  readonly best: Snapshot;
  readonly moves: number;
  /** A short piece of work. */
  step(): void;
}

export interface Entry {
  readonly name: string;
  readonly search: Contestant;
  /** Processor seconds used before the race, on tables or poles. */
  readonly preparation: number;
}

export interface Track {
  readonly name: string;
  readonly preparation: number;
  /** Processor seconds used, preparation included. */
  seconds: number;
  /** Lengths as they improved: processor seconds, length. */
  readonly trace: (readonly [seconds: number, length: number])[];
}

/** Processor seconds of this process. */
export function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}

/** Gives turns until everyone has used `seconds` of processor time, preparation included. */
export function race(entries: readonly Entry[], seconds: number): Track[] {
  const tracks = entries.map(({ name, preparation, search }): Track => {
    const trace: [number, number][] = [[preparation, search.best.length]];
    return { name, preparation, seconds: preparation, trace };
  });
  for (;;) {
    const next = tracks.reduce((least, track, k) => (track.seconds < tracks[least]!.seconds ? k : least), 0);
    const track = tracks[next]!;
    const { search } = entries[next]!;
    if (track.seconds >= seconds) return tracks;
    const began = processorSeconds();
    search.step();
    track.seconds += processorSeconds() - began;
    const { length } = search.best;
    if (length < track.trace[track.trace.length - 1]![1]) track.trace.push([track.seconds, length]);
  }
}

/** Processor seconds to a layout no longer than `length`, undefined when there was none. */
export const secondsTo = ({ trace }: Track, length: number): number | undefined =>
  trace.find(([, reached]) => reached <= length)?.[0];

/** The least length after `seconds` of processor time. */
export const lengthAfter = ({ trace }: Track, seconds: number): number =>
  trace.findLast(([at]) => at <= seconds)?.[1] ?? trace[0]![1];
