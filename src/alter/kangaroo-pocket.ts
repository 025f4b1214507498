import { z } from 'zod';
import { CheckError, InputError } from '../errors.js';
import { lengthField } from '../fields.js';
import { crossings, line, mapPoints, type Path, polyline } from '../geometry/path.js';
import { add, type Vec } from '../geometry/vec.js';
import { edgeOf, hasPiece, type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';

export interface KangarooPocketOptions {
  readonly name: string;
  /** Whole width at the bottom and at the top, mm. */
  readonly width: number;
  readonly top: number;
  readonly height: number;
  /** Straight part of the side below the slanted opening, mm. */
  readonly side: number;
  /** From the hem up to the pocket's bottom edge at the centre, mm. */
  readonly above: number;
  readonly fabric: string;
}

/** Common practice, no source. */
export const KANGAROO_POCKET_DEFAULTS: KangarooPocketOptions = {
  name: 'pocket',
  width: 13 * MM_PER_INCH,
  top: 8 * MM_PER_INCH,
  height: 8 * MM_PER_INCH,
  side: 2 * MM_PER_INCH,
  above: MM_PER_INCH / 2,
  fabric: 'self',
};

/** The pocket stays this far off the side seam, mm. */
const OFF_SIDE = 10;

/**
 * A kangaroo pocket: a piece on the fold and, on the front, the line it is sewn along. The pocket keeps its
 * size in all sizes of the garment; its place on the front is found again from the hem after every step and in
 * every size.
 *
 *        top
 *      ,------.
 *     /        \   opening, slanted
 *    |          |  side
 *    '----------'  bottom
 *
 * @throws CheckError when it does not fit on the front, with the width there is.
 */
export function kangarooPocket(pattern: Pattern, options: KangarooPocketOptions): Altered {
  const { name, width, top, height, side } = options;
  if (hasPiece(pattern, name)) {
    throw new InputError(`a piece named '${name}' is there already`, {
      mend: 'give the pocket another name',
    });
  }
  if (top > width || side >= height) {
    throw new CheckError(
      `a pocket ${width.toFixed(1)} mm wide and ${height.toFixed(1)} mm high cannot have a top of ${top.toFixed(1)} mm and sides of ${side.toFixed(1)} mm`,
      { mend: 'make the top narrower than the bottom and the sides shorter than the height' },
    );
  }
  const derive = (now: Pattern): Pattern => {
    const fresh = pocketPiece(options);
    const kept = hasPiece(now, name) ? pieceOf(now, name) : fresh;
    const pocket: Piece = { ...kept, derived: { step: 'kangaroo-pocket', from: ['front'], run: derive } };
    const front = pieceOf(now, 'front');
    const line = { name: lineName(name), path: placement(front, options) };
    const others = (front.internals ?? []).filter((internal) => internal.name !== line.name);
    return withPiece(withPiece(now, { ...front, internals: [...others, line] }), assertSound(pocket));
  };
  return altered(derive(pattern), [
    {
      subject: name,
      values: [
        { name: 'width', mm: width },
        { name: 'height', mm: height },
        { name: 'opening', mm: Math.hypot((width - top) / 2, height - side) },
      ],
    },
  ]);
}

export const kangarooPocketAlteration = defineAlteration({
  name: 'kangaroo-pocket',
  summary: 'a kangaroo pocket and its place on the front',
  schema: (unit) => {
    const length = lengthField(unit, 'positive').optional();
    return z
      .strictObject({
        name: z
          .string()
          .regex(/^[a-z][\w-]*$/i, 'a piece name has letters, digits and dashes')
          .optional(),
        width: length,
        top: length,
        height: length,
        side: length,
        above: lengthField(unit, 'not-negative').optional().describe('from the hem'),
        fabric: z.string().optional(),
      })
      .transform(
        (o): KangarooPocketOptions => ({
          name: o.name ?? KANGAROO_POCKET_DEFAULTS.name,
          width: o.width ?? KANGAROO_POCKET_DEFAULTS.width,
          top: o.top ?? KANGAROO_POCKET_DEFAULTS.top,
          height: o.height ?? KANGAROO_POCKET_DEFAULTS.height,
          side: o.side ?? KANGAROO_POCKET_DEFAULTS.side,
          above: o.above ?? KANGAROO_POCKET_DEFAULTS.above,
          fabric: o.fabric ?? KANGAROO_POCKET_DEFAULTS.fabric,
        }),
      );
  },
  apply: kangarooPocket,
});

const lineName = (pocket: string): string => `place of ${pocket}`;

/** Bottom centre, bottom corner, end of the side, top corner and top centre of the half, bottom on y = 0. */
function corners({ width, top, height, side }: KangarooPocketOptions): readonly Vec[] {
  return [
    [0, 0],
    [width / 2, 0],
    [width / 2, side],
    [top / 2, height],
    [0, height],
  ];
}

function pocketPiece(options: KangarooPocketOptions): Piece {
  const [center, corner, sideEnd, topCorner, topCenter] = corners(options) as [Vec, Vec, Vec, Vec, Vec];
  const x = options.top / 4;
  return {
    name: options.name,
    edges: [
      { name: 'bottom', from: 'bottom-center', to: 'bottom-corner', path: [line(center, corner)] },
      { name: 'side', from: 'bottom-corner', to: 'side-end', path: [line(corner, sideEnd)] },
      { name: 'opening', from: 'side-end', to: 'top-corner', path: [line(sideEnd, topCorner)] },
      { name: 'top', from: 'top-corner', to: 'top-center', path: [line(topCorner, topCenter)] },
      { name: 'fold', from: 'top-center', to: 'bottom-center', path: [line(topCenter, center)] },
    ],
    fold: 'fold',
    grain: { from: [x, options.height * 0.2], to: [x, options.height * 0.8] },
    notches: [],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: options.fabric,
  };
}

/** The pocket's outline on the front, from the centre at the bottom round to the centre at the top. */
function placement(front: Piece, options: KangarooPocketOptions): Path {
  const origin = add(pointOf(front, 'center-hem'), [0, options.above]);
  const path = mapPoints(polyline(corners(options)), (p) => add(p, origin));
  const rooms = [0, options.side].map((level) => {
    const met = crossings(edgeOf(front, 'side').path, [0, origin[1] + level], [1, 0])[0];
    return 2 * ((met?.point[0] ?? pointOf(front, 'side-hem')[0]) - origin[0] - OFF_SIDE);
  });
  const room = Math.min(...rooms);
  if (options.width > room) {
    throw new CheckError(
      `a pocket ${options.width.toFixed(1)} mm wide does not fit on the front, which has room for ${room.toFixed(1)} mm at its level`,
      { mend: `make it ${Math.floor(room)} mm wide at most` },
    );
  }
  return path;
}
