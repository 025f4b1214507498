import {
  DRAFT_BAND_DEFAULTS,
  DRAFT_SLEEVE_DEFAULTS,
  draftBand,
  redraftSleeve,
} from '../../src/alter/index.js';
import type { Pattern } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

/** A drafted block with a sleeve and a neckband that are derived from its body. */
export function blockPattern(): Pattern {
  const raw = block();
  const { pattern } = redraftSleeve(raw, DRAFT_SLEEVE_DEFAULTS, raw);
  const along = ['back.neckline', 'front.neckline'];
  return draftBand(pattern, { ...DRAFT_BAND_DEFAULTS, name: 'neckband', along, depth: 20 }).pattern;
}
