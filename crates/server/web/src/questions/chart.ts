// Charts of the server for the plotting library: aligned columns, axes with ready-made ticks, lines of the page's colours.
import type { Axis, Body, Chart, Markup, Panel, SeriesStyle } from '../generated/api';
import { digitsOf, formatNumber } from '../shared/numbers';

/** One line of a plot; pieces of a curve are lines of their own with one name. */
export interface Line {
  name: string;
  style: SeriesStyle;
  /** Whether it is the first piece of its curve, which the legend shows. */
  isFirst: boolean;
  curve: number;
}

export interface Columns {
  lines: Line[];
  /** Positions, then a column a line; undefined where a line has no point of its own. */
  data: [number[], ...(number | null | undefined)[][]];
}

const ascends = (points: number[][]) => points.every((point, at) => at === 0 || (point[0] ?? 0) >= (points[at - 1]?.[0] ?? 0));

const rightwards = (piece: number[][]) => (ascends(piece) ? piece : piece.toReversed());

/** The chart that a figure is, if it is one, with curves that come back, as the falling branch of a loop does, from left to right too. */
export function asChart(body: Body): Chart | null {
  // The kind stands beside the chart's own keys.
  if (!('kind' in body) || body.kind !== 'chart') return null;
  const chart = body as Chart;
  const panels = chart.panels.map((panel) => ({
    ...panel,
    series: panel.series.map((series) => ({ ...series, pieces: series.pieces.map(rightwards) })),
  }));
  return { ...chart, panels };
}

/** Whether all curves go from left to right, as a plot with a common axis needs them. */
export function canPlot(chart: Chart): boolean {
  return chart.panels.every((panel) => panel.series.every((series) => series.pieces.every(ascends)));
}

/** Letters that are written in one go. */
export interface Run {
  text: string;
  isSymbol: boolean;
  /** Whether they stand lower and are smaller, as a subscript. */
  isBelow: boolean;
}

/** Words with their letters and subscripts apart: `w_0` is a symbol with a run below it. */
export function runs(words: Markup): Run[] {
  return words.flatMap(({ tag, text }): Run[] => {
    const [letter = '', ...below] = tag === 'symbol' ? text.split('_') : [text];
    const first = { text: letter, isSymbol: tag === 'symbol', isBelow: false };
    return below.length > 0 ? [first, { text: below.join(' '), isSymbol: false, isBelow: true }] : [first];
  });
}

/** How often each position occurs in a piece: twice where a curve jumps. */
function occurrences(piece: number[][]): Map<number, number> {
  const counts = new Map<number, number>();
  for (const [x = 0] of piece) counts.set(x, (counts.get(x) ?? 0) + 1);
  return counts;
}

/** The curves of a panel as columns over all their positions; one at which a curve jumps stands there as often as that has points. */
export function columns(panel: Panel): Columns {
  const lines: Line[] = [];
  const pieces: number[][][] = [];
  panel.series.forEach((series, curve) => {
    series.pieces.forEach((piece, at) => {
      lines.push({ name: series.name, style: series.style, isFirst: at === 0, curve });
      pieces.push(piece);
    });
  });
  const most = new Map<number, number>();
  for (const piece of pieces) for (const [x, count] of occurrences(piece)) most.set(x, Math.max(count, most.get(x) ?? 0));
  const positions = [...most].sort(([a], [b]) => a - b).flatMap(([x, count]) => new Array<number>(count).fill(x));
  const first = new Map(positions.map((x, index) => [x, index - (most.get(x) ?? 1) + 1]));
  const data = pieces.map((piece) => {
    const column: (number | null | undefined)[] = new Array<number | undefined>(positions.length);
    piece.forEach(([x = 0, y = 0], point) => {
      let before = 0;
      while (piece[point - 1 - before]?.[0] === x) before += 1;
      column[(first.get(x) ?? 0) + before] = y;
    });
    return column;
  });
  return { lines, data: [positions, ...data] };
}

/** Value of a curve at a position, straight between its points; none outside its pieces. */
export function valueAt(pieces: number[][][], x: number): number | null {
  for (const piece of pieces) {
    const after = piece.findIndex(([px = 0]) => px >= x);
    if (after < 0 || piece.length === 0) continue;
    const [bx = 0, by = 0] = piece[after] ?? [];
    if (after === 0) {
      if (bx === x) return by;
      continue;
    }
    const [ax = 0, ay = 0] = piece[after - 1] ?? [];
    return bx === ax ? by : ay + ((by - ay) * (x - ax)) / (bx - ax);
  }
  return null;
}

/** Fewest ready-made ticks that a zoomed axis can do with. */
const FEWEST_TICKS = 3;

export interface Ticks {
  values: number[];
  labels: string[];
}

/** The server's own ticks in a range; where zooming leaves too few, finer ones with the digits of the quantity or more. */
export function ticks(axis: Axis, from: number, to: number, most: number): Ticks {
  const ready = axis.ticks.filter((tick) => tick.value >= from - 1e-9 && tick.value <= to + 1e-9);
  if (ready.length >= FEWEST_TICKS) {
    return { values: ready.map((tick) => tick.value), labels: ready.map((tick) => tick.label) };
  }
  const step = roundStep((to - from) / Math.max(most, 2));
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const values: number[] = [];
  for (let index = Math.ceil(from / step); index * step <= to; index += 1) values.push(index * step);
  const digits = Math.max(decimals, Math.min(digitsOf(axis.quantity), decimals));
  return { values, labels: values.map((value) => formatNumber(value, digits)) };
}

/** The next of 1, 2, 5 times a power of ten. */
function roundStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  const factor = [1, 2, 5, 10].find((each) => each * power >= least * (1 - 1e-9)) ?? 10;
  return factor * power;
}

/** Shortest part of an axis that is shown, of the whole. */
const LEAST_SHARE = 1e-4;

/** A part of an axis shorter by a factor, with a value where it was; nothing where it would be the whole. */
export function narrowed([low = 0, high = 1]: number[], [from, to]: [number, number], factor: number, about: number): [number, number] | null {
  const span = Math.max((to - from) * factor, (high - low) * LEAST_SHARE);
  if (span >= high - low) return null;
  const share = Math.min(Math.max((about - from) / (to - from), 0), 1);
  const start = Math.min(Math.max(about - share * span, low), high - span);
  return [start, start + span];
}

/** Whether an axis has a part that was shown of another one. */
export function isPartOf([low = 0, high = 1]: number[], [from, to]: [number, number]): boolean {
  return from >= low && to <= high;
}

/** Where the crank's cursor stands on an axis that shows a turn or a part of it that repeats. */
export function cursorOn(axis: Axis, crankDeg: number): number | null {
  const [from = 0, to = 0] = axis.range;
  const span = to - from;
  if (!(span > 0)) return null;
  const place = from + ((((crankDeg - from) % 360) + 360) % 360);
  return place <= to ? place : null;
}
