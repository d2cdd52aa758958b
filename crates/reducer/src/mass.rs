//! Masses, moments of inertia and what they are on the crank, from the geometry that the drive file holds.
//!
//! Only parts whose shape is known count; [`MassResult::included`] and [`MassResult::left_out`] name them.
//! Source: Derivation 9, §1 and §2.

use crate::contact::build::ContactMaterials;
use crate::kinematics::{self, Speeds};
use crate::model::{BearingKind, Drive, HeldMember};
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::profile::LobeProfile;
use crate::results::MassResult;
use curves::math::{power, square};
use std::f64::consts::PI;

/// Density of the crank and of bearing rings and elements, whose material the drive file does not name.
/// **Source** usual value of bearing steel, `[common-practice]`.
const STEEL_KG_PER_MM3: f64 = 7.83e-6;

/// Masses of the drive's moving parts and their inertia referred to the crank.
///
/// The kinetic energy at a crank speed of one gives the inertia: discs and bearings circle with the
/// crank at e and turn about their own centres, the output turns at 1/ratio.
///
/// **Source** Derivation 9, §2.
#[must_use]
pub fn masses(drive: &Drive, materials: &ContactMaterials) -> MassResult {
    let speeds = kinematics::speeds(&drive.geometry, 1.0);
    let count = drive.geometry.disc_count as f64;
    let disc = disc_body(drive, materials);
    let bearing = BearingBodies::of(drive);
    let eccentric = eccentric_body(drive);
    let output = output_bodies(drive, materials);
    let eccentricity = drive.geometry.eccentricity_mm;
    let throw = square(eccentricity);
    let orbiting_mass_kg = disc.mass_kg + bearing.mass_kg();
    let discs = orbiting_mass_kg * throw
        + disc.polar_kg_mm2 * square(speeds.disc_rad_per_s)
        + bearing.spin_inertia_kg_mm2(&speeds);
    let crank = eccentric.map_or(0.0, |body| body.mass_kg * throw + body.polar_kg_mm2);
    let load = drive.requirement.load_inertia_kg_mm2.unwrap_or_default();
    let output_inertia_kg_mm2 = output.moving.polar_kg_mm2;
    let to_crank = square(speeds.output_rad_per_s);
    let disc_inertia_kg_mm2 = count * discs;
    let crank_inertia_kg_mm2 = count * crank;
    let eccentric_mass_kg = eccentric.map_or(0.0, |body| body.mass_kg);
    let rotating = count * (orbiting_mass_kg + eccentric_mass_kg);
    MassResult {
        disc_mass_kg: disc.mass_kg,
        disc_polar_inertia_kg_mm2: disc.polar_kg_mm2,
        eccentric_bearing_mass_kg: bearing.mass_kg(),
        carried_mass_kg: disc.mass_kg + bearing.outer.mass_kg,
        eccentric_mass_kg,
        ring_roller_mass_kg: output.rollers_kg,
        output_pin_mass_kg: output.pins_kg,
        known_mass_kg: rotating + output.rollers_kg + output.pins_kg,
        rotor_mass_kg: drive.dynamics.rotor_mass_kg.unwrap_or(rotating),
        disc_unbalance_kg_mm: (orbiting_mass_kg + eccentric_mass_kg) * eccentricity,
        disc_inertia_kg_mm2,
        crank_inertia_kg_mm2,
        output_inertia_kg_mm2,
        input_inertia_kg_mm2: disc_inertia_kg_mm2
            + crank_inertia_kg_mm2
            + (output_inertia_kg_mm2 + load) * to_crank
            + drive.dynamics.motor_inertia_kg_mm2,
        included: included(drive, &bearing, eccentric.is_some()),
        left_out: left_out(drive, &bearing, eccentric.is_some()),
    }
}

