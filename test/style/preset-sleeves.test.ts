import { describe, expect, it } from 'vitest';
import { DRAFT_SLEEVE_DEFAULTS, redraftSleeve } from '../../src/alter/index.js';
import { loadPresets } from '../../src/cli/load.js';
import { draftBlock } from '../../src/draft/block.js';
import { CAP_TOLERANCE } from '../../src/draft/sleeve.js';
import { walkSeam } from '../../src/pattern/walk.js';

const { blocks, charts } = await loadPresets();

describe.each([...blocks.keys()])('the sleeve of block %s', (name) => {
  const preset = blocks.get(name)!;
  const sizes = Object.entries(charts.get(preset.chart)!.sizes);

  it.each(sizes)('in size %s is solved to 0.2 mm of the ease wanted, for every reach', (_, body) => {
    const block = draftBlock(name, body, preset);
    for (const reach of ['long', 'three-quarter', 'short'] as const) {
      for (const capEase of [0, preset.capEase, 12.7]) {
        const options = { ...DRAFT_SLEEVE_DEFAULTS, reach, capEase };
        const { pattern } = redraftSleeve(block, options, block);
        const cap = walkSeam(pattern, pattern.seams.find((s) => s.name === 'cap')!);
        expect(Math.abs(cap.left - cap.right - capEase)).toBeLessThanOrEqual(CAP_TOLERANCE);
      }
    }
  });
});
