/** Worker thread of the integer programs: HiGHS blocks its thread while it solves. */
import { type Program, type SolveLimits, solveHere } from '../src/plan/highs.js';
import { serve } from '../src/threads.js';

serve(({ program, limits }: { program: Program; limits: SolveLimits }) => solveHere(program, limits));
