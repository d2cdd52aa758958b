// The size of an element, told after the browser has laid it out; asking for it would lay out the page once more.
import type { Attachment } from 'svelte/attachments';

export interface Size {
  width: number;
  height: number;
}

/** Tells the size of an element when it is first laid out and whenever it changes. */
export const measured = (tell: (size: Size) => void): Attachment<HTMLElement> => (element) => {
  const observer = new ResizeObserver((entries) => {
    const box = entries.at(-1)?.contentRect;
    if (box) tell({ width: box.width, height: box.height });
  });
  observer.observe(element);
  return () => observer.disconnect();
};
