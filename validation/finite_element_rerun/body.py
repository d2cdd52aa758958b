"""Plane elastic bodies: meshes of six-node triangles with exact boundary nodes, stiffness, and points on the boundary."""

from collections.abc import Callable
from dataclasses import dataclass

import gmsh
import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

GROWTH = 0.35  # Element size gained per distance from a contact.


@dataclass(frozen=True)
class Loop:
    """A closed boundary: its places by an angle that runs once round."""

    at: Callable


def circle(centre_mm, radius_mm):
    """A round boundary."""
    return Loop(lambda angle: np.asarray(centre_mm) + radius_mm * np.stack([np.cos(angle), np.sin(angle)], axis=-1))


class Sizes:
    """Element size: fine within a distance of given places, growing evenly to the size far away."""

    def __init__(self, places_mm, fine_mm, reach_mm, far_mm):
        self.places_mm = np.atleast_2d(places_mm)
        self.fine_mm = np.broadcast_to(fine_mm, len(self.places_mm))
        self.reach_mm = np.broadcast_to(reach_mm, len(self.places_mm))
        self.far_mm = far_mm

    def at(self, points_mm):
        offset = np.asarray(points_mm)[..., None, :] - self.places_mm
        beyond = np.maximum(0.0, np.sqrt(np.sum(offset**2, axis=-1)) - self.reach_mm)
        return np.minimum(self.far_mm, np.min(self.fine_mm + GROWTH * beyond, axis=-1))


@dataclass(frozen=True)
class Material:
    """Linear elastic and isotropic."""

    elastic_modulus_mpa: float
    poisson_ratio: float

    def matrix(self, is_plane_stress):
        modulus, poisson = self.elastic_modulus_mpa, self.poisson_ratio
        if not is_plane_stress:
            modulus, poisson = modulus / (1 - poisson**2), poisson / (1 - poisson)
        return (
            modulus
            / (1 - poisson**2)
            * np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
        )


class Mesh:
    """Triangles between boundaries, the first of which is the outside; `edges[loop]` are rows of (start, middle, end)."""

    def __init__(self, loops, sizes):
        rings = [self._divided(loop, sizes) for loop in loops]
        corners, triangles, tags = self._corners(loops, rings, sizes)
        pairs = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
        unique, inverse = np.unique(pairs, axis=0, return_inverse=True)
        inverse = inverse.reshape(-1)
        count = len(triangles)
        middle = len(corners) + inverse
        self.triangles = np.column_stack([triangles, middle[:count], middle[count : 2 * count], middle[2 * count :]])
        self.nodes_mm = np.concatenate([corners, corners[unique].mean(axis=1)])
        self.edges, self.edge_angles = [], []
        known = {tuple(pair): index for index, pair in enumerate(unique)}
        for loop, angles, ring in zip(loops, rings, tags):
            ends = np.column_stack([ring, np.roll(ring, -1)])
            middles = np.array([len(corners) + known[tuple(sorted(pair))] for pair in ends])
            following = np.append(angles[1:], angles[0] + 2 * np.pi)
            self.nodes_mm[middles] = loop.at(0.5 * (angles + following))
            self.edges.append(np.column_stack([ends[:, 0], middles, ends[:, 1]]))
            self.edge_angles.append(np.column_stack([angles, following]))

    @staticmethod
    def _divided(loop, sizes):
        """Angles that divide a boundary into edges as long as the sizes ask."""
        fine = np.linspace(0.0, 2 * np.pi, 40001)
        places = loop.at(fine)
        for _ in range(2):  # Once more with the samples where the small edges are.
            lengths = np.linalg.norm(np.diff(places, axis=0), axis=1)
            middles = 0.5 * (places[1:] + places[:-1])
            edges = np.concatenate([[0.0], np.cumsum(lengths / sizes.at(middles))])
            fine = np.interp(np.linspace(0.0, edges[-1], 40001), edges, fine)
            places = loop.at(fine)
        count = max(12, int(np.ceil(edges[-1])))
        return np.interp(np.linspace(0.0, 1.0, count + 1)[:-1], np.linspace(0.0, 1.0, 40001), fine)

    @staticmethod
    def _corners(loops, rings, sizes):
        gmsh.initialize()
        try:
            gmsh.option.setNumber("General.Terminal", 0)
            gmsh.option.setNumber("General.NumThreads", 1)
            for name in ("MeshSizeExtendFromBoundary", "MeshSizeFromPoints", "MeshSizeFromCurvature"):
                gmsh.option.setNumber("Mesh." + name, 0)
            gmsh.option.setNumber("Mesh.Algorithm", 5)
            geo, boundaries, points = gmsh.model.geo, [], []
            for loop, angles in zip(loops, rings):
                own = [geo.addPoint(x, y, 0.0) for x, y in loop.at(angles)]
                lines = [geo.addLine(a, b) for a, b in zip(own, own[1:] + own[:1])]
                for line in lines:
                    geo.mesh.setTransfiniteCurve(line, 2)
                boundaries.append(geo.addCurveLoop(lines))
                points.append(own)
            surface = geo.addPlaneSurface(boundaries)
            geo.synchronize()
            gmsh.model.mesh.setSizeCallback(lambda _d, _t, x, y, _z, _l: float(sizes.at((x, y))))
            gmsh.model.mesh.generate(2)
            tags, coordinates, _ = gmsh.model.mesh.getNodes()
            index = np.zeros(int(tags.max()) + 1, dtype=int)
            index[tags.astype(int)] = np.arange(len(tags))
            _, _, elements = gmsh.model.mesh.getElements(2, surface)
            node_of = lambda point: int(gmsh.model.mesh.getNodes(0, point)[0][0])
            rings_of_nodes = [index[[node_of(point) for point in own]] for own in points]
            triangles = index[elements[0].astype(int)].reshape(-1, 3)
        finally:
            gmsh.finalize()
        return coordinates.reshape(-1, 3)[:, :2], triangles, rings_of_nodes


