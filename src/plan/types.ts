import type { Fabric, Marker, SizeRatio } from '../lay/index.js';

/** Garments by colour, then by size. */
export type Quantities = Readonly<Record<string, Readonly<Record<string, number>>>>;

/** One size in one colour: what is ordered, and the least and most that may be cut. */
export interface OrderCell {
  readonly colour: string;
  readonly size: string;
  readonly ordered: number;
  readonly least: number;
  readonly most: number;
}

/** An order of one style. Every colour has a cell for every size, also where nothing is ordered. */
export interface Order {
  /** In the order of the size range. */
  readonly sizes: readonly string[];
  readonly colours: readonly string[];
  readonly cells: readonly OrderCell[];
}

/** What the cutting table and its people take, for one fabric. Left out: no limit. */
export interface PlanLimits {
  /** Highest stack in thicknesses of cloth: a tube or a folded ply is two. */
  readonly thicknesses: number;
  /** Length of the table, mm: marker and the end allowances of its plies must fit. */
  readonly tableLength?: number;
  /** Most garments in one marker. */
  readonly garments: number;
  /** Most placed pieces in one marker. */
  readonly pieces?: number;
}

/** What is paid beside the cloth, in the style's currency. */
export interface CostRates {
  /** For every ply spread. */
  readonly spreadingPerPly: number;
  /** For every metre of cloth spread. */
  readonly spreadingPerMetre: number;
  /** For every marker made, however often it is laid. */
  readonly marker: number;
  /** For every metre of cut line, once per lay whatever its plies. */
  readonly cuttingPerMetre: number;
  /** For every lay: setting up, paper, moving the stack. */
  readonly lay: number;
  /**
   * For every garment ordered and, within the allowance, not cut; without it every order would be cut short to
   * save cloth. Left out: `SHORT_FACTOR` times the cloth of the garment.
   */
  readonly short?: number;
}

/** Money in the style's currency. */
export interface CostParts {
  readonly fabric: number;
  readonly spreading: number;
  readonly markers: number;
  readonly cutting: number;
  /** Setting up the lays. */
  readonly lays: number;
  /** What the garments that are left out within the allowance are reckoned at. */
  readonly short: number;
  readonly total: number;
}

/** One lay: one marker on one stack of plies. */
export interface Lay {
  /** Running number over the whole plan, from 1. */
  readonly number: number;
  readonly fabric: string;
  readonly marker: string;
  /** Plies from the bottom of the stack upwards, in the order's order of colours; none of 0. */
  readonly plies: readonly { readonly colour: string; readonly plies: number }[];
  readonly totalPlies: number;
  /** Thicknesses of cloth: plies x layers of one ply. */
  readonly thicknesses: number;
  /** Garments cut, by colour and size. */
  readonly garments: Quantities;
  /** Ply with its end allowances, mm. */
  readonly plyLength: number;
}

/** Where a marker's length comes from: laid and checked, or reckoned with the efficiency model. */
export type LengthSource = 'nested' | 'modelled';

/** A marker of the plan. */
export interface PlanMarker {
  /** Also the name of `marker`, and of its files. */
  readonly name: string;
  readonly fabric: string;
  readonly ratio: SizeRatio;
  readonly garments: number;
  /** Pieces placed on one ply. */
  readonly pieces: number;
  /** mm. */
  readonly length: number;
  readonly source: LengthSource;
  /** Half width of the band that holds 90 % of such markers, as a share of the length; only where modelled. */
  readonly band?: number;
  /** Area of the cut lines / (length x usable width). */
  readonly efficiency: number;
  /** Sum of all cut lines of one ply, mm. */
  readonly cutLength: number;
  /** All plies of all its lays, by colour. */
  readonly plies: Readonly<Record<string, number>>;
  readonly totalPlies: number;
  readonly lays: number;
  /** The nested marker itself. */
  readonly marker?: Marker;
}

/** Cloth drawn off the rolls: metres, square metres, kilograms. */
export interface Cloth {
  readonly metres: number;
  readonly squareMetres: number;
  readonly kilograms: number;
}

/** A simpler way to cut the same order, priced in the same way. */
export interface Baseline {
  readonly name: 'one size per marker' | 'one marker for all sizes';
  /** Left out when the way cannot be gone; `why` then says what is against it. */
  readonly result?: {
    readonly markers: readonly PlanMarker[];
    readonly lays: number;
    readonly cloth: Cloth;
    readonly cost: CostParts;
    readonly garments: number;
    /** Garments beyond what the order's allowances let be cut. */
    readonly beyond: number;
    /** Whether every length comes from a nest or some from the model. */
    readonly source: LengthSource;
  };
  readonly why?: string;
}

/** How the integer program ended. */
export interface SolverNote {
  readonly status: 'gap reached' | 'node limit' | 'time limit' | 'heuristic only' | 'stopped';
  /** Cost of the solution found over the priced columns. */
  readonly value: number;
  /** Lower bound of the priced model over the generated columns; not a bound of the real problem. */
  readonly bound?: number;
  /** Size ratios the program could choose from. */
  readonly columns: number;
  /** Whether the columns are all ratios that the limits allow. */
  readonly complete: boolean;
  readonly nodes: number;
}

/** The plan of one fabric. */
export interface FabricPlan {
  readonly fabric: Fabric;
  readonly limits: PlanLimits;
  readonly markers: readonly PlanMarker[];
  readonly lays: readonly Lay[];
  /** Garments cut, by colour and size. */
  readonly cut: Quantities;
  readonly cloth: Cloth;
  readonly clothByColour: Readonly<Record<string, Cloth>>;
  readonly cost: CostParts;
  readonly baselines: readonly Baseline[];
  readonly solver: SolverNote;
  /** How often the program was solved, with markers nested in between. */
  readonly rounds: number;
  /** `agreed`: solved again with the nested lengths, the same markers were chosen. */
  readonly ended: 'agreed' | 'round limit' | 'stopped' | 'not nested';
  /** Whether lengths come from nests or from the model. */
  readonly source: LengthSource;
}

/** From an order to markers, plies and lays, for every fabric of the style. */
export interface CutPlan {
  readonly style: string;
  readonly currency: string;
  readonly order: Order;
  readonly rates: CostRates;
  readonly fabrics: readonly FabricPlan[];
  /** Garments that can be sewn: the least that the fabrics give, by colour and size. */
  readonly cut: Quantities;
  readonly garments: number;
  readonly cost: CostParts;
  readonly costPerGarment: number;
}
