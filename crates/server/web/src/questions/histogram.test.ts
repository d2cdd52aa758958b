import { expect, test } from 'vitest';
import type { Body, Histogram } from '../generated/api';
import { asHistogram, binAt, edgesOf, spanOf } from './histogram';

const axis = (range: number[]) => ({ label: [], quantity: 'gap_mm', range, ticks: [] });
const histogram: Histogram = {
  first_edge: -10, bin_width: 5, shares: [20, 0, 50, 30], flags: [], limit: null, note: [], x: axis([-20, 20]), y: axis([0, 60]),
};
/** Left, top, width, height. */
const field = [10, 5, 80, 40];

test('a place of the picture is in the bin whose edges enclose its value, and in none beside the bins', () => {
  expect(binAt(histogram, field, 10 + 2 * 10)).toBe(0);
  expect(binAt(histogram, field, 10 + 2 * 21)).toBe(2);
  expect(binAt(histogram, field, 10 + 2 * 29.9)).toBe(3);
  expect(binAt(histogram, field, 10 + 2 * 31)).toBeNull();
  expect(binAt(histogram, field, 12)).toBeNull();
  expect(binAt(histogram, field, 3)).toBeNull();
});

test('a bin lies between its edges', () => {
  expect(edgesOf(histogram, 2)).toEqual([0, 5]);
  expect(spanOf(histogram, field, 2)).toEqual([50, 10]);
});

test('a histogram is told by its kind', () => {
  expect(asHistogram({ kind: 'histogram', ...histogram } as Body)).not.toBeNull();
  expect(asHistogram({ kind: 'bars', axis: axis([0, 1]), rows: [] } as Body)).toBeNull();
});
