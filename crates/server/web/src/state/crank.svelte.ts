// The crank: its angle, whether it is played, and how fast. One for the drawing, the view in space and all plots.

/** Speeds at which the crank is shown, in turns a minute of the picture. */
export const SHOWN_SPEEDS_RPM = [0.5, 1, 2, 5, 10, 20, 60] as const;

export class Crank {
  /** Angle in degrees, counted on over whole turns. */
  angleDeg = $state(0);
  isPlaying = $state(false);
  speedRpm = $state<number>(5);
  /** Last measured pictures in a second while it plays. */
  framesPerSecond = $state(0);
  #frame = 0;
  #last = 0;
  #counted = 0;
  #since = 0;

  play() {
    if (this.isPlaying) return;
    this.isPlaying = true;
    this.#last = performance.now();
    this.#since = this.#last;
    this.#counted = 0;
    this.#frame = requestAnimationFrame(this.#step);
  }

  pause() {
    this.isPlaying = false;
    cancelAnimationFrame(this.#frame);
  }

  toggle() {
    if (this.isPlaying) this.pause();
    else this.play();
  }

  turnBy(deltaDeg: number) {
    this.angleDeg += deltaDeg;
  }

  /** Turns to an angle within a turn, the shorter way round. */
  turnTo(angleDeg: number) {
    const delta = (((angleDeg - this.angleDeg) % 360) + 540) % 360 - 180;
    this.angleDeg += delta;
  }

  #step = (now: number) => {
    if (!this.isPlaying) return;
    // Six degrees a second are one turn a minute; a page that was hidden does not jump.
    const seconds = Math.min((now - this.#last) / 1000, 0.1);
    this.#last = now;
    this.angleDeg += this.speedRpm * 6 * seconds;
    this.#counted += 1;
    if (now - this.#since >= 1000) {
      this.framesPerSecond = Math.round((this.#counted * 1000) / (now - this.#since));
      this.#counted = 0;
      this.#since = now;
    }
    this.#frame = requestAnimationFrame(this.#step);
  };
}
