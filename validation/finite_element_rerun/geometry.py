"""Lobe profile and exact gaps of a cycloidal disc, written from docs/derivations and from nothing in the program.

Frame unless said otherwise: that of the disc, its centre at the origin, a lobe valley on the x axis. Lengths in mm,
angles in rad, anticlockwise positive.
"""

from dataclasses import dataclass

import numpy as np

TAU = 2.0 * np.pi


def unit(angle_rad):
    """Unit vectors at these angles, one a row."""
    return np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1)


def cross(a, b):
    """z component of the product of plane vectors."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def turned(vectors, angle_rad):
    """Vectors turned by an angle."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return vectors @ np.array([[c, s], [-s, c]])


@dataclass(frozen=True)
class Profile:
    """What two cuts of a generating roller, turned by plus and minus half the flank rotation, leave of a disc."""

    roller_count: int
    ring_radius_mm: float
    eccentricity_mm: float
    generating_radius_mm: float
    half_rotation_rad: float = 0.0

    def unrelieved(self, parameter):
        """Places of one cut and their derivatives by the parameter (derivation 1, sections 1 to 3)."""
        radius, throw, rollers = self.ring_radius_mm, self.eccentricity_mm, self.roller_count
        slow, fast = unit(parameter), unit(rollers * parameter)
        slope = radius * slow[..., ::-1] * [-1, 1] - throw * rollers * fast[..., ::-1] * [-1, 1]
        bend = -radius * slow + throw * rollers**2 * fast
        speed = np.linalg.norm(slope, axis=-1)
        curvature = cross(slope, bend) / speed**3
        normal = np.stack([slope[..., 1], -slope[..., 0]], axis=-1) / speed[..., None]
        place = radius * slow - throw * fast - self.generating_radius_mm * normal
        return place, slope * (1.0 - self.generating_radius_mm * curvature)[..., None]

    def cut(self, polar_rad):
        """Radius of one cut at polar angles."""
        parameter = np.array(polar_rad, dtype=float)
        for _ in range(60):
            place, slope = self.unrelieved(parameter)
            direction = unit(polar_rad)
            angle = np.arctan2(cross(direction, place), np.sum(direction * place, axis=-1))
            rate = cross(place, slope) / np.sum(place**2, axis=-1)
            step = np.clip(angle / rate, -0.1 / self.roller_count, 0.1 / self.roller_count)
            parameter -= step
            if np.max(np.abs(step)) < 1e-14:
                break
        return np.linalg.norm(self.unrelieved(parameter)[0], axis=-1)

    def at(self, polar_rad):
        """Places of the outline at polar angles: the material is what both cuts leave."""
        polar_rad = np.asarray(polar_rad, dtype=float)
        half = self.half_rotation_rad
        radius = self.cut(polar_rad - half)
        if half != 0.0:
            radius = np.minimum(radius, self.cut(polar_rad + half))
        return radius[..., None] * unit(polar_rad)

    def nearest(self, centre_mm):
        """Polar angles at which the outline comes nearest to points, by a search that narrows down."""
        centre_mm = np.atleast_2d(centre_mm)
        middle = np.arctan2(centre_mm[:, 1], centre_mm[:, 0])
        half = np.pi / self.roller_count
        steps = np.linspace(-1.0, 1.0, 41)
        while half > 1e-9:
            polar = middle[:, None] + half * steps
            distance = np.linalg.norm(self.at(polar) - centre_mm[:, None, :], axis=-1)
            middle = polar[np.arange(len(middle)), np.argmin(distance, axis=1)]
            half *= 0.1
        return middle


@dataclass(frozen=True)
class Drive:
    """One disc with its ring rollers and output pins."""

    profile: Profile
    roller_count: int
    ring_radius_mm: float
    roller_radius_mm: float
    eccentricity_mm: float
    pin_count: int
    pin_circle_radius_mm: float
    pin_radius_mm: float
    hole_radius_mm: float
    hole_phase_rad: float
    bore_radius_mm: float

    @property
    def lobe_count(self):
        return self.roller_count - 1


class Pose:
    """Rollers and pins in the frame of a disc that is turned, bearing held, until it touches without load."""

    def __init__(self, drive, crank_rad):
        self.drive = drive
        self.disc_rad = 0.0
        self.plate_rad = 0.0
        self.crank_rad = crank_rad
        for _ in range(60):
            self._place_rollers()
            reach = np.where(self.roller_lever_mm > 1e-6, self.roller_gap_mm / self.roller_lever_mm, np.inf).min()
            self.disc_rad += reach
            if abs(reach) < 1e-13:
                break
        for _ in range(60):
            self._place_pins()
            reach = np.where(self.pin_lever_mm > 1e-6, self.pin_gap_mm / self.pin_lever_mm, np.inf).min()
            self.plate_rad += reach
            if abs(reach) < 1e-13:
                break

    def in_disc(self, points_mm):
        """Points of the ring's frame in that of the disc."""
        centre = self.drive.eccentricity_mm * unit(self.crank_rad)
        return turned(points_mm - centre, self.crank_rad / self.drive.lobe_count - self.disc_rad)

    def _place_rollers(self):
        drive = self.drive
        angles = TAU * np.arange(drive.roller_count) / drive.roller_count
        self.roller_mm = self.in_disc(drive.ring_radius_mm * unit(angles))
        self.seat = turned(unit(angles), self.crank_rad / drive.lobe_count - self.disc_rad)
        self.roller_polar_rad = drive.profile.nearest(self.roller_mm)
        place = drive.profile.at(self.roller_polar_rad)
        offset = self.roller_mm - place
        distance = np.linalg.norm(offset, axis=1)
        self.roller_place_mm = place
        self.roller_gap_mm = distance - drive.roller_radius_mm
        self.roller_normal = offset / distance[:, None]
        self.roller_lever_mm = cross(place, self.roller_normal)

    def _place_pins(self):
        drive = self.drive
        angles = TAU * np.arange(drive.pin_count) / drive.pin_count + drive.hole_phase_rad
        self.hole_mm = drive.pin_circle_radius_mm * unit(angles)
        turn = self.plate_rad - self.crank_rad / drive.lobe_count
        self.pin_mm = self.in_disc(drive.pin_circle_radius_mm * unit(angles + turn))
        self.plate_centre_mm = self.in_disc(np.zeros(2))
        offset = self.pin_mm - self.hole_mm
        distance = np.linalg.norm(offset, axis=1)
        self.pin_gap_mm = drive.hole_radius_mm - drive.pin_radius_mm - distance
        self.pin_direction = offset / distance[:, None]
        self.pin_lever_mm = cross(self.pin_mm - self.plate_centre_mm, self.pin_direction)
