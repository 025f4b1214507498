import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { Command, Option } from 'commander';
import { InputError, suggest } from '../errors.js';
import { assertWritable, writeAll } from '../exchange/index.js';
import type { Marker } from '../lay/index.js';
import type { CutPlan } from '../plan/index.js';
import { clothUp, massUp, money, plural } from '../report/format.js';
import { purchases, readKeptPlan, readKeptRun, readKeptWidths, reportJson } from '../report/index.js';
import { dayOption, unitFor, withCommonOptions } from './common.js';
import { keptMarkers } from './kept.js';
import { loadStyle, readText } from './load.js';
import { type CommonOptions, type Console, systemConsole, table } from './output.js';
import { reportDataOf, reportFiles, reportMeaning } from './report-files.js';

interface ReportOptions extends CommonOptions {
  readonly from: string;
  readonly out?: string;
  readonly plies?: PliesChoice;
  readonly spare?: number;
  readonly widths?: string;
  readonly paper?: 'A4' | 'Letter';
  readonly date?: Date;
}

/** Plies of every marker, or of each by its name. */
export type PliesChoice = number | Readonly<Record<string, number>>;

/** `walewise report`: the report again, from what `run` kept, without laying anything. */
export function reportCommand(console: Console = systemConsole): Command {
  const command = new Command('report')
    .description('make the fabric report and cut sheets from the markers that run kept, without laying anew')
    .argument('<style>', 'style file that the markers were laid for')
    .option('--from <folder>', "folder that holds run's report.json", 'out')
    .option('--out <folder>', 'folder for the files (default: the same)')
    .option('--plies <n>', 'plies to lay: of every marker (9) or by name (self-165:9,rib-90:5)', readPlies)
    .option('--spare <percent>', 'cloth to buy beyond what is laid, for every fabric', readSpare)
    .option('--widths <file>', "widths.json of 'widths', to show its table too")
    .addOption(new Option('--paper <size>', 'paper of the PDF files').choices(['A4', 'Letter']))
    .option('--date <day>', 'date in the files', dayOption);
  return withCommonOptions(command).action(async (file: string, options: ReportOptions) => {
    const loaded = await loadStyle(file);
    const from = join(options.from, 'report.json');
    const kept = readKeptRun(await readText(from), from);
    const markers = await keptMarkers(loaded, options.from, { names: [], stamp: undefined });
    const plan = await planBeside(options.from, markers);
    if (plan && options.plies !== undefined) {
      throw new InputError('--plies: the plan in that folder says how many plies are laid', {
        mend: 'leave --plies out, or name another folder with --from',
      });
    }
    const { widths } = options;
    const compared =
      widths === undefined ? undefined : readKeptWidths(await readText(widths), widths, loaded.style.name);
    const plies = pliesFor(options.plies, markers);
    const out = options.out ?? options.from;
    await assertWritable(out);
    const choice = {
      unit: unitFor(options, loaded.style),
      date: options.date ?? new Date(),
      ...(plies === undefined ? {} : { plies }),
      ...(plan === undefined ? {} : { plan }),
      ...(options.spare === undefined ? {} : { spare: options.spare }),
      ...(plan && kept.estimates.length > 0 ? { estimates: kept.estimates } : {}),
      ...(compared === undefined ? {} : { widths: [compared] }),
    };
    const { files, report } = await reportFiles(reportDataOf(loaded, markers, choice), {
      ...(loaded.style.label === undefined ? {} : { label: loaded.style.label }),
      ...(options.paper === undefined ? {} : { paper: options.paper }),
      // What run wrote beside it is still there, unless the report goes elsewhere.
      beside: out === options.from ? kept.files.filter(({ name }) => reportMeaning(name) === undefined) : [],
    });
    const written = await writeAll(out, files);
    if (options.json) {
      console.out(JSON.stringify({ files: written, report: reportJson(report) }, null, 2));
      return;
    }
    const bought = purchases(report);
    const rows = bought.map((p) => [
      p.colour === undefined ? p.fabric : `${p.fabric}, ${p.colour}`,
      p.rolls ? plural(p.rolls.rolls, 'roll') : clothUp(p.bought.length, choice.unit),
      massUp(p.bought.mass),
      money(p.bought.cost, p.currency),
      String(p.garments),
    ]);
    console.out(table(['fabric', 'buy', 'weight', 'cost', 'garments'], rows));
    for (const p of bought) if (p.rollFault !== undefined) console.out(`note: ${p.rollFault}`);
    if (options.quiet) return;
    const named = files.map((f) => [join(out, f.name), reportMeaning(f.name) ?? '']);
    console.out(`\n${table(['file', 'what it is'], named)}`);
    for (const warning of report.warnings) console.out(`note: ${warning}`);
  });
}

/** The plan that was kept with the markers, where there is one. @throws InputError */
export async function planBeside(folder: string, markers: readonly Marker[]): Promise<CutPlan | undefined> {
  const file = join(folder, 'plan.json');
  const there = await stat(file).catch(() => undefined);
  return there ? readKeptPlan(await readText(file), file, markers) : undefined;
}

/** @throws InputError for a marker that is not there, or an odd number of plies face to face. */
export function pliesFor(
  choice: PliesChoice | undefined,
  markers: readonly Marker[],
): Record<string, number> | undefined {
  if (choice === undefined) return undefined;
  const names = markers.map((m) => m.name);
  if (typeof choice !== 'number') {
    const stranger = Object.keys(choice).find((name) => !names.includes(name));
    if (stranger !== undefined) {
      throw new InputError(`--plies: there is no marker '${stranger}'`, { mend: suggest(stranger, names) });
    }
    const missing = names.find((name) => choice[name] === undefined);
    if (missing !== undefined) {
      throw new InputError(`--plies: how many of marker '${missing}'?`, {
        mend: `name every marker: ${names.map((n) => `${n}:1`).join(',')}`,
      });
    }
  }
  const plies = Object.fromEntries(names.map((n) => [n, typeof choice === 'number' ? choice : choice[n]!]));
  const odd = markers.find((m) => m.spread.plies === 'even' && plies[m.name]! % 2 !== 0);
  if (odd) {
    throw new InputError(`--plies: marker '${odd.name}' is laid face to face, which takes an even number`);
  }
  return plies;
}

const MOST_PLIES = 100_000;

/** `9`, or `self-165:9,rib-90:5`. @throws InputError */
export function readPlies(text: string): PliesChoice {
  const number = (part: string): number => {
    const value = part.trim() === '' ? Number.NaN : Number(part);
    if (Number.isInteger(value) && value >= 1 && value <= MOST_PLIES) return value;
    throw new InputError(`--plies: '${part.trim()}' is not a number of plies`, {
      mend: 'write 9, or self-165:9,rib-90:5',
    });
  };
  if (!text.includes(':')) return number(text);
  const plies: Record<string, number> = {};
  for (const part of text.split(',')) {
    const at = part.lastIndexOf(':');
    const name = part.slice(0, at).trim();
    if (name in plies) throw new InputError(`--plies: marker '${name}' is given twice`);
    plies[name] = number(part.slice(at + 1));
  }
  return plies;
}

/** @throws InputError */
function readSpare(text: string): number {
  const value = Number(/^\s*(\d+(?:\.\d+)?)\s*%?\s*$/.exec(text)?.[1] ?? Number.NaN);
  if (value >= 0 && value < 100) return value;
  throw new InputError(`--spare must be a percentage from 0 to under 100, not '${text}'`);
}
