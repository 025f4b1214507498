import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export const ROOT = join(import.meta.dirname, '../..');
export const DEMO = join(ROOT, 'fixtures/demo/harbour-crew.yaml');
const MAIN = join(ROOT, 'dist/src/cli/main.js');

export interface Outcome {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the built command line as a user would, in a process of its own. */
export function walewise(args: readonly string[], onStart?: (child: ChildProcess) => void): Promise<Outcome> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [MAIN, ...args], {
      cwd: ROOT,
      env: { ...process.env, NO_COLOR: '1' },
    });
    let out = '';
    let err = '';
    child.stdout.on('data', (chunk: Buffer) => {
      out += chunk.toString();
    });
    child.stderr.on('data', (chunk: Buffer) => {
      err += chunk.toString();
    });
    child.on('error', reject);
    child.on('close', (code) => resolve({ code, out, err }));
    onStart?.(child);
  });
}

export const temporaryFolder = (): string => mkdtempSync(join(tmpdir(), 'walewise-'));
