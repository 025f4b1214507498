/** An instance made ready for every scheme, with the processor time that took, and the searches on it. */
import type { Fields } from '../../../src/nest/fields.js';
import type { NestInstance } from '../../../src/nest/index.js';
import { Layout } from '../../../src/nest/layout.js';
import { createProblem, type Problem } from '../../../src/nest/problem.js';
import { boxStart } from '../../../src/nest/start.js';
import { poolsOf } from '../../nest/pools.js';
import { bothFields, EngineSearch } from './engine-search.js';
import { GridCollider } from './grid.js';
import { CircleMeasure, DepthMeasure, type Measure } from './measure.js';
import { type Entry, processorSeconds } from './race.js';
import { SampledSearch } from './sampled-search.js';
import { type Shape, shapesOf } from './shapes.js';
import { TreeCollider } from './tree.js';

export const SCHEMES = {
  engineFast: 'no-fit map, WebAssembly',
  enginePlain: 'no-fit map, plain',
  sampledDepth: 'no-fit depth, sampled',
  circlesGrid: 'circles + grid, sampled',
  circlesTree: 'circles + hierarchy, sampled',
} as const;

export interface Ready {
  readonly problem: Problem;
  readonly fast: Fields;
  readonly plain: Fields;
  readonly shapes: readonly Shape[];
  /** Processor seconds for the no-fit tables, and for the poles. */
  readonly tables: number;
  readonly poles: number;
}

export function makeReady(instance: NestInstance): Ready {
  const problem = createProblem(instance);
  const began = processorSeconds();
  const pools = poolsOf(problem);
  const between = processorSeconds();
  const shapes = shapesOf(problem);
  const poles = processorSeconds() - between;
  return { problem, ...bothFields(pools), shapes, tables: between - began, poles };
}

/** The three measures of the sampled searches, each with positions of its own. */
export function measuresFor({ problem, fast, shapes }: Ready) {
  const { count, width } = problem;
  const { length } = boxStart(problem);
  const circles = (collider: GridCollider | TreeCollider) => new CircleMeasure(shapes, count, collider);
  return {
    sampledDepth: new DepthMeasure(new Layout(problem, fast)),
    circlesGrid: circles(new GridCollider(shapes, count, width, length)),
    circlesTree: circles(new TreeCollider(shapes, count)),
  };
}

/** All searches from the same start. */
export function entriesFor(ready: Ready, seed: number) {
  const { problem, fast, plain, tables, poles } = ready;
  const start = boxStart(problem);
  const measures = measuresFor(ready);
  const sampled = (measure: Measure) => new SampledSearch(new Layout(problem, fast), measure, seed, start);
  const searches = {
    engineFast: new EngineSearch(problem, fast, seed, start),
    enginePlain: new EngineSearch(problem, plain, seed, start),
    sampledDepth: sampled(measures.sampledDepth),
    circlesGrid: sampled(measures.circlesGrid),
    circlesTree: sampled(measures.circlesTree),
  };
  const entries = (Object.keys(SCHEMES) as (keyof typeof SCHEMES)[]).map(
    (key): Entry => ({
      name: SCHEMES[key],
      search: searches[key],
      preparation: key.startsWith('circles') ? poles : tables,
    }),
  );
  return { searches, entries };
}
