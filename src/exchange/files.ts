import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { access, constants, mkdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { basename, dirname, isAbsolute, join, normalize, sep } from 'node:path';
import { InputError } from '../errors.js';

export interface OutputFile {
  /** Path inside the folder, `/` between parts. */
  readonly name: string;
  readonly content: Uint8Array | string;
}

/**
 * Makes a folder and looks whether files can be written into it, before hours of work depend on it.
 *
 * @throws InputError when it cannot.
 */
export async function assertWritable(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true });
    await access(folder, constants.W_OK);
  } catch (error) {
    throw unwritable(folder, error);
  }
}

/**
 * Writes a file so that `path` holds either what it held before or all of `content`: a temporary name in the
 * same folder, then a rename. Missing folders are made. Strings are written as UTF-8.
 *
 * @throws InputError when the folder cannot be written.
 */
export async function writeFileAtomic(path: string, content: Uint8Array | string): Promise<void> {
  const temporary = await stage(path, content);
  try {
    await rename(temporary, path);
  } catch (error) {
    await discard(temporary);
    throw unwritable(path, error);
  }
}

/**
 * Writes a set of files into a folder. All are staged under temporary names first and renamed only when every
 * one is on the disk and no folder stands in its way, so that a full disk or a bad name leaves every file as it
 * was. Returns the paths.
 *
 * @throws InputError on a name given twice or one that leaves the folder, and when the folder cannot be written.
 */
export async function writeAll(folder: string, files: readonly OutputFile[]): Promise<string[]> {
  const paths = files.map((file) => join(folder, insideName(file.name)));
  const twice = paths.find((path, i) => paths.indexOf(path) !== i);
  if (twice) throw new InputError(`two files would be written to ${twice}`);
  const staged: string[] = [];
  try {
    for (const [i, file] of files.entries()) staged.push(await stage(paths[i]!, file.content));
    while (staged.length > 0) {
      const path = paths[paths.length - staged.length]!;
      await rename(staged[0]!, path).catch((error: unknown) => Promise.reject(unwritable(path, error)));
      staged.shift();
    }
  } catch (error) {
    await Promise.all(staged.map(discard));
    throw error;
  }
  return paths;
}

const require = createRequire(import.meta.url);
const fonts = new Map<string, Uint8Array>();

/** Bytes of a DejaVu typeface (free licence, see its package), such as `DejaVuSans` or `DejaVuSans-Bold`. */
export function fontBytes(face: 'DejaVuSans' | 'DejaVuSans-Bold'): Uint8Array {
  let bytes = fonts.get(face);
  if (!bytes) {
    bytes = readFileSync(require.resolve(`dejavu-fonts-ttf/ttf/${face}.ttf`));
    fonts.set(face, bytes);
  }
  return bytes;
}

async function stage(path: string, content: Uint8Array | string): Promise<string> {
  const folder = dirname(path);
  const temporary = join(folder, `.${basename(path)}.${randomBytes(6).toString('hex')}.tmp`);
  try {
    await mkdir(folder, { recursive: true });
    await writeFile(temporary, content, { flag: 'wx' });
    const there = await stat(path).catch(() => undefined);
    if (there?.isDirectory()) throw new Error('a folder of that name is there');
    return temporary;
  } catch (error) {
    await discard(temporary);
    throw unwritable(path, error);
  }
}

/** A temporary file may not even have been made; the first fault is the one to tell. */
const discard = (temporary: string): Promise<void> => rm(temporary, { force: true }).catch(() => undefined);

function insideName(name: string): string {
  const clean = normalize(name);
  if (name === '' || isAbsolute(clean) || clean === '.' || clean.split(sep).includes('..')) {
    throw new InputError(`'${name}' is no file name inside the output folder`);
  }
  return clean;
}

function unwritable(path: string, error: unknown): InputError {
  const reason = error instanceof Error ? error.message : String(error);
  return new InputError(`cannot write ${path}: ${reason}`, {
    mend: 'check that the folder exists, may be written and has room',
    cause: error,
  });
}
