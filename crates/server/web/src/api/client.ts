// Requests to the server, typed by its own description. Nothing here knows what the numbers mean.
import type {
  Clearances, Comparison, Desk, Edits, Explanation, FigureEntry, FigurePage, Folder, Job, JobResult, LocatedDiagnostic,
  Motion, Problem, Question, Refused, Resolution, Scale, Scene, ShopFile, Solids, Tables, VerdictPage, Work,
} from '../generated/api';

/** The server said no, in its own words. */
export class RequestProblem extends Error {
  constructor(
    readonly status: number,
    message: string,
    readonly hint: string,
  ) {
    super(message);
  }
}

/** The drive file does not take a change; nothing was changed. */
export class EditRefused extends Error {
  constructor(readonly problems: LocatedDiagnostic[]) {
    super(problems[0]?.message ?? 'the change was refused');
  }
}

/** The server cannot be reached. */
export class ServerGone extends Error {}

async function ask(path: string, init?: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ServerGone('the server does not answer');
  }
  if (response.ok) return response;
  if (response.status === 422) {
    const refused = (await response.json()) as Refused;
    if (Array.isArray(refused.problems)) throw new EditRefused(refused.problems);
  }
  const problem = (await response.json().catch(() => null)) as Problem | null;
  throw new RequestProblem(
    response.status,
    problem?.message ?? `the server answered ${response.status}`,
    problem?.hint ?? '',
  );
}

async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await (await ask(path, { signal })).json()) as T;
}

async function post<T>(path: string, body?: unknown): Promise<T> {
  const init: RequestInit = { method: 'POST', headers: { 'content-type': 'application/json' } };
  init.body = JSON.stringify(body ?? {});
  return (await (await ask(path, init)).json()) as T;
}

const drive = (file: string) => `/api/drives/${encodeURIComponent(file)}`;
const under = (file: string, rest: string) => `${drive(file)}/${rest}`;

export const folder = () => get<Folder>('/api/folder');
export const desk = (file: string) => get<Desk>(drive(file));
export const edit = (file: string, edits: Edits) => post<Desk>(under(file, 'edits'), edits);
export const undo = (file: string) => post<Desk>(under(file, 'undo'));
export const redo = (file: string) => post<Desk>(under(file, 'redo'));
export const save = (file: string) => post<Desk>(under(file, 'save'));
export const revert = (file: string) => post<Desk>(under(file, 'revert'));
export const resolve = (file: string, how: Resolution) => post<Desk>(under(file, 'resolution'), how);
export const scale = (file: string, path: string) =>
  get<Scale>(under(file, `scale?path=${encodeURIComponent(path)}`));
export const verdict = (file: string) => get<VerdictPage>(under(file, 'verdict'));
export const scene = (file: string) => get<Scene>(under(file, 'scene'));
export const clearances = (file: string) => get<Clearances>(under(file, 'clearances'));
export const motion = (file: string, loadCase: string) =>
  get<Motion>(under(file, `motion?load_case=${encodeURIComponent(loadCase)}`));
export const solids = (file: string) => get<Solids>(under(file, 'solids'));
export const figures = (file: string) => get<FigureEntry[]>(under(file, 'figures'));
export const figure = (file: string, id: string) => get<FigurePage>(under(file, `figures/${id}`));
export const tables = (file: string, question: Question) =>
  get<Tables>(under(file, `tables?question=${question}`));
export const shopFiles = (file: string) => get<ShopFile[]>(under(file, 'shop'));
export const beginJob = (file: string, work: Work) => post<Job>(under(file, 'jobs'), work);
export const jobs = () => get<Job[]>('/api/jobs');
export const jobResult = (id: number) => get<JobResult>(`/api/jobs/${id}`);
export const endJob = async (id: number) =>
  (await (await ask(`/api/jobs/${id}`, { method: 'DELETE' })).json()) as Job;
export const compare = (left: string, right: string) =>
  get<Comparison>(`/api/compare?left=${encodeURIComponent(left)}&right=${encodeURIComponent(right)}`);
export const explain = (name: string) => get<Explanation>(`/api/explain/${encodeURIComponent(name)}`);

/** Where a shop file can be fetched. */
export const shopAddress = (file: string, name: string) =>
  under(file, `shop/${encodeURIComponent(name)}`);
/** Where a file that a delivery made can be fetched. */
export const jobFileAddress = (id: number, name: string) =>
  `/api/jobs/${id}/files/${encodeURIComponent(name)}`;
/** Where a figure that came of long work can be fetched as a file. */
export const jobFigureAddress = (id: number, figure: string, kind: 'svg' | 'csv') =>
  `/api/jobs/${id}/figures/${encodeURIComponent(figure)}.${kind}`;
/** Where a figure can be fetched as a file. */
export const figureAddress = (file: string, id: string, kind: 'svg' | 'csv') =>
  under(file, `figures/${id}.${kind}`);
/** The text of the drive file. */
export const textAddress = (file: string) => under(file, 'text');
