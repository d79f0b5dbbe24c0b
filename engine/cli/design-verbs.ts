/** The verbs that help to choose a shape before the mould is cut: their options and help. What they do is imported when one runs. */
import { type Command, Option } from 'commander';
import { MESH_UNITS } from '../../shared/mesh-units.ts';
import type { Outcome } from '../../shared/outcome.ts';
import type { Answered } from './run.ts';

export type DesignOptions = Readonly<Record<string, string | boolean | undefined>>;
export type Progress = ((share: number) => void) | null;

/** What the frame lends: how examples are set, and how an answer or a refusal is printed. */
export interface Frame {
  readonly examples: (...lines: string[]) => string;
  readonly progressLine: () => Progress;
  readonly refuse: (line: string) => void;
  readonly print: (answered: Answered, json: boolean) => void;
}

type Run = (files: readonly string[], options: DesignOptions, progress: Progress) => Promise<Outcome<Answered, string>>;

export function addDesignVerbs(program: Command, { examples, progressLine, refuse, print }: Frame): void {
  const verb = (name: string, text: string, files: string, load: () => Promise<Run>): Command =>
    program
      .command(name)
      .description(text)
      .usage(`${files} [options]`)
      .argument(files.includes('…') ? '<files...>' : '<file>', 'a case (.json) or a mesh (.stl, .obj, .3mf)')
      .allowExcessArguments(false)
      .option('--json', 'print one object on stdout: SI, keys with units')
      .addOption(new Option('--unit <unit>', 'unit of a bare mesh (default: mm, with a notice)').choices(MESH_UNITS))
      .exitOverride()
      .configureOutput({ outputError: () => {} })
      .action(async (given: string | string[], options: DesignOptions) => {
        const run = await load();
        const answered = await run([given].flat(), options, options['json'] === true ? null : progressLine());
        if (!answered.ok) return refuse(answered.error);
        print(answered.value, options['json'] === true);
      });

  verb('siting', 'where an outlet or a drain would leave least, over all conditions', '<case.json | mesh>', async () => {
    return (await import('./run-siting.ts')).runSiting;
  })
    .addHelpText(
      'before',
      examples(
        'siting plane.json --kind outlet',
        'siting plane.json --kind drain --count 2 --tank left',
        "siting header.stl --unit mm --kind drain --slope 3 --spacing '10 mm' --json",
      ),
    )
    .addOption(
      new Option('--kind <kind>', 'outlets are judged at the flight conditions, drains on every slope').choices(['outlet', 'drain']),
    )
    .addOption(new Option('--count <number>', 'one fitting alone, or the best two together').choices(['1', '2']).default('1'))
    .option('--tank <id>', 'one tank alone (default: each)')
    .option('--spacing <length>', 'look between the corners of the wall too, no farther apart than this; mm, or with its unit')
    .option('--slope <deg>', "drains: steepest slope (default: the case's rampSlope_deg, else 5)")
    .addHelpText('after', SITING_HELP);

  verb('compare', 'two to four cases side by side, differences shown and the best marked', '<cases…>', async () => {
    return (await import('./run-compare.ts')).runCompare;
  })
    .usage('<A> <B> [C] [D] [options]')
    .addHelpText(
      'before',
      examples(
        'compare plane.json other.json',
        'compare a.json b.json c.json --csv > figures.csv',
        'compare flat.stl sloped.stl --unit mm --json',
      ),
    )
    .option('--csv', 'print figures as CSV: SI, a row a figure')
    .addHelpText('after', COMPARE_HELP);

  verb('mould', 'draft, undercuts, parting outline and block of a mould of two halves', '<case.json | mesh>', async () => {
    return (await import('./run-mould.ts')).runMould;
  })
    .addHelpText(
      'before',
      examples('mould header.stl --unit mm', 'mould plane.json --tank collector --pull 0,0,1 --draft_deg 3', 'mould plane.json --json'),
    )
    .option('--pull <x,y,z>', 'direction one half comes off along, the other against it; auto suggests one', 'auto')
    .option('--draft_deg <deg>', 'wanted draft, 0 to 45 (default: 2)')
    .option('--tank <id>', 'one tank alone (default: each)')
    .option('--resolution <length>', 'how far apart samples of undercuts may lie; mm, or with its unit (default: 1/100 of the size)')
    .addHelpText('after', MOULD_HELP);

  for (const command of program.commands.filter((one) => ['ramp', 'unusable'].includes(one.name()))) {
    command
      .addHelpText('before', examples(`${command.name()} plane.json --tolerance_deg 1 --scale_share 0.1%`))
      .option('--tolerance_deg <deg>', 'margin of each figure when a tank is installed up to this angle off, in any direction; 0 to 10')
      .option('--scale_share <share>', 'margin when the tank is smaller or larger by this share of its lengths; 0 to 0.1 or with %');
  }
}

const COMPARE_HELP = `
Volumes in L, lengths in mm, angles in degrees; JSON and CSV are SI with units in the keys. Each case is asked at its own conditions, slope and
limits; a notice says where they differ. Centroid travel: over the flight conditions, 10 to 100 % full.
Exit codes: 0 done, 2 bad input.`;

const MOULD_HELP = `
Directions are in the tank frame: X aft, Y right, Z up; a minus sign needs --pull=-1,0,0. Draft is exact for each triangle. Undercuts are found
by rays from samples no farther apart than the table says; triangles hidden throughout, and hidden anywhere, bound them.
Exit codes: 0 done, 2 bad input.`;

const SITING_HELP = `
Each place is a point at the wall with no other fitting of the kind in the tank; its figure is what stays in the tank at the worst condition.
Exit codes: 0 done, 2 bad input. In JSON, worst is a place in the list of conditions, and map holds every place looked at.`;
