"""Section forces and edge stresses of a loaded disc between its holes, lobes and bore; writes webs.toml.

    python webs.py

The loads are the classical ones of an ideal drive (forces in proportion to levers), so that nothing but statics
is shared with the program; the disc is a plane body of the drawn outline. About a minute of one core.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from body import Loop, Material, Mesh, Sizes, circle, factored, shapes, stiffness_n_per_mm
from geometry import Drive, Profile, cross, unit

STEEL = Material(206_000.0, 0.3)
STATIONS = [-0.5, 0.0, 0.5]


@dataclass(frozen=True)
class Case:
    name: str
    drive: Drive
    width_mm: float
    torque_n_mm: float
    crank_rad: float


def drive(rollers, ring, roller, throw, pins, pin_circle, pin, hole_phase, bore):
    profile = Profile(rollers, ring, throw, roller)
    return Drive(profile, rollers, ring, roller, throw, pins, pin_circle, pin, pin + throw, hole_phase, bore)


CASES = [
    Case("thick walls", drive(40, 62.0, 2.75, 1.25, 8, 38.0, 6.0, 0.0, 25.0), 12.0, 90e3, 0.3),
    Case("thin walls", drive(40, 62.0, 2.75, 1.25, 10, 41.0, 10.0, 0.0, 25.0), 12.0, 90e3, 0.3),
    Case("thin walls, crank on", drive(40, 62.0, 2.75, 1.25, 10, 41.0, 10.0, 0.0, 25.0), 12.0, 90e3, 0.62),
    Case("few large holes", drive(12, 42.0, 5.0, 1.8, 5, 22.0, 6.5, 0.1, 11.0), 7.0, 1e3, 1.0),
]


def loads(case):
    """Places and forces on the disc, in its frame, and the direction of the bearing's force."""
    d = case.drive
    crank = unit(np.array(case.crank_rad * d.roller_count / d.lobe_count))
    angles = 2 * np.pi * np.arange(d.roller_count) / d.roller_count + case.crank_rad / d.lobe_count
    centres = d.ring_radius_mm * unit(angles) - d.eccentricity_mm * crank
    inward = d.eccentricity_mm * d.lobe_count * crank - centres
    inward /= np.linalg.norm(inward, axis=1)[:, None]
    places = centres + d.roller_radius_mm * inward
    lever = -cross(places, inward)
    rollers = np.where(lever > 0, lever, 0)
    rollers *= case.torque_n_mm / (rollers @ lever)
    holes = d.pin_circle_radius_mm * unit(2 * np.pi * np.arange(d.pin_count) / d.pin_count + d.hole_phase_rad)
    lever = cross(holes, -crank)
    pins = np.where(lever > 0, lever, 0)
    pins *= case.torque_n_mm / (pins @ lever)
    at = np.concatenate([places, holes - d.hole_radius_mm * crank])
    force = np.concatenate([rollers[:, None] * inward, -pins[:, None] * crank])
    return at, force, -force.sum(axis=0), holes


def spread(mesh, loop, place, force, half_width_mm, vector):
    """A force spread evenly over the edges near a place."""
    edges = mesh.edges[loop]
    near = edges[np.linalg.norm(mesh.nodes_mm[edges[:, 1]] - place, axis=1) < half_width_mm]
    lengths = np.linalg.norm(mesh.nodes_mm[near[:, 2]] - mesh.nodes_mm[near[:, 0]], axis=1)
    for edge, share in zip(near, lengths / lengths.sum()):
        for node, weight in zip(edge, (1 / 6, 4 / 6, 1 / 6)):
            vector[2 * node : 2 * node + 2] += weight * share * force
    return near


def pressed(mesh, loop, force, vector):
    """The bearing's force as a cosine of pressure over the half of the bore that it points to."""
    size = np.linalg.norm(force)
    along = force / size
    parts = []
    for edge in mesh.edges[loop]:
        length = np.linalg.norm(mesh.nodes_mm[edge[2]] - mesh.nodes_mm[edge[0]])
        out = mesh.nodes_mm[edge[1]] / np.linalg.norm(mesh.nodes_mm[edge[1]])
        parts.append((edge, length * max(0.0, out @ along) * out))
    scale = size / sum(push @ along for _, push in parts)
    for edge, push in parts:
        for node, weight in zip(edge, (1 / 6, 4 / 6, 1 / 6)):
            vector[2 * node : 2 * node + 2] += weight * scale * push


