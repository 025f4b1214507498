/**
 * Exact costs of standing among other copies, in WebAssembly. AssemblyScript; compiled by build.mjs into
 * src/nest/kernel-code.ts together with kernel.ts. `PlainNear` in src/nest/near.ts holds the same loops in plain
 * TypeScript: the same float64 operations in the same order, so that both agree to the last bit.
 */

/** A gathered copy: x, y, weight, sense, table origin x, y (f64); columns, rows, first node, first segment (i32). */
const NEAR_BYTES = 64;
const SEGMENT_BYTES = 40;
const LAST = 0x8000;
const FAR = 1e300;

let code: usize = 0;
let shape: usize = 0;
let origin: usize = 0;
let start: usize = 0;
let list: usize = 0;
let segments: usize = 0;
let rays: usize = 0;
let rayMask = 0;
let xs: usize = 0;
let ys: usize = 0;
let weights: usize = 0;
let placed: usize = 0;
let near: usize = 0;
let result: usize = 0;
let variants = 0;
let copies = 0;
let cell: f64 = 0;
let inverse: f64 = 0;
let gap: f64 = 0;
let tolerance: f64 = 0;
let tiny: f64 = 0;
let gathered = 0;

/** Where the tables lie, as byte offsets. */
export function setTables(
  codeAt: usize,
  shapeAt: usize,
  originAt: usize,
  startAt: usize,
  listAt: usize,
  segmentsAt: usize,
  variantCount: i32,
  cellSize: f64,
  gapSize: f64,
): void {
  code = codeAt;
  shape = shapeAt;
  origin = originAt;
  start = startAt;
  list = listAt;
  segments = segmentsAt;
  variants = variantCount;
  cell = cellSize;
  inverse = 1 / cellSize;
  gap = gapSize;
  tiny = 1e-20 * cellSize * cellSize;
}

/** Where positions and weights of the copies lie, the directions of `refine`, and room for what is found. */
export function setCopies(
  count: i32,
  xAt: usize,
  yAt: usize,
  weightAt: usize,
  variantAt: usize,
  nearAt: usize,
  raysAt: usize,
  rayCount: i32,
  resultAt: usize,
): void {
  copies = count;
  xs = xAt;
  ys = yAt;
  weights = weightAt;
  placed = variantAt;
  near = nearAt;
  rays = raysAt;
  rayMask = rayCount - 1;
  result = resultAt;
}

/** Collects the copies that copy i may overlap within `margin` of (x, y) in `variant`. Returns how many. */
export function gather(i: i32, variant: i32, x: f64, y: f64, margin: f64, contact: f64): i32 {
  tolerance = contact;
  let n = 0;
  for (let j = 0; j < copies; j++) {
    if (j === i) continue;
    const xj = load<f64>(xs + 8 * j);
    const yj = load<f64>(ys + 8 * j);
    const c = load<i32>(code + 4 * (load<i32>(placed + 4 * j) * variants + variant));
    const t = c >> 1;
    const sense: f64 = (c & 1) === 1 ? -1 : 1;
    const ox = load<f64>(origin + 16 * t);
    const oy = load<f64>(origin + 16 * t + 8);
    const fx = sense * (x - xj) - ox;
    const fy = sense * (y - yj) - oy;
    if (fx < -margin || fy < -margin) continue;
    const nx = load<i32>(shape + 16 * t);
    const ny = load<i32>(shape + 16 * t + 4);
    if (fx > <f64>nx * cell + margin || fy > <f64>ny * cell + margin) continue;
    const p = near + NEAR_BYTES * n++;
    store<f64>(p, xj);
    store<f64>(p, yj, 8);
    store<f64>(p, load<f64>(weights + 8 * j), 16);
    store<f64>(p, sense, 24);
    store<f64>(p, ox, 32);
    store<f64>(p, oy, 40);
    store<i32>(p, nx, 48);
    store<i32>(p, ny, 52);
    store<i32>(p, load<i32>(shape + 16 * t + 8), 56);
    store<i32>(p, load<i32>(shape + 16 * t + 12), 60);
  }
  gathered = n;
  return n;
}

