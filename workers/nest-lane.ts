/** Worker thread of the nesting search: builds its share of the tables, then runs its lanes round by round. */
import { Fields } from '../src/nest/fields.js';
import type { LaneRequest } from '../src/nest/host.js';
import { Lane } from '../src/nest/lane.js';
import { buildPair, type PairPlan, planPairs } from '../src/nest/pairs.js';
import { createProblem, type Problem } from '../src/nest/problem.js';
import { serve } from '../src/threads.js';

let problem: Problem;
let plan: PairPlan;
let fields: Fields;
let lanes: Lane[] = [];

serve((request: LaneRequest) => {
  switch (request.kind) {
    case 'open':
      problem = createProblem(request.instance);
      plan = planPairs(problem);
      return undefined;
    case 'build':
      return request.jobs.map((job) => buildPair(problem, plan.jobs[job]!));
    case 'tables':
      fields = new Fields(request.pools);
      return undefined;
    case 'start':
      lanes = request.lanes.map((lane) => new Lane(problem, fields, request.seed, lane, request.start));
      return undefined;
    case 'round':
      return lanes.map((lane) => lane.round(request.best, request.tightening));
  }
});
