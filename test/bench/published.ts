import { readFileSync } from 'node:fs';

/** Densities, in per cent, that others published for an instance, and what this project asks of itself. */
export interface Published {
  readonly best: number;
  readonly average: number;
  /** Best average before the paper that gives `average`. */
  readonly before: number;
  /** Mean density to reach, by seconds. */
  readonly floors: Readonly<Record<string, number>>;
}

export interface PublishedTable {
  readonly source: string;
  readonly instances: Readonly<Record<string, Published>>;
}

/** The table kept beside this file's source; instances it does not know are measured all the same. */
export function readPublished(): PublishedTable {
  // Compiled code lies in dist/test/bench; the data stay with the sources.
  const inDist = import.meta.url.includes('/dist/test/bench/');
  const url = new URL(inDist ? '../../../test/bench/published.json' : 'published.json', import.meta.url);
  return JSON.parse(readFileSync(url, 'utf8')) as PublishedTable;
}
