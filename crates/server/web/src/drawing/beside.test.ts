// Words beside a roller.
import { expect, it } from 'vitest';
import { placeBeside, type Circle } from './beside';

/** Rollers round a ring in the middle of a frame, as many as there are in a drive of a high ratio. */
const ring = (count: number, radius: number, r: number): Circle[] =>
  Array.from({ length: count }, (_, index) => {
    const turn = (index * 2 * Math.PI) / count;
    return { x: 450 + radius * Math.cos(turn), y: 250 + radius * Math.sin(turn), r };
  });
const SIZE: [number, number] = [200, 90];
const FRAME: [number, number] = [900, 500];
const covers = ([x, y]: [number, number], circle: Circle) => {
  const [dx, dy] = [circle.x - Math.min(Math.max(circle.x, x), x + SIZE[0]), circle.y - Math.min(Math.max(circle.y, y), y + SIZE[1])];
  return Math.hypot(dx, dy) < circle.r;
};

it.each([[40, 210, 9], [12, 180, 30], [24, 120, 9]])('identity_neither_the_roller_nor_its_neighbours_are_covered (%i)', (count, radius, r) => {
  const all = ring(count, radius, r);
  all.forEach((about, index) => {
    const at = placeBeside(about, all.filter((each) => each !== about), SIZE, FRAME);
    for (const step of [-1, 0, 1]) {
      const neighbour = all[(index + step + count) % count];
      expect(neighbour && covers(at, neighbour), `${index} ${step} at ${at}`).toBe(false);
    }
    expect(at[0]).toBeGreaterThanOrEqual(0);
    expect(at[1]).toBeGreaterThanOrEqual(0);
    expect(at[0] + SIZE[0]).toBeLessThanOrEqual(FRAME[0]);
    expect(at[1] + SIZE[1]).toBeLessThanOrEqual(FRAME[1]);
  });
});

it('identity_words_stand_close_where_nothing_is_in_their_way', () => {
  const [x, y] = placeBeside({ x: 450, y: 250, r: 10 }, [], SIZE, FRAME);
  const away = Math.hypot(450 - Math.min(Math.max(450, x), x + SIZE[0]), 250 - Math.min(Math.max(250, y), y + SIZE[1]));
  expect(away).toBeLessThan(25);
});
