/** Text that came from a file, safe for a terminal and for one line: control characters and line ends become a blank. */
export const oneLine = (text: string): string => text.replace(/[\p{Cc}\u2028\u2029]+/gu, ' ').trim();
