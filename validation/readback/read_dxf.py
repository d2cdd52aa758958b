"""Reads a DXF drawing of a disc back with ezdxf: usage: read_dxf.py disc.dxf expected.json"""

import sys

import ezdxf
import numpy as np
from ezdxf.audit import AuditError
from ezdxf.math import bulge_to_arc

from exact_profile import Checks, Disc

# What ezdxf mends by itself in every file of the writing library, harmless to the drawing.
ALLOWED_FIXES = {AuditError.INVALID_TABLE_HANDLE}
LAYERS = {"outline", "holes", "centre-lines", "notes"}
# Coordinates are written to a picometre; the rest is rounding of the evaluation.
ROUNDING_MM = 1e-8


def points_on_arc(start, end, bulge, fractions):
    if abs(bulge) < 1e-12:
        return start + np.outer(fractions, end - start)
    centre, first, last, radius = bulge_to_arc(start, end, bulge)
    sweep = np.mod(last - first, 2 * np.pi)
    angles = first + fractions * sweep
    return np.array([centre.x, centre.y]) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def corners(vertices):
    """Angle between the end of each arc and the start of the next."""
    places, bulges = vertices[:, :2], vertices[:, 2]
    chords = np.roll(places, -1, axis=0) - places
    heading, half = np.arctan2(chords[:, 1], chords[:, 0]), 2 * np.arctan(bulges)
    return np.abs(np.angle(np.exp(1j * (np.roll(heading - half, -1) - (heading + half)))))


def area(vertices):
    places, bulges = vertices[:, :2], vertices[:, 2]
    ends = np.roll(places, -1, axis=0)
    polygon = 0.5 * np.sum(places[:, 0] * ends[:, 1] - places[:, 1] * ends[:, 0])
    included = 4 * np.arctan(bulges)
    radius = np.linalg.norm(ends - places, axis=1) / (2 * np.abs(np.sin(0.5 * included)))
    return polygon + np.sum(0.5 * radius**2 * (included - np.sin(included)))


def main(drawing, expected):
    disc, checks = Disc.from_json(expected), Checks()
    document = ezdxf.readfile(drawing)
    auditor = document.audit()
    checks.hold(not auditor.errors, f"audit errors: {[error.message for error in auditor.errors]}")
    strange = [fix.message for fix in auditor.fixes if fix.code not in ALLOWED_FIXES]
    checks.hold(not strange, f"automatic fixes not on the list: {strange}")
    checks.hold(document.header["$INSUNITS"] == 4, "units are not millimetres")
    checks.hold(document.header["$MEASUREMENT"] == 1, "measurement is not metric")
    checks.hold(LAYERS <= {layer.dxf.name for layer in document.layers}, "a layer is missing")

    space = document.modelspace()
    outlines = space.query('LWPOLYLINE[layer=="outline"]')
    checks.hold(len(outlines) == 1 and len(space.query('*[layer=="outline"]')) == 1, "not one outline")
    checks.hold(outlines[0].closed, "outline is not closed")
    vertices = np.array(outlines[0].get_points("xyb"))
    fractions = np.arange(24) / 24
    ends = np.roll(vertices, -1, axis=0)
    points = np.concatenate(
        [points_on_arc(a[:2], b[:2], a[2], fractions) for a, b in zip(vertices, ends, strict=True)]
    )
    worst = np.abs(disc.deviation(points)).max()
    tolerance = disc.expected["tolerance_mm"]
    checks.hold(worst <= tolerance + ROUNDING_MM, f"arcs are {worst:.6f} mm off, tolerance {tolerance} mm")
    gap = np.abs(np.diff(np.unwrap(np.arctan2(points[:, 1], points[:, 0])))).max()
    checks.hold(gap < disc.pitch, "arcs skip a lobe")

    corner = np.sort(corners(vertices))[-(1 if disc.half_relief == 0 else 2 * disc.lobes + 1)]
    checks.hold(corner < 1e-6, f"arcs meet at an angle of {corner} rad")
    length = np.sum(np.linalg.norm(ends[:, :2] - vertices[:, :2], axis=1))
    off = area(vertices) - disc.area()
    checks.hold(abs(off) < tolerance * length, f"area is {off} mm2 off")

    found = np.array([(c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in space.query('CIRCLE[layer=="holes"]')])
    holes = disc.holes()
    same = found.shape == holes.shape and np.abs(found - holes).max() < ROUNDING_MM
    checks.hold(same, f"holes differ: {found} and {holes}")
    notes = "\n".join(text.dxf.text for text in space.query('TEXT[layer=="notes"]'))
    for word in [disc.expected["name"], f"revision {disc.expected['revision']}", f"within {tolerance} mm"]:
        checks.hold(word in notes, f"notes do not say {word!r}")
    return checks.finish(
        f"DXF {disc.expected['name']}",
        f"{len(vertices)} arcs, worst {worst * 1000:.3f} um of {tolerance * 1000:g} um, "
        f"area {off / disc.area():+.1e}, {len(found)} holes, {len(auditor.fixes)} listed fixes",
    )


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
