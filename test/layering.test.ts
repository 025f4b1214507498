import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { describe, expect, it } from 'vitest';

const SRC = resolve(import.meta.dirname, '../src');

/** The rooms from the ground up. A room imports only rooms above it in this list (and itself). */
const ROOMS = [
  'geometry',
  'pattern',
  'draft',
  'alter',
  'grade',
  'finish',
  'nest',
  'lay',
  'plan',
  'style',
  'exchange',
  'report',
  'cli',
  'web',
];

/** Files of the ground floor: they know no room. */
const GROUND = ['units', 'errors', 'fields', 'threads'];

/** Node modules that reach outside the process; pure rooms go without. */
const OUTSIDE = /^node:(fs|http|https|net|child_process|process|os|readline|worker_threads)/;
const MAY_REACH_OUTSIDE = ['exchange', 'cli', 'web'];

const files = (folder: string): string[] =>
  readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return files(path);
    return name.endsWith('.ts') && !name.endsWith('.d.ts') ? [path] : [];
  });

const importsOf = (file: string): string[] =>
  [...readFileSync(file, 'utf8').matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => match[1]!);

/** The room a source file belongs to, or `ground`, or `index` for the library's front door. */
function roomOf(file: string): string {
  const [first = '', ...rest] = relative(SRC, file).split(sep);
  if (rest.length > 0) return first;
  const name = first.replace(/\.(ts|js)$/, '');
  return name === 'index' ? 'index' : 'ground';
}

const sources = files(SRC);

describe('the layering', () => {
  it('knows every room and every file of the ground floor', () => {
    const rooms = new Set(sources.map(roomOf));
    rooms.delete('ground');
    rooms.delete('index');
    expect([...rooms].filter((room) => !ROOMS.includes(room))).toEqual([]);
    const ground = sources
      .filter((f) => roomOf(f) === 'ground')
      .map((f) => relative(SRC, f).replace('.ts', ''));
    expect(ground.filter((name) => !GROUND.includes(name))).toEqual([]);
  });

  it('lets a room import only rooms above it; the nest only geometry', () => {
    const faults: string[] = [];
    for (const file of sources) {
      const room = roomOf(file);
      if (room === 'index') continue;
      for (const target of importsOf(file).filter((t) => t.startsWith('.'))) {
        const other = roomOf(resolve(dirname(file), target));
        const allowed =
          other === 'ground' ||
          other === room ||
          (room !== 'ground' && ROOMS.indexOf(other) >= 0 && ROOMS.indexOf(other) < ROOMS.indexOf(room));
        const nestAlone = room !== 'nest' || ['ground', 'geometry', 'nest'].includes(other);
        if (!allowed || !nestAlone) faults.push(`${relative(SRC, file)} imports ${target}`);
      }
    }
    expect(faults).toEqual([]);
  });

  it('keeps reading, writing and the network in exchange, cli and web', () => {
    const faults = sources
      .filter((file) => ROOMS.includes(roomOf(file)) && !MAY_REACH_OUTSIDE.includes(roomOf(file)))
      .flatMap((file) =>
        importsOf(file)
          .filter((target) => OUTSIDE.test(target))
          .map((target) => `${relative(SRC, file)} imports ${target}`),
      );
    expect(faults).toEqual([]);
  });

  it('would see a fault: the list of imports is not empty anywhere it matters', () => {
    const seen = sources.flatMap(importsOf);
    expect(seen.length).toBeGreaterThan(200);
    expect(seen.some((target) => OUTSIDE.test(target))).toBe(true);
  });
});
