// The stream of events from the server, with what to do when it breaks and comes back.
import type { Event } from '../generated/api';

export interface Listener {
  onEvent: (event: Event) => void;
  /** The stream is there; `again` where it had been lost, so that everything has to be asked for anew. */
  onOpen: (again: boolean) => void;
  onLost: () => void;
}

/** How long a page must be out of sight until it lets its stream go. A browser has six connections to a server for all its pages. */
const UNSEEN_MS = 3000;
const KINDS = ['message', 'desk', 'verdict', 'job', 'folder'];

/** Listens until the returned function is called, as long as the page is in sight. The browser itself tries again after a loss. */
export function listen(listener: Listener): () => void {
  let source: EventSource | null = null;
  let wasOpen = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let unseen: ReturnType<typeof setTimeout> | undefined;

  const open = () => {
    source = new EventSource('/api/events');
    source.onopen = () => {
      listener.onOpen(wasOpen);
      wasOpen = true;
    };
    source.onerror = () => {
      listener.onLost();
      // A refused stream is not tried again by the browser.
      if (source?.readyState === EventSource.CLOSED) timer = setTimeout(open, 1500);
    };
    for (const kind of KINDS) {
      source.addEventListener(kind, (message) => {
        const data = (message as MessageEvent<string>).data;
        if (data) listener.onEvent(JSON.parse(data) as Event);
      });
    }
  };
  const close = () => {
    clearTimeout(timer);
    source?.close();
    source = null;
  };
  const seen = () => {
    clearTimeout(unseen);
    if (document.hidden) unseen = setTimeout(close, UNSEEN_MS);
    else if (!source) open();
  };
  document.addEventListener('visibilitychange', seen);
  open();
  // One that is opened in the background is out of sight from the start.
  seen();
  return () => {
    document.removeEventListener('visibilitychange', seen);
    clearTimeout(unseen);
    close();
  };
}
