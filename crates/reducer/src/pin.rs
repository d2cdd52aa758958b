//! Output pins and ring pins as short beams: bending, shear, deflection, safety.
//!
//! A pin of a cycloidal drive is hardly longer than it is thick, so shear counts for a quarter of its deflection.
//! All discs press on the same pin, each in its own direction; forces are vectors in the plane of the discs.

use crate::hertz::Elastic;
use crate::materials::Material;
use crate::model::{Geometry, PinSupport, RollerSupport};
use curves::math;
use std::f64::consts::PI;

/// Notch factor at the edge of a plate into which a pin is pressed.
///
/// `[din743-2]` gives about 2 to 2.9 for a press fit, rising with strength, from memory; the middle is taken. With the
/// fatigue strength of hardened steel and a safety of 1.5 it leads to about 190 MPa, and the trade allows 150 to 200 MPa.
pub const PRESS_FIT_NOTCH_FACTOR: f64 = 2.5;
/// Largest shear stress in a round section over the mean, 4/3.
///
/// **Source** `[timoshenko1970]` beam theory, from memory.
const PEAK_SHEAR_RATIO: f64 = 4.0 / 3.0;
/// Shear deflection of a round section against that of evenly spread shear, 10/9.
///
/// **Source** beam theory by stored energy, from memory; `docs/derivations/03-pins.md`.
const SHEAR_SHAPE: f64 = 10.0 / 9.0;
/// Sections along a pin at which bending moments are taken, beside the middles of the loads.
const SECTION_COUNT: usize = 40;

/// What holds a pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Support {
    /// Built in at the start, free at the end; the plate itself is rigid.
    Cantilever,
    /// Held at both ends, free to tilt there: the larger stress in the middle, the larger deflection.
    Pinned,
    /// Held at both ends without any tilt there.
    BuiltIn,
}

/// A stretch of a pin on which one disc presses evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Distance of its middle from the start of the pin.
    pub position_mm: f64,
    /// Its length; zero for a force at a point.
    pub width_mm: f64,
}

/// A round pin between its supports and where the discs press on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// Radius of the bare pin, without sleeve or roller.
    pub radius_mm: f64,
    /// Free length: to the far end of the last disc for a cantilever, between the supports otherwise.
    pub length_mm: f64,
    /// What holds it.
    pub support: Support,
    /// How far it gives way.
    pub elastic: Elastic,
    /// Where the discs press, in the order of the discs.
    pub patches: Vec<Patch>,
}

/// Stresses in a pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinStress {
    /// Greatest bending stress at the surface.
    pub bending_mpa: f64,
    /// Bending stress at a plate that holds the pin, where the press fit is a notch; zero for a pinned end.
    pub clamped_bending_mpa: f64,
    /// Shear force over section, where it is greatest.
    pub mean_shear_mpa: f64,
    /// Greatest shear stress, on the neutral line.
    pub peak_shear_mpa: f64,
}

/// How far a pin is from its limits; both are ratios of stresses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinSafety {
    /// Against fatigue in reversed bending.
    pub fatigue: f64,
    /// Against yield, in bending or in shear.
    pub yield_: f64,
}

impl Pin {
    /// The output pin of a drive; sleeves are taken as not stiffening it.
    ///
    /// A cantilever starts at the plate; a pin held at both ends has the free length of the drive file on
    /// either side of the discs and is taken as free to tilt in its plates.
    ///
    /// **Source** geometry of the drive, see the fields of [`Geometry`].
    #[must_use]
    pub fn output(geometry: &Geometry, material: &Material) -> Self {
        let stack_mm = stack_length_mm(geometry);
        let (support, length_mm) = match geometry.pin_support {
            PinSupport::Cantilever => (Support::Cantilever, geometry.pin_free_length_mm + stack_mm),
            PinSupport::BothEnds => (Support::Pinned, 2.0 * geometry.pin_free_length_mm + stack_mm),
        };
        Self {
            radius_mm: geometry.pin_radius_mm,
            length_mm,
            support,
            elastic: material.elastic(),
            patches: patches(geometry, geometry.pin_free_length_mm),
        }
    }

