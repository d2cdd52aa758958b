// Pan and zoom of the drawing: which part of the paper is seen, in millimetres.
import type { Point } from './motion';

export interface View {
  /** What lies in the middle, y upwards. */
  centre: Point;
  /** Pixels a millimetre over what shows the whole. */
  zoom: number;
}

export const WHOLE: View = { centre: [0, 0], zoom: 1 };
export const MOST_ZOOM = 400;

/** Zooms so that the point under the pointer stays there. */
export function zoomedAt(view: View, factor: number, at: Point): View {
  const zoom = Math.min(Math.max(view.zoom * factor, 0.5), MOST_ZOOM);
  const share = view.zoom / zoom;
  return {
    zoom,
    centre: [at[0] + (view.centre[0] - at[0]) * share, at[1] + (view.centre[1] - at[1]) * share],
  };
}

export function movedBy(view: View, dx: number, dy: number): View {
  return { ...view, centre: [view.centre[0] + dx, view.centre[1] + dy] };
}

/** Angle of a point round the origin, in degrees. */
export function angleOf([x, y]: Point): number {
  return (Math.atan2(y, x) * 180) / Math.PI;
}

/** The smallest turn from one angle to another. */
export function turnBetween(fromDeg: number, toDeg: number): number {
  return ((((toDeg - fromDeg + 180) % 360) + 360) % 360) - 180;
}
