import { shellTests } from './shell-tests.ts';

shellTests('chromium');
