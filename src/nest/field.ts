/**
 * The signed distance from a no-fit boundary, as a table to look up in.
 *
 * A node every `cell` keeps (a) how deep the pair overlaps when the moving piece stands there, for whole
 * maps of the strip, and (b) the short list of boundary segments that can be nearest to any point of the
 * node's cell, so that one look-up gives the exact distance and side of any point. Inside the no-fit
 * boundary the distance is the penetration depth: the least translation that parts the two pieces. Outside
 * it is their Euclidean clearance, which makes a wanted gap a mere offset of the value.
 */
export interface Field {
  readonly nx: number;
  readonly ny: number;
  /** Position of node (0, 0). */
  readonly ox: number;
  readonly oy: number;
  /** Depth at each node, rows along x: max(0, gap + signed distance). */
  readonly depth: Float32Array;
  /**
   * Twice the start of the cell's list in `list`, plus 1 for a cell that lies wholly inside; -1 where no point
   * of the cell violates the gap.
   */
  readonly start: Int32Array;
  /** Segment numbers; the last of a list carries LAST. */
  readonly list: Uint16Array;
  /** ax, ay, unit direction x, y, length per segment; the forbidden side is on the left. */
  readonly segments: Float64Array;
}

export const LAST = 0x8000;
export const SEGMENT_STRIDE = 5;

/** Half the diagonal of a unit cell, rounded up. */
const HALF_DIAGONAL = 0.7072;
/** Offset of the grid against the outline's box, so that nodes avoid the lattice that input often lies on. */
const ORIGIN_SHIFT = 0.381966;

/** Builds the table for boundary segments ax, ay, bx, by (see `noFitBoundary`). */
export function buildField(boundary: Float64Array, cell: number, gap: number): Field {
  const count = boundary.length / 4;
  if (count >= LAST) throw new RangeError(`a no-fit boundary of ${count} segments is too large for a table`);
  const segments = directed(boundary);
  const grid = layGrid(boundary, cell, gap);
  const nodes = grid.nx * grid.ny;

  const distance = new Float64Array(nodes).fill(Infinity);
  const nearest = new Int32Array(nodes).fill(-1);
  const band = gap + 2 * HALF_DIAGONAL * cell;
  forNodesNear(boundary, grid, cell, band, (node, x, y, s) => {
    const d = distanceTo(segments, s, x, y);
    if (d < distance[node]!) {
      distance[node] = d;
      nearest[node] = s;
    }
  });

  // Exact lists for the nodes whose cell the boundary (or the gap round it) may pass through.
  const near = gap + HALF_DIAGONAL * cell;
  const reach = 2 * HALF_DIAGONAL * cell;
  const chainHead = new Int32Array(nodes).fill(-1);
  const chainNext: number[] = [];
  const chainSegment: number[] = [];
  forNodesNear(boundary, grid, cell, near + reach, (node, x, y, s) => {
    const best = distance[node]!;
    if (best > near || distanceTo(segments, s, x, y) > best + reach) return;
    chainNext.push(chainHead[node]!);
    chainHead[node] = chainSegment.push(s) - 1;
  });

  spreadNearest(segments, grid, cell, distance, nearest);
  const inside = insideNodes(boundary, grid, cell);

  const depth = new Float32Array(nodes);
  const start = new Int32Array(nodes).fill(-1);
  const list: number[] = [];
  const mine: number[] = [];
  for (let node = 0; node < nodes; node++) {
    mine.length = 0;
    for (let c = chainHead[node]!; c >= 0; c = chainNext[c]!) mine.push(chainSegment[c]!);
    const within = mine.length > 0 ? sideOf(segments, mine, grid, cell, node) : inside[node] === 1;
    const d = distance[node]!;
    depth[node] = Math.max(0, gap + (within ? d : -d));
    const deep = mine.length === 0;
    if (deep) {
      if (!within) continue;
      deepList(segments, grid, cell, node, distance, nearest, reach, mine);
    }
    start[node] = 2 * list.length + (deep ? 1 : 0);
    for (let k = 0; k < mine.length; k++) list.push(k + 1 < mine.length ? mine[k]! : mine[k]! | LAST);
  }
  return { ...grid, depth, start, list: Uint16Array.from(list), segments };
}

interface Grid {
  readonly nx: number;
  readonly ny: number;
  readonly ox: number;
  readonly oy: number;
}

