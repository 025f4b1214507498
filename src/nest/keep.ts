import type { Layout, Snapshot } from './layout.js';
import { relax } from './relax.js';
import type { Separator } from './separate.js';
import { Settler } from './settle.js';

/** Share of its length by which an untangled layout is squeezed at most. */
const SQUEEZE = 0.01;
/** Work of settling a layout, per piece. */
const SETTLE_WORK = 50e3;
/** Shares of the length by which an unwritable layout is eased, and of the width that its pieces then part. */
const LOOSENING = [1e-6, 1e-5, 1e-4] as const;
const LOOSENING_SWEEPS = 200;
const LOOSE_DISTANCE = 5e-9;

/** Turns layouts that the search takes to be without overlap into ones that are: on positions checked exactly. */
export class Keeper {
  private readonly layout: Layout;
  private readonly separator: Separator;
  private readonly settler: Settler;

  /** The work is counted on `separator`. */
  constructor(layout: Layout, separator: Separator) {
    this.layout = layout;
    this.separator = separator;
    this.settler = new Settler(layout.problem);
  }

  /** The candidate on exact positions, its copies dealt to their groups; undefined when it cannot be written. */
  keep(candidate: Snapshot): Snapshot | undefined {
    this.separator.addWork(SETTLE_WORK * this.layout.count);
    const settled = this.settler.settle(this.layout, candidate) ?? this.loosened(candidate);
    if (!settled) return undefined;
    this.layout.load(settled);
    return this.layout.saveByGroups();
  }

  /** An untangled layout, shortened by up to that share as far as joint pushing brings it, kept. */
  squeezed(found: Snapshot, share = SQUEEZE): Snapshot | undefined {
    this.layout.load(found);
    return this.keep(this.separator.squeeze(found.length * (1 - share)));
  }

  /** A layout of bare contacts that cannot be written as it is, eased by hairs until it can. */
  private loosened(candidate: Snapshot): Snapshot | undefined {
    const { layout, separator, settler } = this;
    for (const slack of LOOSENING) {
      layout.load(candidate);
      layout.length = candidate.length * (1 + slack);
      separator.addLooks(relax(layout, LOOSENING_SWEEPS, LOOSE_DISTANCE * layout.problem.width));
      const settled = layout.total() === 0 ? settler.settle(layout, layout.save()) : undefined;
      if (settled) return settled;
    }
    return undefined;
  }
}
