import { Command } from 'commander';
import type { Stage } from '../alter/index.js';
import { rederive, runRecipe } from '../alter/index.js';
import { UserError } from '../errors.js';
import { type OutputFile, stepsPdf, stepsSvg, writeAll } from '../exchange/index.js';
import { locateInStyle, readStyle, type Style } from '../style/index.js';
import { dayOption, unitFor, withCommonOptions } from './common.js';
import { loadPresets, readText } from './load.js';
import { type CommonOptions, type Console, systemConsole } from './output.js';

interface DrawOptions extends CommonOptions {
  readonly out: string;
  readonly date?: Date;
}

/** `walewise draw`: the recipe as small pictures, one a step. */
export function drawCommand(console: Console = systemConsole): Command {
  const command = new Command('draw')
    .description('draw the pattern before and after each alteration, a picture a step')
    .argument('<style>', 'style file')
    .requiredOption('--out <folder>', 'write the drawings there')
    .option('--date <day>', 'date in the files', dayOption);
  return withCommonOptions(command).action(async (file: string, options: DrawOptions) => {
    const text = await readText(file);
    const style = readStyle(text, file, await loadPresets());
    const { stages, fault } = stagesOf(style);
    const unit = unitFor(options, style);
    const drawing = { title: style.name, unit };
    const date = options.date ?? new Date();
    const files: OutputFile[] = [
      { name: 'steps.svg', content: stepsSvg(style.block, stages, drawing) },
      { name: 'steps.pdf', content: await stepsPdf(style.block, stages, { ...drawing, date }) },
    ];
    const written = await writeAll(options.out, files);
    if (options.json) {
      const steps = stages.map(({ step, notes }) => ({ step, notes }));
      console.out(JSON.stringify({ style: style.name, steps, files: written }, null, 2));
    } else if (!options.quiet) for (const path of written) console.out(path);
    if (!fault) return;
    // What led to the step that failed is drawn all the same: that is where one wants to look.
    const { path } = fault.place;
    throw fault.at(path === undefined ? { file } : locateInStyle(text, file, path));
  });
}

/** The stages of a style's recipe, as far as it runs, and what stopped it. */
function stagesOf({ block, steps }: Style): { stages: Stage[]; fault?: UserError } {
  try {
    return { stages: runRecipe(block, steps).stages };
  } catch (fault) {
    if (!(fault instanceof UserError)) throw fault;
    const stages: Stage[] = [];
    let pattern = block;
    for (const step of steps) {
      try {
        const { pattern: next, notes } = step.apply(pattern, { block });
        pattern = rederive(next);
        stages.push({ step: step.name, pattern, notes });
      } catch {
        break;
      }
    }
    return { stages, fault };
  }
}
