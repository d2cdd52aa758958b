// What can wait until the browser has painted.

/** Calls back when the next picture is on the screen and nothing else is to be done, half a second later at most. */
export function afterPicture(then: () => void) {
  requestAnimationFrame(() => {
    // Not every browser tells when it has time.
    if ('requestIdleCallback' in globalThis) requestIdleCallback(then, { timeout: 500 });
    else setTimeout(then, 50);
  });
}
