import type { Step } from '../alter/alteration.js';
import { BLOCK_DEFAULTS, draftBlock } from '../draft/block.js';
import { carriedBlock } from '../draft/carried-block.js';
import { knitBlock } from '../draft/knit-ease.js';
import { draftFromTape } from '../draft/tape.js';
import { CheckError, InputError, suggest, underPath } from '../errors.js';
import type { FinishOptions } from '../finish/types.js';
import { type BodyChart, type GradeSpec, gradeSpec } from '../grade/index.js';
import { type LayPart, type MarkerPart, resolveFabric } from '../lay/schema.js';
import type { Fabric } from '../lay/types.js';
import type { Pattern } from '../pattern/model.js';
import { assertTable, resolveOrder } from '../plan/order.js';
import type { TablePart } from '../plan/schema.js';
import type { CostRates, Order } from '../plan/types.js';
import type { Unit } from '../units.js';
import { type PresetLibrary, presetNamed } from './presets.js';
import { withRuledGrowth } from './ruled-growth.js';
import type { StyleFile } from './schema.js';

/** A style with everything it names found: what the corridor from block to cut pieces starts from. */
export interface Style {
  readonly name: string;
  readonly label?: string;
  readonly file: string;
  readonly unit: Unit;
  readonly block: Pattern;
  readonly steps: readonly Step[];
  readonly grade: GradeSpec;
  readonly finish: FinishOptions;
  readonly fabrics: ReadonlyMap<string, Fabric>;
  readonly lay: LayPart;
  readonly markers: readonly MarkerPart[];
  readonly order?: Order;
  readonly table: TablePart;
  /** What is paid beside the cloth. */
  readonly rates: CostRates;
  /** Body measurements by size, where the block comes from a chart. */
  readonly chart?: BodyChart;
}

/**
 * Resolves what a style file names: block, body chart, increments, fabrics, sizes of markers.
 *
 * @throws InputError whose place is the dotted path of the field.
 */
export function resolveStyle(file: StyleFile, presets: PresetLibrary, name: string): Style {
  const { block, chart } = resolveBlock(file, presets);
  const preset =
    file.grade.preset === undefined
      ? undefined
      : underPath('grade.increments.preset', () =>
          presetNamed(presets.increments, 'increments', file.grade.preset!),
        );
  const grade = gradeSpec(file.grade, preset);
  const fabrics = resolveFabrics(file, presets);
  assertMarkers(file.markers, grade.sizes, fabrics);
  underPath('table', () => assertTable(file.table, [...fabrics.keys()]));
  const order = file.order && underPath('order', () => resolveOrder(file.order!, grade.sizes));
  return {
    name: file.style,
    ...(file.label === undefined ? {} : { label: file.label }),
    file: name,
    unit: file.units,
    block,
    steps: file.alter,
    grade,
    finish: file.finish,
    fabrics,
    lay: file.lay,
    markers: file.markers,
    ...(order === undefined ? {} : { order }),
    table: file.table,
    rates: file.cost,
    ...(chart === undefined ? {} : { chart }),
  };
}

function resolveBlock(file: StyleFile, presets: PresetLibrary): { block: Pattern; chart?: BodyChart } {
  const { block } = file;
  if ('body' in block) {
    if (block.ease && block.knit) {
      throw new InputError("'knit' says the ease of the block: give one of the two", {
        place: { path: 'block.knit' },
      });
    }
    const fitted = block.ease ?? BLOCK_DEFAULTS.ease;
    const { body, ease } = knitBlock(block.body, fitted, block.knit ?? 'stable');
    const options = {
      ease,
      shoulderSlope: block['shoulder-slope'] ?? BLOCK_DEFAULTS.shoulderSlope,
      capEase: block['cap-ease'] ?? BLOCK_DEFAULTS.capEase,
    };
    return {
      block: drafted(() => draftBlock(file.style, body, options), 'block.body'),
      ...namedChart(file, block, presets),
    };
  }
  if ('tape' in block) {
    return {
      block: drafted(() => draftFromTape(file.style, block.tape), 'block.tape'),
      ...namedChart(file, block, presets),
    };
  }
  if ('pieces' in block) {
    return { block: underPath('block', () => withRuledGrowth(carriedBlock(file.style, block), file.grade)) };
  }
  const preset = underPath('block.preset', () => presetNamed(presets.blocks, 'block', block.preset));
  const chart = underPath('block.preset', () => presetNamed(presets.charts, 'body chart', preset.chart));
  const inSize = chart.sizes[block.size];
  if (!inSize) {
    throw new InputError(`the block '${preset.name}' has no size '${block.size}'`, {
      mend: suggest(block.size, Object.keys(chart.sizes)),
      place: { path: 'block.size' },
    });
  }
  assertBase(file, chart, block.size);
  const { body, ease } = knitBlock(inSize, preset.ease, block.knit ?? 'stable');
  return { block: drafted(() => draftBlock(file.style, body, { ...preset, ease }), 'block'), chart };
}

