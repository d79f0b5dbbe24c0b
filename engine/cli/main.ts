#!/usr/bin/env node
/**
 * The command line's frame: verbs, options and help. Everything that needs geometry is imported when a verb runs, so help is there at once.
 * Data go to stdout, messages to stderr. Exit codes: 0 done, 1 a requirement is not met, 2 bad input with one line that says what to do.
 */
import { Command, CommanderError, Option } from 'commander';
import packageFile from '../../package.json' with { type: 'json' };
import { MESH_UNITS } from '../../shared/mesh-units.ts';
import { suggest } from '../../shared/suggest.ts';
import { addDesignVerbs } from './design-verbs.ts';
import { oneLine } from './one-line.ts';
import { type Amounts, readAmounts } from './read-amounts.ts';
import type { Answered, Verb } from './run.ts';
import type { ExportOptions } from './run-export.ts';

interface Options extends Record<string, string | boolean | undefined> {
  readonly json?: boolean;
}

const BAD_INPUT = 2;

/** One line on stderr, whatever the message holds. */
function refuse(line: string): void {
  process.exitCode = BAD_INPUT;
  process.stderr.write(`lowpoint: ${oneLine(line)}\n`);
}

const program = new Command('lowpoint');
program
  .description("Where the fuel lies in a light aircraft's tanks at any attitude: what stays wetted, what unports, what never drains.")
  .version(packageFile.version, '-v, --version')
  .helpCommand(false)
  .addHelpText(
    'before',
    examples('check left.stl --unit mm', 'settle plane.json --pitch 4 --roll -10 --fill 0.25', 'ramp plane.json --json'),
  )
  .addHelpText('after', () => `\n${AFTER}`)
  .configureOutput({ outputError: () => {} })
  .exitOverride()
  .argument('[verb]')
  .usage('<verb> <case.json | mesh.stl> [options]')
  .action((verb: string | undefined) => {
    if (verb === undefined) return program.outputHelp();
    if (/\.(json|stl|obj|3mf)$/i.test(verb)) return refuse(`Say what to do with ${verb} first, for example: lowpoint check ${verb}`);
    refuse(notAVerb(verb));
  })
  .allowExcessArguments();

const AFTER = `A case (.json) names its tanks, fittings and conditions; a bare mesh (.stl, .obj, .3mf) is one tank without fittings.
Angles in degrees: nose up and right wing down are positive. Exit codes: 0 done, 1 a requirement is not met, 2 bad input.
Supports design and test planning. It replaces no test, no local rule and no licensed person's judgement.`;

const HISTORY_HELP = `
The case comes first, then the history: commas between columns, a point as the decimal mark, time rising from row to row.
Columns: time_s; pitch_deg, roll_deg and n as a tilting stand would need them, or the accelerations nx, ny, nz in g (forward, right, up;
0, 0, 1 at rest); and, where fuel is drawn, one of fuelFlow_L_h, fuelFlow_USgal_h, fuelFlow_m3_s, from its row to the next.
The engine draws from the outlets at which no line starts; its fuel comes in equal shares through the lines into that tank whose ends fuel
reaches, else from the tank itself. Heads, valves and losses of lines are not worked out.`;

verb('check', 'mesh health, capacity and low points as parked').addHelpText(
  'before',
  examples('check left.stl --unit in', 'check plane.json --json'),
);

verb('settle', 'where a given amount of fuel comes to rest')
  .addHelpText(
    'before',
    examples(
      'settle plane.json --fill 0.5',
      'settle plane.json --pitch 4 --roll -10 --fuel_m3 0.02',
      "settle plane.json --condition slip --fuel_m3 '20 L'",
      'settle drum.stl --unit cm --n -1 --fill 50%',
    ),
  )
  .option('--condition <id>', 'a condition of the case, instead of the three numbers')
  .option('--pitch <deg>', 'nose up positive (default: 0)')
  .option('--roll <deg>', 'right side down positive (default: 0)')
  .option('--n <number>', 'load factor, not 0; below zero puts the fuel on the ceiling (default: 1)')
  .option('--fill <share>', "the same share of each tank's capacity, 0 to 1 or with %")
  .option('--fuel_m3 <volume>', 'total, spread at an equal share of each capacity; m³, or with its unit (20 L, 5 US gal)')
  .option('--pour-at <x,y,z>', 'pour in at this point, m in the tank frame, instead of through the filler')
  .option('--pour-here', 'pour at this attitude (default: pour as parked, then turn, so that pockets keep what they caught)');

verb('ramp', 'water the drains leave behind, parked on a slope in every direction')
  .addHelpText('before', examples('ramp plane.json', 'ramp plane.json --slope 3 --json'))
  .option('--slope <deg>', "steepest slope (default: the case's rampSlope_deg, else 5)");

verb('unusable', 'what is left in each tank when air first reaches its outlet').addHelpText(
  'before',
  examples('unusable plane.json', 'unusable plane.json --json'),
);

verb('fill', 'air trapped on filling, the most fuel that fits, and the expansion space above it').addHelpText(
  'before',
  examples('fill plane.json', 'fill plane.json --json'),
);

verb('replay', 'fuel through a recorded manoeuvre: where it moves, and when an outlet is dry', ['<history>', 'the recorded history (.csv)'])
  .addHelpText(
    'before',
    examples('replay plane.json flight.csv --fill 0.3', "replay plane.json flight.csv --fuel_m3 '40 L' --json > flight.json"),
  )
  .option('--fill <share>', "at the start: the same share of each tank's capacity, 0 to 1 or with %")
  .option('--fuel_m3 <volume>', 'at the start: total, spread at an equal share of each capacity; m³, or with its unit (20 L, 5 US gal)')
  .addHelpText('after', HISTORY_HELP);

