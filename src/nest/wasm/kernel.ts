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
    for (; d + 16 <= end; d += 16, m += 16) {
      v128.store(m, f32x4.add(v128.load(m), f32x4.mul(w, v128.load(d))));
    }
    for (; d < end; d += 4, m += 4) store<f32>(m, load<f32>(m) + weight * load<f32>(d));
  }
  return work;
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
      const back = v128.shuffle<f32>(v, v, 3, 2, 1, 0);
      v128.store(m - 12, f32x4.add(v128.load(m - 12), f32x4.mul(w, back)));
    }
    for (; d < end; d += 4, m -= 4) store<f32>(m, load<f32>(m) + weight * load<f32>(d));
  }
  return work;
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
