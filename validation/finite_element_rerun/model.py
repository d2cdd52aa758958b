"""One elastic disc against elastic rollers, elastic pins and a rigid bearing: unilateral contact without friction.

The counter bodies are reduced to the compliance of their contact points. The disc keeps all its nodes; every
contact point presses with `F = -S (gap - approach)` where S inverts counter compliance and penalty of the points that
press, and the set of those points is found by Newton steps while the penalty rises to its final size.
"""

from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sparse

from body import Material, Mesh, Sizes, circle, factored, Loop, rows_along, shapes, stiffness_n_per_mm
from geometry import Pose, cross, unit

GAUSS = 1.0 / np.sqrt(3.0)
LEAST_POINTS = 4  # Pressing points from which a pressure is fitted.


@dataclass(frozen=True)
class Resolution:
    """Element sizes: at the contacts (with the half width of the fine zone), and far from them."""

    roller_contact_mm: float
    roller_zone_mm: float
    pin_contact_mm: float
    pin_zone_mm: float
    far_mm: float


@dataclass(frozen=True)
class Case:
    """A load case to be solved."""

    drive: object
    crank_rad: float
    torque_n_mm: float
    width_mm: float
    is_plane_stress: bool
    disc: Material
    roller: Material
    pin: Material
    seat_half_wrap_rad: float | None
    """Rollers are bonded on their back over this half angle; or at their bore, where absent."""
    roller_bore_mm: float
    carries_by_pins: bool
    """Torque leaves through the output pins, the bore on a rigid frictionless shaft; else through a clamped bore."""
    roller_gap_limit_mm: float
    """Rollers that stand off further without load are left out."""
    has_holes: bool = True
    rigid_rollers: bool = False
    is_bore_held_all_round: bool = False
    """The shaft also pulls at the wall of the bore, instead of only pressing on it."""


@dataclass
class Patch:
    """Points of one contact."""

    name: str
    rows: sparse.csr_matrix
    extra: np.ndarray
    """Approach for the one free rotation: of the disc (clamped bore) or of the plate (pins)."""
    gap_mm: np.ndarray
    area_mm2: np.ndarray
    along_mm: np.ndarray
    """Place along the contact, from its middle."""
    counter_mm_per_n: np.ndarray
    is_bilateral: bool = False
    force_n: np.ndarray = field(default=None)


@dataclass
class Solution:
    """What came out."""

    windup_rad: float
    free_rad: float
    roller_force_n: dict
    pin_force_n: dict
    roller_pressure_mpa: dict
    bearing_force_n: float
    node_count: int
    step_count: int
    torque_residual: float
    edge_pressure_share: float


def edge_points(mesh, loop, select):
    """Two Gauss points of each selected edge: nodes, shape weights, places, lengths, angles on the boundary."""
    edges, angles = mesh.edges[loop][select], mesh.edge_angles[loop][select]
    local = np.tile([-GAUSS, GAUSS], len(edges))
    nodes = np.repeat(edges, 2, axis=0)
    ends = np.repeat(angles, 2, axis=0)
    weights = shapes(local)
    slopes = np.stack([local - 0.5, -2 * local, local + 0.5], axis=-1)
    places = np.einsum("pa,pai->pi", weights, mesh.nodes_mm[nodes])
    lengths = np.linalg.norm(np.einsum("pa,pai->pi", slopes, mesh.nodes_mm[nodes]), axis=1)
    return nodes, weights, places, lengths, ends.mean(axis=1) + local * np.diff(ends, axis=1)[:, 0] / 2


class CounterBody:
    """A round body that the disc presses on, centred at the origin, reduced to the points where it is pressed."""

    def __init__(self, radius_mm, sizes, material, case):
        self.mesh = Mesh([circle((0, 0), radius_mm)] + self.inner_loops(case), sizes)
        self.case = case
        self.stiffness = stiffness_n_per_mm(self.mesh, material.matrix(case.is_plane_stress), case.width_mm)

    def inner_loops(self, case):
        return []

    def rows(self, direction):
        """Displacement along outward directions at the surface points they belong to."""
        angle = np.mod(np.arctan2(direction[:, 1], direction[:, 0]), 2 * np.pi)
        starts, ends = self.mesh.edge_angles[0].T
        edge = np.searchsorted(starts, angle, side="right") - 1
        local = 2 * (angle - starts[edge]) / (ends[edge] - starts[edge]) - 1
        return rows_along(self.mesh.edges[0][edge], shapes(local), direction, len(self.mesh.nodes_mm))


