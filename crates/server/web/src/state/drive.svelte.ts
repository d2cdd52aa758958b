// A drive that is open: its values, verdict, drawing and motion, kept at the newest state that the server tells of.
import type {
  Change, Clearances, Desk, Event, FigureEntry, FormField, LocatedDiagnostic, Motion, Scene, VerdictPage,
} from '../generated/api';
import * as api from '../api/client';
import { connection } from './connection.svelte';
import { Crank } from './crank.svelte';
import { EditQueue, enqueue, unansweredText, type WaitingEdit } from './edit_queue';
import { type Dated, isNewer, newest } from './newest';

/** How long values wait for their verdict and drawing, so that all are painted at once: when the page is opened, and after an edit. */
const FIRST_PATIENCE_MS = 400;
const PATIENCE_MS = 100;
/** How long nothing must have changed until figures and tables are asked for, and how long they wait at most. */
const REST_MS = 150;
const MOST_RESTLESS_MS = 600;

const pause = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));

/** What a field shows that the server has not taken: the text as typed, and why it was refused. */
export interface Draft {
  text: string;
  problems: LocatedDiagnostic[];
}

export class DriveSession {
  desk = $state.raw<Desk | null>(null);
  verdict = $state.raw<VerdictPage | null>(null);
  scene = $state.raw<Scene | null>(null);
  /** The discs with larger gaps, while somebody wants to see them. */
  clearances = $state.raw<Clearances | null>(null);
  motion = $state.raw<Motion | null>(null);
  figures = $state.raw<FigureEntry[]>([]);
  /** Ids of those that can be had of the newest verdict. */
  known = $state.raw(new Set<string>());
  /** Generation of the newest verdict with all figures and tables; they are asked for again when it grows. */
  computed = $state(0);
  drafts = $state<Record<string, Draft>>({});
  loadCase = $state('rated');
  /** Why the file is no drive, as long as it has none; everything that is wrong with it. */
  refused = $state.raw<LocatedDiagnostic[] | null>(null);
  /** What went wrong with the last request, in the server's words. */
  problem = $state<{ message: string; hint: string } | null>(null);
  /** Key whose field is to be shown and focused; the count makes the same key new. */
  wanted = $state<{ path: string; count: number } | null>(null);
  /** Words for those who hear the page. */
  said = $state('');
  readonly crank = new Crank();

  /** Whether the verdict belongs to the values that are shown and is complete. */
  isComputing = $derived(
    !this.verdict || !this.desk || this.verdict.generation < this.desk.generation || this.verdict.stage !== 'full',
  );
  /** Generation of the values that are shown, once their verdict is there too. */
  answered = $derived(this.desk && this.verdict && this.verdict.generation >= this.desk.generation ? this.desk.generation : null);
  fields = $derived(new Map(this.desk?.form.flatMap((section) => section.fields.map((field) => [field.path, field] as const))));
  hasDrafts = $derived(Object.keys(this.drafts).length > 0);

  #queue = new EditQueue((edit) => this.#send(edit));
  /** Newest generation that was told of while an edit was on its way. */
  #heard = 0;
  /** Edits that a lost server has not answered; they are sent again when it is back. */
  #unsent: WaitingEdit[] = [];
  #stop: () => void;
  /** Values that wait for their verdict and drawing. */
  #coming: Desk | null = null;
  #wantsClearances = false;
  /** Since when figures and tables wait, and the clock that lets them go. */
  #restless: number | null = null;
  #resting: ReturnType<typeof setTimeout> | undefined;
  #refreshing = new Map<string, { again: boolean; done: Promise<void> }>();

  constructor(readonly file: string) {
    this.#stop = connection.on(
      (event) => this.#hear(event),
      () => {
        this.refresh();
        for (const edit of this.#unsent.splice(0)) this.#queue.push(edit);
      },
    );
    void this.#begin();
  }