/// Polar second moment of the area inside a lobe profile about its centre.
///
/// ```text
/// J = J0 − ρ I1 + ρ² (I2/2 + 2 A0) − ρ³ L0 + (π/2) ρ⁴
/// J0 = (π/2) [(R² + e²)(R² + z_r e²) + (z_r + 1) R² e²]
/// I1 = ∮ |c|² ds = R [a ∮S dψ + (R²/z_r) ∮S³ dψ],   a = R² + e² − (R²/z_r)(1 + K1²)
/// I2 = ∮ |c|² κ ds = 2π [R² + e² + e² z_r² − e² z_r]
/// ```
/// S is the length of the trochoid's tangent over R; its integrals are complete elliptic ones. A flank relief takes off its first-order part.
///
/// **Valid for** profiles without undercut. **Source** Derivation 9, §1.
#[must_use]
pub fn profile_polar_moment_mm4(profile: &LobeProfile) -> f64 {
    let trochoid = &profile.trochoid;
    let (count, shortening) = (trochoid.ring_roller_count as f64, trochoid.shortening());
    let (ring, throw) = (square(trochoid.ring_radius_mm), square(trochoid.eccentricity_mm));
    let rho = profile.generating_radius_mm;
    let inner = PI / 2.0 * ((ring + throw) * (ring + count * throw) + (count + 1.0) * ring * throw);
    let modulus = 4.0 * shortening / square(1.0 + shortening);
    let (first, second) = curves::quadrature::complete_elliptic(modulus);
    let tangent = 4.0 * (1.0 + shortening) * second;
    let tangent_cubed =
        4.0 / 3.0 * power(1.0 + shortening, 3) * (2.0 * (2.0 - modulus) * second - (1.0 - modulus) * first);
    let constant = ring + throw - ring / count * (1.0 + square(shortening));
    let along = trochoid.ring_radius_mm * (constant * tangent + ring / count * tangent_cubed);
    let turning = 2.0 * PI * (ring + throw + square(count) * throw - count * throw);
    let offset = inner - rho * along + square(rho) * (0.5 * turning + 2.0 * trochoid.area_mm2())
        - power(rho, 3) * trochoid.length_mm()
        + PI / 2.0 * power(rho, 4);
    offset - relief_moment_mm4(profile)
}

/// What two turned cuts take off, to first order: each flank sweeps r³ dr times the angle.
fn relief_moment_mm4(profile: &LobeProfile) -> f64 {
    let (tip, root) = profile.tip_and_root_radius_mm();
    let flank_count = 2.0 * profile.trochoid.lobe_count() as f64;
    flank_count * 0.25 * (power(tip, 4) - power(root, 4)) * profile.half_rotation_rad
}

/// A body: its mass and its polar moment of inertia about its own axis, or the axis said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Body {
    mass_kg: f64,
    polar_kg_mm2: f64,
}

/// A cylinder between two radii.
fn annulus(inner_mm: f64, outer_mm: f64, length_mm: f64, density_kg_per_mm3: f64) -> Body {
    if outer_mm <= inner_mm {
        return Body::default();
    }
    let (inner, outer) = (square(inner_mm), square(outer_mm));
    let mass_kg = density_kg_per_mm3 * PI * (outer - inner) * length_mm;
    Body { mass_kg, polar_kg_mm2: 0.5 * mass_kg * (inner + outer) }
}

/// Disc with bore and holes; the holes lie evenly round the centre, so that is its centre of mass too.
fn disc_body(drive: &Drive, materials: &ContactMaterials) -> Body {
    let geometry = &drive.geometry;
    let profile = LobeProfile::of(geometry);
    let (hole, bore) = (hole_radius_mm(drive), geometry.bore_radius_mm);
    let holes = geometry.pin_count as f64;
    let area = profile.area_mm2() - PI * square(bore) - holes * PI * square(hole);
    let moment = profile_polar_moment_mm4(&profile)
        - PI / 2.0 * power(bore, 4)
        - holes * PI * square(hole) * (square(geometry.pin_circle_radius_mm) + 0.5 * square(hole));
    let per_mm3 = materials.disc.density_kg_per_mm3 * geometry.disc_width_mm;
    Body { mass_kg: per_mm3 * area, polar_kg_mm2: per_mm3 * moment }
}

/// One eccentric of the crank about its own axis; a bore or shaft that is coaxial with the drive changes
/// its mass, but not its unbalance.
fn eccentric_body(drive: &Drive) -> Option<Body> {
    let radius = drive.geometry.crank_radius_mm?;
    Some(annulus(0.0, radius, drive.geometry.disc_width_mm, STEEL_KG_PER_MM3))
}

/// Rings and rolling elements of one eccentric bearing, as far as their sizes are known.
struct BearingBodies {
    inner: Body,
    outer: Body,
    /// Elements as one ring on the pitch circle.
    elements: Body,
    diameter_ratio: f64,
    is_known: bool,
}

