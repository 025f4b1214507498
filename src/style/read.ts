import { type Document, isMap, isNode, isPair, isScalar, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';
import { InputError, type SourcePlace } from '../errors.js';
import { friendlyErrors, tellingIssue } from '../fields.js';
import { UNITS, type Unit } from '../units.js';
import type { PresetLibrary } from './presets.js';
import { styleSchema } from './schema.js';
import { resolveStyle, type Style } from './style.js';

/**
 * Reads a style file: YAML to a checked style with its presets resolved and its block drafted.
 *
 * @param file name used in messages.
 * @throws InputError at file, line and column with the mend: YAML that does not parse, a field unknown,
 *   missing or of the wrong kind, an unknown preset, size, piece, point or edge.
 */
export function readStyle(text: string, file: string, presets: PresetLibrary): Style {
  if (text.includes('\u0000') || text.includes('\ufffd')) {
    throw new InputError('this is not a text file in UTF-8', {
      place: { file },
      mend: 'save it as UTF-8 text',
    });
  }
  const lines = new LineCounter();
  // A key that is a list or a map is told as an unknown field; the parser need not warn of it besides.
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, logLevel: 'error' });
  const locate = (path: readonly PropertyKey[]) => placeOf(document, lines, path, file);
  const fault = document.errors[0];
  if (fault) {
    const { line, col } = lines.linePos(fault.pos[0]);
    throw new InputError(`this is not valid YAML: ${fault.message}`, { place: { file, line, column: col } });
  }
  const data = plainValue(document, file);
  if (typeof data !== 'object' || data === null || Array.isArray(data)) {
    throw new InputError('a style file is a map of fields', {
      place: { file, line: 1, column: 1 },
      mend: "start it with 'style: NAME' and 'units: in'",
    });
  }
  const unit = unitOf(data as Record<string, unknown>, locate);
  const result = styleSchema(unit).safeParse(data, { error: friendlyErrors });
  if (!result.success) throw fromIssue(result.error, locate);
  try {
    return resolveStyle(result.data, presets, file);
  } catch (error) {
    // A room names the field by its dotted path; here it gets its line.
    if (!(error instanceof InputError)) throw error;
    throw error.at(locate((error.place.path ?? '').split('.')));
  }
}

/** The document as plain values; aliases that lead nowhere or multiply without end are refused. */
function plainValue(document: Document.Parsed, file: string): unknown {
  try {
    return document.toJS({ maxAliasCount: 100 }) as unknown;
  } catch (cause) {
    throw new InputError(`this is not valid YAML: ${(cause as Error).message}`, {
      mend: 'write the values out instead of using aliases',
      place: { file },
      cause,
    });
  }
}

/** The place of a dotted path such as `alter.2.slash` in a style file's text, for errors found later. */
export function locateInStyle(text: string, file: string, path: string): SourcePlace {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  return placeOf(document, lines, path.split('.'), file);
}

function unitOf(data: Record<string, unknown>, locate: (path: readonly PropertyKey[]) => SourcePlace): Unit {
  const unit = UNITS.find((u) => u === data['units']);
  if (unit) return unit;
  const found =
    data['units'] === undefined
      ? 'the file does not say its units'
      : `unknown units '${String(data['units'])}'`;
  throw new InputError(found, { place: locate(['units']), mend: "write 'units: in' or 'units: cm'" });
}

function fromIssue(error: z.ZodError, locate: (path: readonly PropertyKey[]) => SourcePlace): InputError {
  const issue = deepest(tellingIssue(error.issues)!);
  const keys = issue.code === 'unrecognized_keys' ? issue.keys.slice(0, 1) : [];
  return new InputError(issue.message, { place: locate([...issue.path, ...keys]) });
}

/** Of a union that fits nowhere, the branch that got farthest into the value tells best what is wrong. */
function deepest(issue: z.core.$ZodIssue): z.core.$ZodIssue {
  if (issue.code !== 'invalid_union') return issue;
  const firsts = issue.errors
    .map(tellingIssue)
    .filter((i) => i !== undefined)
    .map(deepest);
  const inside = firsts.filter((first) => first.path.length > 0 || first.code === 'unrecognized_keys');
  const best =
    inside.sort((a, b) => b.path.length - a.path.length)[0] ?? firsts.find((f) => f.code === 'custom');
  return best ? { ...best, path: [...issue.path, ...best.path] } : issue;
}

/** Position of the deepest part of `path` that the document has. */
function placeOf(
  document: Document.Parsed,
  lines: LineCounter,
  path: readonly PropertyKey[],
  file: string,
): SourcePlace {
  let node: unknown = document.contents;
  let offset = isNode(node) ? node.range?.[0] : undefined;
  const walked: string[] = [];
  for (const key of path) {
    const child = childOf(node, key);
    if (!child) break;
    walked.push(String(key));
    node = child.value;
    offset = child.offset ?? offset;
  }
  const written = path
    .map(String)
    .filter((part) => part !== '')
    .join('.');
  const named = written ? { path: written } : {};
  if (offset === undefined) return { file, ...named };
  const { line, col } = lines.linePos(offset);
  return { file, line, column: col, ...named };
}

function childOf(
  node: unknown,
  key: PropertyKey,
): { value: unknown; offset: number | undefined } | undefined {
  if (isMap(node)) {
    const pair = node.items.find((p) => isPair(p) && isScalar(p.key) && String(p.key.value) === String(key));
    if (!pair) return undefined;
    return { value: pair.value, offset: isScalar(pair.key) ? pair.key.range?.[0] : undefined };
  }
  if (typeof node === 'object' && node !== null && 'items' in node && Array.isArray(node.items)) {
    const item: unknown = node.items[Number(key)];
    return isNode(item) ? { value: item, offset: item.range?.[0] } : undefined;
  }
  return undefined;
}