  close() {
    this.#stop();
    clearTimeout(this.#resting);
    this.crank.pause();
  }

  /** Asks for everything that the newest state has. */
  refresh() {
    void this.#fetchDesk();
    void this.#fetchPicture();
  }

  /** The first look: verdict and drawing are asked for together with the values. */
  async #begin() {
    await this.#once('desk', async () => {
      const picture = this.#fetchPicture();
      const desk = await api.desk(this.file);
      if (!isNewer(desk, this.#coming ?? this.desk)) return;
      this.#coming = desk;
      await this.#showTogether(picture, FIRST_PATIENCE_MS);
    });
  }

  // --- values -----------------------------------------------------------------------------

  set(path: string, text: string, continues = false) {
    this.#queue.push({ change: { change: 'set', path, text }, continues });
  }

  remove(path: string) {
    this.#queue.push({ change: { change: 'remove', path }, continues: false });
  }

  addItem(path: string) {
    this.#queue.push({ change: { change: 'add-item', path }, continues: false });
  }

  removeItem(path: string) {
    this.#queue.push({ change: { change: 'remove-item', path }, continues: false });
  }

  keepDraft(path: string, text: string) {
    this.drafts[path] = { text, problems: this.drafts[path]?.problems ?? [] };
  }

  dropDraft(path: string) {
    delete this.drafts[path];
  }

  /** Settles when every edit has its answer. */
  idle = () => this.#queue.idle();
  undo = () => this.#step('undo', () => api.undo(this.file), (desk) => desk.undo);
  redo = () => this.#step('redo', () => api.redo(this.file), (desk) => desk.redo);
  save = () => this.#step('saved', () => api.save(this.file));
  revert = () => this.#step('back to the saved file', () => api.revert(this.file));
  resolve = (keepDesk: string[]) =>
    this.#step('both sides brought together', () => api.resolve(this.file, { keep_desk: keepDesk }));

  /** Shows the field of a key; a key of a list stands for that of its first item. */
  goTo(key: string) {
    const path = this.#pathOf(key);
    if (path) this.wanted = { path, count: (this.wanted?.count ?? 0) + 1 };
  }

  field(path: string): FormField | undefined {
    return this.fields.get(path);
  }

  /** The text that a field has once everything that was sent is answered, which may not be shown yet; `''` where it is left out. */
  comingText(path: string): string {
    const unanswered = unansweredText([...this.#unsent, ...this.#queue.unanswered], path);
    const fields = (this.#coming ?? this.desk)?.form.flatMap((section) => section.fields);
    return unanswered ?? fields?.find((field) => field.path === path)?.text ?? '';
  }

  async chooseLoadCase(id: string) {
    this.loadCase = id;
    this.motion = null;
    this.#fetchMotion();
  }

  #pathOf(key: string): string | null {
    if (this.fields.has(key)) return key;
    const plain = (path: string) => path.replace(/\[\d+\]/g, '');
    for (const path of this.fields.keys()) if (plain(path) === key) return path;
    for (const path of this.fields.keys()) if (plain(path).startsWith(`${key}.`)) return path;
    return null;
  }

  /** A step with the whole desk. Edits on their way come first, as they do for the hand that asks. */
  async #step(words: string, ask: () => Promise<Desk>, of?: (desk: Desk) => string | null | undefined) {
    await this.#queue.idle();
    const what = this.desk && of?.(this.desk);
    try {
      await this.#takeDesk(await ask());
      this.said = what ? `${words}: ${what}` : words;
      this.problem = null;
    } catch (error) {
      this.#tell(error);
    }
  }

  async #send(edit: WaitingEdit) {
    const { change, continues } = edit;
    try {
      const desk = await api.edit(this.file, { changes: [change], continues });
      this.problem = null;
      await this.#takeDesk(desk);
      this.#settleDraft(change);
      if (this.#heard > desk.generation) void this.#fetchDesk(this.#heard);
    } catch (error) {
      if (this.#heard > this.#newestGeneration) void this.#fetchDesk(this.#heard);
      if (error instanceof api.EditRefused) this.#refuse(change, error.problems);
      else {
        if (change.change === 'set') this.keepDraft(change.path, change.text);
        if (error instanceof api.ServerGone) this.#unsent = enqueue(this.#unsent, edit);
        this.#tell(error);
      }
    }
  }

  /** Forgets a draft that was taken, unless more was typed meanwhile. */
  #settleDraft(change: Change) {
    const draft = this.drafts[change.path];
    if (!draft) return;
    const taken = change.change === 'set' ? change.text.trim() : '';
    if (draft.text.trim() === taken) delete this.drafts[change.path];
    else draft.problems = [];
  }

  #refuse(change: Change, problems: LocatedDiagnostic[]) {
    const text = change.change === 'set' ? change.text : (this.drafts[change.path]?.text ?? '');
    const newer = this.drafts[change.path]?.text;
    this.drafts[change.path] = { text: newer ?? text, problems };
    this.said = problems[0]?.message ?? '';
  }

