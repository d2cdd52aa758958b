// Edits go to the server one after another; of edits that wait for the same key only the last is sent.
import type { Change } from '../generated/api';

export interface WaitingEdit {
  change: Change;
  /** Whether it goes on with the edit before, as a slider does while it moves. */
  continues: boolean;
}

const placeOf = (change: Change) => `${change.change}:${change.path}`;
const isValue = (change: Change) => change.change === 'set' || change.change === 'remove';

/** Puts an edit behind those that wait; a value that is set again takes the place of the one that waits. */
export function enqueue(waiting: WaitingEdit[], edit: WaitingEdit): WaitingEdit[] {
  const last = waiting.at(-1);
  if (last && isValue(edit.change) && placeOf(last.change) === placeOf(edit.change)) {
    return [...waiting.slice(0, -1), { change: edit.change, continues: last.continues && edit.continues }];
  }
  return [...waiting, edit];
}

/** The text that edits without an answer give a key, `''` where they leave it out; null where they do not touch it, or change a list. */
export function unansweredText(edits: WaitingEdit[], path: string): string | null {
  const change = edits.findLast((edit) => edit.change.path === path)?.change;
  if (!change || !isValue(change)) return null;
  return change.change === 'set' ? change.text : '';
}

export class EditQueue {
  #waiting: WaitingEdit[] = [];
  #sending: WaitingEdit | null = null;
  #running: Promise<void> = Promise.resolve();

  /** `send` is called with one edit at a time and settles when the server has answered. */
  constructor(private readonly send: (edit: WaitingEdit) => Promise<void>) {}

  push(edit: WaitingEdit) {
    this.#waiting = enqueue(this.#waiting, edit);
    void this.#drain();
  }

  /** Whether an edit is on its way. */
  get isSending() {
    return this.#sending !== null;
  }

  /** Edits without an answer, the oldest first. */
  get unanswered(): WaitingEdit[] {
    return [...(this.#sending ? [this.#sending] : []), ...this.#waiting];
  }

  /** Settles when nothing waits. */
  async idle() {
    while (this.isSending) await this.#running;
  }

  async #drain() {
    if (this.isSending) return;
    let done = () => {};
    this.#running = new Promise<void>((resolve) => (done = resolve));
    try {
      for (let edit = this.#waiting.shift(); edit; edit = this.#waiting.shift()) {
        this.#sending = edit;
        await this.send(edit);
      }
    } finally {
      this.#sending = null;
      done();
    }
  }
}
