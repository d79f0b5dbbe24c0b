/** Names on the wire between preload and main; in a file of its own, for a sandboxed preload may import little. */
export const TO_PAGE = { open: 'page:open', command: 'page:command' } as const;
export const onWire = (channel: string): string => `shell:${channel}`;
