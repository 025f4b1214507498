import { bodySeams } from '../../draft/block.js';
import { length } from '../../geometry/path.js';
import { edgeOf, hasPiece, type Pattern, pieceOf, type Seam } from '../../pattern/model.js';

/** Two edges that are sewn together match within this, mm. */
const TOLERANCE = 0.5;
/** A cap this much shorter or longer than its armhole was not made for it, mm. */
const LEAST_EASE = -10;
const MOST_EASE = 50;

/**
 * The seams of a block whose pieces go by the names of alterations: shoulder, side, the cap against both armholes
 * with the ease that was drawn, and the sleeve's underarm.
 */
export function impliedSeams(pattern: Pattern): { seams: Seam[]; notes: string[] } {
  const notes: string[] = [];
  const has = (piece: string, edge: string) =>
    hasPiece(pattern, piece) && pieceOf(pattern, piece).edges.some((e) => e.name === edge);
  const size = (piece: string, edge: string) => length(edgeOf(pieceOf(pattern, piece), edge).path);
  const seams = bodySeams().filter((seam) =>
    [...seam.left, ...seam.right].every((use) => has(use.piece, use.edge)),
  );
  const even = { ratio: 1, tolerance: TOLERANCE };
  const use = (piece: string, edge: string) => ({ piece, edge, times: 1 });
  const sides = (['front', 'back'] as const).filter((s) => has('sleeve', `${s}-cap`) && has(s, 'armhole'));
  const eases = sides.map((side) => size('sleeve', `${side}-cap`) - size(side, 'armhole'));
  if (sides.length === 2 && eases.every((ease) => ease >= LEAST_EASE && ease <= MOST_EASE)) {
    const whole = round(eases[0]!) + round(eases[1]!);
    seams.push(
      ...sides.map(
        (side, i): Seam => ({
          name: `${side} cap`,
          left: [use('sleeve', `${side}-cap`)],
          right: [use(side, 'armhole')],
          plus: round(eases[i]!),
          ...even,
        }),
      ),
      {
        name: 'cap',
        left: [use('sleeve', 'front-cap'), use('sleeve', 'back-cap')],
        right: [use('front', 'armhole'), use('back', 'armhole')],
        plus: whole,
        ...even,
        // The sum of two seams, each within its own.
        tolerance: 2 * TOLERANCE,
      },
    );
    notes.push(
      `the sleeve was drawn with ${whole.toFixed(1)} mm of cap ease (front ${eases[0]!.toFixed(1)} mm, back ${eases[1]!.toFixed(1)} mm): its seams ask for that; draft-sleeve solves for another`,
    );
  } else if (sides.length === 2) {
    notes.push(
      `the sleeve's cap differs from the armholes by ${eases.map((e) => `${e.toFixed(1)} mm`).join(' and ')}: no cap seam was made; put draft-sleeve into the recipe`,
    );
  }
  if (has('sleeve', 'front-underarm') && has('sleeve', 'back-underarm')) {
    seams.push({
      name: 'sleeve-underarm',
      left: [use('sleeve', 'front-underarm')],
      right: [use('sleeve', 'back-underarm')],
      plus: 0,
      ...even,
    });
  }
  for (const seam of seams) {
    const [a, b] = [seam.left, seam.right].map((uses) =>
      uses.reduce((sum, u) => sum + size(u.piece, u.edge), 0),
    ) as [number, number];
    const off = a - b - seam.plus;
    if (Math.abs(off) > seam.tolerance) {
      notes.push(
        `seam '${seam.name}' is off by ${off.toFixed(1)} mm as drawn, ${seam.tolerance} mm is allowed: check will say so`,
      );
    }
  }
  return { seams, notes };
}

/** To a tenth of a millimetre: no tape reads finer. */
const round = (mm: number): number => Math.round(mm * 10) / 10;
