import { readdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { InputError, UserError } from '../errors.js';
import {
  type Developed,
  developStyle,
  locateInStyle,
  type PresetFile,
  type PresetLibrary,
  presetLibrary,
  readStyle,
  type Style,
} from '../style/index.js';

/** The project's root: above `src` when run from sources, above `dist` when built. */
export const packageRoot = (): string => {
  const here = dirname(fileURLToPath(import.meta.url));
  const above = join(here, '..', '..');
  return above.endsWith('dist') || above.endsWith('dist/') ? join(above, '..') : above;
};

/** @throws InputError when a preset file is not valid. */
export async function loadPresets(folder = join(packageRoot(), 'presets')): Promise<PresetLibrary> {
  const names = (await readdir(folder)).filter((name) => name.endsWith('.json')).sort();
  const files = names.map(async (file): Promise<PresetFile> => {
    const text = await readFile(join(folder, file), 'utf8');
    try {
      return { file, data: JSON.parse(text) as unknown };
    } catch (cause) {
      throw new InputError(`preset file is not valid JSON: ${(cause as Error).message}`, {
        place: { file },
        cause,
      });
    }
  });
  return presetLibrary(await Promise.all(files));
}

export interface LoadedStyle {
  readonly style: Style;
  readonly developed: Developed;
}

/**
 * Reads a style file and takes it down the corridor as far as cut pieces.
 *
 * @throws InputError or CheckError with file, line and column where they are known.
 */
export async function loadStyle(file: string): Promise<LoadedStyle> {
  const text = await readText(file);
  const style = readStyle(text, file, await loadPresets());
  try {
    return { style, developed: developStyle(style) };
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    const { path } = error.place;
    throw error.at(path === undefined ? { file } : locateInStyle(text, file, path));
  }
}

/** @throws InputError when the file cannot be read. */
export async function readText(file: string): Promise<string> {
  try {
    return await readFile(file, 'utf8');
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code;
    const why = code === 'ENOENT' ? 'no such file' : code === 'EISDIR' ? 'this is a folder' : String(code);
    throw new InputError(`cannot read '${file}': ${why}`, { mend: 'check the path', cause });
  }
}
