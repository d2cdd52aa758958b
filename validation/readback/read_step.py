"""Reads a STEP solid of a disc back with OCCT: usage: read_step.py disc.step expected.json"""

import sys

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_BSplineCurve, GeomAbs_BSplineSurface, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from exact_profile import Checks, Disc

VOLUME_EPS = 1e-9
VOLUME_RELATIVE = 1e-5
ROUNDING_MM = 1e-8


def parts(shape, kind, cast):
    explorer, found = TopExp_Explorer(shape, kind), []
    while explorer.More():
        found.append(cast(explorer.Current()))
        explorer.Next()
    return found


def read(path):
    reader = STEPControl_Reader()
    if reader.ReadFile(path) != IFSelect_RetDone:
        raise SystemExit(f"{path}: not readable")
    reader.TransferRoots()
    return reader.OneShape()


def volume(shape):
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, VOLUME_EPS, False, False)
    return properties.Mass()


def box(shape):
    bounds = Bnd_Box()
    bounds.SetGap(0.0)
    BRepBndLib.AddOptimal_s(shape, bounds, False, False)
    low, high = bounds.CornerMin(), bounds.CornerMax()
    return np.array([low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z()])


def exact_box(disc):
    """Extremes of the exact outline, from points dense enough for a thousandth of the tolerance."""
    start, end = disc.flank_range()
    t = start + (end - start) * np.linspace(0, 1, 4001)
    flank = disc.unrelieved(t)[0]
    upper = np.concatenate([turn(flank, disc.half_relief), turn(flank * [1, -1], -disc.half_relief)])
    points = np.concatenate([turn(upper, lobe * disc.pitch) for lobe in range(disc.lobes)])
    return np.array([*points.min(axis=0), 0.0, *points.max(axis=0), disc.expected["thickness_mm"]])


def turn(points, angle):
    cosine, sine = np.cos(angle), np.sin(angle)
    return points @ np.array([[cosine, sine], [-sine, cosine]])


def outline_points(shape):
    points = []
    for edge in parts(shape, TopAbs_EDGE, TopoDS.Edge):
        curve = BRepAdaptor_Curve(edge)
        if curve.GetType() != GeomAbs_BSplineCurve:
            continue
        for parameter in np.linspace(curve.FirstParameter(), curve.LastParameter(), 60):
            place = curve.Value(float(parameter))
            points.append((place.X(), place.Y()))
    return np.array(points)


def main(path, expected):
    disc, checks = Disc.from_json(expected), Checks()
    shape = read(path)
    checks.hold(BRepCheck_Analyzer(shape).IsValid(), "solid is not valid")
    solids = parts(shape, TopAbs_SOLID, TopoDS.Solid)
    checks.hold(len(solids) == 1, f"{len(solids)} solids")
    relative = volume(shape) / disc.volume() - 1
    checks.hold(abs(relative) < VOLUME_RELATIVE, f"volume is {relative:.1e} off")

    surfaces = [BRepAdaptor_Surface(face) for face in parts(shape, TopAbs_FACE, TopoDS.Face)]
    kinds = [surface.GetType() for surface in surfaces]
    cylinders = [s.Cylinder() for s in surfaces if s.GetType() == GeomAbs_Cylinder]
    found = np.array([(c.Location().X(), c.Location().Y(), c.Radius()) for c in cylinders])
    holes = disc.holes()
    same = found.shape == holes.shape
    if same:
        # Order of faces is the reader's affair.
        found, wanted = (rows[np.lexsort(np.round(rows, 6).T)] for rows in (found, holes))
        same = np.abs(found - wanted).max() < ROUNDING_MM
    checks.hold(same, f"cylinders differ: {found} and {holes}")
    flanks = kinds.count(GeomAbs_BSplineSurface)
    checks.hold(flanks == 2 * disc.lobes, f"{flanks} flank faces")
    checks.hold(kinds.count(GeomAbs_Plane) == 2, "not two plane faces")

    worst = np.abs(disc.deviation(outline_points(shape))).max()
    tolerance = disc.expected["tolerance_mm"]
    checks.hold(worst <= tolerance + ROUNDING_MM, f"outline is {worst:.6f} mm off")
    off = np.abs(box(shape) - exact_box(disc)).max()
    checks.hold(off < 2 * tolerance, f"bounding box is {off:.6f} mm off")
    return checks.finish(
        f"STEP {disc.expected['name']}",
        f"volume {relative:+.1e}, outline worst {worst * 1000:.3f} um, box {off * 1000:.3f} um, "
        f"{len(cylinders)} cylinders, {flanks} flanks",
    )


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
