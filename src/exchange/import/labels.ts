import { PIECE_ROLES, type PieceRole } from '../../draft/carried-roles.js';
import type { Vec } from '../../geometry/vec.js';
import { type FoundPiece, slug } from './found.js';
import { placeOn } from './near-path.js';

/** A text beside an outline that is the name of a point. */
export interface Label {
  readonly name: string;
  readonly at: Vec;
}

/** A text names a point of the outline no farther off than this, mm. */
export const LABEL_REACH = 15;

const POINT_NAMES = new Set(
  Object.values(PIECE_ROLES).flatMap((role) => [...role.points, ...Object.values(role.marks).flat()]),
);

/** The texts of a piece that are names of points and stand near its outline, once each. */
export function labelsOf(piece: FoundPiece): Label[] {
  const labels = new Map<string, Label>();
  for (const { text, at } of piece.texts) {
    const name = slug(text);
    if (!POINT_NAMES.has(name) || labels.has(name)) continue;
    if (placeOn(piece.outline, at).off <= LABEL_REACH) labels.set(name, { name, at });
  }
  return [...labels.values()];
}

/** The labels of all corners of a role, in its order; undefined when one is missing. */
export function cornerLabels(labels: readonly Label[], role: PieceRole): Label[] | undefined {
  const found = role.points.map((name) => labels.find((label) => label.name === name));
  return found.every((label) => label !== undefined) ? found : undefined;
}
