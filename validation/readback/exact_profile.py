"""The disc's exact outline, written from its generating motion and independent of the program under test.

A roller of radius r + dr rides on a ring of radius R + dR; in the frame of the disc its centre runs along
c(t) = (R + dR) u(t) - e u(z t) with z rollers. The outline is the parallel of c at the roller's radius.
A flank relief turns two such cuts by plus and minus half the relief angle; what both leave is the disc.
"""

import json
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.spatial import cKDTree
from scipy.special import ellipe


def unit(angle):
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def turned(points, angle):
    cosine, sine = np.cos(angle), np.sin(angle)
    x, y = points[..., 0], points[..., 1]
    return np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=-1)


@dataclass
class Disc:
    expected: dict

    @classmethod
    def from_json(cls, path):
        with open(path, encoding="utf-8") as file:
            return cls(json.load(file))

    def __post_init__(self):
        given = self.expected
        self.rollers = given["ring_roller_count"]
        self.lobes = self.rollers - 1
        self.ring = given["ring_radius_mm"] + given["ring_radius_shift_mm"]
        self.roller = given["roller_radius_mm"] + given["equidistant_offset_mm"]
        self.throw = given["eccentricity_mm"]
        self.half_relief = 0.5 * given["flank_rotation_rad"]
        self.pitch = 2 * np.pi / self.lobes
        dense = np.arange(0, 2 * np.pi, self.pitch / 400)
        self._dense = dense
        self._tree = cKDTree(self.unrelieved(dense)[0])

    def centre(self, t):
        """Roller centre in the frame of the disc, with its first two derivatives."""
        z = self.rollers
        slow, fast = unit(t), unit(z * t)
        slow_left = np.stack([-slow[..., 1], slow[..., 0]], axis=-1)
        fast_left = np.stack([-fast[..., 1], fast[..., 0]], axis=-1)
        return (
            self.ring * slow - self.throw * fast,
            self.ring * slow_left - self.throw * z * fast_left,
            -self.ring * slow + self.throw * z * z * fast,
        )

    def unrelieved(self, t):
        """Outline before the relief: place and outward normal."""
        place, first, _ = self.centre(t)
        tangent = first / np.linalg.norm(first, axis=-1, keepdims=True)
        normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)
        return place - self.roller * normal, normal

    def deviation(self, points):
        """Signed normal distance of points from the exact outline, positive outside."""
        from_valley = np.mod(np.arctan2(points[:, 1], points[:, 0]) + 0.5 * self.pitch, self.pitch) - 0.5 * self.pitch
        side = np.where(from_valley < 0, -1.0, 1.0)
        points = turned(points, -side * self.half_relief)
        # The foot on the roller-centre curve is also the foot on its parallel.
        t = self._dense[self._tree.query(points, k=1)[1]]
        for _ in range(200):
            place, first, second = self.centre(t)
            offset = place - points
            slope = np.sum(first * first, axis=1) + np.sum(offset * second, axis=1)
            square = np.sum(first * first, axis=1)
            step = np.sum(offset * first, axis=1) / np.where(slope > 0.002 * square, slope, square)
            t = t - np.clip(step, -0.05 * self.pitch, 0.05 * self.pitch)
        place, normal = self.unrelieved(t)
        along = np.abs(np.sum((points - place) * np.stack([-normal[:, 1], normal[:, 0]], axis=1), axis=1))
        if along.max() > 1e-9:
            raise AssertionError(f"feet of normals not found: {along.max()} mm off")
        return np.sum((points - place) * normal, axis=1)

    def flank_range(self):
        """Parameters at which the relieved flank meets valley and tip."""
        def at_polar_angle(target):
            def difference(t):
                place, _ = self.unrelieved(np.array(t))
                return np.arctan2(place[1], place[0]) - target
            return brentq(difference, -0.25 * self.pitch, 0.75 * self.pitch, xtol=1e-15)
        if self.half_relief == 0:
            return 0.0, 0.5 * self.pitch
        return at_polar_angle(-self.half_relief), at_polar_angle(0.5 * self.pitch - self.half_relief)

    def area(self):
        """Area inside the outline by Gauss quadrature over half a lobe; checked against the closed form."""
        start, end = self.flank_range()
        nodes, weights = np.polynomial.legendre.leggauss(400)
        t = start + 0.5 * (end - start) * (nodes + 1)
        _, first, second = self.centre(t)
        speed = np.linalg.norm(first, axis=1)
        curvature = (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / speed**3
        place, normal = self.unrelieved(t)
        rate = speed * (1 - self.roller * curvature)
        # x dy - y dx with the tangent as the normal turned left.
        swept = (place[:, 0] * normal[:, 0] + place[:, 1] * normal[:, 1]) * rate
        area = 2 * self.lobes * 0.5 * 0.5 * (end - start) * np.sum(weights * swept)
        if self.half_relief == 0 and abs(area / self.closed_form_area() - 1) > 1e-11:
            raise AssertionError(f"quadrature {area} and closed form {self.closed_form_area()} differ")
        return area

    def closed_form_area(self):
        """Area by parallel-curve relations, without relief and undercut."""
        k = self.throw * self.rollers / self.ring
        length = 4 * self.ring * (1 + k) * ellipe(4 * k / (1 + k) ** 2)
        return np.pi * (self.ring**2 + self.rollers * self.throw**2) - self.roller * length + np.pi * self.roller**2

    def holes(self):
        """Centres and radii of bore and output holes."""
        given = self.expected
        angles = given["hole_phase_rad"] + 2 * np.pi * np.arange(given["hole_count"]) / given["hole_count"]
        centres = given["hole_circle_radius_mm"] * unit(angles)
        rows = [(0.0, 0.0, given["bore_radius_mm"])]
        rows += [(x, y, given["hole_radius_mm"]) for x, y in centres]
        return np.array(rows)

    def volume(self):
        cut_out = np.pi * np.sum(self.holes()[:, 2] ** 2)
        return (self.area() - cut_out) * self.expected["thickness_mm"]


class Checks:
    """Collects what does not hold, so that a run names every fault and not only the first."""

    def __init__(self):
        self.faults = []

    def hold(self, condition, fault):
        if not condition:
            self.faults.append(fault)

    def finish(self, title, summary):
        """One line, and the exit code."""
        verdict = "ok" if not self.faults else "FAILED"
        print(f"{title}: {verdict}: {summary}" + "".join(f"\n    {fault}" for fault in self.faults))
        return 1 if self.faults else 0
