// Where words about a thing stand in the drawing: near it, and over as little of what lies round it as can be.

export interface Circle {
  x: number;
  y: number;
  r: number;
}

/** Room between the words and what they are about. */
const GAP = 10;
/** How far away the words are tried, in steps of their own height. */
const STEPS = [0, 0.5, 1, 2, 3];
const DIRECTIONS = Array.from({ length: 24 }, (_, index) => (index * Math.PI) / 12);
/** Neighbours, by the distance of their middles in diameters, count more than all else. */
const NEIGHBOUR = 3;
const WEIGHT_OF_NEIGHBOUR = 20;

/** The upper left corner of words of a size beside a circle, within a frame; none of the others matters as much as its neighbours. */
export function placeBeside(about: Circle, others: Circle[], [width, height]: [number, number], frame: [number, number]): [number, number] {
  let best: [number, number] = [0, 0];
  let least = Infinity;
  for (const step of STEPS) {
    for (const turn of DIRECTIONS) {
      const [x, y] = cornerAt(about, turn, step * height, width, height, frame);
      const weight = costOf(about, others, x, y, width, height) + step;
      if (weight < least) [least, best] = [weight, [x, y]];
    }
  }
  return best;
}

/** The corner of words that touch a circle in a direction, some way off, moved into the frame. */
function cornerAt({ x, y, r }: Circle, turn: number, away: number, width: number, height: number, frame: [number, number]): [number, number] {
  const [dx, dy] = [Math.cos(turn), Math.sin(turn)];
  // The middle of a box whose nearest side is that far from the circle's middle.
  const reach = r + GAP + away + Math.min(width / 2 / Math.max(Math.abs(dx), 1e-9), height / 2 / Math.max(Math.abs(dy), 1e-9));
  const within = (at: number, size: number, room: number) => Math.max(Math.min(at - size / 2, room - size - 4), 4);
  return [within(x + dx * reach, width, frame[0]), within(y + dy * reach, height, frame[1])];
}

function costOf(about: Circle, others: Circle[], x: number, y: number, width: number, height: number): number {
  const covers = (circle: Circle, room: number) => {
    const dx = circle.x - Math.min(Math.max(circle.x, x), x + width);
    const dy = circle.y - Math.min(Math.max(circle.y, y), y + height);
    return Math.hypot(dx, dy) < circle.r + room;
  };
  let cost = covers(about, 2) ? 1000 : 0;
  for (const other of others) {
    if (!covers(other, 2)) continue;
    const isNeighbour = Math.hypot(other.x - about.x, other.y - about.y) < NEIGHBOUR * (about.r + other.r);
    cost += isNeighbour ? WEIGHT_OF_NEIGHBOUR : 1;
  }
  return cost;
}
