import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { formatPlace, UserError } from '../../src/errors.js';
import { readInstance } from '../../src/nest/schema.js';
import type { NestInstance } from '../../src/nest/types.js';

export interface InstanceFile {
  /** Name of the file without `.json`. */
  readonly name: string;
  readonly file: string;
  readonly content: string;
  readonly instance: NestInstance;
}

/**
 * Instances of a folder, by name. A JSON file that is no instance is told to `skip`; a name in `only` that is
 * not there is an error.
 */
export function listInstances(
  folder: string,
  only: readonly string[],
  skip: (message: string) => void,
): InstanceFile[] {
  const found: InstanceFile[] = [];
  for (const entry of readdirSync(folder).sort()) {
    const name = basename(entry, '.json');
    if (!entry.endsWith('.json') || (only.length > 0 && !only.includes(name))) continue;
    const file = join(folder, entry);
    const text = readFileSync(file, 'utf8');
    try {
      const instance = readInstance(JSON.parse(text));
      found.push({
        name,
        file,
        content: createHash('sha256').update(text).digest('hex').slice(0, 12),
        instance,
      });
    } catch (error) {
      const { place, mend } = error instanceof UserError ? error : { place: {}, mend: undefined };
      const where = formatPlace({ ...place, file: entry });
      skip([`${where} is left out: ${(error as Error).message}`, mend].filter(Boolean).join('; '));
    }
  }
  const missing = only.filter((name) => !found.some((instance) => instance.name === name));
  if (missing.length > 0) throw new Error(`no instance named ${missing.join(', ')} in ${folder}`);
  if (found.length === 0) throw new Error(`no instance in ${folder}`);
  return found;
}
