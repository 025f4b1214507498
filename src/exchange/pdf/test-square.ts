import type { Vec } from '../../geometry/vec.js';
import type { Content } from './content.js';

const METRIC = 100;
const INCHES = 101.6;
/** Side of the space that the square takes, mm. */
export const TEST_SQUARE = INCHES;

/**
 * Two squares with a common lower left corner: 100 mm and 4 in on a side, measured between the middles of the
 * lines. A print at any other scale shows on either.
 */
export function testSquare(content: Content, at: Vec): void {
  content.pen({ width: 0.2, dash: [], colour: '#000000' });
  for (const side of [METRIC, INCHES]) {
    const [x, y] = at;
    content.stroke([at, [x + side, y], [x + side, y + side], [x, y + side]], true);
  }
  const middle = at[0] + METRIC / 2;
  const line = (text: string, up: number, bold = false) =>
    content.text(text, [middle, at[1] + up], { height: 2.6, align: 'middle', bold });
  line('Measure before use', 78, true);
  line('inner square: 100 mm on each side', 70);
  line('outer square: 4 in on each side', 63);
  line('If it is off by more than 0.5 mm (1/64 in),', 24);
  line('print again at 100 % ("actual size").', 17);
}
