// Places and forces at any crank angle, from the server's tables: interpolation and counting on, nothing else.
import type { DiscForces, Motion } from '../generated/api';

export type Point = readonly [number, number];

export interface Place {
  centre: Point;
  turnDeg: number;
}

/** The rest of a division that is never negative. */
export function wrap(value: number, period: number): number {
  const rest = value % period;
  return rest < 0 ? rest + period : rest;
}

/** A point of a table over one turn in equal steps, first and last alike. */
export function overTurn(points: number[][], angleDeg: number): Point {
  const steps = points.length - 1;
  const first = points[0];
  if (!first) return [0, 0];
  if (steps < 1) return [first[0] ?? 0, first[1] ?? 0];
  const place = (wrap(angleDeg, 360) / 360) * steps;
  const before = Math.min(Math.floor(place), steps - 1);
  const share = place - before;
  const a = points[before] ?? first;
  const b = points[before + 1] ?? first;
  return [mix(a[0] ?? 0, b[0] ?? 0, share), mix(a[1] ?? 0, b[1] ?? 0, share)];
}

/** Where a disc stands. */
export function discPlace(motion: Motion, disc: number, crankDeg: number): Place {
  const throwDeg = motion.throw_angle_deg[disc] ?? 0;
  return {
    centre: overTurn(motion.throw_mm, crankDeg + throwDeg),
    turnDeg: (motion.disc_turn_start_deg[disc] ?? 0) + motion.disc_turn_ratio * crankDeg,
  };
}

/** Turn of the rollers of a disc's eccentric bearing. */
export function cageTurnDeg(motion: Motion, disc: number, crankDeg: number): number {
  return (motion.cage_turn_start_deg[disc] ?? 0) + motion.cage_turn_ratio * crankDeg;
}

/** Turn of the plate with the output pins. */
export function plateTurnDeg(motion: Motion, crankDeg: number): number {
  return motion.disc_turn_ratio * crankDeg;
}

/** Turn of everything, so that the held member stands. */
export function frameTurnDeg(motion: Motion, crankDeg: number): number {
  return motion.frame_turn_ratio * crankDeg;
}

/** Where all normals of a disc meet. */
export function pitchPoint(motion: Motion, disc: number, crankDeg: number): Point {
  return overTurn(motion.pitch_point_mm, crankDeg + (motion.throw_angle_deg[disc] ?? 0));
}

/** Forces on a disc at one crank angle. */
export interface Forces {
  roller: { forceN: Float64Array; directionDeg: Float64Array; pressureMpa: Float64Array; gapMm: Float64Array };
  pin: { forceN: Float64Array; directionDeg: Float64Array; pressureMpa: Float64Array };
  bearing: { forceN: number; directionDeg: number };
}

/** The forces of a disc, none where the drive does not mesh. */
export function forcesAt(motion: Motion, disc: number, crankDeg: number): Forces | null {
  const count = motion.poses.length;
  if (count === 0 || !(motion.period_deg > 0)) return null;
  const periods = Math.floor(crankDeg / motion.period_deg);
  const place = (wrap(crankDeg, motion.period_deg) / motion.period_deg) * count;
  const index = Math.min(Math.floor(place), count - 1);
  const share = place - index;
  const a = motion.poses[index]?.discs[disc];
  // The pose after the last one is the first of the next period, counted on and turned.
  const isLast = index + 1 === count;
  const b = motion.poses[isLast ? 0 : index + 1]?.discs[disc];
  if (!a || !b) return null;
  return blend(motion, a, b, share, periods, isLast ? periods + 1 : periods);
}

function blend(
  motion: Motion, a: DiscForces, b: DiscForces, share: number, periodsA: number, periodsB: number,
): Forces {
  const turnA = periodsA * motion.period_deg;
  const turnB = periodsB * motion.period_deg;
  const rollers = counted(motion.roller_shift, periodsA, periodsB, share);
  const pins = counted(motion.pin_shift, periodsA, periodsB, share);
  return {
    roller: {
      forceN: rollers.value(a.roller_force_n, b.roller_force_n),
      directionDeg: rollers.angle(a.roller_direction_deg, b.roller_direction_deg, turnA, turnB),
      pressureMpa: rollers.value(a.roller_pressure_mpa, b.roller_pressure_mpa),
      gapMm: rollers.value(a.roller_gap_mm, b.roller_gap_mm),
    },
    pin: {
      forceN: pins.value(a.pin_force_n, b.pin_force_n),
      directionDeg: pins.angle(a.pin_direction_deg, b.pin_direction_deg, turnA, turnB),
      pressureMpa: pins.value(a.pin_pressure_mpa, b.pin_pressure_mpa),
    },
    bearing: {
      forceN: mix(a.bearing_force_n, b.bearing_force_n, share),
      directionDeg: mixAngle(a.bearing_direction_deg + turnA, b.bearing_direction_deg + turnB, share),
    },
  };
}

/** Reads two tables whose entries stand `shift` places further after every period. */
function counted(shift: number, periodsA: number, periodsB: number, share: number) {
  const read = (a: number[], b: number[], join: (from: number, to: number) => number) => {
    const count = a.length;
    const result = new Float64Array(count);
    for (let index = 0; index < count; index += 1) {
      const inA = wrap(index - shift * periodsA, count);
      const inB = wrap(index - shift * periodsB, count);
      result[index] = join(a[inA] ?? 0, b[inB] ?? 0);
    }
    return result;
  };
  return {
    value: (a: number[], b: number[]) => read(a, b, (from, to) => mix(from, to, share)),
    angle: (a: number[], b: number[], turnA: number, turnB: number) =>
      read(a, b, (from, to) => mixAngle(from + turnA, to + turnB, share)),
  };
}

function mix(from: number, to: number, share: number): number {
  return from + (to - from) * share;
}

/** Between two directions the shorter way round. */
function mixAngle(fromDeg: number, toDeg: number, share: number): number {
  const delta = wrap(toDeg - fromDeg + 180, 360) - 180;
  return fromDeg + delta * share;
}

/** Colour of a value on a scale of equal steps from zero to the greatest value. */
export function colourOf(colours: string[], greatest: number, value: number): string {
  const share = greatest > 0 ? Math.min(Math.max(value / greatest, 0), 1) : 0;
  return colours[Math.min(Math.floor(share * colours.length), colours.length - 1)] ?? 'none';
}