    /// The pin that a ring roller turns on, its discs in the middle of the span; `None` for rollers in seats
    /// or where the drive file gives no pin radius.
    ///
    /// Without a span in the drive file the pin is as long as the discs and the gaps outside them.
    ///
    /// **Source** geometry of the drive, see the fields of [`Geometry`].
    #[must_use]
    pub fn ring(geometry: &Geometry, material: &Material) -> Option<Self> {
        if geometry.roller_support != RollerSupport::Pin {
            return None;
        }
        let radius_mm = geometry.roller_pin_radius_mm?;
        let stack_mm = stack_length_mm(geometry);
        let least_mm = stack_mm + 2.0 * geometry.disc_gap_mm;
        let length_mm = geometry.roller_pin_span_mm.unwrap_or(least_mm).max(stack_mm);
        Some(Self {
            radius_mm,
            length_mm,
            support: Support::Pinned,
            elastic: material.elastic(),
            patches: patches(geometry, 0.5 * (length_mm - stack_mm)),
        })
    }

    /// Stresses under one force per disc, each a vector in the plane of the discs.
    ///
    /// ```text
    /// σ = 4 M / (π r³),   τ_mean = V / (π r²),   τ_peak = 4/3 τ_mean
    /// ```
    /// **Valid for** beams that stay elastic, each force spread evenly over its disc. **Source** beam theory, `[timoshenko1970]`;
    /// `docs/derivations/03-pins.md`. **Checked by** `validation/computed/pin-*.toml`.
    #[must_use]
    pub fn stress(&self, forces_n: &[[f64; 2]]) -> PinStress {
        let ends = self.ends(forces_n);
        let section_modulus_mm3 = PI * math::power(self.radius_mm, 3) / 4.0;
        let mut greatest_moment_n_mm: f64 = 0.0;
        let mut greatest_shear_n: f64 = 0.0;
        for at_mm in self.sections() {
            greatest_moment_n_mm = greatest_moment_n_mm.max(length(self.moment(&ends, forces_n, at_mm)));
            greatest_shear_n = greatest_shear_n.max(length(self.shear(&ends, forces_n, at_mm)));
        }
        let clamped_n_mm = match self.support {
            Support::Pinned => 0.0,
            Support::Cantilever => length(ends.start_moment_n_mm),
            Support::BuiltIn => {
                length(ends.start_moment_n_mm).max(length(self.moment(&ends, forces_n, self.length_mm)))
            }
        };
        let mean_shear_mpa = greatest_shear_n / self.area_mm2();
        PinStress {
            bending_mpa: greatest_moment_n_mm / section_modulus_mm3,
            clamped_bending_mpa: clamped_n_mm / section_modulus_mm3,
            mean_shear_mpa,
            peak_shear_mpa: PEAK_SHEAR_RATIO * mean_shear_mpa,
        }
    }

    /// Safety against fatigue and yield under one force per disc.
    ///
    /// ```text
    /// S_F = σ_W / max(σ, β σ_clamped),    S_Y = min(Re/σ, (Re/√3)/τ_peak)
    /// ```
    /// β is [`PRESS_FIT_NOTCH_FACTOR`]. The whole stress counts as reversed; in a drive that always turns one way it only swells, which
    /// is milder. A pin held at both ends is judged by the worse of its two end conditions.
    /// **Source** `[din743-2]`, `[din743-3]` from memory for β and σ_W; size and surface are left out.
    #[must_use]
    pub fn safety(&self, forces_n: &[[f64; 2]], material: &Material) -> PinSafety {
        let stress = self.stress(forces_n);
        let clamped_mpa = match self.support {
            Support::Pinned => {
                Self { support: Support::BuiltIn, ..self.clone() }.stress(forces_n).clamped_bending_mpa
            }
            Support::Cantilever | Support::BuiltIn => stress.clamped_bending_mpa,
        };
        let fatigue_mpa = stress.bending_mpa.max(PRESS_FIT_NOTCH_FACTOR * clamped_mpa);
        let bending = material.yield_strength_mpa / stress.bending_mpa;
        let shear = material.shear_yield_strength_mpa() / stress.peak_shear_mpa;
        PinSafety { fatigue: material.bending_fatigue_strength_mpa / fatigue_mpa, yield_: bending.min(shear) }
    }