impl BearingBodies {
    fn of(drive: &Drive) -> Self {
        let bearing = &drive.bearings.eccentric;
        let known = (bearing.element_diameter_mm, bearing.pitch_diameter_mm, bearing.element_count);
        let (Some(element), Some(pitch), Some(count)) = known else {
            let none = Body::default();
            return Self { inner: none, outer: none, elements: none, diameter_ratio: 0.0, is_known: false };
        };
        let width = bearing.width_mm.unwrap_or(drive.geometry.disc_width_mm);
        let volume = match (bearing.kind, bearing.element_length_mm) {
            (BearingKind::DeepGrooveBall, _) | (_, None) => PI / 6.0 * power(element, 3),
            (_, Some(length)) => PI / 4.0 * square(element) * length,
        };
        let elements_kg = STEEL_KG_PER_MM3 * volume * (count * bearing.row_count) as f64;
        let seat = drive.geometry.crank_radius_mm.or(bearing.bore_diameter_mm.map(|bore| 0.5 * bore));
        let inner_race = 0.5 * (pitch - element);
        Self {
            inner: annulus(seat.unwrap_or(inner_race), inner_race, width, STEEL_KG_PER_MM3),
            outer: annulus(0.5 * (pitch + element), drive.geometry.bore_radius_mm, width, STEEL_KG_PER_MM3),
            elements: Body { mass_kg: elements_kg, polar_kg_mm2: elements_kg * square(0.5 * pitch) },
            diameter_ratio: element / pitch,
            is_known: true,
        }
    }

    fn mass_kg(&self) -> f64 {
        self.inner.mass_kg + self.outer.mass_kg + self.elements.mass_kg
    }

    /// Inertia of what turns about the eccentric's axis, for a crank speed of one: the cage turns at the mean of the races' surface speeds.
    fn spin_inertia_kg_mm2(&self, speeds: &Speeds) -> f64 {
        let cage = 0.5
            * ((1.0 - self.diameter_ratio) * speeds.input_rad_per_s
                + (1.0 + self.diameter_ratio) * speeds.disc_rad_per_s);
        self.inner.polar_kg_mm2 * square(speeds.input_rad_per_s)
            + self.outer.polar_kg_mm2 * square(speeds.disc_rad_per_s)
            + self.elements.polar_kg_mm2 * square(cage)
    }
}

/// Rollers and pins, and which of them turn with the output.
struct OutputBodies {
    rollers_kg: f64,
    pins_kg: f64,
    /// About the axis of the drive.
    moving: Body,
}

fn output_bodies(drive: &Drive, materials: &ContactMaterials) -> OutputBodies {
    let geometry = &drive.geometry;
    let stack = stack_length_mm(drive);
    let hollow = geometry.roller_pin_radius_mm.unwrap_or_default();
    let roller = annulus(hollow, geometry.roller_radius_mm, stack, materials.roller.density_kg_per_mm3);
    let pin_length = stack + 2.0 * geometry.pin_free_length_mm;
    let pin = annulus(0.0, geometry.pin_radius_mm, pin_length, materials.pin.density_kg_per_mm3);
    let sleeve = annulus(
        geometry.pin_radius_mm,
        pin_outside_radius_mm(drive),
        stack,
        materials.pin_surface.density_kg_per_mm3,
    );
    let on_circle = |body: Body, radius: f64, count: usize| Body {
        mass_kg: count as f64 * body.mass_kg,
        polar_kg_mm2: count as f64 * (body.mass_kg * square(radius) + body.polar_kg_mm2),
    };
    let rollers = on_circle(roller, geometry.ring_radius_mm, geometry.ring_roller_count);
    let both =
        Body { mass_kg: pin.mass_kg + sleeve.mass_kg, polar_kg_mm2: pin.polar_kg_mm2 + sleeve.polar_kg_mm2 };
    let pins = on_circle(both, geometry.pin_circle_radius_mm, geometry.pin_count);
    let moving = match geometry.held_member {
        HeldMember::Ring => pins,
        HeldMember::Plate => rollers,
    };
    OutputBodies { rollers_kg: rollers.mass_kg, pins_kg: pins.mass_kg, moving }
}

/// Length of all discs with the gaps between them.
///
/// **Source** sum of the parts.
#[must_use]
pub fn stack_length_mm(drive: &Drive) -> f64 {
    let count = drive.geometry.disc_count as f64;
    count * drive.geometry.disc_width_mm + (count - 1.0) * drive.geometry.disc_gap_mm
}

