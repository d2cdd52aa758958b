"""Solves all cases on two meshes, compares with the earlier program, and writes results.toml.

    python run.py            everything, about three minutes of one core
    python run.py A1         only the cases whose name holds this, printed and not written
"""

import os

# One thread: the sparse factorisation uses no more, and sums do not depend on how work is divided.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
import time
from pathlib import Path

from cases import EARLIER, MESHES, SERVICE, held_all_round, in_service, reproduction
from model import Model

HEAD = """\
# Written by run.py of this folder; do not edit by hand. Indices of rollers and pins count from zero.
# Forces in N, wind-up in µrad, pressure in MPa (peak of the elliptic pressure with the force and spread of the one found).
"""


def solved(case, resolution, name):
    """One solution, told on the way."""
    start = time.monotonic()
    solution = Model(case, resolution).solve()
    largest = max(solution.roller_force_n.values())
    print(
        f"{name}: {solution.node_count} nodes, {solution.step_count} steps, wind-up {solution.windup_rad * 1e6:.3f} µrad, "
        f"largest roller force {largest:.2f} N, peak {max(solution.roller_pressure_mpa.values()):.1f} MPa, "
        f"torque off by {solution.torque_residual:.0e}, pressure at the end of the fine zone "
        f"{solution.edge_pressure_share:.2f} of the peak, {time.monotonic() - start:.0f} s",
        flush=True,
    )
    return solution


def mesh_change(coarse, fine):
    """Relative change of wind-up and greatest change of a force as a share of the largest."""
    largest = max(fine.roller_force_n.values())
    forces = max(abs(fine.roller_force_n[index] - force) for index, force in coarse.roller_force_n.items())
    return abs(coarse.windup_rad / fine.windup_rad - 1.0), forces / largest


def numbers(values, digits=4):
    """A table of forces in one line; what does not press is left out."""
    pressing = {index: force for index, force in values.items() if force > 0.0}
    return "{ " + ", ".join(f"{index} = {rounded(force, digits)}" for index, force in sorted(pressing.items())) + " }"


def rounded(number, digits=4):
    """Decimal text with this many digits."""
    return f"{float(f'{number:.{digits - 1}e}')}"


def written(fine, changes):
    """Lines that every case has."""
    windup, forces = changes
    return [
        f"windup_urad = {rounded(fine.windup_rad * 1e6)}",
        f"roller_force_n = {numbers(fine.roller_force_n)}",
        f"peak_pressure_mpa = {rounded(max(fine.roller_pressure_mpa.values()), 3)}",
        f"peak_pressure_roller = {max(fine.roller_pressure_mpa, key=fine.roller_pressure_mpa.get)}",
        f"node_count = {fine.node_count}",
        f"mesh_change_of_windup = {rounded(windup, 1)}",
        f"mesh_change_of_force = {rounded(forces, 1)}",
    ]


def reproduced(name):
    """An earlier case again, with its deviations."""
    case, earlier = reproduction(name), EARLIER[name]
    coarse, fine = (solved(case, resolution, name) for resolution in MESHES[name])
    largest = max(earlier["force_n"].values())
    windup = abs(fine.windup_rad * 1e6 / earlier["windup_urad"] - 1.0)
    forces = max(abs(fine.roller_force_n.get(i, 0.0) - force) for i, force in earlier["force_n"].items()) / largest
    pressure = abs(max(fine.roller_pressure_mpa.values()) / earlier["pressure_mpa"] - 1.0)
    print(f"{name}: off the earlier program by {windup:.2%} in wind-up, {forces:.2%} of the largest force, {pressure:.2%}")
    lines = ["[[reproduction]]", f'name = "{name}"', *written(fine, mesh_change(coarse, fine))]
    return lines + [
        f"deviation_of_windup = {rounded(windup, 1)}",
        f"deviation_of_force = {rounded(forces, 1)}",
        f"deviation_of_pressure = {rounded(pressure, 1)}",
    ]


def inputs(case):
    """What the case was computed from, so that a change of the drive file shows."""
    drive = case.drive
    values = {
        "ring_roller_count": drive.roller_count,
        "ring_radius_mm": drive.ring_radius_mm,
        "roller_radius_mm": drive.roller_radius_mm,
        "eccentricity_mm": drive.eccentricity_mm,
        "pin_count": drive.pin_count,
        "pin_circle_radius_mm": drive.pin_circle_radius_mm,
        "pin_radius_mm": drive.pin_radius_mm,
        "hole_radius_mm": drive.hole_radius_mm,
        "hole_phase_rad": drive.hole_phase_rad,
        "bore_radius_mm": drive.bore_radius_mm,
        "disc_width_mm": case.width_mm,
        "generating_ring_radius_mm": drive.profile.ring_radius_mm,
        "generating_roller_radius_mm": drive.profile.generating_radius_mm,
        "half_rotation_rad": drive.profile.half_rotation_rad,
        "disc_modulus_mpa": case.disc.elastic_modulus_mpa,
        "disc_poisson_ratio": case.disc.poisson_ratio,
        "roller_modulus_mpa": case.roller.elastic_modulus_mpa,
        "pin_modulus_mpa": case.pin.elastic_modulus_mpa,
    }
    if case.seat_half_wrap_rad is not None:
        values["seat_half_wrap_rad"] = case.seat_half_wrap_rad
    return [f"{name} = {round(value, 12)}" for name, value in values.items()]


def served(name, file, crank_rad):
    """A drive in service; and how much the hold of the bore matters, on the coarse mesh."""
    case = in_service(file, crank_rad)
    coarse, fine = (solved(case, resolution, name) for resolution in MESHES[file])
    held = solved(held_all_round(case), MESHES[file][0], f"{name}, bore held all round")
    lines = ["[[service]]", f'name = "{name}"', f'drive_file = "{file}"', f"crank_angle_rad = {crank_rad}"]
    lines += [f"disc_torque_n_mm = {case.torque_n_mm}", f"free_rotation_urad = {rounded(fine.free_rad * 1e6, 6)}"]
    lines += written(fine, mesh_change(coarse, fine))
    lines += [f"pin_force_n = {numbers(fine.pin_force_n)}", f"bearing_force_n = {rounded(fine.bearing_force_n)}"]
    change = held.windup_rad / coarse.windup_rad - 1.0
    force = mesh_change(coarse, held)[1]
    lines += [f"bore_held_all_round_windup_change = {rounded(change, 2)}"]
    lines += [f"bore_held_all_round_force_change = {rounded(force, 2)}"]
    return lines + ["", "[service.inputs]", *inputs(case)]


def main():
    wanted = sys.argv[1] if len(sys.argv) > 1 else ""
    blocks = [reproduced(name) for name in EARLIER if wanted in name]
    blocks += [served(*entry) for entry in SERVICE if wanted in entry[0]]
    text = HEAD + "".join("\n" + "\n".join(lines) + "\n" for lines in blocks)
    if wanted:
        print(text)
    else:
        Path(__file__).with_name("results.toml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
