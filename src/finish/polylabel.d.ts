declare module 'polylabel' {
  /** Point farthest inside a polygon given as rings; `distance` is its distance from the boundary. */
  export default function polylabel(
    rings: readonly (readonly (readonly [number, number])[])[],
    precision?: number,
  ): [number, number] & { distance: number };
}
