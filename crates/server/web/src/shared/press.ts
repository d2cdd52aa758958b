// What would move the page under a pressed pointer waits until it is let go, or the press would end on something else.

let isPressed = false;
addEventListener('pointerdown', (event) => (isPressed = event.button === 0), true);
for (const kind of ['pointerup', 'pointercancel']) addEventListener(kind, () => (isPressed = false), true);

/** Does something at once, or after the click that a pressed pointer is about to make. */
export function afterPress(act: () => void) {
  if (!isPressed) {
    act();
    return;
  }
  const once = new AbortController();
  const released = () => {
    once.abort();
    setTimeout(act);
  };
  for (const kind of ['pointerup', 'pointercancel']) addEventListener(kind, released, { capture: true, signal: once.signal });
}