  // --- what the server knows ----------------------------------------------------------------

  #hear(event: Event) {
    if (event.event === 'desk' && event.file === this.file) {
      // Of an edit of one's own the answer itself tells. Other causes, as saving, change what stands at the same generation.
      const isEdit = event.cause === 'edit' || event.cause === '';
      if (isEdit && this.#queue.isSending) this.#heard = event.generation;
      else if (!isEdit || event.generation > this.#newestGeneration) void this.#fetchDesk(event.generation);
    }
    if (event.event === 'folder' && !this.desk) void this.#fetchDesk();
    if (event.event === 'verdict' && event.file === this.file) void this.#follow(event);
  }

  /** Asks for a verdict that was told of, unless it is on its way: the answer to an edit asks for the preview itself. */
  async #follow(told: Dated) {
    if (told.stage === 'preview' && this.#queue.isSending) return;
    await this.#refreshing.get('picture')?.done;
    if (!this.verdict || !isNewer(this.verdict, told)) void this.#fetchPicture();
  }

  /** Generation of the newest values, shown or about to be. */
  get #newestGeneration() {
    return (this.#coming ?? this.desk)?.generation ?? 0;
  }

  /** Settles when the values are shown. */
  async #takeDesk(desk: Desk) {
    if (!isNewer(desk, this.#coming ?? this.desk)) return;
    this.#coming = desk;
    if (desk.generation === this.desk?.generation || this.#isPictured(desk)) this.#showDesk(desk);
    else await this.#showTogether(this.#fetchPicture(), PATIENCE_MS);
  }

  /** Whether verdict, drawing and motion are there for these values. */
  #isPictured(desk: Desk) {
    return [this.verdict, this.scene, this.motion].every((part) => part !== null && part.generation >= desk.generation);
  }

  /** Shows the values that came with their verdict and drawing, unless those are long in coming. */
  async #showTogether(picture: Promise<void>, patienceMs: number) {
    const desk = this.#coming;
    await Promise.race([picture, pause(patienceMs)]);
    if (desk && this.#coming === desk) this.#showDesk(desk);
  }

  #showDesk(desk: Desk) {
    this.#coming = null;
    // What kept a file from being opened, or from being saved, is gone with it.
    const agrees = desk.disk.state === 'unchanged' && this.desk?.disk.state !== 'unchanged';
    if (!this.desk || desk.is_saved || agrees) this.problem = null;
    this.refused = null;
    this.desk = desk;
  }

  async #fetchDesk(known?: number) {
    if (known !== undefined && known < this.#newestGeneration) return;
    await this.#once('desk', async () => this.#takeDesk(await api.desk(this.file)));
  }

  /** Verdict, drawing and motion are asked for together and shown together: the browser's painting is what takes longest. */
  async #fetchPicture() {
    await this.#once('picture', async () => {
      const wanted = this.loadCase;
      const isDrawn = this.scene !== null && this.scene.generation >= this.#newestGeneration;
      const scene = isDrawn ? this.scene : api.scene(this.file);
      const answers = await Promise.allSettled([api.verdict(this.file), scene, api.motion(this.file, wanted)]);
      const [verdict, drawn, motion] = answers;
      if (verdict.status === 'fulfilled') this.verdict = newest(verdict.value, this.verdict);
      if (drawn.status === 'fulfilled' && drawn.value) this.scene = newest(drawn.value, this.scene);
      if (motion.status === 'fulfilled' && wanted === this.loadCase) this.motion = newest(motion.value, this.motion);
      if (this.#coming && this.#isPictured(this.#coming)) this.#showDesk(this.#coming);
      // An edit that came between the answers left some of them behind.
      const ages = new Set([this.verdict, this.scene, this.motion].flatMap((part) => part?.generation ?? []));
      if (ages.size > 1 && answers.every((answer) => answer.status === 'fulfilled')) void this.#fetchPicture();
      for (const answer of answers) if (answer.status === 'rejected') this.#tell(answer.reason);
    });
    if (this.#wantsClearances) this.#fetchClearances();
    this.#fetchWhenCalm();
  }