/** A block drafted in one size of a chart must be the base that is graded. */
function assertBase({ grade }: StyleFile, chart: BodyChart, size: string): void {
  if (!chart.sizes[grade.base] || grade.base === size) return;
  throw new InputError(
    `the block is drafted in size ${size} but the pattern is graded as if it were ${grade.base}`,
    { mend: `write 'base: ${size}' or 'size: ${grade.base}'`, place: { path: 'grade.base' } },
  );
}

/** The body chart that a block of one's own names, so that its fit can be checked. */
function namedChart(
  file: StyleFile,
  { chart: name, size = file.grade.base }: { chart?: string | undefined; size?: string | undefined },
  presets: PresetLibrary,
): { chart?: BodyChart } {
  if (name === undefined) return {};
  const chart = underPath('block.chart', () => presetNamed(presets.charts, 'body chart', name));
  if (!chart.sizes[size]) {
    throw new InputError(`the body chart '${name}' has no size '${size}'`, {
      mend: suggest(size, Object.keys(chart.sizes)),
      place: { path: 'block.size' },
    });
  }
  assertBase(file, chart, size);
  return { chart };
}

/** Measurements that contradict each other are a fault of the file: say where. */
function drafted(draft: () => Pattern, path: string): Pattern {
  try {
    return draft();
  } catch (error) {
    if (!(error instanceof CheckError)) throw error;
    throw new InputError(error.message, { mend: error.mend, place: { path }, cause: error });
  }
}

function resolveFabrics(file: StyleFile, presets: PresetLibrary): Map<string, Fabric> {
  const fabrics = new Map<string, Fabric>();
  for (const [role, part] of Object.entries(file.fabrics)) {
    const path = `fabrics.${role}`;
    const preset =
      part.preset === undefined
        ? undefined
        : underPath(`${path}.preset`, () => presetNamed(presets.fabrics, 'fabric', part.preset!));
    fabrics.set(
      role,
      underPath(path, () => resolveFabric(role, part, preset, file.currency)),
    );
  }
  return fabrics;
}

function assertMarkers(
  markers: readonly MarkerPart[],
  sizes: readonly string[],
  fabrics: ReadonlyMap<string, Fabric>,
): void {
  markers.forEach((marker, i) => {
    const path = `markers.${i}`;
    if (!fabrics.has(marker.fabric)) {
      throw new InputError(`marker '${marker.name}' is laid on an unknown fabric '${marker.fabric}'`, {
        mend: suggest(marker.fabric, [...fabrics.keys()]),
        place: { path: `${path}.fabric` },
      });
    }
    const stranger = Object.keys(marker.ratio).find((size) => !sizes.includes(size));
    if (stranger !== undefined) {
      throw new InputError(`marker '${marker.name}' asks for an unknown size '${stranger}'`, {
        mend: suggest(stranger, sizes),
        place: { path: `${path}.ratio.${stranger}` },
      });
    }
    if (markers.findIndex((m) => m.name === marker.name) !== i) {
      throw new InputError(`there are two markers named '${marker.name}'`, {
        place: { path: `${path}.name` },
      });
    }
  });
}
