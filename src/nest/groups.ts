import type { Problem } from './problem.js';

/**
 * Which copy serves which group, and which way each group lies, while pieces turn one by one.
 *
 * Copies of one item are interchangeable (unless pinned, or of different spans). So all that a group asks is that,
 * of every item, as many copies lie in each rotation as groups lie that way; a copy may turn whenever another of its
 * item turns back. Copies
 * are dealt to groups so that as many as possible lie as their group does; the others are *astray*, which
 * the search counts like an overlap, to be crossed on the way but not kept.
 */
export class Groups {
  /** Group that each copy serves now, -1 for none. */
  readonly of: Int32Array;
  /** Index of each group's rotation in `problem.groupRotations`. */
  readonly rotation: Int32Array;
  /** 1 for a copy that does not lie as its group does. */
  readonly astray: Uint8Array;
  private readonly problem: Problem;
  /** Classes of interchangeable copies, and the class of each copy. */
  private readonly copies: readonly (readonly number[])[];
  private readonly classOf: Int32Array;
  private readonly classesOf: readonly (readonly number[])[];

  constructor(problem: Problem) {
    const { count, itemOf, groupOf, spanOf, fixed, groupRotations } = problem;
    this.problem = problem;
    this.of = groupOf.slice();
    this.rotation = new Int32Array(groupRotations.length);
    this.astray = new Uint8Array(count);
    const classes = new Map<string, number[]>();
    for (let i = 0; i < count; i++) {
      if (groupOf[i]! < 0) continue;
      const key = `${itemOf[i]} ${spanOf[i]} ${fixed[i] ? i : ''}`;
      classes.set(key, [...(classes.get(key) ?? []), i]);
    }
    this.copies = [...classes.values()];
    this.classOf = new Int32Array(count).fill(-1);
    this.copies.forEach((list, k) => {
      for (const i of list) this.classOf[i] = k;
    });
    this.classesOf = groupRotations.map((_, group) => [
      ...new Set([...groupOf.keys()].filter((i) => groupOf[i] === group).map((i) => this.classOf[i]!)),
    ]);
  }

  get any(): boolean {
    return this.rotation.length > 0;
  }

  /** Degrees that copy i's group lies at. */
  wanted(i: number): number {
    const group = this.of[i]!;
    return this.problem.groupRotations[group]![this.rotation[group]!]!;
  }

  /** Deals all copies anew, from the instance's own groups where they agree. */
  read(variant: Int32Array): void {
    const { groupOf, groupRotations, variants, count } = this.problem;
    this.of.set(groupOf);
    for (let i = 0; i < count; i++) {
      const group = groupOf[i]!;
      if (group >= 0) {
        this.rotation[group] = Math.max(0, groupRotations[group]!.indexOf(variants[variant[i]!]!.base));
      }
    }
    for (let k = 0; k < this.copies.length; k++) this.deal(k, variant);
    for (let group = 0; group < this.rotation.length; group++) this.settle(group, variant);
  }

  /** Whether copy i would be astray if it alone turned to lie as `next` does. */
  strays(i: number, next: number, variant: Int32Array): boolean {
    const { variants } = this.problem;
    const from = variants[variant[i]!]!.base;
    const to = variants[next]!.base;
    if (from === to) return this.astray[i] === 1;
    // Room for one more in the new rotation?
    let room = 0;
    for (const k of this.copies[this.classOf[i]!]!) {
      if (this.wanted(k) === to) room++;
      if (variants[variant[k]!]!.base === to) room--;
    }
    return room <= 0;
  }

  /** To be called when copy i has turned. */
  turned(i: number, variant: Int32Array): void {
    const mine = this.classOf[i]!;
    this.deal(mine, variant);
    for (const k of this.copies[mine]!) if (this.astray[k] === 1) this.settle(this.of[k]!, variant);
  }

  /** Lays a group another way and deals its copies anew. */
  turn(group: number, rotation: number, variant: Int32Array): void {
    this.rotation[group] = rotation;
    for (const k of this.classesOf[group]!) this.deal(k, variant);
  }

  /** For each copy of the instance, the copy that serves as it. */
  roles(): Int32Array {
    const { count, groupOf } = this.problem;
    const role = Int32Array.from({ length: count }, (_, i) => i);
    for (const list of this.copies) {
      const free = [...list];
      for (const slot of list) {
        const k = free.findIndex((i) => this.of[i] === groupOf[slot]);
        role[slot] = free.splice(k, 1)[0]!;
      }
    }
    return role;
  }

  /** Turns the group if fewer copies are astray then. */
  private settle(group: number, variant: Int32Array): void {
    const choices = this.problem.groupRotations[group]!.length;
    const before = this.rotation[group]!;
    let best = before;
    let least = this.astrayNear(group);
    for (let rotation = 0; rotation < choices; rotation++) {
      if (rotation === before) continue;
      this.turn(group, rotation, variant);
      const astray = this.astrayNear(group);
      if (astray >= least) continue;
      least = astray;
      best = rotation;
    }
    this.turn(group, best, variant);
  }

  private astrayNear(group: number): number {
    let sum = 0;
    for (const k of this.classesOf[group]!) for (const i of this.copies[k]!) sum += this.astray[i]!;
    return sum;
  }

  /** Deals the copies of one class: who lies as its group does stays, the others change groups where that helps. */
  private deal(index: number, variant: Int32Array): void {
    const { of, astray } = this;
    const { variants } = this.problem;
    const copies = this.copies[index]!;
    for (const i of copies) {
      astray[i] = variants[variant[i]!]!.base !== this.wanted(i) ? 1 : 0;
    }
    for (const i of copies) {
      if (astray[i] === 0) continue;
      const rotation = variants[variant[i]!]!.base;
      for (const k of copies) {
        if (astray[k] === 0 || k === i || this.wanted(k) !== rotation) continue;
        const swap = of[i]!;
        of[i] = of[k]!;
        of[k] = swap;
        astray[i] = 0;
        astray[k] = variants[variant[k]!]!.base === this.wanted(k) ? 0 : 1;
        break;
      }
    }
  }
}