class Field:
    """Stresses of a solved disc."""

    def __init__(self, mesh, elasticity, moved):
        self.mesh, self.elasticity, self.moved = mesh, elasticity, moved.reshape(-1, 2)
        self.corners = mesh.nodes_mm[mesh.triangles[:, :3]]

    def stress(self, point):
        """σx, σy, τ at a point, from the triangle that holds it (straight-edged search, curved map)."""
        a, b, c = (self.corners[:, i] for i in range(3))
        size = cross(b - a, c - a)
        r, s = cross(point - a, c - a) / size, cross(b - a, point - a) / size
        index = int(np.argmax(np.minimum(np.minimum(r, s), 1 - r - s)))
        nodes = self.mesh.nodes_mm[self.mesh.triangles[index]]
        r, s = float(r[index]), float(s[index])
        q = 1 - r - s
        slopes = np.array(
            [
                [1 - 4 * q, 4 * r - 1, 0, 4 * (q - r), 4 * s, -4 * s],
                [1 - 4 * q, 0, 4 * s - 1, -4 * r, 4 * r, 4 * (q - s)],
            ]
        )
        gradient = np.linalg.inv(slopes @ nodes) @ slopes @ self.moved[self.mesh.triangles[index]]
        return self.elasticity @ np.array([gradient[0, 0], gradient[1, 1], gradient[0, 1] + gradient[1, 0]])

    def section(self, start, end, width_mm):
        """Normal force, shear and moment over a cut, with the normal turned right from start → end."""
        local, weights = np.polynomial.legendre.leggauss(12)
        length = np.linalg.norm(end - start)
        along = (end - start) / length
        normal = np.array([along[1], -along[0]])
        result = np.zeros(3)
        for place, weight in zip(local, weights):
            x, y, t = self.stress(start + (place + 1) / 2 * (end - start))
            traction = np.array([x * normal[0] + t * normal[1], t * normal[0] + y * normal[1]])
            result += 0.5 * weight * length * width_mm * np.array(
                [traction @ normal, traction @ along, traction @ normal * place * length / 2]
            )
        return result

    def along_edges(self, edges, modulus):
        """Stress along a free boundary at the middles of its edges."""
        slopes = np.array([-0.5, 0.0, 0.5])
        stretch = np.einsum("a,eai->ei", slopes, self.mesh.nodes_mm[edges])
        change = np.einsum("a,eai->ei", slopes, self.moved[edges])
        return modulus * np.sum(stretch * change, axis=1) / np.sum(stretch**2, axis=1)


def cuts(case):
    """Each neck: kind, hole, and for each station the two ends of the cut."""
    d = case.drive
    root = d.ring_radius_mm - d.eccentricity_mm - d.roller_radius_mm
    r, count = d.hole_radius_mm, d.pin_count
    for hole in range(count):
        angle = d.hole_phase_rad + 2 * np.pi * hole / count
        radial, tangent = unit(np.array(angle)), unit(np.array(angle + np.pi / 2))
        outer, inner = [], []
        for x in np.array(STATIONS) * r:
            bow = np.sqrt(r**2 - x**2)
            at = lambda radius: radius * radial + x * tangent
            outer.append((at(d.pin_circle_radius_mm + bow), at(np.sqrt(root**2 - x**2))))
            inner.append((at(np.sqrt(d.bore_radius_mm**2 - x**2)), at(d.pin_circle_radius_mm - bow)))
        yield "lobe", hole, outer
        yield "bore", hole, inner
        middle = angle + np.pi / count
        radial, tangent = unit(np.array(middle)), unit(np.array(middle + np.pi / 2))
        half_chord = d.pin_circle_radius_mm * np.sin(np.pi / count)
        web = []
        for x in np.array(STATIONS) * r:
            half = half_chord - np.sqrt(r**2 - x**2)
            centre = (d.pin_circle_radius_mm * np.cos(np.pi / count) + x) * radial
            web.append((centre + half * tangent, centre - half * tangent))
        yield "web", hole, web


