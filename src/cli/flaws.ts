import { parseDocument } from 'yaml';
import { InputError } from '../errors.js';
import { friendlyErrors, tellingIssue } from '../fields.js';
import { type FlawsPart, flawsSchema, type MarkerSpec, planMarker } from '../lay/index.js';
import { locateInStyle } from '../style/index.js';
import { UNITS, type Unit } from '../units.js';
import { readText } from './load.js';

export const FLAWS_HELP = `
The flaws of one piece of cloth, in the style's units unless the file says others:
  units: cm
  flaws:
    - { at: [120, 40], size: [3, 5], note: hole }         along the cloth, across it; size likewise
    - { polygon: [[200, 0], [210, 0], [205, 12]] }
  splices:
    - { at: 310, overlap: 4 }                             no piece crosses this line
Of folded cloth or a tube they lie where they are once it is laid, in either layer.
A marker of the style file may have the same 'flaws' and 'splices'; this file goes before them.`;

/**
 * Reads the flaws and splices of one piece of cloth.
 *
 * @throws InputError at file, line and column.
 */
export async function readFlaws(file: string, styleUnit: Unit): Promise<FlawsPart> {
  const text = await readText(file);
  const document = parseDocument(text, { prettyErrors: false });
  const fault = document.errors[0];
  if (fault) throw new InputError(`this is not valid YAML: ${fault.message}`, { place: { file } });
  const data: unknown = document.toJS({ maxAliasCount: 100 });
  if (typeof data !== 'object' || data === null || Array.isArray(data)) {
    throw new InputError('a file of flaws is a map of fields', {
      mend: "start it with 'flaws:' or 'splices:'",
      place: { file, line: 1, column: 1 },
    });
  }
  const { units, ...lists } = data as Record<string, unknown>;
  const unit = units === undefined ? styleUnit : UNITS.find((u) => u === units);
  if (!unit) {
    throw new InputError(`unknown units '${String(units)}'`, {
      mend: "write 'units: cm' or 'units: in'",
      place: locateInStyle(text, file, 'units'),
    });
  }
  const result = flawsSchema(unit).safeParse(lists, { error: friendlyErrors });
  if (result.success) return result.data;
  const issue = tellingIssue(result.error.issues)!;
  const keys = issue.code === 'unrecognized_keys' ? issue.keys.slice(0, 1) : [];
  const path = [...issue.path, ...keys].map(String).join('.');
  throw new InputError(issue.message, { place: locateInStyle(text, file, path) });
}

/**
 * Looks whether a marker can be laid, without searching.
 *
 * @param file where its flaws stand, and `path` under which: an error about one of them gets its line.
 * @throws what `planMarker` throws.
 */
export async function checkMarker(spec: MarkerSpec, file: string, path = ''): Promise<void> {
  try {
    planMarker(spec);
  } catch (error) {
    const inside = error instanceof InputError ? error.place.path : undefined;
    if (!(error instanceof InputError) || !inside?.startsWith('flaws.')) throw error;
    const { message, mend } = error;
    const place = locateInStyle(await readText(file), file, `${path}${inside}`);
    throw new InputError(message, { mend, place, cause: error });
  }
}