class Roller(CounterBody):
    """A ring roller, bonded on its back or at its bore."""

    def inner_loops(self, case):
        return [] if case.seat_half_wrap_rad else [circle((0, 0), case.roller_bore_mm)]

    def compliance(self, direction, seat):
        nodes = self.mesh.nodes_mm
        if self.case.seat_half_wrap_rad:
            angle = np.arctan2(cross(seat, nodes), nodes @ seat)
            back = np.abs(angle) <= self.case.seat_half_wrap_rad + 1e-9
            held = np.intersect1d(np.unique(self.mesh.edges[0]), np.flatnonzero(back))
        else:
            held = np.unique(self.mesh.edges[1])
        free = np.setdiff1d(np.arange(2 * len(nodes)), (2 * held[:, None] + [0, 1]).ravel())
        rows = self.rows(direction)[:, free]
        moved = factored(self.stiffness[free][:, free]).solve(rows.T.toarray())
        return rows @ moved


class Pin(CounterBody):
    """An output pin whose section is carried by shear: its mean displacement and rotation are held."""

    def compliance(self, direction):
        nodes, count = self.mesh.nodes_mm, len(self.mesh.nodes_mm)
        corners = nodes[self.mesh.triangles[:, :3]]
        area = np.abs(cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])) / 2
        share = np.zeros(count)  # A triangle's integral is a third of its area times each middle node.
        np.add.at(share, self.mesh.triangles[:, 3:], (area / 3)[:, None])
        share /= share.sum()
        held = np.zeros((3, 2 * count))
        held[0, 0::2] = held[1, 1::2] = share
        held[2, 0::2], held[2, 1::2] = -share * nodes[:, 1], share * nodes[:, 0]
        # Three nodes hold the factored matrix; the mean motions are then taken off.
        first, second = self.mesh.edges[0][0, 0], self.mesh.edges[0][len(self.mesh.edges[0]) // 2, 0]
        axis = int(np.argmax(np.abs(nodes[first] - nodes[second])[::-1]))
        fixed = [2 * first, 2 * first + 1, 2 * second + axis]
        free = np.setdiff1d(np.arange(2 * count), fixed)
        rigid = np.zeros((2 * count, 3))
        rigid[0::2, 0] = rigid[1::2, 1] = 1.0
        rigid[0::2, 2], rigid[1::2, 2] = -nodes[:, 1], nodes[:, 0]
        # Loads balanced by body forces in the pattern of the held means.
        rows = self.rows(direction)
        loads = rows.T.toarray()
        loads -= held.T @ np.linalg.solve(rigid.T @ held.T, rigid.T @ loads)
        moved = np.zeros_like(loads)
        moved[free] = factored(self.stiffness[free][:, free]).solve(np.ascontiguousarray(loads[free]))
        moved -= rigid @ np.linalg.solve(held @ rigid, held @ moved)
        return rows @ moved


class Model:
    """A case with its meshes, ready to be loaded."""

    def __init__(self, case, resolution):
        self.case, self.resolution = case, resolution
        self.pose = Pose(case.drive, case.crank_rad)
        drive, pose = case.drive, self.pose
        near = pose.roller_gap_mm < case.roller_gap_limit_mm
        self.rollers = np.flatnonzero(near & (pose.roller_lever_mm > 0.0))
        near = pose.pin_gap_mm < case.roller_gap_limit_mm
        self.pins = np.flatnonzero(near & (pose.pin_lever_mm > 0.0)) if case.carries_by_pins else np.array([], int)
        self.hole_places_mm = pose.hole_mm + drive.hole_radius_mm * pose.pin_direction
        loops = [Loop(drive.profile.at), circle((0, 0), drive.bore_radius_mm)]
        if case.has_holes:
            loops += [circle(centre, drive.hole_radius_mm) for centre in pose.hole_mm]
        self.mesh = Mesh(loops, self.disc_sizes())
        self.node_count = len(self.mesh.nodes_mm)
        self.stiffness = stiffness_n_per_mm(self.mesh, case.disc.matrix(case.is_plane_stress), case.width_mm)
        self.patches = [self.roller_patch(index) for index in self.rollers]
        self.patches += [self.pin_patch(index) for index in self.pins]
        if case.carries_by_pins:
            self.patches.append(self.bore_patch())

    def disc_sizes(self):
        resolution = self.resolution
        places = np.concatenate([self.pose.roller_place_mm[self.rollers], self.hole_places_mm[self.pins]])
        counts = [len(self.rollers), len(self.pins)]
        fine = np.repeat([resolution.roller_contact_mm, resolution.pin_contact_mm], counts)
        zone = np.repeat([resolution.roller_zone_mm, resolution.pin_zone_mm], counts)
        return Sizes(places, fine, zone, resolution.far_mm)

    def roller_patch(self, index):
        case, pose, resolution = self.case, self.pose, self.resolution
        place = pose.roller_place_mm[index]
        middles = self.mesh.nodes_mm[self.mesh.edges[0][:, 1]]
        select = np.linalg.norm(middles - place, axis=1) < resolution.roller_zone_mm
        nodes, weights, points, lengths, _ = edge_points(self.mesh, 0, select)
        exact = case.drive.profile.at(np.arctan2(points[:, 1], points[:, 0]))
        offset = pose.roller_mm[index] - exact
        distance = np.linalg.norm(offset, axis=1)
        direction = offset / distance[:, None]
        counter = np.zeros((len(points),) * 2)
        if not case.rigid_rollers:
            sizes = Sizes(
                -case.drive.roller_radius_mm * pose.roller_normal[index],
                resolution.roller_contact_mm,
                resolution.roller_zone_mm,
                min(resolution.far_mm, 0.2 * case.drive.roller_radius_mm),
            )
            body = Roller(case.drive.roller_radius_mm, sizes, case.roller, case)
            counter = body.compliance(-direction, pose.seat[index])
        lever = cross(exact, direction)
        return Patch(
            name=f"roller {index}",
            rows=rows_along(nodes, weights, direction, self.node_count),
            extra=np.zeros(len(points)) if case.carries_by_pins else lever,
            gap_mm=distance - case.drive.roller_radius_mm,
            area_mm2=lengths * case.width_mm,
            along_mm=cross(pose.roller_normal[index], points - place),
            counter_mm_per_n=counter,
        )

    def pin_patch(self, index):
        case, pose, resolution = self.case, self.pose, self.resolution
        place, loop = self.hole_places_mm[index], 2 + index
        middles = self.mesh.nodes_mm[self.mesh.edges[loop][:, 1]]
        select = np.linalg.norm(middles - place, axis=1) < resolution.pin_zone_mm
        nodes, weights, points, lengths, angles = edge_points(self.mesh, loop, select)
        outward = unit(angles)
        exact = pose.hole_mm[index] + case.drive.hole_radius_mm * outward
        # The pin's own normal at the point of its surface that faces the wall.
        offset = exact - pose.pin_mm[index]
        distance = np.linalg.norm(offset, axis=1)
        direction = offset / distance[:, None]
        sizes = Sizes(
            case.drive.pin_radius_mm * pose.pin_direction[index],
            resolution.pin_contact_mm,
            resolution.pin_zone_mm,
            min(resolution.far_mm, 0.2 * case.drive.pin_radius_mm),
        )
        body = Pin(case.drive.pin_radius_mm, sizes, case.pin, case)
        surface = pose.pin_mm[index] + case.drive.pin_radius_mm * direction
        return Patch(
            name=f"pin {index}",
            rows=rows_along(nodes, weights, -direction, self.node_count),
            extra=cross(surface - pose.plate_centre_mm, direction),
            gap_mm=distance - case.drive.pin_radius_mm,
            area_mm2=lengths * case.width_mm,
            along_mm=cross(pose.pin_direction[index], points - place),
            counter_mm_per_n=body.compliance(direction),
        )

    def bore_patch(self):
        nodes, weights, points, lengths, angles = edge_points(self.mesh, 1, slice(None))
        inward = -unit(angles)
        return Patch(
            name="bore",
            rows=rows_along(nodes, weights, inward, self.node_count),
            extra=np.zeros(len(points)),
            gap_mm=np.zeros(len(points)),
            area_mm2=lengths * self.case.width_mm,
            along_mm=self.case.drive.bore_radius_mm * angles,
            counter_mm_per_n=np.zeros((len(points),) * 2),
            is_bilateral=self.case.is_bore_held_all_round,
        )

    def solve(self, torque_n_mm=None):
        """Forces and rotation under a torque."""
        case = self.case
        torque = case.torque_n_mm if torque_n_mm is None else torque_n_mm
        final = 1500.0 * case.disc.elastic_modulus_mpa  # N/mm³: 1000 MPa would sink in by 3 nm in steel
        free = np.arange(2 * self.node_count)
        if not case.carries_by_pins:
            held = np.unique(self.mesh.edges[1])
            free = np.setdiff1d(free, (2 * held[:, None] + [0, 1]).ravel())
        free = np.append(free, 2 * self.node_count)
        total = len(free) - 1
        base = sparse.block_diag([self.stiffness, sparse.csc_matrix((1, 1))], format="csc")[free][:, free]
        load = np.zeros(total + 1)
        load[-1] = torque
        approach = [
            sparse.hstack([patch.rows, sparse.csr_matrix(patch.extra[:, None])], format="csr")[:, free]
            for patch in self.patches
        ]
        state = [self.start(patch) for patch in self.patches]
        steps = 0
        for penalty in final * np.array([1e-4, 1e-2, 1.0]):
            for _ in range(60):
                steps += 1
                moved = self.step(base, load, approach, state, penalty)
                changed = self.renew(moved, approach, state, penalty)
                if changed == 0:
                    break
            else:
                raise RuntimeError("the set of pressing points does not settle")
        return self.solution(moved, torque, steps)

    @staticmethod
    def start(patch):
        """Points that press at first: those that stand off no more than the nearest by two micrometres."""
        return np.ones(len(patch.gap_mm), bool) if patch.name == "bore" else patch.gap_mm < patch.gap_mm.min() + 2e-3

    @staticmethod
    def series(patch, active, penalty):
        """Force against overlap of the pressing points."""
        compliance = patch.counter_mm_per_n[np.ix_(active, active)] + np.diag(1.0 / (penalty * patch.area_mm2[active]))
        return np.linalg.inv(compliance)

    def step(self, base, load, approach, state, penalty):
        matrix, right = base.copy(), load.copy()
        for patch, rows, active in zip(self.patches, approach, state):
            if active.any():
                own = rows[active]
                spring = self.series(patch, active, penalty)
                matrix = matrix + own.T @ sparse.csr_matrix(spring) @ own
                right += own.T @ (spring @ patch.gap_mm[active])
        return factored(matrix).solve(right)

    def renew(self, moved, approach, state, penalty):
        changed = 0
        for index, (patch, rows, active) in enumerate(zip(self.patches, approach, state)):
            overlap = rows @ moved - patch.gap_mm
            force = np.zeros(len(overlap))
            if active.any():
                force[active] = self.series(patch, active, penalty) @ overlap[active]
            patch.force_n = force
            if patch.is_bilateral:
                continue
            open_mm = patch.counter_mm_per_n @ force - overlap
            now = np.where(active, force > 0.0, open_mm < 0.0)
            changed += int(np.sum(now != active))
            state[index] = now
        return changed

    def solution(self, moved, torque, steps):
        case, pose = self.case, self.pose
        sums = {patch.name: float(patch.force_n.sum()) for patch in self.patches}
        of = lambda kind: {int(name.split()[1]): value for name, value in sums.items() if name.startswith(kind)}
        pressures, edge = {}, 0.0
        for patch in self.patches:
            if patch.name.startswith("roller") and np.sum(patch.force_n > 0.0) >= LEAST_POINTS:
                index = int(patch.name.split()[1])
                pressures[index] = fitted_pressure_mpa(patch, case.width_mm)
                local = patch.force_n / patch.area_mm2
                edge = max(edge, max(local[0], local[-1]) / local.max())
        held = sum(patch.extra @ patch.force_n for patch in self.patches)
        bore = 0.0
        for patch in self.patches:
            if patch.name == "bore":
                angles = patch.along_mm / case.drive.bore_radius_mm
                bore = float(np.linalg.norm(patch.force_n @ unit(angles)))
        return Solution(
            windup_rad=float(moved[-1]),
            free_rad=pose.plate_rad if case.carries_by_pins else pose.disc_rad,
            roller_force_n=of("roller"),
            pin_force_n=of("pin"),
            roller_pressure_mpa=pressures,
            bearing_force_n=bore,
            node_count=self.node_count,
            step_count=steps,
            torque_residual=abs(held / torque - 1.0),
            edge_pressure_share=float(edge),
        )


def fitted_pressure_mpa(patch, width_mm):
    """Peak of the elliptic pressure with the force and the spread of the pressure found."""
    force = patch.force_n.sum()
    middle = patch.force_n @ patch.along_mm / force
    half_width_mm = 2.0 * np.sqrt(patch.force_n @ (patch.along_mm - middle) ** 2 / force)
    return float(2.0 * force / (np.pi * half_width_mm * width_mm))
