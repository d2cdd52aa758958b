// Late answers and waiting edits.
import { expect, it } from 'vitest';
import { EditQueue, enqueue, unansweredText, type WaitingEdit } from './edit_queue';
import { isNewer, newest } from './newest';

const set = (path: string, text: string, continues = false): WaitingEdit => ({
  change: { change: 'set', path, text },
  continues,
});

it('identity_a_late_answer_does_not_overwrite_a_newer_one', () => {
  expect(isNewer({ generation: 3 }, null)).toBe(true);
  expect(isNewer({ generation: 2, stage: 'full' }, { generation: 3, stage: 'preview' })).toBe(false);
  expect(isNewer({ generation: 3, stage: 'preview' }, { generation: 3, stage: 'full' })).toBe(false);
  expect(isNewer({ generation: 3, stage: 'full' }, { generation: 3, stage: 'preview' })).toBe(true);
  expect(newest({ generation: 1 }, { generation: 2 }).generation).toBe(2);
});

it('identity_of_waiting_edits_of_one_key_only_the_last_is_sent', () => {
  let waiting: WaitingEdit[] = [];
  for (const edit of [set('a', '1'), set('a', '2', true), set('b', '3'), set('a', '4', true)]) {
    waiting = enqueue(waiting, edit);
  }
  expect(waiting).toEqual([set('a', '2'), set('b', '3'), set('a', '4', true)]);
});

it('identity_an_added_item_is_never_dropped', () => {
  const add: WaitingEdit = { change: { change: 'add-item', path: 'requirement.duty' }, continues: false };
  expect(enqueue(enqueue([], add), add)).toHaveLength(2);
});

it('identity_edits_are_sent_one_after_another_and_the_newest_last', async () => {
  const sent: string[] = [];
  let release = () => {};
  const queue = new EditQueue(async (edit) => {
    sent.push(edit.change.change === 'set' ? edit.change.text : '');
    await new Promise<void>((resolve) => (release = resolve));
  });
  queue.push(set('a', '1'));
  queue.push(set('a', '2', true));
  queue.push(set('a', '3', true));
  expect(sent).toEqual(['1']);
  release();
  await new Promise((resolve) => setTimeout(resolve, 0));
  expect(sent).toEqual(['1', '3']);
  expect(queue.unanswered).toEqual([set('a', '3', true)]);
});

it('identity_a_key_has_the_text_of_its_last_edit_without_an_answer', () => {
  const remove: WaitingEdit = { change: { change: 'remove', path: 'b' }, continues: false };
  const list: WaitingEdit = { change: { change: 'add-item', path: 'c' }, continues: false };
  const edits = [set('a', '1'), set('b', '2'), set('a', '3'), remove, set('c', '4'), list];
  expect(['a', 'b', 'c', 'd'].map((path) => unansweredText(edits, path))).toEqual(['3', '', null, null]);
});
