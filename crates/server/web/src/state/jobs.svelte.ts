// Long work on the server: what runs, how far it is, and what came of it.
import type { Event, Job, JobResult, Work } from '../generated/api';
import * as api from '../api/client';
import { connection } from './connection.svelte';

const isOver = (job: Job) => job.state === 'done' || job.state === 'cancelled' || job.state === 'failed';

/** One kind of work on one drive: at most one of it is watched, the last that was begun. */
export class Task {
  job = $state.raw<Job | null>(null);
  result = $state.raw<JobResult | null>(null);
  problem = $state('');
  isActive = $derived(this.job !== null && !isOver(this.job));
  #stop: () => void;
  #fetched = 0;

  constructor(private readonly file: string, private readonly work: Work['work']) {
    this.#stop = connection.on((event) => this.#hear(event), () => void this.#find());
    void this.#find();
  }

  close() {
    this.#stop();
  }

  async begin(work: Work) {
    this.problem = '';
    try {
      this.result = null;
      this.#take(await api.beginJob(this.file, work));
    } catch (error) {
      this.problem = error instanceof Error ? error.message : String(error);
    }
  }

  async cancel() {
    if (!this.job) return;
    try {
      this.#take(await api.endJob(this.job.id));
    } catch (error) {
      this.problem = error instanceof Error ? error.message : String(error);
    }
  }

  /** Work that another page began, or that ran before the stream was lost. */
  async #find() {
    try {
      const mine = (await api.jobs()).filter((job) => job.file === this.file && job.work.work === this.work);
      const last = mine.sort((a, b) => a.id - b.id).at(-1);
      if (last) this.#take(last);
      else if (this.isActive) {
        this.job = null;
        this.problem = 'the server was started anew, and the work it had in hand is gone';
      }
    } catch {
      // The next event or the banner tells.
    }
  }

  #hear(event: Event) {
    if (event.event !== 'job' || event.job.file !== this.file || event.job.work.work !== this.work) return;
    this.#take(event.job);
  }

  #take(job: Job) {
    if (this.job && job.id < this.job.id) return;
    if (this.job?.id === job.id && isOver(this.job) && !isOver(job)) return;
    this.job = job;
    if (isOver(job)) void this.#fetch(job.id);
  }

  async #fetch(id: number) {
    const ask = (this.#fetched += 1);
    try {
      const result = await api.jobResult(id);
      if (ask === this.#fetched && this.job?.id === id) this.result = result;
    } catch (error) {
      if (error instanceof Error) this.problem = error.message;
    }
  }
}
