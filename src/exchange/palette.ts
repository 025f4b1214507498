/** How one of several things (a size) is told apart: by colour, and by line pattern for who sees none. */
export interface Look {
  readonly colour: string;
  /** The colour mixed with white, to fill behind black lettering. */
  readonly tint: string;
  readonly dash: readonly number[];
}

/**
 * Eight colours that stay apart for colour-blind readers: M. Okabe and K. Ito, "Color Universal Design"
 * (2002, revised 2008), the set reprinted in B. Wong, "Points of view: Color blindness", Nature Methods 8 (2011)
 * 441. Yellow stands last here: a yellow line is faint on white. Values from memory.
 */
export const OKABE_ITO: readonly string[] = [
  '#0072b2',
  '#e69f00',
  '#009e73',
  '#cc79a7',
  '#56b4e9',
  '#d55e00',
  '#000000',
  '#f0e442',
];

// In multiples of the line's width.
const DASHES: readonly (readonly number[])[] = [
  [],
  [8, 3],
  [2, 2],
  [10, 3, 2, 3],
  [5, 2],
  [12, 3, 2, 3, 2, 3],
  [1, 3],
  [14, 5],
];

/** The look of each of a list of names, in the list's order; a name that is not in it gets the last look. */
export function paletteFor(names: readonly string[]): (name: string) => Look {
  return (name) => {
    const index = names.indexOf(name);
    const at = index < 0 ? OKABE_ITO.length - 1 : index;
    const colour = OKABE_ITO[at % OKABE_ITO.length]!;
    // A second round through the colours pairs them with other patterns.
    const round = Math.floor(at / OKABE_ITO.length);
    return { colour, tint: mixWithWhite(colour, 0.32), dash: DASHES[(at + round) % DASHES.length]! };
  };
}

function mixWithWhite(colour: string, share: number): string {
  const value = Number.parseInt(colour.slice(1), 16);
  const mixed = [value >> 16, (value >> 8) & 255, value & 255].map((c) =>
    Math.round(255 + (c - 255) * share),
  );
  return `#${mixed.map((c) => c.toString(16).padStart(2, '0')).join('')}`;
}
