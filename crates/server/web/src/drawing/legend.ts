// Where the legend stands: in corners that the scale of the crank leaves free, or below the drawing.
import type { Size } from '../shared/measured';

/** Pixels round the scale of the crank for its labels, and how far their middles stand off it. */
export const LABEL_ROOM = 32;
export const LABEL_DISTANCE = 21;
/** Half of a label's size, with some air. */
const HALF_LABEL: Size = { width: 15, height: 11 };
/** How far the ticks reach out of the scale. */
const TICKS = 8;
const LABELS_DEG = [0, 30, 60, 90];

/** What the arrows and the pressures of the legend take, one above the other and side by side. */
const STACKED: Size = { width: 205, height: 150 };
const ARROWS: Size = { width: 200, height: 76 };
const PRESSURES: Size = { width: 205, height: 56 };

export type LegendPlace = 'stacked' | 'split' | 'below' | 'none';
/** Where the drawing has less height than this, it needs all of it. */
const LEAST_HEIGHT = 260;

/** Whether a box in a lower corner of the room touches neither the scale of the crank nor its labels. */
function isClear(room: Size, box: Size): boolean {
  const radius = Math.min(room.width, room.height) / 2 - LABEL_ROOM;
  // From the middle to the inner corner of the box.
  const [x, y] = [room.width / 2 - box.width, room.height / 2 - box.height];
  const overlapsLabel = LABELS_DEG.some((deg) => {
    const angle = (deg * Math.PI) / 180;
    const at = radius + LABEL_DISTANCE;
    return at * Math.cos(angle) + HALF_LABEL.width > x && at * Math.sin(angle) + HALF_LABEL.height > y;
  });
  return !overlapsLabel && Math.hypot(Math.max(x, 0), Math.max(y, 0)) >= radius + TICKS;
}

/** The place that leaves the drawing the most room. */
export function legendPlace(room: Size): LegendPlace {
  if (isClear(room, STACKED)) return 'stacked';
  if (!isClear(room, ARROWS) && room.height < LEAST_HEIGHT) return 'none';
  return isClear(room, ARROWS) && isClear(room, PRESSURES) ? 'split' : 'below';
}
