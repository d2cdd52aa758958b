// Pictures of figures as the server drew them: where values stand on them, in their own millimetres.
import type { Axis } from '../generated/api';

/** Width of every picture in its own millimetres. */
export const WIDTH_MM = 165;

/** Where a panel lies: left, top, width, height. */
export type Field = number[];

/** A place of the picture: from its left, from its top. */
export type Place = [number, number];

/** The greatest zoom of a picture. */
export const MOST_ZOOM = 40;

/** How much larger a picture is shown, and what then stands in the middle of its frame. */
export interface Zoom {
  factor: number;
  middle: Place;
}

/** The zoom at which what lies between two corners fills a frame as large as the picture's part that it shows unzoomed. */
export function zoomTo([ax, ay]: Place, [bx, by]: Place, seen: [number, number]): Zoom {
  const factor = Math.min(seen[0] / Math.abs(bx - ax), seen[1] / Math.abs(by - ay), MOST_ZOOM);
  return { factor: Math.max(factor, 1), middle: [(ax + bx) / 2, (ay + by) / 2] };
}

/** A picture that can be zoomed: its lines stay as thin, for what lies close together to come apart. */
export function withThinLines(svg: string): string {
  return svg.replace(/(stroke-width|stroke-dasharray): ([\d. ]+);/g, (_, name: string, lengths: string) => {
    const thin = lengths.split(' ').map((length) => `calc(${length}px / var(--zoom, 1))`);
    return `${name}: ${thin.join(' ')};`;
  });
}

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
