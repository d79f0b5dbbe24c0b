/** The case schema as JSON Schema draft-07, for editors and other programs. `npm run schema` publishes it; a test holds the copy equal. */
import { toJsonSchema } from '@valibot/to-json-schema';
import { caseSchema } from '../../shared/case.ts';

export function caseJsonSchema(): object {
  const schema = toJsonSchema(caseSchema, {
    target: 'draft-07',
    typeMode: 'input',
    // JSON has no NaN or infinity to refuse. Any other check without a counterpart stops the build of the schema.
    overrideAction: ({ valibotAction, jsonSchema }) => (valibotAction.type === 'finite' ? jsonSchema : undefined),
  });
  return {
    $schema: schema.$schema,
    title: 'Lowpoint case',
    description: 'One fuel-system design with its conditions. Lengths in metres, angles in degrees; keys end in their unit.',
    ...schema,
  };
}
