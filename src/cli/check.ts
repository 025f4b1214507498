import { Command } from 'commander';
import { writeAll } from '../exchange/files.js';
import { joinFailures, seamFailures } from '../grade/truing.js';
import { checkHtml } from '../report/check-page.js';
import { plural } from '../report/format.js';
import { cuttingGaps } from '../style/corridor.js';
import { fitRows } from '../style/fit.js';
import { passes, type Verdict, verdictsOf } from '../style/verdicts.js';
import { formatLength, type Unit } from '../units.js';
import { unitFor, withCommonOptions } from './common.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';

interface CheckOptions extends CommonOptions {
  readonly out?: string;
}

/** `walewise check`: truing and fit of a style in every size, on one page. */
export function checkCommand(console: Console = systemConsole): Command {
  const command = new Command('check')
    .description('walk every seam in every size; look at joins, armholes and fit')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'write the check as a page there, with a drawing of what is wrong');
  return withCommonOptions(command).action(async (file: string, options: CheckOptions) => {
    const loaded = await loadStyle(file);
    const { style, developed } = loaded;
    const unit = unitFor(options, style);
    const fit = fitRows(style, developed.range, unit);
    const verdicts = verdictsOf(style, developed, fit, unit);
    const passed = passes(verdicts);
    const notes = stepNotes(loaded, unit);
    if (options.json) {
      const measured = developed.stages.flatMap((s) => s.notes.map((note) => ({ step: s.step, ...note })));
      const { truing } = developed;
      console.out(
        JSON.stringify({ style: style.name, passed, notes: measured, verdicts, truing, fit }, null, 2),
      );
    } else {
      if (!options.quiet && notes.length > 0) console.out(`${notes.join('\n')}\n`);
      console.out(verdictTable(verdicts));
      for (const line of whatToDo(verdicts)) console.out(line);
      for (const gap of cuttingGaps(style, developed.base)) console.out(`note: ${gap}`);
      console.out(`\n${summary(loaded, verdicts)}`);
    }
    if (options.out !== undefined) {
      const content = checkHtml({ style: style.name, verdicts, range: developed.range, notes });
      const written = await writeAll(options.out, [{ name: 'check.html', content }]);
      if (!options.json && !options.quiet) for (const path of written) console.out(path);
    }
    process.exitCode = passed ? EXIT.done : EXIT.check;
  });
}

/** What the alterations measured, a line each. */
function stepNotes({ developed }: LoadedStyle, unit: Unit): string[] {
  return developed.stages.flatMap((stage) =>
    stage.notes.map((note) => {
      const values = note.values.map((v) => `${v.name} ${formatLength(v.mm, unit)}`);
      return `${stage.step}: ${note.subject}: ${values.join(', ')}`;
    }),
  );
}

function verdictTable(verdicts: readonly Verdict[]): string {
  const rows = verdicts.map((v) => [v.kind, v.subject, v.word, v.sizes.join(' '), v.found]);
  return table(['look at', 'what', 'verdict', 'not in', 'found, in the worst size'], rows);
}

/** What is not good, with what to do; what stops laying first. */
function whatToDo(verdicts: readonly Verdict[]): string[] {
  const line = ({ subject, word, sizes, advice }: Verdict) =>
    `${subject} ${word} in ${sizes.join(', ')}: ${advice ?? ''}`;
  return [
    ...verdicts.filter((v) => v.state === 'stop').map((v) => `stops: ${line(v)}`),
    ...verdicts.filter((v) => v.state === 'look').map((v) => `note: ${line(v)}`),
  ];
}

function summary({ developed }: LoadedStyle, verdicts: readonly Verdict[]): string {
  const seams = seamFailures(developed.truing).length;
  const joins = joinFailures(developed.truing).length;
  const isWalked = verdicts.some((v) => v.kind === 'seam');
  const sews = isWalked
    ? 'every seam sews in every size'
    : "no seam is walked: name what is sewn to what, such as '- { name: shoulder, left: front.shoulder, right: back.shoulder }' under block.seams";
  const first = seams === 0 ? sews : plural(seams, 'seam does not match', 'seams do not match');
  const off = verdicts.filter((v) => v.kind === 'measure' && v.state !== 'good').length;
  const chart = off === 0 ? '' : `${plural(off, 'point of measure is off', 'points of measure are off')}; `;
  return `${first}; ${chart}${joins === 0 ? 'every join is smooth' : plural(joins, 'join is not smooth', 'joins are not smooth')}`;
}
