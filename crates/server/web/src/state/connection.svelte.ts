// Whether the server is there, and its events handed to whoever wants them.
import type { Event } from '../generated/api';
import { listen } from '../api/events';

/** How long events that come together are waited for. */
const SOON_MS = 150;

type Handler = (event: Event) => void;

class Connection {
  /** Nothing is asked for while it is lost; nothing that was typed is dropped. */
  isLost = $state(false);
  #handlers = new Set<Handler>();
  #again = new Set<() => void>();

  start(): () => void {
    return listen({
      onEvent: (event) => this.#handlers.forEach((handler) => handler(event)),
      onOpen: (again) => {
        this.isLost = false;
        if (again) this.#again.forEach((handler) => handler());
      },
      onLost: () => {
        this.isLost = true;
      },
    });
  }

  /** Calls `act` once for events of a kind that come close together, and after a loss. */
  onSoon(concerns: (event: Event) => boolean, act: () => void): () => void {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const soon = () => {
      clearTimeout(timer);
      timer = setTimeout(act, SOON_MS);
    };
    const stop = this.on((event) => {
      if (concerns(event)) soon();
    }, soon);
    return () => {
      clearTimeout(timer);
      stop();
    };
  }

  /** Calls `handler` for every event and `again` after a loss; ends by the returned function. */
  on(handler: Handler, again: () => void): () => void {
    this.#handlers.add(handler);
    this.#again.add(again);
    return () => {
      this.#handlers.delete(handler);
      this.#again.delete(again);
    };
  }
}

export const connection = new Connection();
