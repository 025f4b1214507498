import { Command } from 'commander';
import { chartFailures } from '../grade/chart.js';
import { joinFailures, seamFailures } from '../grade/truing.js';
import { fitRows } from '../style/fit.js';
import { formatLength, type Unit } from '../units.js';
import { unitFor, warningsOf, withCommonOptions } from './common.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';

/** `walewise check`: truing and fit of a style in every size. */
export function checkCommand(console: Console = systemConsole): Command {
  const command = new Command('check')
    .description('walk every seam in every size; look at joins, armholes and fit')
    .argument('<style>', 'style file');
  return withCommonOptions(command).action(async (file: string, options: CommonOptions) => {
    const loaded = await loadStyle(file);
    const { style, developed } = loaded;
    const unit = unitFor(options, style);
    const fit = fitRows(style, developed.range, unit);
    const passed = seamFailures(developed.truing).length === 0 && chartFailures(developed.chart).length === 0;
    if (options.json) {
      const notes = developed.stages.flatMap((s) => s.notes.map((note) => ({ step: s.step, ...note })));
      const { truing } = developed;
      console.out(JSON.stringify({ style: style.name, passed, notes, truing, fit }, null, 2));
    } else {
      if (!options.quiet) console.out(`${stepNotes(loaded, unit)}\n`);
      console.out(seamTable(loaded, unit));
      for (const warning of warningsOf(loaded, fit, unit)) console.out(`note: ${warning}`);
      console.out(`\n${verdict(loaded)}`);
    }
    process.exitCode = passed ? EXIT.done : EXIT.check;
  });
}

/** What the alterations measured, a line each. */
function stepNotes({ developed }: LoadedStyle, unit: Unit): string {
  const lines = developed.stages.flatMap((stage) =>
    stage.notes.map((note) => {
      const values = note.values.map((v) => `${v.name} ${formatLength(v.mm, unit)}`);
      return `${stage.step}: ${note.subject}: ${values.join(', ')}`;
    }),
  );
  return lines.join('\n');
}

function seamTable({ developed }: LoadedStyle, unit: Unit): string {
  const rows = developed.truing.flatMap(({ size, seams }) =>
    seams.map((walk) => [
      size,
      walk.seam,
      formatLength(walk.left, unit),
      formatLength(walk.wanted, unit),
      `${walk.difference.toFixed(2)} mm`,
      `${walk.tolerance.toFixed(2)} mm`,
      walk.matches ? 'sews' : walk.difference > 0 ? 'too long' : 'too short',
    ]),
  );
  return table(['size', 'seam', 'measures', 'should', 'off by', 'allowed', 'verdict'], rows);
}

function verdict({ developed }: LoadedStyle): string {
  const seams = seamFailures(developed.truing).length;
  const joins = joinFailures(developed.truing).length;
  const first = seams === 0 ? 'every seam sews in every size' : `${seams} seams do not match`;
  const off = chartFailures(developed.chart).length;
  const chart = off === 0 ? '' : `${off} points of measure are off; `;
  return `${first}; ${chart}${joins === 0 ? 'every join is smooth' : `${joins} joins are not smooth`}`;
}