  /** Figures and tables wait until the hand rests for a moment, so that they take no time from the next step of a slider. */
  #fetchWhenCalm() {
    clearTimeout(this.#resting);
    this.#restless ??= performance.now();
    const left = MOST_RESTLESS_MS - (performance.now() - this.#restless);
    this.#resting = setTimeout(() => {
      this.#restless = null;
      void this.#once('figures', () => this.#fetchFigures());
    }, Math.max(Math.min(REST_MS, left), 0));
  }

  async #fetchFigures() {
    const { verdict } = this;
    if (!verdict) return;
    const isWhole = verdict.stage === 'full';
    try {
      const figures = await api.figures(this.file);
      this.known = new Set(figures.map((entry) => entry.id));
      // Those that a preview has not stay, as they were, until the whole is there.
      if (isWhole || figures.length >= this.figures.length) this.figures = figures;
    } finally {
      this.computed = Math.max(this.computed, verdict.generation + (isWhole ? 0.5 : 0));
    }
  }

  /** Gaps are drawn larger or as they are. */
  showClearances(isWanted: boolean) {
    if (this.#wantsClearances === isWanted) return;
    this.#wantsClearances = isWanted;
    if (isWanted) this.#fetchClearances();
    else this.clearances = null;
  }

  #fetchClearances() {
    void this.#once('clearances', async () => {
      const clearances = await api.clearances(this.file);
      if (this.#wantsClearances) this.clearances = newest(clearances, this.clearances);
    });
  }

  #fetchMotion() {
    void this.#once('motion', async () => {
      const wanted = this.loadCase;
      const motion = await api.motion(this.file, wanted);
      if (wanted !== this.loadCase) return;
      this.motion = newest(motion, this.motion);
    });
  }

  /** One request of a kind at a time; those asked for meanwhile become one more afterwards, and settle with it. */
  #once(kind: string, ask: () => Promise<void>): Promise<void> {
    const running = this.#refreshing.get(kind);
    if (running) {
      running.again = true;
      return running.done;
    }
    const state = { again: false, done: Promise.resolve() };
    this.#refreshing.set(kind, state);
    state.done = this.#repeat(state, ask).finally(() => this.#refreshing.delete(kind));
    return state.done;
  }

  async #repeat(state: { again: boolean }, ask: () => Promise<void>) {
    do {
      state.again = false;
      try {
        await ask();
      } catch (error) {
        this.#tell(error);
      }
    } while (state.again);
  }

  #tell(error: unknown) {
    if (error instanceof api.ServerGone) return;
    if (error instanceof api.EditRefused && !this.desk) {
      this.refused = error.problems;
      return;
    }
    if (error instanceof api.RequestProblem) {
      // Not computed yet: the event that comes with the answer asks again.
      if (error.status === 503) return;
      this.problem = { message: error.message, hint: error.hint };
    } else if (error instanceof Error) {
      this.problem = { message: error.message, hint: '' };
    }
  }
}