function layGrid(boundary: Float64Array, cell: number, gap: number): Grid {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < boundary.length; i += 2) {
    minX = Math.min(minX, boundary[i]!);
    maxX = Math.max(maxX, boundary[i]!);
    minY = Math.min(minY, boundary[i + 1]!);
    maxY = Math.max(maxY, boundary[i + 1]!);
  }
  const ox = minX - gap - ORIGIN_SHIFT * cell;
  const oy = minY - gap - ORIGIN_SHIFT * cell;
  return {
    nx: Math.floor((maxX + gap - ox) / cell) + 2,
    ny: Math.floor((maxY + gap - oy) / cell) + 2,
    ox,
    oy,
  };
}

function directed(boundary: Float64Array): Float64Array {
  const out = new Float64Array((boundary.length / 4) * SEGMENT_STRIDE);
  for (let i = 0, o = 0; i < boundary.length; i += 4, o += SEGMENT_STRIDE) {
    const dx = boundary[i + 2]! - boundary[i]!;
    const dy = boundary[i + 3]! - boundary[i + 1]!;
    const length = Math.sqrt(dx * dx + dy * dy);
    out[o] = boundary[i]!;
    out[o + 1] = boundary[i + 1]!;
    out[o + 2] = dx / length;
    out[o + 3] = dy / length;
    out[o + 4] = length;
  }
  return out;
}

function distanceTo(segments: Float64Array, s: number, x: number, y: number): number {
  const o = s * SEGMENT_STRIDE;
  const px = x - segments[o]!;
  const py = y - segments[o + 1]!;
  const ux = segments[o + 2]!;
  const uy = segments[o + 3]!;
  const length = segments[o + 4]!;
  const along = px * ux + py * uy;
  if (along > 0 && along < length) return Math.abs(ux * py - uy * px);
  const qx = along <= 0 ? px : px - ux * length;
  const qy = along <= 0 ? py : py - uy * length;
  return Math.sqrt(qx * qx + qy * qy);
}

/** Visits every node that a segment comes within `radius` of (and some more), segment by segment. */
function forNodesNear(
  boundary: Float64Array,
  { nx, ny, ox, oy }: Grid,
  cell: number,
  radius: number,
  visit: (node: number, x: number, y: number, segment: number) => void,
): void {
  for (let s = 0; 4 * s < boundary.length; s++) {
    const flip = boundary[4 * s + 1]! > boundary[4 * s + 3]! ? 2 : 0;
    const ax = boundary[4 * s + flip]!;
    const ay = boundary[4 * s + flip + 1]!;
    const bx = boundary[4 * s + 2 - flip]!;
    const by = boundary[4 * s + 3 - flip]!;
    const rowFrom = Math.max(0, Math.ceil((ay - radius - oy) / cell));
    const rowTo = Math.min(ny - 1, Math.floor((by + radius - oy) / cell));
    for (let row = rowFrom; row <= rowTo; row++) {
      const y = oy + row * cell;
      // The stretch of the segment within `radius` of this row bounds the columns.
      let x0 = ax;
      let x1 = bx;
      if (by > ay) {
        const t0 = Math.min(1, Math.max(0, (y - radius - ay) / (by - ay)));
        const t1 = Math.min(1, Math.max(0, (y + radius - ay) / (by - ay)));
        x0 = ax + (bx - ax) * t0;
        x1 = ax + (bx - ax) * t1;
      }
      const from = Math.max(0, Math.ceil((Math.min(x0, x1) - radius - ox) / cell));
      const to = Math.min(nx - 1, Math.floor((Math.max(x0, x1) + radius - ox) / cell));
      for (let col = from; col <= to; col++) visit(row * nx + col, ox + col * cell, y, s);
    }
  }
}

