import { shellTests } from './shell-tests.ts';
import { windowTests } from './window-tests.ts';

shellTests('chromium');
windowTests('chromium');