/** Weighted depth at (x, y) against the gathered copies; stops counting at `bound`. */
export function cost(x: f64, y: f64, bound: f64): f64 {
  let sum: f64 = 0;
  const end = near + NEAR_BYTES * gathered;
  for (let p = near; p < end; p += NEAR_BYTES) {
    const sense = load<f64>(p, 24);
    const tx = sense * (x - load<f64>(p));
    const ty = sense * (y - load<f64>(p, 8));
    const fx = (tx - load<f64>(p, 32)) * inverse + 0.5;
    const fy = (ty - load<f64>(p, 40)) * inverse + 0.5;
    if (fx < 0 || fy < 0) continue;
    const nx = load<i32>(p, 48);
    if (fx >= <f64>nx || fy >= <f64>load<i32>(p, 52)) continue;
    const first = load<i32>(start + 4 * (load<i32>(p, 56) + <i32>fy * nx + <i32>fx));
    if (first < 0) continue;
    const depth = depthOf(tx, ty, first, segments + 8 * load<i32>(p, 60));
    if (depth > tolerance) {
      sum += depth * load<f64>(p, 16);
      if (sum >= bound) break;
    }
  }
  return sum;
}

/** Depth at (tx, ty) in a table whose nearest segments are listed from `first` on: `Fields.depth` tells more. */
function depthOf(tx: f64, ty: f64, first: i32, base: usize): f64 {
  const deep = (first & 1) === 1;
  let entry = list + 2 * (first >> 1);
  let best: f64 = FAR;
  let bestSide: f64 = 0;
  for (;;) {
    const id = <i32>load<u16>(entry);
    entry += 2;
    const s = base + SEGMENT_BYTES * (id & 0x7fff);
    const px = tx - load<f64>(s);
    const py = ty - load<f64>(s, 8);
    const ux = load<f64>(s, 16);
    const uy = load<f64>(s, 24);
    const length = load<f64>(s, 32);
    const along = px * ux + py * uy;
    const side = ux * py - uy * px;
    let squared = side * side;
    if (along < 0) squared = px * px + py * py;
    else if (along > length) {
      const over = along - length;
      squared += over * over;
    }
    const tie = best * 1e-12 + tiny;
    if (squared < best - tie) {
      best = squared;
      bestSide = side;
    } else if (squared <= best + tie && Math.abs(side) > Math.abs(bestSide)) {
      if (squared < best) best = squared;
      bestSide = side;
    }
    if (id >= LAST) break;
  }
  const distance = Math.sqrt(best);
  return gap + (deep || bestSide > 0 ? distance : -distance);
}

/**
 * Pattern search from (x, y): crosses of four trial steps, halved from `firstStep` to `lastStep` when none is
 * better, turned by the directions from `ray` on. Leaves x, y and cost in the result; returns the costs counted.
 */
export function refine(
  x: f64,
  y: f64,
  known: f64,
  firstStep: f64,
  lastStep: f64,
  minX: f64,
  minY: f64,
  maxX: f64,
  maxY: f64,
  ray: i32,
): i32 {
  let looked = 0;
  let least = known;
  let step = firstStep;
  while (step >= lastStep && least > 0) {
    const direction = rays + 16 * (ray++ & rayMask);
    let dx = step * load<f64>(direction);
    let dy = step * load<f64>(direction, 8);
    let better = false;
    for (let turn = 0; turn < 4; turn++) {
      const tryX = Math.max(minX, Math.min(maxX, x + dx));
      const tryY = Math.max(minY, Math.min(maxY, y + dy));
      const found = cost(tryX, tryY, least);
      looked++;
      if (found < least) {
        least = found;
        x = tryX;
        y = tryY;
        better = true;
        break;
      }
      const swap = dx;
      dx = -dy;
      dy = swap;
    }
    if (!better) step *= 0.5;
  }
  store<f64>(result, x);
  store<f64>(result, y, 8);
  store<f64>(result, least, 16);
  return looked;
}
