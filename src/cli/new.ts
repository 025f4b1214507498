import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Command } from 'commander';
import { InputError } from '../errors.js';
import { assertWritable } from '../exchange/files.js';
import { packageRoot } from './load.js';
import { type Console, systemConsole } from './output.js';

const DEMO = 'harbour-crew.yaml';

/** `walewise new`: a folder with the demo style to start from. */
export function newCommand(console: Console = systemConsole): Command {
  return new Command('new')
    .description('start a folder with the demo style')
    .argument('<folder>', 'folder to make')
    .action(async (folder: string) => {
      const style = await readFile(join(packageRoot(), 'fixtures', 'demo', DEMO), 'utf8');
      const target = join(folder, DEMO);
      await assertWritable(folder);
      try {
        // 'wx' refuses to write over a style somebody has worked on.
        await writeFile(target, style, { flag: 'wx' });
      } catch (cause) {
        throw new InputError(`'${target}' is there already`, { mend: 'choose another folder', cause });
      }
      console.out(
        `made ${target}\nnext: walewise check ${target}\n      walewise run ${target} --out ${join(folder, 'out')}`,
      );
    });
}
