// The legend leaves the scale of the crank free and takes room from the drawing only where no corner has enough.
import { expect, test } from 'vitest';
import { legendPlace } from './legend';

test('a tall or a very wide room has a free corner', () => {
  expect(legendPlace({ width: 700, height: 1200 })).toBe('stacked');
  expect(legendPlace({ width: 1100, height: 500 })).toBe('stacked');
});

test('a room that is somewhat wider than high has two half corners', () => {
  expect(legendPlace({ width: 680, height: 400 })).toBe('split');
});

test('beside a drawing that fills its room there is no corner', () => {
  expect(legendPlace({ width: 400, height: 400 })).toBe('below');
  expect(legendPlace({ width: 300, height: 330 })).toBe('below');
  expect(legendPlace({ width: 300, height: 200 })).toBe('none');
});
