import { distance, type Vec } from '../../geometry/vec.js';
import type { Marker } from '../../lay/types.js';
import type { Content } from './content.js';

/** A stretch of a marker that has a page of its own, mm along the cloth. */
export interface PageSpan {
  readonly from: number;
  readonly to: number;
}

const THIS_PAGE = '#d6d6d6';
const TITLE = 5;
/** Corners of a piece nearer than this on paper are one, mm. */
const FINEST = 0.4;

/**
 * A small picture of a marker that is written on several pages, with the number of each and this one in grey:
 * below `at` (its upper left corner), as wide as `width` or less where `height` is little; mm.
 */
export function drawPageMap(
  content: Content,
  marker: Marker,
  { pages, page }: { pages: readonly PageSpan[]; page: number },
  { at, width, height }: { at: Vec; width: number; height: number },
): void {
  const scale = Math.min(width / marker.length, (height - TITLE) / marker.width);
  if (!(scale > 0)) return;
  const [left, bottom] = [at[0], at[1] - TITLE - marker.width * scale];
  const place = ([x, y]: Vec): Vec => [left + x * scale, bottom + y * scale];
  const box = ({ from, to }: PageSpan): Vec[] =>
    [
      [from, 0],
      [to, 0],
      [to, marker.width],
      [from, marker.width],
    ].map(([x, y]) => place([x!, y!]));
  content.text('The pages of this marker, from the start of the lay', [left, at[1] - 2.5], { height: 2.4 });
  content.fill(box(pages[page]!), THIS_PAGE);
  content.pen({ width: 0.1, dash: [], colour: '#8c8c8c' });
  for (const { outline } of marker.pieces) content.stroke(thinned(outline.map(place)), true);
  content.pen({ width: 0.3, dash: [], colour: '#000000' });
  pages.forEach((span, i) => {
    const corners = box(span);
    content.stroke(corners, true);
    const [a, b] = [corners[0]!, corners[2]!];
    const tall = Math.min(4, (b[0] - a[0]) / 3, (b[1] - a[1]) / 2);
    const middle: Vec = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2 - tall / 2];
    content.text(`${i + 1}`, middle, { height: tall, bold: true, align: 'middle' });
  });
}

function thinned(points: readonly Vec[]): Vec[] {
  const kept: Vec[] = [points[0]!];
  for (const p of points) if (distance(p, kept[kept.length - 1]!) >= FINEST) kept.push(p);
  return kept;
}
