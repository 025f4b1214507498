import { CheckError, InputError } from '../errors.js';
import type { CutPiece } from '../finish/types.js';
import type { Fabric, LayOptions } from '../lay/index.js';
import { agree, knowledge, type PlanEffects } from './agree.js';
import { addCost, NO_COST } from './assemble.js';
import { baselinesOf } from './baselines.js';
import { fabricContent } from './content.js';
import { demandOf } from './demand.js';
import type { EfficiencyModel } from './efficiency.js';
import { limitsFor, quantities, totalOf } from './order.js';
import { type FabricTask, pliesStep } from './pricing.js';
import type { TablePart } from './schema.js';
import type { CostRates, CutPlan, FabricPlan, Order } from './types.js';
import { planFaults } from './verify.js';

export interface PlanSpec {
  readonly style: string;
  readonly order: Order;
  /** Cut pieces of every size and fabric. */
  readonly pieces: readonly CutPiece[];
  /** Fabrics in the order of the style; the first that has pieces decides what is cut, the others follow it. */
  readonly fabrics: readonly Fabric[];
  readonly options: LayOptions;
  readonly table: TablePart;
  readonly rates: CostRates;
  readonly model: EfficiencyModel;
  /** Whether the markers of the baselines are nested as well; else they are reckoned with the model. */
  readonly nestBaselines?: boolean;
}

/**
 * What each fabric's planning starts from; sizes that are not ordered are left out.
 *
 * @throws InputError when the style cuts nothing or a fabric has no price; what `fabricContent` throws.
 */
export function fabricTasks(spec: PlanSpec): FabricTask[] {
  const ordered = spec.order.sizes.filter((size) =>
    spec.order.cells.some((cell) => cell.size === size && cell.most > 0),
  );
  const used = spec.fabrics.filter((fabric) => spec.pieces.some((piece) => piece.fabric === fabric.name));
  if (used.length === 0) throw new InputError('the style has no piece of any of its fabrics');
  return used.map((fabric) => {
    if (fabric.pricePerMetre === undefined && fabric.pricePerKilogram === undefined) {
      throw new InputError(`a plan weighs cloth against work, and fabric '${fabric.name}' has no price`, {
        mend: "add 'price-per-metre:' or 'price-per-kg:' to it",
        place: { path: `fabrics.${fabric.name}` },
      });
    }
    return {
      style: spec.style,
      fabric,
      options: spec.options,
      limits: limitsFor(spec.table, fabric.name),
      rates: spec.rates,
      content: fabricContent(spec.pieces, fabric, spec.options, ordered),
    };
  });
}

/**
 * Plans an order: for every fabric its markers, plies and lays at least cost. The first fabric decides how many
 * garments are cut within the allowances; the others are cut for at least as many.
 *
 * @throws InputError or CheckError when the order cannot be cut within its limits.
 */
export async function planOrder(spec: PlanSpec, effects: PlanEffects): Promise<CutPlan> {
  const fabrics: FabricPlan[] = [];
  const order = sizesOf(spec.order);
  let lays = 0;
  for (const task of fabricTasks(spec)) {
    const first = fabrics[0];
    const asked = first ? following(order, first, pliesStep(task.fabric)) : order;
    const plan = await planFabric(task, asked, spec, effects);
    fabrics.push({
      ...plan,
      lays: plan.lays.map((lay) => ({ ...lay, number: lay.number + lays })),
    });
    lays += plan.lays.length;
  }
  const cut = quantities(order.cells, (cell) =>
    Math.min(...fabrics.map((plan) => plan.cut[cell.colour]![cell.size]!)),
  );
  const cost = fabrics.map((plan) => plan.cost).reduce(addCost, NO_COST);
  const garments = totalOf(cut);
  return {
    style: spec.style,
    currency: spec.fabrics[0]!.currency,
    order: spec.order,
    rates: spec.rates,
    fabrics,
    cut,
    garments,
    cost,
    costPerGarment: garments === 0 ? 0 : (cost.total - cost.short) / garments,
  };
}

/** One fabric's plan with its baselines, checked from its lays. */
export async function planFabric(
  task: FabricTask,
  order: Order,
  spec: Pick<PlanSpec, 'model' | 'nestBaselines'>,
  effects: PlanEffects,
): Promise<FabricPlan> {
  assertPairs(task, order);
  const demand = demandOf(order);
  const known = knowledge(spec.model);
  const { plan, note, rounds, ended } = await agree(task, order.colours, demand, known, effects);
  const { nest, ...others } = effects;
  const baselines = await baselinesOf(
    task,
    order.colours,
    demand,
    known,
    spec.nestBaselines && nest ? { ...others, nest } : others,
  );
  const whole: FabricPlan = {
    fabric: task.fabric,
    limits: task.limits,
    ...plan,
    baselines,
    solver: note,
    rounds,
    ended,
  };
  const faults = planFaults(whole, order, task.options);
  if (faults.length > 0) {
    throw new Error(`the plan of '${task.fabric.name}' failed its check: ${faults.join('; ')}`);
  }
  return whole;
}

/** The order without sizes that nobody ordered. */
function sizesOf(order: Order): Order {
  const sizes = order.sizes.filter((size) => order.cells.some((cell) => cell.size === size && cell.most > 0));
  return { ...order, sizes, cells: order.cells.filter((cell) => sizes.includes(cell.size)) };
}

/** What the other fabrics must give: no less than the first one did, and one over where plies come in pairs. */
const following = (order: Order, plan: FabricPlan, step: number): Order => ({
  ...order,
  cells: order.cells.map((cell) => {
    const cut = plan.cut[cell.colour]![cell.size]!;
    return { ...cell, ordered: cut, least: cut, most: Math.max(Math.ceil(cut / step) * step, cell.most) };
  }),
});

/** @throws CheckError for a size that pairs of plies cannot give. */
function assertPairs({ fabric }: FabricTask, order: Order): void {
  if (pliesStep(fabric) === 1) return;
  const odd = order.cells.find(({ least, most }) => most > 0 && 2 * Math.floor(most / 2) < least);
  if (!odd) return;
  throw new CheckError(
    `face to face, '${fabric.name}' is spread in pairs of plies: ${odd.least} of ${odd.colour} ${odd.size} cannot be cut`,
    { mend: "order even numbers, or allow one over: 'over: 1'", place: { path: 'order.over' } },
  );
}
