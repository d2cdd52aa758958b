// Keys that are not for what has the focus.

/** Whether a key is pressed for the browser or the whole page: with Ctrl, Alt or Cmd, but not to reach the third level of the keyboard. */
export function isCommand(event: KeyboardEvent): boolean {
  return !event.getModifierState('AltGraph') && (event.ctrlKey || event.altKey || event.metaKey);
}
