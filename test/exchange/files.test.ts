import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { writeAll, writeFileAtomic } from '../../src/exchange/files.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'walewise-files-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('writing a file', () => {
  it('replaces what was there, makes folders and leaves no temporary file', async () => {
    const path = join(folder, 'a', 'b.txt');
    await writeFileAtomic(path, 'old');
    await writeFileAtomic(path, 'new – ½');
    expect(readFileSync(path, 'utf8')).toBe('new – ½');
    expect(readdirSync(join(folder, 'a'))).toEqual(['b.txt']);
  });

  it('keeps the old file and says why when it cannot be replaced', async () => {
    const path = join(folder, 'taken');
    mkdirSync(path);
    writeFileSync(join(path, 'inside'), 'kept');
    await expect(writeFileAtomic(path, 'x')).rejects.toThrow(/cannot write .*taken/);
    expect(readdirSync(folder)).toEqual(['taken']);
    expect(readFileSync(join(path, 'inside'), 'utf8')).toBe('kept');
  });
});

describe('writing a set of files', () => {
  it('writes all, in folders of their own too', async () => {
    const paths = await writeAll(folder, [
      { name: 'one.txt', content: '1' },
      { name: 'markers/two.bin', content: Uint8Array.of(1, 2, 3) },
    ]);
    expect(paths).toEqual([join(folder, 'one.txt'), join(folder, 'markers', 'two.bin')]);
    expect([...readFileSync(paths[1]!)]).toEqual([1, 2, 3]);
  });

  it('leaves nothing behind when one of them cannot be written', async () => {
    writeFileSync(join(folder, 'plain'), 'a file, not a folder');
    writeFileSync(join(folder, 'one.txt'), 'before');
    const files = [
      { name: 'one.txt', content: 'after' },
      { name: 'two.txt', content: 'after' },
      { name: 'plain/three.txt', content: 'after' },
    ];
    await expect(writeAll(folder, files)).rejects.toThrow(/cannot write .*three\.txt/);
    expect(readdirSync(folder).sort()).toEqual(['one.txt', 'plain']);
    expect(readFileSync(join(folder, 'one.txt'), 'utf8')).toBe('before');
  });

  it('changes nothing when a folder stands in the way of the last', async () => {
    mkdirSync(join(folder, 'b.txt'));
    const files = ['a.txt', 'b.txt'].map((name) => ({ name, content: 'x' }));
    await expect(writeAll(folder, files)).rejects.toThrow('a folder of that name is there');
    expect(readdirSync(folder)).toEqual(['b.txt']);
  });

  it('refuses names that leave the folder, are empty or come twice', async () => {
    for (const name of ['../out.txt', 'a/../../out.txt', '/etc/out.txt', '', '.']) {
      await expect(writeAll(folder, [{ name, content: '' }])).rejects.toThrow(
        'is no file name inside the output folder',
      );
    }
    const twice = [
      { name: 'a.txt', content: '' },
      { name: './a.txt', content: '' },
    ];
    await expect(writeAll(folder, twice)).rejects.toThrow('two files would be written');
    expect(readdirSync(folder)).toEqual([]);
  });
});
