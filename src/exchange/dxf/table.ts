import { LAYERS } from '../layers.js';
import { RULE_KEYWORDS } from '../rule-table.js';
import { PATTERN_KEYWORDS, PATTERN_LAYERS, type PatternLayer } from './pattern-layers.js';

/** One layer or keyword of our DXF files and of the grade-rule table beside them. */
export interface DxfTableLine {
  readonly kind: 'layer' | 'keyword';
  /** As a pattern file (layer or keyword) or the rule table names it. */
  readonly pattern?: string;
  /** As a marker names it. */
  readonly marker?: string;
  readonly meaning: string;
  /**
   * Whether what a pattern file does here was seen in the text of ASTM D6673. Lines of the marker alone follow no
   * standard, which leaves a nested marker out: nothing is claimed for them, and they are undefined.
   */
  readonly verified: boolean | undefined;
}

/** Every layer and keyword that is written or read, pattern and marker in one table. */
export const DXF_TABLE: readonly DxfTableLine[] = [
  ...PATTERN_LAYERS.map(
    (layer: PatternLayer): DxfTableLine => ({
      kind: 'layer',
      pattern: String(layer.number),
      ...(layer.marker ? { marker: layer.marker } : {}),
      meaning: layer.meaning,
      verified: layer.verified,
    }),
  ),
  ...LAYERS.filter(({ name }) => !PATTERN_LAYERS.some((l: PatternLayer) => l.marker === name)).map(
    ({ name, meaning }): DxfTableLine => ({ kind: 'layer', marker: name, meaning, verified: undefined }),
  ),
  ...PATTERN_KEYWORDS.map(
    ({ text, of, verified }): DxfTableLine => ({
      kind: 'keyword',
      pattern: text,
      meaning: of === 'style' ? 'Text of the whole pattern file' : 'Text of one piece',
      verified,
    }),
  ),
  ...RULE_KEYWORDS.map(
    ({ text, verified }): DxfTableLine => ({
      kind: 'keyword',
      pattern: text,
      meaning: 'Line of the grade-rule table',
      verified,
    }),
  ),
];
