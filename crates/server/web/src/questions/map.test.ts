// Cells under the pointer of a map.
import { expect, it } from 'vitest';
import type { Axis, Map as FigureMap } from '../generated/api';
import { between, cellAt } from './map';
import { placeOn, valueOn } from './paper';

const axis = (quantity: string, range: [number, number]): Axis => ({ quantity, label: [], range, ticks: [] });
const field = [10, 20, 100, 50];
const map = {
  x: axis('crank_angle_rad', [0, 360]),
  panels: [{ y: axis('roller', [0.5, 2.5]), x_edges: [0, 90, 360], y_edges: [0.5, 1.5, 2.5] }],
} as unknown as FigureMap;

it('identity_a_place_and_its_value_belong_together', () => {
  for (const value of [0, 90, 123.4, 360]) expect(valueOn(map.x, field, placeOn(map.x, field, value))).toBeCloseTo(value, 9);
  expect(valueOn(map.x, field, 9.9)).toBeNull();
  expect(valueOn(map.x, field, 110.1)).toBeNull();
});

it('identity_pieces_are_told_by_their_edges', () => {
  expect([-1, 0, 0.1, 1, 1.1, 3, 3.1].map((value) => between([0, 1, 3], value))).toEqual([null, 0, 0, 0, 1, 1, null]);
});

it('identity_rows_count_upwards_from_the_lower_edge_of_the_field', () => {
  expect(cellAt(map, [field], 11, 69)).toEqual({ panel: 0, column: 0, row: 0 });
  expect(cellAt(map, [field], 109, 21)).toEqual({ panel: 0, column: 1, row: 1 });
  expect(cellAt(map, [field], 109, 19)).toBeNull();
  expect(cellAt(map, [field], 5, 40)).toBeNull();
});