def stiffness_n_per_mm(mesh, elasticity, width_mm):
    """Stiffness matrix over (x, y) of all nodes."""
    # Six-point rule, exact to the fourth degree.
    a, b = 0.445948490915965, 0.091576213509771
    wa, wb = 0.223381589678011 / 2, 0.109951743655322 / 2
    rule = [(a, a, wa), (a, 1 - 2 * a, wa), (1 - 2 * a, a, wa), (b, b, wb), (b, 1 - 2 * b, wb), (1 - 2 * b, b, wb)]
    places = mesh.nodes_mm[mesh.triangles]
    total = np.zeros((len(places), 12, 12))
    for r, s, weight in rule:
        q = 1 - r - s
        slopes = np.array(
            [
                [1 - 4 * q, 4 * r - 1, 0, 4 * (q - r), 4 * s, -4 * s],
                [1 - 4 * q, 0, 4 * s - 1, -4 * r, 4 * r, 4 * (q - s)],
            ]
        )
        jacobian = np.einsum("ka,nai->nki", slopes, places)
        size = np.linalg.det(jacobian)
        if size.min() <= 0.0:
            raise ValueError("a triangle is folded")
        gradient = np.einsum("nik,ka->nia", np.linalg.inv(jacobian), slopes)
        strain = np.zeros((len(places), 3, 12))
        strain[:, 0, 0::2] = strain[:, 2, 1::2] = gradient[:, 0]
        strain[:, 1, 1::2] = strain[:, 2, 0::2] = gradient[:, 1]
        total += np.einsum("nia,ij,njb->nab", strain, elasticity, strain, optimize=True) * (
            weight * width_mm * size
        )[:, None, None]
    own = (2 * mesh.triangles[:, :, None] + [0, 1]).reshape(len(places), 12)
    rows, columns = np.repeat(own, 12, axis=1), np.tile(own, (1, 12))
    count = 2 * len(mesh.nodes_mm)
    return sparse.csc_matrix((total.ravel(), (rows.ravel(), columns.ravel())), shape=(count, count))


def factored(matrix):
    """Factors of a symmetric matrix."""
    return splu(
        sparse.csc_matrix(matrix),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )


def shapes(local):
    """Shape functions of an edge's start, middle and end at local places from −1 to 1."""
    return np.stack([local * (local - 1) / 2, 1 - local**2, local * (local + 1) / 2], axis=-1)


def rows_along(nodes, weights, direction, node_count):
    """Sparse rows: displacement along a direction at boundary points, from their edges' nodes."""
    count = len(nodes)
    columns = (2 * nodes[:, :, None] + [0, 1]).reshape(count, 6)
    values = (weights[:, :, None] * direction[:, None, :]).reshape(count, 6)
    rows = np.repeat(np.arange(count), 6)
    return sparse.csr_matrix((values.ravel(), (rows, columns.ravel())), shape=(count, 2 * node_count))
