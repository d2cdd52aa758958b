// Pictures of figures as the server drew them: where values stand on them, in their own millimetres.
import type { Axis } from '../generated/api';

/** Width of every picture in its own millimetres. */
export const WIDTH_MM = 165;

/** Where a panel lies: left, top, width, height. */
export type Field = number[];

/** Where a value of the common axis stands. */
export function placeOn(axis: Axis, [left = 0, , width = 0]: Field, value: number): number {
  const [from = 0, to = 1] = axis.range;
  return left + (width * (value - from)) / (to - from);
}

/** The value of the common axis at a place; none outside the field. */
export function valueOn(axis: Axis, [left = 0, , width = 0]: Field, x: number): number | null {
  const [from = 0, to = 1] = axis.range;
  return x < left || x > left + width ? null : from + ((to - from) * (x - left)) / width;
}