    /// Deflection at the middle of one disc's patch per force on the middle of its own; bending and shear.
    ///
    /// It is what stands in series with a disc's contact; the deflections that the other discs cause are left out.
    ///
    /// **Source** [`Pin::influence_mm_per_n`].
    #[must_use]
    pub fn compliance_mm_per_n(&self, disc: usize) -> f64 {
        let (bending, shear) = self.influence_mm_per_n(disc, disc);
        bending + shear
    }

    /// Deflection at disc `at` per force at disc `from`: the part by bending and the part by shear.
    ///
    /// ```text
    /// cantilever, x ≤ a:   x²(3a − x)/(6EI)                    + (10/9) x/(GA)
    /// pinned,     x ≤ a:   b x (L² − b² − x²)/(6 L E I)        + (10/9) x b/(L G A)
    /// built in,   x ≤ a:   b² x² (3 a L − (3a + b) x)/(6 L³ E I) + (10/9) x b/(L G A)
    /// ```
    /// a is the place of the force, b = L − a, x the place looked at; forces at points.
    /// **Source** beam theory, from memory; derived in `docs/derivations/03-pins.md`.
    /// **Checked by** `validation/computed/pin-*.toml`.
    #[must_use]
    pub fn influence_mm_per_n(&self, at: usize, from: usize) -> (f64, f64) {
        let (one, other) = (self.patches[at].position_mm, self.patches[from].position_mm);
        let (x, a) = (one.min(other), one.max(other));
        let (length_mm, b) = (self.length_mm, self.length_mm - a);
        let flexural_n_mm2 = self.elastic.elastic_modulus_mpa * PI * math::power(self.radius_mm, 4) / 4.0;
        let shear_n = self.elastic.shear_modulus_mpa() * self.area_mm2() / SHEAR_SHAPE;
        let cube = match self.support {
            Support::Cantilever => x * x * (3.0 * a - x),
            Support::Pinned => b * x * (math::square(length_mm) - b * b - x * x) / length_mm,
            Support::BuiltIn => {
                b * b * x * x * (3.0 * a * length_mm - (3.0 * a + b) * x) / math::power(length_mm, 3)
            }
        };
        let shear_arm_mm = match self.support {
            Support::Cantilever => x,
            Support::Pinned | Support::BuiltIn => x * b / length_mm,
        };
        (cube / (6.0 * flexural_n_mm2), shear_arm_mm / shear_n)
    }

    /// A: section of the pin.
    fn area_mm2(&self) -> f64 {
        PI * math::square(self.radius_mm)
    }

    /// Sections at which moments and shear are taken: evenly, and where a disc begins, has its middle, and ends.
    fn sections(&self) -> impl Iterator<Item = f64> {
        let evenly = (0..=SECTION_COUNT).map(|index| self.length_mm * index as f64 / SECTION_COUNT as f64);
        let at_discs = self.patches.iter().flat_map(|patch| {
            let half = 0.5 * patch.width_mm;
            [patch.position_mm - half, patch.position_mm, patch.position_mm + half]
        });
        evenly.chain(at_discs)
    }

    /// Forces and moments that the supports put on the pin.
    fn ends(&self, forces_n: &[[f64; 2]]) -> Ends {
        let mut ends = Ends::default();
        for (patch, &force_n) in self.patches.iter().zip(forces_n) {
            let (start_share, start_arm_mm) = self.start_reaction(patch);
            add(&mut ends.start_force_n, force_n, start_share);
            add(&mut ends.start_moment_n_mm, force_n, -start_arm_mm);
        }
        ends
    }

    /// Share of a force that the start carries, and the moment there per force.
    ///
    /// Built in at both ends the two follow from a (L − a)²/L² and its like, cubic in the place, so that
    /// Simpson's rule gives the exact mean over the patch.
    fn start_reaction(&self, patch: &Patch) -> (f64, f64) {
        let span = self.length_mm;
        let at_point = |a: f64| {
            let b = span - a;
            (b * b * (span + 2.0 * a) / math::power(span, 3), a * b * b / math::square(span))
        };
        match self.support {
            Support::Cantilever => (1.0, patch.position_mm),
            Support::Pinned => (1.0 - patch.position_mm / span, 0.0),
            Support::BuiltIn => {
                let half = 0.5 * patch.width_mm;
                let [low, middle, high] =
                    [patch.position_mm - half, patch.position_mm, patch.position_mm + half].map(at_point);
                let mean = |a: f64, b: f64, c: f64| (a + 4.0 * b + c) / 6.0;
                (mean(low.0, middle.0, high.0), mean(low.1, middle.1, high.1))
            }
        }
    }

