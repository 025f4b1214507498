import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, renameSync, statSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

export const ROOT = resolve(
  import.meta.dirname,
  import.meta.dirname.includes('/dist/') ? '../../..' : '../..',
);

/** A copy of the compiled engine that a rebuild does not change under a long series of runs. */
export interface Engine {
  /** Hash of the compiled engine: equal code gives equal results. */
  readonly hash: string;
  readonly folder: string;
}

/** What of the compiled code decides a layout. */
const PARTS = ['src/nest', 'src/geometry', 'src/errors.js', 'src/threads.js', 'workers'];

/** Copies the compiled engine to `out/engines/HASH`, once per state of the code. */
export function freezeEngine(dist = join(ROOT, 'dist'), out = join(ROOT, 'out/engines')): Engine {
  if (!existsSync(join(dist, 'src/nest/index.js'))) {
    throw new Error(`no compiled engine in ${dist}: run 'npm run build' first`);
  }
  const hash = hashOf(dist);
  const folder = join(out, hash);
  if (!existsSync(folder)) {
    mkdirSync(out, { recursive: true });
    // Renamed when whole, so that two harnesses started at once do not see half a copy.
    const partial = `${folder}.${process.pid}.tmp`;
    for (const part of PARTS) cpSync(join(dist, part), join(partial, part), { recursive: true });
    if (hashOf(partial) !== hash) throw new Error('the engine was rebuilt while it was copied: start again');
    if (!existsSync(folder)) renameSync(partial, folder);
  }
  return { hash, folder };
}

/** The front door of a frozen engine. */
export const engineUrl = (folder: string): string => pathToFileURL(join(folder, 'src/nest/index.js')).href;

/** Hash of the compiled JavaScript in a dist folder that decides a layout. */
export function hashOf(dist: string): string {
  const hash = createHash('sha256');
  for (const part of PARTS) {
    for (const file of scripts(join(dist, part))) {
      hash
        .update(`${relative(dist, file)}\0`)
        .update(readFileSync(file))
        .update('\0');
    }
  }
  return hash.digest('hex').slice(0, 12);
}

function scripts(path: string): string[] {
  if (!statSync(path).isDirectory()) return [path];
  return readdirSync(path)
    .sort()
    .flatMap((name) => scripts(join(path, name)))
    .filter((file) => /\.(js|wasm|json)$/.test(file));
}
