import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../../src/cli/load.js';
import { draftBlock } from '../../../src/draft/block.js';
import { importDrawing } from '../../../src/exchange/import/import-drawing.js';
import { length, pointAt } from '../../../src/geometry/path.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { layMarker } from '../../../src/lay/index.js';
import { edgeOf, type Notch, type Piece, pieceOf, pointOf } from '../../../src/pattern/model.js';
import { fitRows } from '../../../src/style/fit.js';
import { allPieces, developStyle, readStyle } from '../../../src/style/index.js';
import { passes, verdictsOf } from '../../../src/style/verdicts.js';

const FIXTURES = join(import.meta.dirname, '../../../fixtures/traced');
const presets = await loadPresets();
const file = (name: string) => readFileSync(join(FIXTURES, name));

/** The body of fixtures/traced/make.mjs, from whose block the drawings were traced. */
const truth = draftBlock('tee', {
  ...{ bust: 930, waist: 770, hip: 1000, shoulder: 121, backWaistLength: 408, neck: 370 },
  ...{ bicep: 288, wrist: 160, armLength: 585, armholeDepth: 204, hipDepth: 195, head: 560 },
});

function placeOf(piece: Piece, notch: Notch): Vec {
  const { path } = edgeOf(piece, notch.edge);
  return pointAt(path, 'length' in notch.at ? notch.at.length : notch.at.ratio * length(path));
}

const GRADE = `grade:
  sizes: [S, M, L]
  base: M
  increments: { preset: women-en }
finish: { allowances: { default: 10, hems: { hem: 25, wrist: 25 } } }
fabrics: { self: { preset: single-jersey-160 } }
markers: [{ name: tee, fabric: self, ratio: { S: 1, M: 1, L: 1 } }]
`;

const RECIPE = `alter:
  - lengthen: { by: 40 }
  - lower-armhole: { by: 12 }
  - widen-neckline: { by: 15 }
  - shape-side-seam: { as: straight }
  - draft-sleeve: { as: short, widen: 10, cap-ease: 6 }
`;

describe.each(['tee.svg', 'tee.dxf'])('a tee block traced by hand as %s', (name) => {
  const imported = importDrawing(file(name), name);

  it('is found whole: three named pieces, halves on the fold, counts and crown read from the drawing', () => {
    expect(imported.pieces.map((p) => [p.name, p.corners, p.fold, p.named])).toEqual([
      ['back', 6, true, true],
      ['front', 6, true, true],
      ['sleeve', 5, false, true],
    ]);
    expect(pieceOf(imported.pattern, 'sleeve').counts).toEqual({ asDrawn: 1, mirrored: 1 });
    expect(pieceOf(imported.pattern, 'front').counts).toEqual({ asDrawn: 1, mirrored: 0 });
    expect(imported.scaling).toMatch(/the file says/);
    expect(imported.dropped).toEqual([]);
  });

  it('runs through the wobble, not with it: an edge has a few curves, whatever its length', () => {
    const counts = imported.pattern.pieces.flatMap((p) => p.edges.map((e) => e.path.length));
    expect(Math.max(...counts)).toBeLessThanOrEqual(10);
  });

  it('lies within the wobble of the block it was traced from: points, lengths and notches', () => {
    for (const piece of truth.pieces) {
      const other = pieceOf(imported.pattern, piece.name);
      const origin = piece.edges[0]!.from;
      const [ox, oy] = pointOf(piece, origin);
      const [nx, ny] = pointOf(other, origin);
      for (const edge of piece.edges) {
        const [x, y] = pointOf(piece, edge.from);
        const there = pointOf(other, edge.from);
        expect(
          distance([x - ox, y - oy], [there[0] - nx, there[1] - ny]),
          `${piece.name}.${edge.from}`,
        ).toBeLessThan(1.6);
        expect(Math.abs(length(edgeOf(other, edge.name).path) - length(edge.path))).toBeLessThan(1.6);
      }
      const kinds = (notches: readonly Notch[]) => notches.map((n) => n.kind).sort();
      expect(kinds(other.notches)).toEqual(kinds(piece.notches));
      for (const notch of piece.notches) {
        const at = placeOf(piece, notch);
        const found = other.notches.map((n) => placeOf(other, n));
        const moved: Vec = [at[0] - ox + nx, at[1] - oy + ny];
        expect(Math.min(...found.map((p) => distance(p, moved)))).toBeLessThan(1.6);
      }
    }
  });

  it('makes a style that passes the check as it is, its seams named after its edges', () => {
    const style = readStyle(imported.text, 'tee.yaml', presets);
    const developed = developStyle(style);
    const verdicts = verdictsOf(style, developed, fitRows(style, developed.range, 'mm'), 'mm');
    expect(verdicts.filter((v) => v.kind === 'seam').map((v) => [v.subject, v.word])).toEqual([
      ['shoulder', 'sews'],
      ['side', 'sews'],
      ['front cap', 'sews'],
      ['back cap', 'sews'],
      ['cap', 'sews'],
      ['sleeve-underarm', 'sews'],
    ]);
    expect(
      verdicts
        .filter((v) => v.kind === 'join' && /at the fold/.test(v.subject))
        .every((v) => v.word === 'smooth'),
    ).toBe(true);
    expect(passes(verdicts)).toBe(true);
  });

  it('takes a recipe, grades, trues in every size and is laid', async () => {
    const text = `${imported.text.slice(0, imported.text.search(/^alter:/m))}${RECIPE}${GRADE}`;
    const style = readStyle(text, 'tee.yaml', presets);
    const developed = developStyle(style);
    const verdicts = verdictsOf(style, developed, fitRows(style, developed.range, 'mm'), 'mm');
    expect(verdicts.filter((v) => v.state === 'stop')).toEqual([]);
    const underarm = (pattern: typeof developed.base) => pointOf(pieceOf(pattern, 'back'), 'underarm')[1];
    expect(underarm(style.block) - underarm(developed.base)).toBeCloseTo(12, 6);
    const marker = await layMarker(
      {
        name: 'tee',
        style: style.name,
        pieces: allPieces(developed.finished),
        fabric: style.fabrics.get('self')!,
        ratio: { S: 1, M: 1, L: 1 },
        options: style.lay.options,
      },
      { iterations: 1, threads: 0 },
    );
    // A front, a back and two sleeves of each of three sizes.
    expect(marker.pieces).toHaveLength(12);
    expect(marker.verified).toBe(true);
  });
});
