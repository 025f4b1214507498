import { InputError, suggest } from '../errors.js';
import type { Fabric } from '../lay/index.js';
import {
  type Knowledge,
  knowledge,
  layAll,
  type PlanEffects,
  ROUNDS,
  stoppable,
  typicalCounts,
} from './agree.js';
import { markerName, ratioOf } from './assemble.js';
import { generateColumns } from './columns.js';
import { fabricContent } from './content.js';
import { demandOf } from './demand.js';
import { exactOrder, onlyColours, quantities } from './order.js';
import { fabricTasks, type PlanSpec } from './plan.js';
import { type Column, clothOf, type FabricTask, factsOf, groupOf, pliesStep } from './pricing.js';
import { SOLVE_DEFAULTS } from './solve.js';
import { leastClothProgram, type StockLane, type StockProgram, stockProgram } from './stock-program.js';
import type { LengthSource, Order, Quantities } from './types.js';

/** One roll of cloth that is there. */
export interface Stock {
  readonly fabric: string;
  readonly colour: string;
  readonly metres: number;
  /** Usable width, mm, where it is not the fabric's own. */
  readonly width?: number;
}

/** How a roll is cut. */
export interface StockUse {
  readonly stock: Stock;
  readonly markers: readonly {
    readonly name: string;
    readonly ratio: Readonly<Record<string, number>>;
    readonly plies: number;
    /** Off the roll, per ply. */
    readonly metres: number;
    readonly source: LengthSource;
    /** Half width of the band of 90 %, as a share of the length; only where modelled. */
    readonly band?: number;
  }[];
  /** Metres cut off the roll. */
  readonly used: number;
}

export interface OnHand {
  /** The largest part of the order, in its ratio, that the cloth gives. */
  readonly cut: Quantities;
  /** What is left of the order. */
  readonly shortfall: Quantities;
  readonly uses: readonly StockUse[];
  /** Cloth to get for the shortfall, metres off the roll at the fabric's own width. */
  readonly missing: readonly { readonly fabric: string; readonly colour: string; readonly metres: number }[];
  /** Fabrics nothing was said of: taken to be there as needed. */
  readonly assumed: readonly string[];
  readonly source: LengthSource;
  /** Whether every program was solved to its optimum over the size ratios it had. */
  readonly proven: boolean;
}

/** Gap 0: garments are counted. */
const LIMITS = { ...SOLVE_DEFAULTS, gap: 0 };

interface Place {
  readonly task: FabricTask;
  readonly known: Knowledge;
}

/**
 * The largest order in the wanted ratio that the cloth at hand gives, colour by colour, and what is missing for
 * the rest. Every garment needs all its fabrics; a ply is of one roll; markers keep the limits of the table.
 * Every size stays within one garment of the ratio of the order.
 *
 * @throws InputError for a fabric or colour that is not in the order; what `fabricTasks` throws.
 */
export async function cutFromStock(
  spec: PlanSpec,
  stocks: readonly Stock[],
  given: PlanEffects,
): Promise<OnHand> {
  const effects = { ...given, solve: stoppable(given.solve, given.signal) };
  const tasks = fabricTasks(spec);
  assertKnown(stocks, tasks, spec.order);
  const places = new Map<string, Place>();
  const placeOf = (fabric: string, width?: number): Place => {
    const key = `${fabric}/${width ?? ''}`;
    const found = places.get(key);
    if (found) return found;
    const own = tasks.find((task) => task.fabric.name === fabric)!;
    const place = { task: atWidth(own, spec, width), known: knowledge(spec.model) };
    places.set(key, place);
    return place;
  };
  const listed = [...new Set(stocks.map((stock) => stock.fabric))];
  const sizes = tasks[0]!.content.sizes.map(({ size }) => size);
  const cells: { colour: string; size: string; cut: number; left: number }[] = [];
  const uses: StockUse[] = [];
  const missing: { fabric: string; colour: string; metres: number }[] = [];
  let proven = true;
  for (const colour of spec.order.colours) {
    const ordered = sizes.map(
      (size) => spec.order.cells.find((c) => c.colour === colour && c.size === size)?.ordered ?? 0,
    );
    const own = stocks.filter((stock) => stock.colour === colour);
    const able = listed.every((fabric) => own.some((stock) => stock.fabric === fabric));
    const order = onlyColours({ ...spec.order, sizes }, [colour]);
    const found = able ? await cutColour(ordered, order, own, placeOf, effects) : nothing(sizes, own);
    uses.push(...found.uses);
    proven &&= found.proven;
    const left = ordered.map((n, s) => n - found.garments[s]!);
    sizes.forEach((size, s) => {
      cells.push({ colour, size, cut: found.garments[s]!, left: left[s]! });
    });
    if (left.every((n) => n === 0)) continue;
    for (const fabric of listed) {
      const metres = await clothFor(colour, sizes, left, placeOf(fabric), effects);
      missing.push({ fabric, colour, metres });
    }
  }
  return {
    cut: quantities(cells, (cell) => cell.cut),
    shortfall: quantities(cells, (cell) => cell.left),
    uses,
    missing,
    assumed: tasks.map((task) => task.fabric.name).filter((name) => !listed.includes(name)),
    source: uses.every((use) => use.markers.every((m) => m.source === 'nested')) ? 'nested' : 'modelled',
    proven,
  };
}

interface ColourCut {
  readonly garments: readonly number[];
  readonly uses: readonly StockUse[];
  readonly proven: boolean;
}

const nothing = (sizes: readonly string[], stocks: readonly Stock[]): ColourCut => ({
  garments: sizes.map(() => 0),
  uses: stocks.map((stock) => ({ stock, markers: [], used: 0 })),
  proven: true,
});