def solved(case):
    d = case.drive
    at, force, bearing, holes = loads(case)
    loops = [Loop(d.profile.at), circle((0, 0), d.bore_radius_mm)]
    loops += [circle(hole, d.hole_radius_mm) for hole in holes]
    thinnest = min(np.linalg.norm(b - a) for _, _, ends in cuts(case) for a, b in ends)
    patch = 0.04 * d.hole_radius_mm
    fine = min(0.3 * patch, thinnest / 8)
    edge_places = np.concatenate([[a, b] for _, _, ends in cuts(case) for a, b in ends])
    pressing = np.linalg.norm(force, axis=1) > 0
    places = np.concatenate([at[pressing], edge_places])
    sizes = Sizes(places, np.repeat([0.3 * patch, thinnest / 8], [pressing.sum(), len(edge_places)]), patch, 2.0)
    mesh = Mesh(loops, sizes)
    elasticity = STEEL.matrix(True)
    matrix = stiffness_n_per_mm(mesh, elasticity, case.width_mm)
    vector = np.zeros(2 * len(mesh.nodes_mm))
    loaded = {}
    for index in np.flatnonzero(pressing):
        loop = 0 if index < d.roller_count else 2 + index - d.roller_count
        width = patch if loop else max(patch, 0.15)
        loaded[loop] = spread(mesh, loop, at[index], force[index], width, vector)
    pressed(mesh, 1, bearing, vector)
    far = np.argmax(mesh.nodes_mm[:, 0]), np.argmin(mesh.nodes_mm[:, 0])
    held = [2 * far[0], 2 * far[0] + 1, 2 * far[1] + 1]
    free = np.setdiff1d(np.arange(len(vector)), held)
    moved = np.zeros(len(vector))
    moved[free] = factored(matrix[free][:, free]).solve(vector[free])
    residual = np.abs((matrix @ moved - vector)[held]).max() / np.abs(force).max()
    field = Field(mesh, elasticity, moved)
    lines = ["[[case]]", f'name = "{case.name}"', f"hold_share = {residual:.0e}"]
    for name, value in {
        "ring_roller_count": d.roller_count,
        "ring_radius_mm": d.ring_radius_mm,
        "roller_radius_mm": d.roller_radius_mm,
        "eccentricity_mm": d.eccentricity_mm,
        "hole_count": d.pin_count,
        "hole_circle_radius_mm": d.pin_circle_radius_mm,
        "hole_radius_mm": d.hole_radius_mm,
        "hole_phase_rad": d.hole_phase_rad,
        "bore_radius_mm": d.bore_radius_mm,
        "width_mm": case.width_mm,
        "torque_n_mm": case.torque_n_mm,
        "crank_angle_rad": case.crank_rad,
    }.items():
        lines.append(f"{name} = {value}")
    lines.append(f"node_count = {len(mesh.nodes_mm)}")
    peaks = []
    for hole in range(d.pin_count):
        edges = mesh.edges[2 + hole]
        stress = field.along_edges(edges, STEEL.elastic_modulus_mpa)
        if 2 + hole in loaded:
            middle = mesh.nodes_mm[loaded[2 + hole][:, 1]].mean(axis=0)
            stress[np.linalg.norm(mesh.nodes_mm[edges[:, 1]] - middle, axis=1) < 4 * patch] = 0.0
        worst = int(np.argmax(np.abs(stress)))
        peaks.append(float(f"{stress[worst]:.3g}"))
    lines.append(f"hole_edge_mpa = {peaks}")
    for kind, hole, ends in cuts(case):
        rows = [field.section(np.asarray(a), np.asarray(b), case.width_mm) for a, b in ends]
        text = ", ".join("[" + ", ".join(f"{value:.1f}" for value in row) + "]" for row in rows)
        lines.append(f"{kind}_{hole} = [{text}]")
    print("\n".join(lines), flush=True)
    return lines


HEAD = """\
# Written by webs.py of this folder; do not edit by hand. Hole j counts from zero; web j lies between holes j and j + 1.
# Each section: normal force in N (tension positive), shear in N, moment in N·mm, at -0.5, 0 and 0.5 hole radii along the neck.
# hole_edge_mpa: greatest stress along the edge of each hole, away from the pin that presses on it.
"""


def main():
    blocks = [solved(case) for case in CASES]
    text = HEAD + "".join("\n" + "\n".join(lines) + "\n" for lines in blocks)
    (Path(__file__).parent / "webs.toml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