verb('findings', 'one line per requirement: its number, its source, met or not').addHelpText('before', examples('findings plane.json'));

program
  .command('export')
  .description("write a tank's fuel space, repaired and placed, as STL or 3MF")
  .usage('<case.json | mesh> -o <file.stl | file.3mf> [options]')
  .argument('<file>', 'a case (.json) or a mesh (.stl, .obj, .3mf)')
  .addHelpText(
    'before',
    examples('export plane.json --tank left --unit mm -o left.3mf', 'export tank.obj --mesh-unit in --unit mm -o tank.stl'),
  )
  .allowExcessArguments(false)
  .requiredOption('-o, --out <file>', 'the file to write, .stl or .3mf; one that is there is replaced')
  .option('--tank <id>', 'which tank (needed where there are several)')
  .addOption(new Option('--unit <unit>', 'unit of the file that is written').choices(MESH_UNITS).default('mm'))
  .addOption(
    new Option('--mesh-unit <unit>', 'unit of a bare mesh that is read (default: mm, with a notice; a 3MF says its own)').choices(
      MESH_UNITS,
    ),
  )
  .option('--json', 'print one object on stdout: SI, keys with units')
  .exitOverride()
  .configureOutput({ outputError: () => {} })
  .action(async (file: string, options: ExportOptions) => {
    const { runExport } = await import('./run-export.ts');
    const answered = await runExport(file, options);
    if (!answered.ok) return refuse(answered.error);
    print(answered.value, options.json === true);
  });

addDesignVerbs(program, { examples, progressLine, refuse, print });

program
  .command('schema')
  .description('print the JSON Schema of a case file')
  .addHelpText('before', examples('schema > lowpoint-case.schema.json'))
  .exitOverride()
  .configureOutput({ outputError: () => {} })
  .action(async () => {
    const { caseJsonSchema } = await import('../case/json-schema.ts');
    process.stdout.write(`${JSON.stringify(caseJsonSchema(), null, 2)}\n`);
  });

// Of our own: commander's answers a verb it does not know with all its help.
program
  .command('help [verb]')
  .description('how to use a verb')
  .allowExcessArguments()
  .action((asked: string | undefined) => {
    const command = program.commands.find((other) => other.name() === (asked ?? 'help'));
    if (command === undefined) return refuse(notAVerb(asked!));
    (asked === undefined ? program : command).outputHelp();
  });

const VERBS = program.commands.map((command) => command.name()).filter((name) => name !== 'help');

function notAVerb(word: string): string {
  const near = suggest(word, VERBS);
  return `"${word}" is not a verb. ${near === null ? `Use one of ${VERBS.join(', ')}.` : `Did you mean ${near}?`}`;
}

function verb(name: Verb, text: string, second: readonly [name: string, text: string] | null = null): Command {
  const command = program
    .command(name)
    .description(text)
    .usage(`<case.json | mesh.stl>${second === null ? '' : ` ${second[0]}`} [options]`)
    .argument('<file>', 'a case (.json) or a mesh (.stl, .obj, .3mf)');
  if (second !== null) command.argument(...second);
  return command
    .allowExcessArguments(false)
    .option('--json', 'print one object on stdout: SI, keys with units')
    .addOption(new Option('--unit <unit>', 'unit of a bare mesh (default: mm, with a notice; a 3MF says its own)').choices(MESH_UNITS))
    .exitOverride()
    .configureOutput({ outputError: () => {} })
    .action(async (file: string, ...more: (string | Options)[]) => {
      const options = more[second === null ? 0 : 1] as Options;
      const amounts = readAmounts(options);
      if (!amounts.ok) return refuse(amounts.error);
      await answer(name, file, second === null ? null : (more[0] as string), amounts.value, options.json === true);
    });
}

async function answer(name: Verb, file: string, history: string | null, amounts: Amounts, json: boolean): Promise<void> {
  const { run } = await import('./run.ts');
  const answered = await run(name, file, history, amounts, json ? null : progressLine());
  if (!answered.ok) return refuse(answered.error);
  print(answered.value, json);
}

function print({ answer, table, notices, isMet }: Answered, json: boolean): void {
  for (const notice of notices) process.stderr.write(`Notice: ${oneLine(notice)}\n`);
  process.stdout.write(json ? `${JSON.stringify(answer)}\n` : table);
  if (!isMet) process.exitCode = 1;
}

/** A counting line on a terminal, nothing where stderr is a file or a pipe. */
function progressLine(): ((share: number) => void) | null {
  if (!process.stderr.isTTY) return null;
  const started = Date.now();
  return (share) => {
    if (Date.now() - started < 500) return;
    process.stderr.write(share < 1 ? `\r${Math.floor(100 * share)} %` : '\r     \r');
  };
}

function examples(...lines: string[]): string {
  return `Examples:\n${lines.map((line) => `  lowpoint ${line}\n`).join('')}`;
}

/** A reader that closes early (`lowpoint … | head`) is no fault. */
process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
  if (fault.code !== 'EPIPE') refuse(`the answer could not be written (${fault.code}). Free some space or write elsewhere.`);
  process.exit();
});

try {
  await program.parseAsync();
} catch (fault) {
  if (fault instanceof CommanderError) {
    if (fault.exitCode !== 0) {
      const said = fault.message.replace(/^error: /, '').replace(/\.?\n?\((.*)\)$/, '. $1');
      refuse(`${said}${/[.?]$/.test(said) ? '' : '.'} See: lowpoint --help`);
    }
  } else {
    refuse(
      `stopped by a fault of its own: ${fault instanceof Error ? fault.message : String(fault)}. Report it with the file that brought it about.`,
    );
  }
}