/** Solves for one colour; nests what was chosen and solves again, until only nested markers are chosen. */
async function cutColour(
  ordered: readonly number[],
  order: Order,
  stocks: readonly Stock[],
  placeOf: (fabric: string, width?: number) => Place,
  effects: PlanEffects,
): Promise<ColourCut> {
  let last: ColourCut | undefined;
  for (let round = 1; ; round++) {
    const lanes: StockLane[] = [];
    for (const stock of stocks) {
      const { task, known } = placeOf(stock.fabric, stock.width);
      const columns = await columnsFor(task, known, order, effects);
      lanes.push({
        fabric: stock.fabric,
        metres: stock.metres,
        step: pliesStep(task.fabric),
        columns: columns.map((column) => ({ column, metres: metresOf(task, column) })),
      });
    }
    const { plies, garments, proven, found } = await solved(stockProgram(ordered, lanes), effects);
    // Stopped in between: what was chosen before stands, at the lengths it was chosen by.
    if (!found && last) return { ...last, proven: false };
    const uses = stocks.map((stock, l): StockUse => {
      const { task } = placeOf(stock.fabric, stock.width);
      return useOf(task, stock, lanes[l]!, plies[l]!);
    });
    last = { garments, uses, proven };
    let laid = false;
    if (effects.nest && round < (effects.rounds ?? ROUNDS)) {
      for (const [l, stock] of stocks.entries()) {
        const { task, known } = placeOf(stock.fabric, stock.width);
        const missing = lanes[l]!.columns.filter(
          ({ column }, j) =>
            plies[l]![j]! > 0 && column.source === 'modelled' && !known.markers.has(column.counts.join('-')),
        );
        if (missing.length === 0) continue;
        laid = true;
        await layAll(task, missing, known, effects.nest, effects, round);
      }
    }
    if (!laid) return last;
  }
}

async function columnsFor(
  task: FabricTask,
  known: Knowledge,
  order: Order,
  { solve, signal }: PlanEffects,
): Promise<readonly Column[]> {
  const options = {
    nested: known.columns,
    banned: known.banned,
    short: task.content.sizes.map(() => 0),
    signal,
  };
  return (await generateColumns(task, known.model, demandOf(order), options, solve)).columns;
}

async function solved({ program, read }: StockProgram, { solve, limits }: PlanEffects) {
  const answer = await solve(program, { ...LIMITS, ...limits, gap: 0 });
  // To cut nothing is always allowed, so that there is a solution whenever the program was solved at all.
  const values = answer.values ?? program.columns.map(() => 0);
  return { ...read(values), found: answer.values !== undefined, proven: answer.status === 'gap reached' };
}

/** Least cloth for what is left, metres off the roll. */
async function clothFor(
  colour: string,
  sizes: readonly string[],
  left: readonly number[],
  { task, known }: Place,
  effects: PlanEffects,
): Promise<number> {
  const row = Object.fromEntries(sizes.map((size, s) => [size, left[s]!]));
  const columns = await columnsFor(task, known, exactOrder({ [colour]: row }, sizes), effects);
  const lane = {
    columns: columns.map((column) => ({ column, metres: metresOf(task, column) })),
    step: pliesStep(task.fabric),
  };
  const { plies, found } = await solved(leastClothProgram(left, lane), effects);
  // Without a solution in time: by area, as a marker of the usual size takes it.
  if (!found) {
    const facts = factsOf(task.content, typicalCounts(task));
    const { length } = known.model.predict(facts, groupOf(task));
    const area = left.reduce((sum, n, s) => sum + n * task.content.sizes[s]!.area, 0);
    return (clothOf(task.fabric, task.options, length).metres * area) / facts.area;
  }
  return plies[0]!.reduce((sum, n, j) => sum + n * lane.columns[j]!.metres, 0);
}

function useOf(task: FabricTask, stock: Stock, lane: StockLane, plies: readonly number[]): StockUse {
  const markers = lane.columns.flatMap(({ column, metres }, j) =>
    plies[j]! === 0
      ? []
      : [
          {
            name: markerName(task, column.counts),
            ratio: ratioOf(task, column.counts),
            plies: plies[j]!,
            metres,
            source: column.source,
            ...(column.band === undefined ? {} : { band: column.band }),
          },
        ],
  );
  return { stock, markers, used: markers.reduce((sum, m) => sum + m.plies * m.metres, 0) };
}

const metresOf = (task: FabricTask, column: Column): number =>
  clothOf(task.fabric, task.options, column.length).metres;

/** The task on cloth of another width, whose full width is not known. */
function atWidth(task: FabricTask, spec: PlanSpec, width: number | undefined): FabricTask {
  if (width === undefined || width === task.fabric.usableWidth) return task;
  const { fullWidth: _, ...rest } = task.fabric;
  const fabric: Fabric = { ...rest, usableWidth: width };
  const sizes = task.content.sizes.map(({ size }) => size);
  return {
    ...task,
    fabric,
    content: fabricContent(spec.pieces, fabric, spec.options, sizes),
    tag: `${Math.round(width / 10)}cm`,
  };
}

function assertKnown(stocks: readonly Stock[], tasks: readonly FabricTask[], order: Order): void {
  const fabrics = tasks.map((task) => task.fabric.name);
  for (const { fabric, colour } of stocks) {
    if (!fabrics.includes(fabric)) {
      throw new InputError(`there is cloth on hand of an unknown fabric '${fabric}'`, {
        mend: suggest(fabric, fabrics),
      });
    }
    if (!order.colours.includes(colour)) {
      throw new InputError(`there is cloth on hand in a colour '${colour}' that the order does not have`, {
        mend: suggest(colour, order.colours),
      });
    }
  }
}
