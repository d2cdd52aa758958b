// Charts as the plotting library gets them.
import { expect, it } from 'vitest';
import type { Axis, Body, Chart, Panel } from '../generated/api';
import { asChart, canPlot, columns, cursorOn, isPartOf, narrowed, runs, ticks, valueAt } from './chart';

const axis = (range: [number, number], values: number[]): Axis => ({
  quantity: 'crank_angle_rad',
  label: [],
  range,
  ticks: values.map((value) => ({ value, label: String(value) })),
});

const panel = {
  height_paper_mm: 30,
  y: axis([0, 10], [0, 5, 10]),
  series: [
    { name: 'a', label: [], style: 'first', pieces: [[[0, 1], [2, 3]], [[3, 0], [4, 4]]] },
    { name: 'b', label: [], style: 'second', pieces: [[[1, 5], [2, 6]]] },
  ],
  rules: [],
  spans: [],
  detail_x: null,
} as unknown as Panel;

it('identity_columns_keep_every_point_and_pieces_apart', () => {
  const { lines, data } = columns(panel);
  expect(lines.map((line) => [line.name, line.isFirst])).toEqual([['a', true], ['a', false], ['b', true]]);
  expect(data[0]).toEqual([0, 1, 2, 3, 4]);
  expect(data[1]).toEqual([1, undefined, 3, undefined, undefined]);
  expect(data[2]).toEqual([undefined, undefined, undefined, 0, 4]);
  expect(data[3]).toEqual([undefined, 5, 6, undefined, undefined]);
});

it('identity_a_jump_stays_a_jump', () => {
  const jump = { ...panel, series: [
    { ...panel.series[0], pieces: [[[0, 1], [1, 2], [1, -2], [2, 0]]] },
    { ...panel.series[1], pieces: [[[1, 5], [2, 6]]] },
  ] } as unknown as Panel;
  expect(columns(jump).data).toEqual([[0, 1, 1, 2], [1, 2, -2, 0], [undefined, 5, undefined, 6]]);
});

it('identity_a_curve_that_turns_back_is_not_plotted', () => {
  const chart = (pieces: number[][][]) =>
    ({ x: axis([0, 4], []), panels: [{ ...panel, series: [{ ...panel.series[0], pieces }] }] }) as unknown as Chart;
  expect(canPlot(chart([[[0, 0], [1, 1], [1, 2]]]))).toBe(true);
  expect(canPlot(chart([[[0, 0], [1, 1], [0.5, 2]]]))).toBe(false);
});

it('identity_a_loop_is_plotted_and_reads_each_of_its_branches', () => {
  const [rising, falling] = [[[-1, -2], [1, 0], [1, 2]], [[1, 2], [-1, 0], [-1, -2]]];
  const series = [rising, falling].map((piece) => ({ ...panel.series[0], pieces: [piece] }));
  const chart = asChart({ kind: 'chart', x: axis([-1, 1], []), panels: [{ ...panel, series }] } as unknown as Body);
  expect(chart && canPlot(chart)).toBe(true);
  expect(chart?.panels[0]?.series.map((each) => valueAt(each.pieces, 0))).toEqual([-1, 1]);
});

it('identity_a_symbol_is_written_with_its_subscript_below_and_words_as_they_are', () => {
  const written = runs([{ tag: 'symbol', text: 'w_0' }, { tag: 'words', text: ' = ' }, { tag: 'symbol', text: 'j' }]);
  expect(written.map(({ text, isSymbol, isBelow }) => [text, isSymbol, isBelow])).toEqual([
    ['w', true, false], ['0', false, true], [' = ', false, false], ['j', true, false],
  ]);
});

it('identity_a_zoom_by_keys_keeps_what_is_read_in_its_place_and_ends_with_the_whole', () => {
  expect(narrowed([0, 360], [0, 360], 0.5, 90)).toEqual([45, 225]);
  expect(narrowed([0, 360], [45, 225], 0.5, 0)).toEqual([0, 90]);
  expect(narrowed([0, 360], [45, 225], 2, 90)).toBeNull();
  const [from, to] = narrowed([0, 1], [0.5, 0.5001], 0.1, 0.5) ?? [0, 0];
  expect(to - from).toBeCloseTo(1e-4, 9);
});

it('identity_what_was_zoomed_is_a_part_of_an_axis_that_has_all_of_it', () => {
  expect([[0, 360], [90, 180], [0, 120], [120, 360]].map((axis) => isPartOf(axis, [90, 180]))).toEqual([true, true, false, false]);
});

it('identity_values_between_points_and_none_between_pieces', () => {
  const pieces = panel.series[0]!.pieces;
  expect(valueAt(pieces, 1)).toBe(2);
  expect(valueAt(pieces, 2.5)).toBeNull();
  expect(valueAt(pieces, 3.5)).toBe(2);
  expect(valueAt(pieces, 9)).toBeNull();
});

it('identity_ready_made_ticks_are_used_while_there_are_enough', () => {
  const whole = axis([0, 360], [0, 90, 180, 270, 360]);
  expect(ticks(whole, 0, 360, 8).labels).toEqual(['0', '90', '180', '270', '360']);
  const zoomed = ticks(whole, 100, 101, 5);
  expect(zoomed.values.length).toBeGreaterThanOrEqual(5);
  expect(zoomed.labels.slice(0, 2)).toEqual(['100.0', '100.2']);
});

it('identity_the_cursor_goes_round_with_the_crank', () => {
  expect(cursorOn(axis([0, 360], []), 725)).toBe(5);
  expect(cursorOn(axis([-180, 180], []), 190)).toBe(-170);
  expect(cursorOn(axis([0, 90], []), 120)).toBeNull();
});
