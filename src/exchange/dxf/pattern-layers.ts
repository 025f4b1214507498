import type { LayerName } from '../layers.js';

/** What a layer of a pattern file holds. */
export type PatternRole =
  | 'boundary'
  | 'turn'
  | 'curve'
  | 'notch'
  | 'grade-reference'
  | 'mirror'
  | 'grain'
  | 'internal'
  | 'stripe'
  | 'plaid'
  | 'cutout'
  | 'drill'
  | 'sew'
  | 'annotation'
  | 't-notch'
  | 'castle-notch'
  | 'check-notch'
  | 'u-notch'
  | 'validation';

export interface PatternLayer {
  readonly number: number;
  readonly role: PatternRole;
  readonly meaning: string;
  /** The layer of our own marker files that shows the same thing. */
  readonly marker?: LayerName;
  readonly colour: number;
  /** Whether the number and its meaning were seen in the text of ASTM D6673. */
  readonly verified: boolean;
}

/**
 * Layers of a pattern file after ASTM D6673, by number. Of the standard only the scope, the references and the
 * first definitions could be read (DXF of AutoCAD release 13, one BLOCK a piece, internal lines not cut, cutouts
 * cut, curve and interpolation points); every number here is from memory, so none is marked verified and no
 * conformance is claimed.
 */
export const PATTERN_LAYERS = [
  layer(1, 'boundary', 'Piece boundary; the texts that say what file and piece this is', 7, 'CUT'),
  layer(2, 'turn', 'Points at corners and ends of lines, on layers 1, 8, 11 and 14', 1),
  layer(3, 'curve', 'Points that a curve passes through, on the same layers', 3),
  layer(4, 'notch', 'Notches: slit or V', 1, 'NOTCH'),
  layer(5, 'grade-reference', 'Line that the x axis of the grade rules runs along', 6),
  layer(6, 'mirror', 'Mirror line of a piece drawn as a half', 2, 'FOLD'),
  layer(7, 'grain', 'Grain line', 4, 'GRAIN'),
  layer(8, 'internal', 'Lines inside the piece that are not cut', 3, 'INTERNAL'),
  layer(9, 'stripe', 'Stripe reference', 8),
  layer(10, 'plaid', 'Plaid reference', 8),
  layer(11, 'cutout', 'Lines inside the piece that are cut', 1),
  layer(13, 'drill', 'Drill holes', 1),
  layer(14, 'sew', 'Sewing lines', 8, 'SEW'),
  layer(15, 'annotation', 'Text for whoever plots the piece', 5, 'LABEL'),
  layer(80, 't-notch', 'T notches', 1),
  layer(81, 'castle-notch', 'Castle notches', 1),
  layer(82, 'check-notch', 'Check notches', 1),
  layer(83, 'u-notch', 'U notches', 1),
  layer(84, 'validation', 'Check curve of the boundary', 8),
  layer(85, 'validation', 'Check curve of internal lines', 8),
  layer(86, 'validation', 'Check curve of cutouts', 8),
  layer(87, 'validation', 'Check curve of sewing lines', 8),
] as const satisfies readonly PatternLayer[];

/** Name of the layer that a role is written on. */
export const patternLayer = (role: PatternRole): string =>
  String(PATTERN_LAYERS.find((l) => l.role === role)!.number);

/** The role of a layer as a file names it: `1`, `01`, `Layer 1`; undefined for any other name. */
export function roleOfLayer(name: string): PatternRole | undefined {
  const match = /^(?:layer[ _-]?)?0{0,8}(\d{1,3})$/i.exec(name.trim());
  return match ? ROLES.get(Number(match[1])) : undefined;
}

export const isNotchRole = (role: PatternRole | undefined): boolean => role?.endsWith('notch') ?? false;

export interface PatternKeyword {
  readonly key: string;
  /** In the order they are written: of the whole file, or of one piece. */
  readonly of: 'style' | 'piece';
  readonly text: string;
  readonly verified: boolean;
}

/**
 * Words before the colon in the texts of a pattern file, after ASTM D6673; all from memory. A reader accepts any
 * case and spacing.
 */
export const PATTERN_KEYWORDS = [
  { key: 'version', of: 'style', text: 'ASTM/D13Proposal 1 Version', verified: false },
  { key: 'style', of: 'style', text: 'Style Name', verified: false },
  { key: 'date', of: 'style', text: 'Creation Date', verified: false },
  { key: 'time', of: 'style', text: 'Creation Time', verified: false },
  { key: 'author', of: 'style', text: 'Author', verified: false },
  { key: 'sample', of: 'style', text: 'Sample Size', verified: false },
  { key: 'rules', of: 'style', text: 'Grade Rule Table', verified: false },
  { key: 'units', of: 'style', text: 'Units', verified: false },
  { key: 'piece', of: 'piece', text: 'Piece Name', verified: false },
  { key: 'size', of: 'piece', text: 'Size', verified: false },
  { key: 'quantity', of: 'piece', text: 'Quantity', verified: false },
  { key: 'material', of: 'piece', text: 'Material', verified: false },
  { key: 'category', of: 'piece', text: 'Category', verified: false },
  { key: 'note', of: 'piece', text: 'Annotation', verified: false },
] as const satisfies readonly PatternKeyword[];

export type KeywordKey = (typeof PATTERN_KEYWORDS)[number]['key'];

/** Edition named in the version line; from memory. */
export const PATTERN_VERSION = 'D 6673-04';

/** `Keyword: value` as it is written. */
export const keywordText = (key: KeywordKey, value: string): string =>
  `${PATTERN_KEYWORDS.find((k) => k.key === key)!.text}: ${value}`;

/** The keyword and value of a text, undefined when it is no such text. */
export function readKeyword(text: string): { key: KeywordKey; value: string } | undefined {
  const colon = text.indexOf(':');
  if (colon < 0) return undefined;
  const word = squeeze(text.slice(0, colon));
  // The version line is known by its beginning: its wording changes with the edition.
  const key = word.startsWith('astm/') ? 'version' : KEYS.get(word);
  return key === undefined ? undefined : { key, value: text.slice(colon + 1).trim() };
}

const squeeze = (text: string): string => text.slice(0, 200).toLowerCase().replace(/\s+/g, '');

const KEYS = new Map<string, KeywordKey>(PATTERN_KEYWORDS.map(({ key, text }) => [squeeze(text), key]));

const ROLES = new Map<number, PatternRole>(PATTERN_LAYERS.map((l) => [l.number, l.role]));

function layer(
  number: number,
  role: PatternRole,
  meaning: string,
  colour: number,
  marker?: LayerName,
): PatternLayer {
  return { number, role, meaning, colour, verified: false, ...(marker ? { marker } : {}) };
}
