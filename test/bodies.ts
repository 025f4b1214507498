import { draftBlock } from '../src/draft/block.js';
import type { BodyMeasurements } from '../src/draft/body.js';
import { edgeLength } from '../src/pattern/measure.js';
import type { Pattern } from '../src/pattern/model.js';

/** An invented body near the middle of women's size M; mm. */
export const BODY: BodyMeasurements = {
  bust: 940,
  waist: 780,
  hip: 1020,
  shoulder: 122,
  backWaistLength: 410,
  neck: 371,
  bicep: 290,
  wrist: 160,
  armLength: 590,
  armholeDepth: 205,
  hipDepth: 200,
  head: 560,
};

export const block = (): Pattern => draftBlock('test block', BODY);

/** What the drafted curves of a half measure, to lay beside the tape; mm. */
export const tapeOf = (pattern: Pattern, piece: 'back' | 'front') => ({
  armhole: edgeLength(pattern, piece, 'armhole'),
  shoulder: edgeLength(pattern, piece, 'shoulder'),
  neckline: edgeLength(pattern, piece, 'neckline'),
  side: edgeLength(pattern, piece, 'side'),
});