/** Carries nearest segments outward from the band: two sweeps over the eight neighbours, in the manner of a vector distance transform (Danielsson 1980). */
function spreadNearest(
  segments: Float64Array,
  { nx, ny, ox, oy }: Grid,
  cell: number,
  distance: Float64Array,
  nearest: Int32Array,
): void {
  const relax = (row: number, col: number, dRow: number, dCol: number) => {
    const r = row + dRow;
    const c = col + dCol;
    if (r < 0 || r >= ny || c < 0 || c >= nx) return;
    const node = row * nx + col;
    const s = nearest[r * nx + c]!;
    if (s < 0 || s === nearest[node]) return;
    const d = distanceTo(segments, s, ox + col * cell, oy + row * cell);
    if (d >= distance[node]!) return;
    distance[node] = d;
    nearest[node] = s;
  };
  for (let row = 0; row < ny; row++) {
    for (let col = 0; col < nx; col++) {
      relax(row, col, 0, -1);
      relax(row, col, -1, -1);
      relax(row, col, -1, 0);
      relax(row, col, -1, 1);
    }
    for (let col = nx - 1; col >= 0; col--) relax(row, col, 0, 1);
  }
  for (let row = ny - 1; row >= 0; row--) {
    for (let col = nx - 1; col >= 0; col--) {
      relax(row, col, 0, 1);
      relax(row, col, 1, 1);
      relax(row, col, 1, 0);
      relax(row, col, 1, -1);
    }
    for (let col = 0; col < nx; col++) relax(row, col, 0, -1);
  }
}

/** 1 for nodes that the boundary winds round, row by row from its crossings. */
function insideNodes(boundary: Float64Array, { nx, ny, ox, oy }: Grid, cell: number): Uint8Array {
  const inside = new Uint8Array(nx * ny);
  // change[row][col]: by how much the winding number changes when passing from column col - 1 to col.
  const change = new Int16Array((nx + 1) * ny);
  for (let i = 0; i < boundary.length; i += 4) {
    const up = boundary[i + 3]! > boundary[i + 1]!;
    const flip = up ? 0 : 2;
    const ax = boundary[i + flip]!;
    const ay = boundary[i + flip + 1]!;
    const bx = boundary[i + 2 - flip]!;
    const by = boundary[i + 3 - flip]!;
    if (ay === by) continue;
    for (let row = Math.max(0, Math.ceil((ay - oy) / cell)); row < ny; row++) {
      const y = oy + row * cell;
      if (y >= by) break;
      const x = ax + ((bx - ax) * (y - ay)) / (by - ay);
      const col = Math.min(nx, Math.max(0, Math.ceil((x - ox) / cell)));
      // Upward edges have the inside on their left: leaving it when passing to the right.
      change[row * (nx + 1) + col] = change[row * (nx + 1) + col]! + (up ? -1 : 1);
    }
  }
  for (let row = 0; row < ny; row++) {
    let winding = 0;
    for (let col = 0; col < nx; col++) {
      winding += change[row * (nx + 1) + col]!;
      inside[row * nx + col] = winding > 0 ? 1 : 0;
    }
  }
  return inside;
}

/** Side of a node by its nearest segment; at a shared end the segment that is seen more squarely decides. */
function sideOf(
  segments: Float64Array,
  list: readonly number[],
  { nx, ox, oy }: Grid,
  cell: number,
  node: number,
): boolean {
  const x = ox + (node % nx) * cell;
  const y = oy + Math.floor(node / nx) * cell;
  let best = Infinity;
  let bestSide = 0;
  for (const s of list) {
    const d = distanceTo(segments, s, x, y);
    const o = s * SEGMENT_STRIDE;
    const side = segments[o + 2]! * (y - segments[o + 1]!) - segments[o + 3]! * (x - segments[o]!);
    const tie = 1e-9 * (best === Infinity ? 0 : best);
    if (d < best - tie || (d <= best + tie && Math.abs(side) > Math.abs(bestSide))) {
      best = Math.min(d, best);
      bestSide = side;
    }
  }
  return bestSide > 0;
}

/** Candidates of a cell far inside: its own nearest segment and its neighbours', where they may win. */
function deepList(
  segments: Float64Array,
  { nx, ny, ox, oy }: Grid,
  cell: number,
  node: number,
  distance: Float64Array,
  nearest: Int32Array,
  reach: number,
  out: number[],
): void {
  const col = node % nx;
  const row = Math.floor(node / nx);
  const x = ox + col * cell;
  const y = oy + row * cell;
  for (let r = Math.max(0, row - 1); r <= Math.min(ny - 1, row + 1); r++) {
    for (let c = Math.max(0, col - 1); c <= Math.min(nx - 1, col + 1); c++) {
      const s = nearest[r * nx + c]!;
      if (out.includes(s) || distanceTo(segments, s, x, y) > distance[node]! + reach) continue;
      out.push(s);
    }
  }
}
