// The stream of events from the server, with what to do when it breaks and comes back.
import type { Event } from '../generated/api';

export interface Listener {
  onEvent: (event: Event) => void;
  /** The stream is there; `again` where it had been lost, so that everything has to be asked for anew. */
  onOpen: (again: boolean) => void;
  onLost: () => void;
}

const KINDS = ['message', 'desk', 'verdict', 'job', 'folder'];

/** Listens until the returned function is called. The browser itself tries again after a loss. */
export function listen(listener: Listener): () => void {
  let source: EventSource | null = null;
  let wasOpen = false;
  let timer: ReturnType<typeof setTimeout> | undefined;

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
  open();
  return () => {
    clearTimeout(timer);
    source?.close();
  };
}
