"""Cuts the lobe out of a blank with the roller itself and compares: usage: polygon_envelope.py profile.csv expected.json

A round blank turns and wobbles past one ring roller as the disc does in the drive; the roller, a polygon, is
subtracted at many positions. No profile formula is used. What is left must agree with the points of the file, the better
the more positions: the ridges between cuts fall with the square of their distance.
"""

import sys

import numpy as np
import shapely

from exact_profile import Checks, Disc, turned, unit

QUARTER_SEGMENTS = 768
POSITIONS_PER_LOBE = (90, 180)
LARGEST_RIDGE_MM = 0.005


def read_points(path):
    with open(path, encoding="utf-8") as file:
        rows = [line for line in file if not line.startswith("#")]
    names = rows[0].strip().split(",")
    assert names[:3] == ["parameter_rad", "x_mm", "y_mm"], names
    return np.array([[float(value) for value in row.split(",")[1:5]] for row in rows[1:]])


def roller_centres(disc, positions_per_lobe):
    """The roller on the x axis of the ring, seen from the disc, over a lobe and its neighbours.

    The crank turns backwards by one turn and a lobe passes; the disc turns by a lobe pitch the other way.
    """
    crank = 2 * np.pi * np.arange(-1.5 * positions_per_lobe, 1.5 * positions_per_lobe + 1) / positions_per_lobe
    disc_turn = -crank / disc.lobes
    roller = np.array([disc.ring, 0.0]) - disc.throw * unit(crank)
    return turned(roller, -disc_turn)


def cut(disc, positions_per_lobe):
    blank = shapely.Point(0, 0).buffer(disc.ring + 4 * disc.throw, quad_segs=QUARTER_SEGMENTS)
    centres = roller_centres(disc, positions_per_lobe)
    turns = {disc.half_relief, -disc.half_relief}
    centres = np.concatenate([turned(centres, turn) for turn in turns])
    rollers = shapely.buffer(shapely.points(centres), disc.roller, quad_segs=QUARTER_SEGMENTS)
    return blank.difference(shapely.union_all(rollers))


def fold(disc, points):
    """All lobes turned onto the one that is cut, from valley to valley round the x axis; same places once."""
    lobe = np.round(np.arctan2(points[:, 1], points[:, 0]) / disc.pitch)
    folded = turned(points, -lobe * disc.pitch)
    return np.unique(np.round(folded, 7), axis=0)


def main(path, expected):
    disc, checks = Disc.from_json(expected), Checks()
    rows = read_points(path)
    points = fold(disc, rows[:, :2])
    worst = []
    for positions in POSITIONS_PER_LOBE:
        left = cut(disc, positions)
        places = shapely.points(points)
        distance = shapely.distance(left.boundary, places)
        # A point of the exact profile lies in what is left, or on its edge.
        outside = distance[~shapely.contains(left, places)].max(initial=0.0)
        facet = disc.roller * (1 - np.cos(np.pi / (4 * QUARTER_SEGMENTS))) + 1e-6
        checks.hold(outside <= facet, f"the roller cuts {outside:.6f} mm into the profile")
        worst.append(distance.max())
    checks.hold(worst[1] < LARGEST_RIDGE_MM, f"profile is {worst[1]:.6f} mm off what the roller leaves")
    ratio = worst[0] / worst[1]
    checks.hold(ratio > 3, f"ridges fall only by {ratio:.2f} with twice the positions")
    exact = np.abs(disc.deviation(rows[:, :2])).max()
    checks.hold(exact < 1e-8, f"points are {exact} mm off the formula")
    normals = np.abs(np.linalg.norm(rows[:, 2:4], axis=1) - 1).max()
    checks.hold(normals < 1e-9, "normals are not of unit length")
    return checks.finish(
        f"CSV {disc.expected['name']}",
        f"{len(rows)} points, {worst[0] * 1000:.2f} um and {worst[1] * 1000:.2f} um off the roller's cut "
        f"at {POSITIONS_PER_LOBE[0]} and {POSITIONS_PER_LOBE[1]} positions a lobe",
    )


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
