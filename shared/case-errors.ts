/** Why a case file cannot be taken. Facts only. */
export type CaseError = { readonly code: 'case-not-json'; readonly reason: string };

export function describeCaseError(error: CaseError): string {
  switch (error.code) {
    case 'case-not-json':
      return `The case file is not JSON: ${error.reason}. Correct it, then open it again.`;
    default:
      return error.code satisfies never;
  }
}