    /// Shear force at a section, from what lies before it; a force at a point acts behind its section.
    fn shear(&self, ends: &Ends, forces_n: &[[f64; 2]], at_mm: f64) -> [f64; 2] {
        let mut shear = ends.start_force_n;
        for (patch, &force_n) in self.patches.iter().zip(forces_n) {
            let start_mm = patch.position_mm - 0.5 * patch.width_mm;
            if at_mm > start_mm {
                let share =
                    if patch.width_mm > 0.0 { ((at_mm - start_mm) / patch.width_mm).min(1.0) } else { 1.0 };
                add(&mut shear, force_n, -share);
            }
        }
        shear
    }

    /// Bending moment at a section, from what lies before it.
    fn moment(&self, ends: &Ends, forces_n: &[[f64; 2]], at_mm: f64) -> [f64; 2] {
        let mut moment = ends.start_moment_n_mm;
        add(&mut moment, ends.start_force_n, at_mm);
        for (patch, &force_n) in self.patches.iter().zip(forces_n) {
            let start_mm = patch.position_mm - 0.5 * patch.width_mm;
            let covered_mm = (at_mm - start_mm).clamp(0.0, patch.width_mm);
            let arm_mm = if at_mm >= start_mm + patch.width_mm {
                at_mm - patch.position_mm
            } else if covered_mm > 0.0 {
                0.5 * math::square(covered_mm) / patch.width_mm
            } else {
                0.0
            };
            add(&mut moment, force_n, -arm_mm);
        }
        moment
    }
}

/// What the supports put on a pin.
#[derive(Clone, Copy, Debug, Default)]
struct Ends {
    start_force_n: [f64; 2],
    start_moment_n_mm: [f64; 2],
}

/// Axial length of all discs and the gaps between them.
fn stack_length_mm(geometry: &Geometry) -> f64 {
    let count = geometry.disc_count as f64;
    count * geometry.disc_width_mm + (count - 1.0) * geometry.disc_gap_mm
}

/// Where the discs press, the first one starting at a distance from the start of the pin.
fn patches(geometry: &Geometry, first_mm: f64) -> Vec<Patch> {
    let pitch_mm = geometry.disc_width_mm + geometry.disc_gap_mm;
    (0..geometry.disc_count)
        .map(|disc| Patch {
            position_mm: first_mm + 0.5 * geometry.disc_width_mm + disc as f64 * pitch_mm,
            width_mm: geometry.disc_width_mm,
        })
        .collect()
}

/// Adds a multiple of a vector to another.
fn add(sum: &mut [f64; 2], vector: [f64; 2], factor: f64) {
    sum[0] += factor * vector[0];
    sum[1] += factor * vector[1];
}

