/**
 * Vertices from low to high, ties by index. A radix sort on heights cut to 32 bits, then each run of equal cuts put in exact order.
 *
 * Why not a plain sort: it is most of a field's time on large meshes. Cutting keeps order (never swaps two heights), so only runs remain.
 *
 * @param heights - m, finite; shape (nVertices)
 * @returns vertex indices; shape (nVertices)
 */
export function heightOrder(heights: Float64Array): Uint32Array {
  const n = heights.length;
  let low = Infinity;
  let high = -Infinity;
  for (let v = 0; v < n; v++) {
    if (heights[v] < low) low = heights[v];
    if (heights[v] > high) high = heights[v];
  }
  const factor = high > low ? 4294967295 / (high - low) : 0;
  let keys = new Uint32Array(n);
  let order = new Uint32Array(n);
  const first = new Uint32Array(2049),
    second = new Uint32Array(2049),
    third = new Uint32Array(1025);
  for (let v = 0; v < n; v++) {
    const key = ((heights[v] - low) * factor) >>> 0;
    keys[v] = key;
    order[v] = v;
    first[(key & 2047) + 1]++;
    second[((key >>> 11) & 2047) + 1]++;
    third[(key >>> 22) + 1]++;
  }
  let otherKeys = new Uint32Array(n);
  let otherOrder = new Uint32Array(n);
  for (const [starts, shift, mask] of [
    [first, 0, 2047],
    [second, 11, 2047],
    [third, 22, 1023],
  ] as const) {
    for (let b = 1; b < starts.length; b++) starts[b] += starts[b - 1];
    for (let i = 0; i < n; i++) {
      const key = keys[i];
      const place = starts[(key >>> shift) & mask]++;
      otherKeys[place] = key;
      otherOrder[place] = order[i];
    }
    [keys, otherKeys] = [otherKeys, keys];
    [order, otherOrder] = [otherOrder, order];
  }
  for (let from = 0; from < n; ) {
    let to = from + 1;
    while (to < n && keys[to] === keys[from]) to++;
    if (to - from > 1) orderRun(order, heights, from, to);
    from = to;
  }
  return order;
}

/** Exact order within a run whose cut heights are equal; a level floor arrives in order already and costs one pass. */
function orderRun(order: Uint32Array, heights: Float64Array, from: number, to: number): void {
  let sorted = true;
  for (let i = from + 1; sorted && i < to; i++) sorted = heights[order[i - 1]] <= heights[order[i]];
  if (sorted) return;
  order.subarray(from, to).sort((a, b) => heights[a] - heights[b] || a - b);
}
