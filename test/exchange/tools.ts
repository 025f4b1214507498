import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Outside programs that some tests ask; a test that needs a missing one is skipped and says so in its title. */

const LIMIT_MS = 60_000;

export const hasTool = (name: string): boolean => works('which', [name]);

/** Debian's Python; ezdxf is its python3-ezdxf. */
export const PYTHON = '/usr/bin/python3';
export const hasPython = works(PYTHON, ['--version']);
export const hasEzdxf = hasPython && works(PYTHON, ['-c', 'import ezdxf']);

/** A title that tells why its test was skipped. */
export const needing = (title: string, tool: string, present: boolean): string =>
  present ? title : `${title} (SKIPPED: ${tool} is not installed)`;

export function run(command: string, args: readonly string[], input?: string): string {
  const options = { timeout: LIMIT_MS, maxBuffer: 1 << 28, stdio: ['pipe', 'pipe', 'pipe'] as const };
  return execFileSync(command, args, {
    ...options,
    stdio: [...options.stdio],
    input: input ?? '',
  }).toString();
}

/** Runs `use` with the path of a file that holds `content`, in a folder of its own. */
export function withFile<T>(name: string, content: Uint8Array | string, use: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'walewise-'));
  try {
    const path = join(folder, name);
    writeFileSync(path, content);
    return use(path);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function works(command: string, args: readonly string[]): boolean {
  try {
    execFileSync(command, args, { stdio: 'ignore', timeout: LIMIT_MS });
    return true;
  } catch {
    return false;
  }
}
