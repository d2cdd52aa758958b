// Interpolation against cases that can be followed by hand.
import { describe, expect, it } from 'vitest';
import type { DiscForces, Motion } from '../generated/api';
import { colourOf, discPlace, forcesAt, frameTurnDeg, overTurn, pitchPoint, plateTurnDeg, wrap } from './motion';

const circle = (radius: number, steps: number) =>
  Array.from({ length: steps + 1 }, (_, step) => [
    radius * Math.cos((2 * Math.PI * step) / steps),
    radius * Math.sin((2 * Math.PI * step) / steps),
  ]);

function forces(rollers: number[], pins: number[], directionDeg: number): DiscForces {
  return {
    roller_force_n: rollers,
    roller_direction_deg: rollers.map(() => directionDeg),
    roller_pressure_mpa: rollers.map((force) => 2 * force),
    roller_gap_mm: rollers.map(() => 0.001),
    pin_force_n: pins,
    pin_direction_deg: pins.map(() => directionDeg),
    pin_pressure_mpa: pins,
    bearing_force_n: rollers.reduce((sum, force) => sum + force, 0),
    bearing_direction_deg: directionDeg,
  };
}

const motion = {
  generation: 1,
  stage: 'full',
  load_case: 'rated',
  load_cases: [['rated', 'rated torque']],
  frame_turn_ratio: 0,
  disc_turn_ratio: -1 / 3,
  disc_turn_start_deg: [0, 60],
  cage_turn_ratio: 0.4,
  cage_turn_start_deg: [0, 180],
  throw_angle_deg: [0, 180],
  throw_mm: circle(2, 360),
  pitch_point_mm: circle(8, 360),
  period_deg: 90,
  roller_shift: 1,
  pin_shift: 2,
  // Roller 0 is loaded at first, and roller 1 at the end of the period.
  poses: [
    { discs: [forces([100, 0, 0, 0], [10, 20, 30], 350), forces([0, 0, 100, 0], [1, 2, 3], 170)] },
    { discs: [forces([50, 50, 0, 0], [20, 20, 20], 35), forces([0, 0, 50, 50], [2, 2, 2], 215)] },
  ],
  greatest_force_n: [100, 30, 100],
  pressure_scale: { greatest: 200, light: [], dark: [], labels: [], title: '' },
} as unknown as Motion;

describe('places', () => {
  it('identity_wraps_both_ways', () => {
    expect(wrap(-30, 360)).toBe(330);
    expect(wrap(725, 360)).toBe(5);
  });

  it('identity_a_held_plate_stands_while_the_crank_turns', () => {
    const held = { ...motion, frame_turn_ratio: 1 / 3 };
    expect(frameTurnDeg(held, 100) + plateTurnDeg(held, 100)).toBeCloseTo(0, 12);
    expect(frameTurnDeg(motion, 100)).toBe(0);
  });

  it('identity_goes_straight_between_points_of_a_table', () => {
    const [x, y] = overTurn([[0, 0], [10, 20], [0, 0]], 90);
    expect(x).toBeCloseTo(5, 12);
    expect(y).toBeCloseTo(10, 12);
  });

  it('identity_the_second_disc_stands_opposite_and_turns_with_the_first', () => {
    const first = discPlace(motion, 0, 3690);
    const second = discPlace(motion, 1, 3690);
    expect(first.centre[0] + second.centre[0]).toBeCloseTo(0, 9);
    expect(first.centre[1]).toBeCloseTo(2, 9);
    expect(second.turnDeg - first.turnDeg).toBeCloseTo(60, 9);
    expect(first.turnDeg).toBeCloseTo(-1230, 9);
    expect(pitchPoint(motion, 1, 0)[0]).toBeCloseTo(-8, 9);
  });
});

describe('forces', () => {
  it('identity_halfway_between_two_poses', () => {
    const at = forcesAt(motion, 0, 22.5)!;
    expect([...at.roller.forceN]).toEqual([75, 25, 0, 0]);
    expect(at.bearing.forceN).toBe(100);
    // From 350 degrees to 35 degrees it is 45 degrees by the shorter way.
    expect(wrap(at.bearing.directionDeg, 360)).toBeCloseTo(12.5, 9);
  });

  it('identity_runs_into_the_next_period_without_a_jump', () => {
    const before = forcesAt(motion, 0, 90 - 1e-9)!;
    const after = forcesAt(motion, 0, 90)!;
    before.roller.forceN.forEach((force, roller) => expect(after.roller.forceN[roller]).toBeCloseTo(force, 5));
    before.pin.forceN.forEach((force, pin) => expect(after.pin.forceN[pin]).toBeCloseTo(force, 5));
    expect(wrap(after.bearing.directionDeg - before.bearing.directionDeg + 180, 360)).toBeCloseTo(180, 5);
  });

  it('identity_counts_on_after_a_period_and_turns_by_it', () => {
    const at = forcesAt(motion, 0, 90)!;
    expect([...at.roller.forceN]).toEqual([0, 100, 0, 0]);
    expect([...at.pin.forceN]).toEqual([20, 30, 10]);
    expect(wrap(at.roller.directionDeg[1]!, 360)).toBeCloseTo(80, 9);
  });

  it('identity_counts_back_before_zero', () => {
    expect([...forcesAt(motion, 0, -90)!.roller.forceN]).toEqual([0, 0, 0, 100]);
    expect([...forcesAt(motion, 0, -270)!.roller.forceN]).toEqual([0, 100, 0, 0]);
  });

  it('identity_none_where_nothing_meshes', () => {
    expect(forcesAt({ ...motion, poses: [] }, 0, 10)).toBeNull();
  });
});

it('identity_colours_in_equal_steps', () => {
  const colours = ['a', 'b', 'c', 'd'];
  expect([0, 24, 26, 99, 100, 130, -5].map((value) => colourOf(colours, 100, value)).join('')).toBe('aabddda');
});
