"""The cases: two drives solved before by another finite-element program, and two drives of the orchard in service."""

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np

from body import Material
from geometry import Drive, Profile
from model import Case, Resolution

ROOT = Path(__file__).resolve().parents[2]
UNITS = {
    "": 1.0,
    "mm": 1.0,
    "µm": 1e-3,
    "rad": 1.0,
    "deg": np.pi / 180.0,
    "arcmin": np.pi / 10800.0,
    "N·m": 1000.0,
}

STEEL = Material(206_000.0, 0.3)

# Wind-up (µrad) and roller forces (N) of the independent finite-element program on its second mesh, as it printed them.
EARLIER = {
    "A1": {
        "windup_urad": 267.6735,
        "force_n": {1: 630.7495, 2: 716.3229, 3: 516.2974, 4: 475.5154, 5: 186.0379, 6: 8.751419},
        "pressure_mpa": 1012.712,
    },
    "A2": {
        "windup_urad": 315.2462,
        "force_n": {2: 1570.341, 3: 1571.428, 4: 859.7259},
        "pressure_mpa": 1410.401,
    },
}


def reproduction(name):
    """A case of the independent program: plane stress, torque through a clamped bore, seats of ±75°."""
    drives = {
        "A1": Drive(Profile(12, 35.0, 1.75, 3.5), 12, 35.0, 3.5, 1.75, 5, 21.0, 3.5, 5.25, 0.0, 11.0),
        "A2": Drive(Profile(20, 49.98, 1.75, 3.52), 20, 50.0, 3.5, 1.75, 8, 31.0, 4.5, 6.25, 0.0, 18.0),
    }
    return Case(
        drive=drives[name],
        crank_rad=0.05,
        torque_n_mm={"A1": 40e3, "A2": 130e3}[name],
        width_mm={"A1": 8.0, "A2": 10.0}[name],
        is_plane_stress=True,
        disc=STEEL,
        roller=STEEL,
        pin=STEEL,
        seat_half_wrap_rad=np.radians(75.0),
        roller_bore_mm=0.0,
        carries_by_pins=False,
        roller_gap_limit_mm=0.05,
    )


def value(text):
    """A quantity of a drive file in mm, rad or N·mm."""
    if not isinstance(text, str):
        return float(text)
    number, unit = re.fullmatch(r"([-+0-9.eE]+)\s*(.*)", text).groups()
    return float(number) * UNITS[unit.strip()]


def materials():
    """Elastic data by name, from the table of the repository."""
    table = tomllib.loads((ROOT / "materials.toml").read_text(encoding="utf-8"))["material"]
    return {entry["name"]: Material(entry["elastic_modulus_mpa"], entry["poisson_ratio"]) for entry in table}


def in_service(file, crank_rad):
    """A disc of a drive file under its share of the rated torque, at 20 °C, all bodies as wide as the disc."""
    text = tomllib.loads((ROOT / file).read_text(encoding="utf-8"))
    geometry, names, known = text["geometry"], text["materials"], materials()
    get = lambda key, missing=0.0: value(geometry.get(key, missing))
    change = geometry.get("modification", {})
    pin_radius = value(geometry.get("sleeve_radius", geometry["pin_radius"]))
    rollers = geometry["ring_roller_count"]
    profile = Profile(
        rollers,
        get("ring_radius") + value(change.get("ring_radius_shift", 0.0)),
        get("eccentricity"),
        get("roller_radius") + value(change.get("equidistant_offset", 0.0)),
        0.5 * value(change.get("flank_rotation", 0.0)),
    )
    drive = Drive(
        profile,
        rollers,
        get("ring_radius"),
        get("roller_radius"),
        get("eccentricity"),
        geometry["pin_count"],
        get("pin_circle_radius"),
        pin_radius,
        pin_radius + get("eccentricity") + 0.5 * get("hole_clearance"),
        get("hole_phase"),
        get("bore_radius"),
    )
    on_pins = geometry.get("roller_support") == "pin"
    return Case(
        drive=drive,
        crank_rad=crank_rad,
        torque_n_mm=value(text["requirement"]["rated_torque"]) / geometry["disc_count"],
        width_mm=get("disc_width"),
        is_plane_stress=False,
        disc=known[names["disc"]],
        roller=known[names["ring_roller"]],
        pin=known[names.get("sleeve", names["output_pin"])],
        seat_half_wrap_rad=None if on_pins else 0.5 * get("seat_wrap_angle"),
        roller_bore_mm=get("roller_pin_radius") if on_pins else 0.0,
        carries_by_pins=True,
        roller_gap_limit_mm=0.03 if known[names["disc"]].elastic_modulus_mpa > 1e5 else 0.1,
    )


def held_all_round(case):
    """The same with a shaft that also pulls at the bore."""
    return replace(case, is_bore_held_all_round=True)


# Coarse and fine mesh of each case.
MESHES = {
    "A1": [Resolution(0.04, 0.15, 0.1, 0.1, 1.5), Resolution(0.02, 0.15, 0.1, 0.1, 1.0)],
    "A2": [Resolution(0.04, 0.2, 0.1, 0.1, 1.5), Resolution(0.02, 0.2, 0.1, 0.1, 1.0)],
    "validation/finite_element_rerun/turned-flanks.toml": [
        Resolution(0.012, 0.07, 0.048, 0.45, 2.5),
        Resolution(0.006, 0.07, 0.03, 0.45, 1.8),
    ],
    "examples/wrist-printed.toml": [Resolution(0.02, 0.2, 0.06, 0.4, 2.0), Resolution(0.01, 0.2, 0.03, 0.4, 1.2)],
}

SERVICE = [
    ("shoulder", "validation/finite_element_rerun/turned-flanks.toml", 0.3),
    ("printed-wrist-two-rollers", "examples/wrist-printed.toml", 0.3),
    ("printed-wrist-one-roller", "examples/wrist-printed.toml", 0.05),
]
