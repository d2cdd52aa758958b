// Whether a pointer is pressed: what would move the page under it waits until it is let go, or the press would end on something else.

let isPressed = false;
if (typeof addEventListener === 'function') {
  addEventListener('pointerdown', () => (isPressed = true), true);
  for (const kind of ['pointerup', 'pointercancel']) addEventListener(kind, () => (isPressed = false), true);
}

/** Does something at once, or after the click that a pressed pointer is about to make. */
export function afterPress(act: () => void) {
  if (!isPressed) {
    act();
    return;
  }
  const released = () => {
    for (const kind of ['pointerup', 'pointercancel']) removeEventListener(kind, released, true);
    setTimeout(act);
  };
  for (const kind of ['pointerup', 'pointercancel']) addEventListener(kind, released, true);
}
