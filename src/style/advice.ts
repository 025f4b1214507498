import type { Pattern, Seam } from '../pattern/model.js';

export interface SeamContext {
  /** Whether it fails in the base size already, or only where it is graded. */
  readonly inBase: boolean;
  /** The step since which it no longer matches. */
  readonly since?: string | undefined;
}

/** Steps that mend a seam, by the edges it joins. */
const SEAM_STEPS: Readonly<Record<string, string>> = {
  shoulder: 'match-shoulders',
  side: 'level-side-seams (how: hem, equalise or ease-in)',
};

/** What to do about a seam that does not match: the step to take and where, or the increments to look at. */
export function seamAdvice(seam: Seam, base: Pattern, { inBase, since }: SeamContext): string {
  const uses = [...seam.left, ...seam.right];
  const when = since === undefined ? '' : ` It matched before ${since}: put it after that step.`;
  const capped = uses.some((use) => /-cap$/.test(use.edge));
  const followed = base.pieces.some((p) => p.name === 'sleeve' && p.derived);
  if (capped && !followed) {
    return `put draft-sleeve after the last step that changes an armhole: the block's own sleeve does not follow its armholes, nor do its sizes.${when}`;
  }
  if (!inBase) {
    const edges = [...new Set(uses.map((use) => `${use.piece}.${use.edge}`))];
    return `the base size matches: look at the increments of the points at the ends of ${edges.join(' and ')}`;
  }
  if (capped)
    return `the sleeve is drafted from its armholes, so a later change of its own edges is the cause.${when}`;
  const step = uses.map((use) => SEAM_STEPS[use.edge]).find((s) => s !== undefined);
  if (step) return `put ${step} after the last step that changes one of the two.${when}`;
  const edges = uses.map((use) => `${use.piece}.${use.edge}`).join(', ');
  return `make ${edges} equally long, or state the ease you want.${when}`;
}

/** What to do about a join that dips or peaks, by the name `walkJoins` gives it. */
export function joinAdvice(join: string): string {
  if (/neckline at the fold$/.test(join))
    return 'redraw it square to the fold with neck-shape (a V is as: v)';
  if (/hem at the fold$/.test(join))
    return 'redraw the hem square to the fold: level-side-seams, or shape-side-seam';
  if (/ at shoulder-tip$/.test(join)) return 'redraw the armhole across the shoulder with reshape-armhole';
  if (/ at neck-point$/.test(join)) return 'redraw the neckline across the shoulder with neck-shape';
  if (/ at underarm$/.test(join)) return 'redraw the armhole across the side seam with reshape-armhole';
  if (/ at side-hem$/.test(join)) {
    return 'square the hem to the side seam: level-side-seams, or shape-side-seam as flared';
  }
  if (/^sleeve-underarm/.test(join)) return 'draft the sleeve again with draft-sleeve';
  if (/ raglan at | dart at |^overarm at /.test(join)) {
    return 'true neckline and shoulder of the set-in body first: neck-shape and match-shoulders before raglan';
  }
  return 'lay both pieces seam to seam and redraw the curve across';
}

/** What to do about a neckline, armhole or raglan seam that is too tight to sew. */
export function curveAdvice(edge: string, inBase: boolean): string {
  if (edge === 'neckline') return 'redraw it rounder with neck-shape, or make it wider or deeper';
  if (edge.endsWith('raglan')) {
    return 'let the raglan line leave the armhole elsewhere (raglan: { meet: 33% }) or bow it less (guide)';
  }
  if (inBase) return 'redraw it rounder with reshape-armhole, with a smaller guide or scoop';
  // The underarm moves by a quarter of the bust's step, the tip by half of the across shoulder's.
  return 'the base size is round: an across-shoulder increment of half the bust increment keeps the width of the armhole';
}
