/** Gauss elimination with pivots on rows of n coefficients and a right side; undefined when singular. */
export function eliminate(matrix: number[][]): number[] | undefined {
  const n = matrix.length;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(matrix[i]![k]!) > Math.abs(matrix[pivot]![k]!)) pivot = i;
    [matrix[k], matrix[pivot]] = [matrix[pivot]!, matrix[k]!];
    const head = matrix[k]![k]!;
    if (!(Math.abs(head) > 1e-9)) return undefined;
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const share = matrix[i]![k]! / head;
      for (let j = k; j <= n; j++) matrix[i]![j]! -= share * matrix[k]![j]!;
    }
  }
  return matrix.map((row, k) => row[n]! / row[k]!);
}