/// Length of a vector.
fn length(vector: [f64; 2]) -> f64 {
    math::hypot(vector[0], vector[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::materials;

    const STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };

    fn pin(support: Support, length_mm: f64, patches: &[(f64, f64)]) -> Pin {
        let patches =
            patches.iter().map(|&(position_mm, width_mm)| Patch { position_mm, width_mm }).collect();
        Pin { radius_mm: 5.0, length_mm, support, elastic: STEEL, patches }
    }

    /// Deflection at `at` under a unit force at `from` by adding up the curvature, built-in start, with the end moment and
    /// force that hold the other end where the support says so.
    fn deflection_added_up(pin: &Pin, force_n: f64) -> f64 {
        let forces = [[force_n, 0.0]];
        let ends = pin.ends(&forces);
        let flexural = STEEL.elastic_modulus_mpa * PI * math::power(pin.radius_mm, 4) / 4.0;
        let count = 40_000;
        let step = pin.length_mm / f64::from(count);
        let (mut slope, mut deflection, mut at_load, mut end) = (0.0, 0.0, 0.0, 0.0);
        for index in 0..count {
            let middle = (f64::from(index) + 0.5) * step;
            let bend = -pin.moment(&ends, &forces, middle)[0] / flexural * step;
            deflection += (slope + 0.5 * bend) * step;
            slope += bend;
            if (f64::from(index) + 1.0) * step <= pin.patches[0].position_mm + 1e-9 {
                at_load = deflection;
            }
            end = deflection;
        }
        // A pinned start may tilt: take off the straight line that puts the end back.
        if pin.support == Support::Pinned {
            at_load - end * pin.patches[0].position_mm / pin.length_mm
        } else {
            at_load
        }
    }

    #[test]
    fn independent_deflections_are_the_curvature_added_up() {
        for support in [Support::Cantilever, Support::Pinned, Support::BuiltIn] {
            for place in [9.0, 15.0, 21.0] {
                let pin = pin(support, 30.0, &[(place, 0.0)]);
                let expected = deflection_added_up(&pin, 1000.0) / 1000.0;
                let (bending, _) = pin.influence_mm_per_n(0, 0);
                assert!(
                    (bending / expected - 1.0).abs() < 1e-3,
                    "{support:?} {place}: {bending:e} {expected:e}"
                );
            }
        }
    }

    #[test]
    fn identity_influence_is_mutual() {
        for support in [Support::Cantilever, Support::Pinned, Support::BuiltIn] {
            let pin = pin(support, 40.0, &[(8.0, 6.0), (20.0, 6.0), (32.0, 6.0)]);
            assert_eq!(pin.influence_mm_per_n(0, 2), pin.influence_mm_per_n(2, 0));
            assert!(pin.influence_mm_per_n(0, 1).0 > 0.0);
        }
    }

    #[test]
    fn identity_far_end_carries_no_moment_beyond_its_support() {
        let forces = [[300.0, -50.0], [-120.0, 200.0]];
        for support in [Support::Cantilever, Support::Pinned] {
            let pin = pin(support, 40.0, &[(8.0, 6.0), (26.0, 6.0)]);
            let ends = pin.ends(&forces);
            assert!(length(pin.moment(&ends, &forces, 40.0)) < 1e-9, "{support:?}");
        }
    }

    #[test]
    fn identity_opposite_forces_on_two_discs_partly_cancel() {
        let pin = pin(Support::Cantilever, 33.0, &[(8.0, 14.0), (23.0, 14.0)]);
        let together = pin.stress(&[[500.0, 0.0], [500.0, 0.0]]);
        let against = pin.stress(&[[500.0, 0.0], [-500.0, 0.0]]);
        let across = pin.stress(&[[500.0, 0.0], [0.0, 500.0]]);
        let moment = |mm: f64| 500.0 * mm * 32.0 / (PI * 1000.0);
        assert!((together.clamped_bending_mpa - moment(31.0)).abs() < 1e-9);
        assert!((against.clamped_bending_mpa - moment(15.0)).abs() < 1e-9);
        assert!((across.clamped_bending_mpa - moment(math::hypot(8.0, 23.0))).abs() < 1e-9);
        // Against each other the plate carries no shear, but the pin between the discs does.
        assert!((against.mean_shear_mpa - 500.0 / (PI * 25.0)).abs() < 1e-9);
        assert!((together.mean_shear_mpa - 1000.0 / (PI * 25.0)).abs() < 1e-9);
    }

    #[test]
    fn identity_spread_load_bends_less_in_the_middle() {
        let point = pin(Support::Pinned, 30.0, &[(15.0, 0.0)]).stress(&[[1000.0, 0.0]]);
        let spread = pin(Support::Pinned, 30.0, &[(15.0, 20.0)]).stress(&[[1000.0, 0.0]]);
        // F L/4 against F (2L − b)/8.
        assert!((spread.bending_mpa / point.bending_mpa - (60.0 - 20.0) / 8.0 / 7.5).abs() < 1e-12);
    }

    #[test]
    fn identity_press_fit_leads_hardened_pins_to_the_trades_allowable() {
        let steel = materials::find("bearing-steel", &[]).unwrap();
        let pin = pin(Support::Cantilever, 20.0, &[(12.0, 14.0)]);
        let force = 1000.0;
        let allowable =
            pin.stress(&[[force, 0.0]]).bending_mpa * pin.safety(&[[force, 0.0]], &steel).fatigue / 1.5;
        assert!((150.0..200.0).contains(&allowable), "{allowable}");
    }
}