fn included(drive: &Drive, bearing: &BearingBodies, has_eccentric: bool) -> Vec<String> {
    let mut parts = vec!["discs with bore and output holes".to_owned()];
    if bearing.is_known {
        parts.push("rings and rolling elements of the eccentric bearings, as steel".to_owned());
    }
    if has_eccentric {
        parts.push(
            "eccentrics of the crank as solid steel cylinders of crank_radius over the width of each disc"
                .to_owned(),
        );
    }
    parts.push(
        match drive.geometry.held_member {
            HeldMember::Ring => "output pins and sleeves, which turn with the output; ring rollers at rest",
            HeldMember::Plate => "ring rollers, which turn with the output; output pins and sleeves at rest",
        }
        .to_owned(),
    );
    if drive.requirement.load_inertia_kg_mm2.is_some() {
        parts.push("inertia of the load".to_owned());
    }
    if drive.dynamics.motor_inertia_kg_mm2 > 0.0 {
        parts.push("inertia of motor and coupling".to_owned());
    }
    parts
}

fn left_out(drive: &Drive, bearing: &BearingBodies, has_eccentric: bool) -> Vec<String> {
    let mut parts = Vec::new();
    if !bearing.is_known {
        parts.push("eccentric bearings, whose inside is not given");
    }
    if !has_eccentric {
        parts.push("eccentrics of the crank, whose crank_radius is not given");
    }
    parts.push("shaft of the crank beside its eccentrics, and counterweights");
    parts.push(match drive.geometry.held_member {
        HeldMember::Ring => "output plate, its bearings, ring and housing",
        HeldMember::Plate => "ring, housing and output bearings, output plate",
    });
    parts.into_iter().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Trochoid;
    use curves::ClosedCurve;
    use curves::point::cross;
    use std::f64::consts::TAU;

    /// ¼ ∮ r² (x dy − y dx) by equal steps between the breaks of the curve.
    fn boundary_moment_mm4(curve: &LobeProfile, steps: usize) -> f64 {
        let step = TAU / steps as f64;
        (0..steps)
            .map(|index| {
                let at = curve.at((index as f64 + 0.5) * step);
                let place = at.position_mm.coords;
                0.25 * place.norm_squared() * cross(place, at.tangent) * at.speed_mm * step
            })
            .sum()
    }

    fn profile(ring_roller_count: usize, ring: f64, throw: f64, radius: f64, turn: f64) -> LobeProfile {
        let trochoid = Trochoid { ring_roller_count, ring_radius_mm: ring, eccentricity_mm: throw };
        LobeProfile::new(trochoid, radius, turn)
    }

    #[test]
    fn independent_polar_moment_is_that_of_the_boundary_integral() {
        for curve in [
            profile(40, 77.5, 1.5, 4.0, 0.0),
            profile(12, 40.0, 2.0, 5.0, 0.0),
            profile(12, 40.0, 1.0, 5.0, 0.0),
            profile(6, 30.0, 2.0, 3.0, 0.0),
        ] {
            let (closed, summed) = (profile_polar_moment_mm4(&curve), boundary_moment_mm4(&curve, 40_000));
            assert!((closed / summed - 1.0).abs() < 1e-12, "{closed} {summed}");
        }
    }

    /// The relief is of first order in an angle of a few minutes, so the rest is of second order.
    #[test]
    fn independent_relief_is_right_to_first_order() {
        let moment = |turn| {
            let curve = profile(12, 40.0, 2.0, 5.0, turn);
            (profile_polar_moment_mm4(&curve), boundary_moment_mm4(&curve, 22_000))
        };
        let (nominal, _) = moment(0.0);
        let (closed, summed) = moment(3e-4);
        assert!(
            (closed - summed).abs() < 0.02 * (nominal - closed),
            "{}",
            (closed - summed) / (nominal - closed)
        );
    }

    #[test]
    fn identity_without_eccentricity_a_profile_is_a_circle() {
        let curve = profile(12, 40.0, 1e-9, 5.0, 0.0);
        let circle = PI / 2.0 * power(35.0, 4);
        assert!((profile_polar_moment_mm4(&curve) / circle - 1.0).abs() < 1e-8);
    }

    #[test]
    fn identity_a_thick_ring_is_a_cylinder_less_a_cylinder() {
        let (ring, outer, inner) =
            (annulus(3.0, 5.0, 2.0, 1e-5), annulus(0.0, 5.0, 2.0, 1e-5), annulus(0.0, 3.0, 2.0, 1e-5));
        assert!((ring.mass_kg - outer.mass_kg + inner.mass_kg).abs() < 1e-18);
        assert!((ring.polar_kg_mm2 - outer.polar_kg_mm2 + inner.polar_kg_mm2).abs() < 1e-16);
        assert_eq!(annulus(5.0, 3.0, 2.0, 1e-5), Body::default());
    }
}
