/**
 * Inner loops of the strip map in WebAssembly, four float32 lanes at a time. AssemblyScript; compiled by
 * build.mjs into src/nest/kernel-code.ts. src/nest/kernel.ts holds the same loops in plain TypeScript: both
 * multiply, round, add, round, so that they agree to the last bit.
 */

/** Adds `weight` x table to the map, node (0, 0) of the table falling on (shiftX, shiftY). Returns cells added. */
export function add(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  return forward<f32>(values, nx, ny, shiftX, shiftY, depth, cols, height, rows, weight);
}

/** As `add` for a table read backwards: node (0, 0) on (shiftX, shiftY), the rest to its left and below. */
export function addReflected(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  return backward<f32>(values, nx, ny, shiftX, shiftY, depth, cols, height, rows, weight);
}

/** As `add` to a map of whole numbers: every product is cut to one, so that -weight takes away what weight added. */
export function addWhole(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  return forward<i32>(values, nx, ny, shiftX, shiftY, depth, cols, height, rows, weight);
}

/** As `addWhole` for a table read backwards. */
export function addWholeReflected(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  return backward<i32>(values, nx, ny, shiftX, shiftY, depth, cols, height, rows, weight);
}

function forward<T>(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  const w = f32x4.splat(weight);
  const rowFrom = max(0, -shiftY);
  const rowTo = min(height - 1, ny - 1 - shiftY);
  let work = 0;
  for (let r = rowFrom; r <= rowTo; r++) {
    const from = max(<i32>load<i16>(rows + 4 * r), -shiftX);
    const to = min(<i32>load<i16>(rows + 4 * r, 2), nx - 1 - shiftX);
    if (to < from) continue;
    work += to - from;
    let m = values + 4 * ((shiftY + r) * nx + shiftX + from);
    let d = depth + 4 * (r * cols + from);
    const end = depth + 4 * (r * cols + to + 1);
    for (; d + 16 <= end; d += 16, m += 16) putFour<T>(m, f32x4.mul(w, v128.load(d)));
    for (; d < end; d += 4, m += 4) putOne<T>(m, weight * load<f32>(d));
  }
  return work;
}

function backward<T>(
  values: usize,
  nx: i32,
  ny: i32,
  shiftX: i32,
  shiftY: i32,
  depth: usize,
  cols: i32,
  height: i32,
  rows: usize,
  weight: f32,
): i32 {
  const w = f32x4.splat(weight);
  const rowFrom = max(0, shiftY - ny + 1);
  const rowTo = min(height - 1, shiftY);
  let work = 0;
  for (let r = rowFrom; r <= rowTo; r++) {
    const from = max(<i32>load<i16>(rows + 4 * r), shiftX - nx + 1);
    const to = min(<i32>load<i16>(rows + 4 * r, 2), shiftX);
    if (to < from) continue;
    work += to - from;
    let m = values + 4 * ((shiftY - r) * nx + shiftX - from);
    let d = depth + 4 * (r * cols + from);
    const end = depth + 4 * (r * cols + to + 1);
    for (; d + 16 <= end; d += 16, m -= 16) {
      const v = v128.load(d);
      putFour<T>(m - 12, f32x4.mul(w, v128.shuffle<f32>(v, v, 3, 2, 1, 0)));
    }
    for (; d < end; d += 4, m -= 4) putOne<T>(m, weight * load<f32>(d));
  }
  return work;
}

function putFour<T>(at: usize, product: v128): void {
  if (isInteger<T>()) v128.store(at, i32x4.add(v128.load(at), i32x4.trunc_sat_f32x4_s(product)));
  else v128.store(at, f32x4.add(v128.load(at), product));
}

function putOne<T>(at: usize, product: f32): void {
  if (isInteger<T>()) store<i32>(at, load<i32>(at) + <i32>product);
  else store<f32>(at, load<f32>(at) + product);
}

/** Copies nx x ny nodes out of a map of `columns`, from that place in it on. */
export function copy(values: usize, from: usize, columns: i32, nx: i32, ny: i32): void {
  for (let row = 0; row < ny; row++) {
    memory.copy(values + 4 * row * nx, from + 4 * row * columns, 4 * nx);
  }
}

/** Turns whole numbers into float32, in place, and multiplies them by `unit`. */
export function scale(values: usize, nodes: i32, unit: f32): void {
  const u = f32x4.splat(unit);
  const end = values + 4 * nodes;
  let p = values;
  for (; p + 16 <= end; p += 16) v128.store(p, f32x4.mul(u, f32x4.convert_i32x4_s(v128.load(p))));
  for (; p < end; p += 4) store<f32>(p, unit * <f32>load<i32>(p));
}

/**
 * Lists, at `out`, the numbers of the nodes below `bound` that are free (0) or a minimum among their eight
 * neighbours, ties going to the first. Returns how many.
 */
export function minima(values: usize, nx: i32, ny: i32, bound: f32, out: usize): i32 {
  const b = f32x4.splat(bound);
  const stride = 4 * nx;
  let count = 0;
  for (let row = 0; row < ny; row++) {
    const base = values + stride * row;
    let col = 0;
    while (col < nx) {
      if (col + 4 <= nx && !v128.any_true(f32x4.lt(v128.load(base + 4 * col), b))) {
        col += 4;
        continue;
      }
      const stop = min(nx, col + 4);
      for (; col < stop; col++) {
        const p = base + 4 * col;
        const value = load<f32>(p);
        if (value >= bound) continue;
        if (value > 0) {
          const left = col > 0;
          const right = col + 1 < nx;
          if (left && load<f32>(p - 4) <= value) continue;
          if (right && load<f32>(p + 4) < value) continue;
          if (row > 0) {
            const up = p - stride;
            if (load<f32>(up) <= value) continue;
            if (left && load<f32>(up - 4) <= value) continue;
            if (right && load<f32>(up + 4) <= value) continue;
          }
          if (row + 1 < ny) {
            const down = p + stride;
            if (load<f32>(down) < value) continue;
            if (left && load<f32>(down - 4) < value) continue;
            if (right && load<f32>(down + 4) < value) continue;
          }
        }
        store<i32>(out + 4 * count++, row * nx + col);
      }
    }
  }
  return count;
}
