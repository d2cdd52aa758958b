// Late answers never overwrite newer ones: what an answer must have to be taken.
import type { Stage } from '../generated/api';

/** What tells how new an answer is: the state of the text it belongs to, and how far the computation got. */
export interface Dated {
  generation: number;
  stage?: Stage;
}

const RANK: Record<Stage, number> = { preview: 0, full: 1 };

/** Whether an answer may take the place of the one that is shown. */
export function isNewer(answer: Dated, shown: Dated | null): boolean {
  if (!shown) return true;
  if (answer.generation !== shown.generation) return answer.generation > shown.generation;
  return RANK[answer.stage ?? 'full'] >= RANK[shown.stage ?? 'full'];
}

/** The newer one of two answers. */
export function newest<T extends Dated>(answer: T, shown: T | null): T {
  return shown && !isNewer(answer, shown) ? shown : answer;
}
