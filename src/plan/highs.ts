import highsModule, { type Highs } from 'highs';

/** A linear program with whole-number columns: minimise the sum of cost x value, rows and columns in bounds. */
export interface Program {
  readonly columns: readonly {
    readonly cost: number;
    readonly lower: number;
    readonly upper: number;
    readonly whole: boolean;
  }[];
  readonly rows: readonly {
    readonly lower: number;
    readonly upper: number;
    /** Column index and coefficient; no column twice. */
    readonly entries: readonly (readonly [column: number, value: number])[];
  }[];
  /** Values of all columns that are known to be allowed, to start from. */
  readonly start?: readonly number[];
}

/** When to stop. Gap and nodes are the same on every machine; seconds are a safety that the result tells of. */
export interface SolveLimits {
  /** Relative gap between value and bound. */
  readonly gap: number;
  readonly nodes: number;
  readonly seconds: number;
}

export interface Solved {
  /** `unsolved`: the solver gave up for a reason of its own. */
  readonly status: 'gap reached' | 'node limit' | 'time limit' | 'infeasible' | 'unsolved';
  /** Left out when no allowed values were found. Values of whole columns may be off by a rounding error. */
  readonly values?: readonly number[];
  readonly value?: number;
  /** Lower bound of the program. */
  readonly bound?: number;
  readonly nodes: number;
  /** Shadow prices of the rows; only of a program without whole columns. */
  readonly duals?: readonly number[];
}

/** Solves a program somewhere: in this thread, or in a worker. */
export type Solve = (program: Program, limits: SolveLimits) => Promise<Solved>;

// The package's types describe its CommonJS file; the module that Node loads exports the loader itself.
const highsLoader = highsModule as unknown as typeof highsModule.default;
let runtime: Promise<Highs> | undefined;

/**
 * Solves a program with HiGHS in the calling thread, one thread and a fixed seed. An infeasible program is a
 * status; a malformed one throws.
 */
export const solveHere: Solve = async (program, limits) => {
  runtime ??= highsLoader();
  const highs = await runtime;
  const integer = program.columns.some((c) => c.whole);
  return highs.withModel((model): Solved => {
    model.options.set({
      output_flag: false,
      random_seed: 0,
      time_limit: limits.seconds,
      mip_max_nodes: limits.nodes,
      mip_rel_gap: limits.gap,
      mip_abs_gap: 1e-6,
    });
    model.passModel(modelOf(highs, program));
    if (program.start) model.setSolution({ colValue: [...program.start] });
    const { modelStatus } = model.run();
    const status = statusOf(highs, modelStatus);
    const nodes = integer ? Number(model.info.get('mip_node_count')) : 0;
    if (Number(model.info.get('primal_solution_status')) !== FEASIBLE) return { status, nodes };
    const solution = model.getSolution();
    const bound = integer ? Number(model.info.get('mip_dual_bound')) : model.getObjectiveValue();
    return {
      status,
      nodes,
      values: [...solution.colValue],
      value: model.getObjectiveValue(),
      ...(Number.isFinite(bound) ? { bound } : {}),
      ...(integer ? {} : { duals: [...solution.rowDual] }),
    };
  });
};

/** HiGHS' code for a solution that holds all rows and bounds. */
const FEASIBLE = 2;

function statusOf(highs: Highs, code: number): Solved['status'] {
  const known = highs.constants.modelStatus;
  switch (code) {
    case known.optimal:
    case known.empty:
      return 'gap reached';
    case known.infeasible:
    case known.unboundedOrInfeasible:
      return 'infeasible';
    case known.timeLimit:
      return 'time limit';
    case known.iterationLimit:
    case known.solutionLimit:
      return 'node limit';
    default:
      return 'unsolved';
  }
}

function modelOf(highs: Highs, { columns, rows }: Program) {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const row of rows) {
    for (const [column, value] of row.entries) {
      indices.push(column);
      values.push(value);
    }
    starts.push(indices.length);
  }
  const { integer, continuous } = highs.constants.variableType;
  return {
    numCols: columns.length,
    numRows: rows.length,
    sense: highs.constants.objectiveSense.minimize,
    colCost: columns.map((c) => c.cost),
    colLower: columns.map((c) => c.lower),
    colUpper: columns.map((c) => c.upper),
    rowLower: rows.map((r) => r.lower),
    rowUpper: rows.map((r) => r.upper),
    matrix: {
      format: 'csr' as const,
      numRows: rows.length,
      numCols: columns.length,
      starts,
      indices,
      values,
    },
    integrality: columns.map((c) => (c.whole ? integer : continuous)),
  };
}
