import type { Vec } from '../../geometry/vec.js';
import type { Content } from './content.js';
import { MARGIN, OVERLAP, type Tile, type Tiling } from './tiling.js';

const CROSS = 5;
const PALE = '#d9d9d9';
const SOFT = '#737373';
const TRIM = { width: 0.2, dash: [3, 1.5], colour: SOFT };
const JOIN = { width: 0.2, dash: [0.6, 1.6], colour: SOFT };

/**
 * What lies under and round a tile's drawing: its name, the edges to trim (left and top, where they overlap a
 * neighbour), the lines that the next sheets are laid on, and match marks on the corners of the grid.
 */
export function drawTileFrame(content: Content, tiling: Tiling, tile: Tile, title: string): void {
  const left = MARGIN;
  const bottom = MARGIN;
  const right = MARGIN + tiling.stepX + OVERLAP;
  const top = MARGIN + tiling.stepY + OVERLAP;
  // Grid lines inside the frame, where the neighbours' trimmed edges come to lie.
  const joinX = left + tiling.stepX;
  const joinY = bottom + OVERLAP;
  const near = neighbours(tiling, tile);
  const middle: Vec = [(left + joinX) / 2, (joinY + top) / 2];

  const centred = { height: 24, bold: true, align: 'middle', colour: PALE } as const;
  content.text(tile.name, [middle[0], middle[1] - 12], centred);
  content.pen({ width: 0.15, dash: [], colour: PALE });
  const corners: Vec[] = [
    [left, bottom],
    [right, bottom],
    [right, top],
    [left, top],
  ];
  content.stroke(corners, true);

  const upright = (x: number): Vec[] => [
    [x, bottom],
    [x, top],
  ];
  const level = (y: number): Vec[] => [
    [left, y],
    [right, y],
  ];
  content.pen(TRIM);
  if (near.left) content.stroke(upright(left));
  if (near.above) content.stroke(level(top));
  content.pen(JOIN);
  if (near.right) content.stroke(upright(joinX));
  if (near.below) content.stroke(level(joinY));

  content.pen({ width: 0.25, dash: [], colour: '#000000' });
  for (const [x, beside] of [
    [left, near.left],
    [joinX, near.right],
  ] as const) {
    for (const [y, beyond] of [
      [joinY, near.below],
      [top, near.above],
    ] as const) {
      if (beside || beyond) cross(content, [x, y]);
    }
  }

  const small = { height: 2.2, colour: SOFT };
  const order = (name: string) => `trim this edge and lay it on the dotted line of ${name}`;
  if (near.left) content.text(order(near.left), [left + 4, joinY + 14], { ...small, angle: 90 });
  if (near.above) content.text(order(near.above), [left + 10, top - 5], small);
  // Inside the frame: what a printer does in its outer margin is not sure.
  content.text(`${title}: sheet ${tile.name}`, [left + 8, bottom + 3.5], small);
}

interface Neighbours {
  readonly left: string | undefined;
  readonly right: string | undefined;
  readonly above: string | undefined;
  readonly below: string | undefined;
}

/** Names of the printed tiles on the four sides. */
function neighbours(tiling: Tiling, { row, column }: Tile): Neighbours {
  const at = (r: number, c: number) =>
    tiling.tiles.find((tile) => tile.row === r && tile.column === c && !tile.blank)?.name;
  return {
    left: at(row, column - 1),
    right: at(row, column + 1),
    above: at(row - 1, column),
    below: at(row + 1, column),
  };
}

/** Both arms reach over the grid's corner, so that every sheet that meets there shows a part of it. */
function cross(content: Content, [x, y]: Vec): void {
  content.stroke([
    [x - CROSS, y],
    [x + CROSS, y],
  ]);
  content.stroke([
    [x, y - CROSS],
    [x, y + CROSS],
  ]);
}
