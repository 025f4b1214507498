#!/usr/bin/env node
import { Command, CommanderError } from 'commander';
import { describeError, EXIT } from './output.js';

/** Commands by name: what --help says of each, and how its code is loaded once it is asked for. */
const COMMANDS: readonly { name: string; summary: string; load: () => Promise<Command> }[] = [
  {
    name: 'new',
    summary: 'start a folder with the demo style',
    load: async () => (await import('./new.js')).newCommand(),
  },
  {
    name: 'check',
    summary: 'walk every seam in every size; look at joins, armholes and fit',
    load: async () => (await import('./check.js')).checkCommand(),
  },
  {
    name: 'draw',
    summary: 'draw the pattern before and after each alteration, a picture a step',
    load: async () => (await import('./draw.js')).drawCommand(),
  },
  {
    name: 'grade',
    summary: 'grade the altered base to its size range; print the size chart',
    load: async () => (await import('./grade.js')).gradeCommand(),
  },
  {
    name: 'lay',
    summary: 'lay one marker: all pieces of a size ratio on a fabric width',
    load: async () => (await import('./lay.js')).layCommand(),
  },
  {
    name: 'widths',
    summary: 'lay the same order at several fabric widths and lay modes and compare what it takes',
    load: async () => (await import('./widths.js')).widthsCommand(),
  },
  {
    name: 'nest',
    summary: 'pack the polygons of a bare instance into a strip: the engine alone',
    load: async () => (await import('./nest.js')).nestCommand(),
  },
  {
    name: 'import',
    summary: 'read pieces from a DXF or SVG drawing into a style file',
    load: async () => (await import('./import.js')).importCommand(),
  },
  {
    name: 'run',
    summary: 'alter, grade, true, lay every marker and write all files into one folder',
    load: async () => (await import('./run.js')).runCommand(),
  },
  {
    name: 'report',
    summary: 'make the fabric report and cut sheets from what run kept',
    load: async () => (await import('./report.js')).reportCommand(),
  },
  {
    name: 'export',
    summary: 'write pattern DXF, files of markers laid before, or a pack for a cutting service',
    load: async () => (await import('./export.js')).exportCommand(),
  },
  {
    name: 'plan',
    summary: 'plan the order: markers, plies and lays at least cost; what cloth on hand gives',
    load: async () => (await import('./plan.js')).planCommand(),
  },
  {
    name: 'presets',
    summary: 'list blocks, body charts, increments and fabrics with their sources',
    load: async () => (await import('./presets.js')).presetsCommand(),
  },
];

/** Runs the command line. Returns nothing: the exit code is in `process.exitCode`. */
export async function main(argv: readonly string[]): Promise<void> {
  const program = new Command('walewise')
    .description('from a checked base pattern of a knit style to the cutting table')
    .version('0.1.0')
    .showHelpAfterError("('walewise --help' lists the commands)");
  const asked = COMMANDS.find((command) => command.name === argv[2]);
  for (const { name, summary, load } of COMMANDS) {
    // Only the command that was asked for is loaded: help stays quick.
    if (name === asked?.name) program.addCommand(strict(await load()));
    else program.command(name).description(summary).allowUnknownOption().helpOption(false);
  }
  strict(program);
  try {
    await program.parseAsync([...argv]);
  } catch (error) {
    if (error instanceof CommanderError) {
      process.exitCode = error.exitCode === 0 ? EXIT.done : EXIT.usage;
      return;
    }
    const { text, code } = describeError(error);
    process.stderr.write(`${text}\n`);
    process.exitCode = code;
  }
}

const strict = (command: Command): Command => command.exitOverride().showSuggestionAfterError();

// A reader that stops listening, such as `head`, is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(EXIT.done);
});
await main(process.argv);
