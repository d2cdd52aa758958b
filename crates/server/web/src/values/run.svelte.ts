// A run over the stops of a scale, by pointer or by keys: one undo takes all of it back, and it stands where the hand left it.
import type { Scale } from '../generated/api';

/** Presses that follow one another within this time belong to one run. */
const REST_MS = 700;

/** The field that a run moves. */
interface Steered {
  /** Takes a stop. */
  send(stop: string, continues: boolean): void;
  /** Settles when all that was sent is answered. */
  idle(): Promise<void>;
  /** Its text once all that was sent is answered. */
  coming(): string;
}

export class Run {
  /** The scale that is run over; it keeps still though the server sends new ones. */
  scale = $state.raw<Scale | null>(null);
  /** The stop at which the hand is; the server may still be on its way there. */
  at = $state<number | null>(null);
  text = $derived(this.at === null ? null : (this.scale?.stops[this.at] ?? null));
  #continues = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  /** Counts the moves, so that what waits knows whether another one came. */
  #moves = 0;
  /** Text of the field before the run, stops that were sent, and whether one of them came back. */
  #before = '';
  #sent = new Set<string>();
  #isSeen = false;

  constructor(private readonly field: Steered) {}

  /** Goes to a stop; the run ends when the hand rests, or by `end` where it is known to hold on. */
  moveTo(scale: Scale, index: number, text: string, holdsOn: boolean) {
    const shown = this.scale ?? scale;
    const at = Math.min(Math.max(index, 0), shown.stops.length - 1);
    const stop = shown.stops[at];
    clearTimeout(this.#timer);
    this.#moves += 1;
    if (stop !== undefined && stop !== (this.text ?? this.field.coming())) {
      if (this.at === null) this.#before = text;
      this.scale = shown;
      this.at = at;
      this.#sent.add(stop);
      this.field.send(stop, this.#continues);
      this.#continues = true;
    }
    if (!holdsOn) this.#timer = setTimeout(() => void this.end(), REST_MS);
  }

  /** The next move is a run of its own; what is shown stays until the server has caught up. */
  async end() {
    clearTimeout(this.#timer);
    this.#continues = false;
    const moves = this.#moves;
    await this.field.idle();
    if (moves === this.#moves) this.#forget();
  }

  /** Follows what the server has: a text that is no stop of the run comes from elsewhere, as by undo. */
  see(text: string) {
    if (this.at === null) return;
    if (this.#sent.has(text)) this.#isSeen = true;
    else if (this.#isSeen || text !== this.#before) this.#forget();
  }

  #forget() {
    clearTimeout(this.#timer);
    this.#moves += 1;
    this.#continues = false;
    this.#isSeen = false;
    this.#sent.clear();
    this.scale = null;
    this.at = null;
  }
}
