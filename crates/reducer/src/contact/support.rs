//! What holds the centre of a disc on the crank: its eccentric bearing, with play and stiffness, and the crank behind it.
//!
//! Every support is the gradient of a convex energy of the centre's displacement, so the equilibrium keeps
//! its one minimum. Rolling elements push and never pull, like all contacts. Source: Derivation 4, §9.

use super::equilibrium::Contact;
use crate::line_contact::LineContact;
use curves::point::{Vector, unit};
use nalgebra::{Matrix2, Vector3};
use std::f64::consts::TAU;
use std::sync::Arc;

/// How the eccentric bearing gives way, the same on all discs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum BearingLaw {
    /// Not at all: it holds the centre where the crank has it.
    #[default]
    Rigid,
    /// By a stated stiffness, once its play is used up: F = k (|d| − play).
    Spring {
        /// k.
        stiffness_n_per_mm: f64,
        /// Half the diametral clearance.
        play_mm: f64,
    },
    /// By its own rollers between their races.
    Rollers(RollerBearing),
}

/// What the load model needs of a roller bearing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollerBearing {
    /// Z: rollers in one row.
    pub element_count: usize,
    /// Rows side by side, which carry alike.
    pub row_count: usize,
    /// Law of all rollers at one angle, each between inner and outer race: [`LineContact::between_races`].
    pub contact: LineContact,
    /// Depth below the race to which that law counts.
    pub race_depth_mm: f64,
    /// Half the diametral clearance; negative with preload.
    pub play_mm: f64,
    /// γ = D_w/D_pw, by which the cage follows the rings.
    pub diameter_ratio: f64,
    /// Angle from the eccentric to the first roller at a crank angle of zero.
    pub cage_phase_rad: f64,
}

/// What holds the centre of every disc.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CentreSupport {
    /// The eccentric bearing.
    pub bearing: BearingLaw,
    /// Displacement of the crank at a disc under that disc's force, over the force: shaft and its bearings.
    pub crank_compliance_mm_per_n: f64,
}

/// The support of one disc at a crank angle.
#[derive(Clone, Debug, Default)]
pub struct DiscSupport {
    /// Its law.
    pub law: CentreSupport,
    /// Where rollers press, or pads where an elastic disc has none; empty where neither is in the model.
    pub directions: Arc<[Vector]>,
    /// Whether they are contacts of an elastic disc, which alone then hold its centre.
    pub is_in_bore: bool,
}

/// Slopes of the energy of a support.
#[derive(Clone, Copy, Debug)]
pub struct CentreSlopes {
    /// Gradient: the force that displaces the centre so far, in N.
    pub gradient: Vector,
    /// Its growth with the displacement, in N/mm.
    pub hessian: Matrix2<f64>,
}

/// Pads that stand for a crank that carries the bore of an elastic disc all round.
pub const BORE_PADS: usize = 24;
/// As good as rigid beside any body, and not so stiff that rounding shows.
const RIGID_N_PER_MM: f64 = 1e12;
/// Force of the roller that carries most over the mean one, with usual clearance. Source `[iso76-2006]`, from memory.
pub const LARGEST_SHARE: f64 = 5.0;
const MOST_STEPS: usize = 100;
const MOST_CUTS: usize = 60;
/// Unbalanced force inside bearing and crank, as a share of the force, at which their shares have settled.
const SETTLED: f64 = 1e-14;
/// Step, as a share of the displacement, that only rounding makes.
const ROUNDING: f64 = 1e-15;

impl CentreSupport {
    /// A bearing of a radial stiffness without play, on a crank that does not give.
    #[must_use]
    pub fn spring(stiffness_n_per_mm: f64) -> Self {
        let bearing = BearingLaw::Spring { stiffness_n_per_mm, play_mm: 0.0 };
        Self { bearing, crank_compliance_mm_per_n: 0.0 }
    }

    /// Whether the centre cannot move.
    #[must_use]
    pub fn is_rigid(&self) -> bool {
        self.bearing == BearingLaw::Rigid && self.crank_compliance_mm_per_n == 0.0
    }

    /// How far the centre can move before something resists; nothing with preload.
    #[must_use]
    pub fn play_mm(&self) -> f64 {
        match self.bearing {
            BearingLaw::Rigid => 0.0,
            BearingLaw::Spring { play_mm, .. } => play_mm,
            BearingLaw::Rollers(rollers) => rollers.play_mm.max(0.0),
        }
    }

    /// The same support with a larger diametral clearance of its bearing; a rigid one has none.
    #[must_use]
    pub fn with_clearance(mut self, extra_mm: f64) -> Self {
        match &mut self.bearing {
            BearingLaw::Rigid => {}
            BearingLaw::Spring { play_mm, .. } => *play_mm = (*play_mm + 0.5 * extra_mm).max(0.0),
            BearingLaw::Rollers(rollers) => rollers.play_mm += 0.5 * extra_mm,
        }
        self
    }

    /// How far a force moves the centre from one end of its play to pressed rollers, roughly.
    pub(super) fn reach_mm(&self, force_n: f64) -> f64 {
        2.0 * self.play_mm() + self.pressed_mm(force_n)
    }

    /// How far a force moves the centre beyond its play, roughly: rollers by the one that carries most.
    pub(super) fn pressed_mm(&self, force_n: f64) -> f64 {
        let in_bearing_mm = match self.bearing {
            BearingLaw::Rigid => 0.0,
            BearingLaw::Spring { stiffness_n_per_mm, .. } => force_n / stiffness_n_per_mm,
            BearingLaw::Rollers(rollers) => {
                let share = LARGEST_SHARE / rollers.element_count as f64;
                rollers.contact.approach_mm(share * force_n)
            }
        };
        in_bearing_mm + self.crank_compliance_mm_per_n * force_n
    }

    /// The support of one disc: rollers where the cage has them at this crank angle.
    ///
    /// ```text
    /// cage = ε + phase + ½ (1 − γ) φ − ½ (1 + γ) φ/z_l,   γ = D_w/D_pw
    /// ```
    /// Rollers roll on both races; the inner one turns with the crank, the outer one with the disc. ε is the direction of
    /// the disc's eccentric at a crank angle of zero.
    ///
    /// **Source** rolling without slip; Derivation 4, §9.
    #[must_use]
    pub fn at(&self, crank_angle_rad: f64, lobe_count: usize, eccentric_rad: f64) -> DiscSupport {
        let BearingLaw::Rollers(rollers) = &self.bearing else {
            return DiscSupport { law: *self, ..DiscSupport::default() };
        };
        let cage = 0.5
            * ((1.0 - rollers.diameter_ratio) * crank_angle_rad
                - (1.0 + rollers.diameter_ratio) * crank_angle_rad / lobe_count as f64);
        let first = eccentric_rad + rollers.cage_phase_rad + cage;
        let count = rollers.element_count;
        let directions =
            (0..count).map(|element| unit(first + TAU * element as f64 / count as f64)).collect();
        DiscSupport { law: *self, directions, ..DiscSupport::default() }
    }

    /// Law of one roller, or of one pad of an elastic disc: those on one half of the bore together have the bearing's stiffness,
    /// as Σ cos² over them is a quarter of their number.
    fn contact(&self) -> LineContact {
        let pads = BORE_PADS as f64;
        match self.bearing {
            BearingLaw::Rigid => LineContact::linear(RIGID_N_PER_MM),
            BearingLaw::Spring { stiffness_n_per_mm, .. } => {
                LineContact::linear(4.0 * stiffness_n_per_mm / pads)
            }
            BearingLaw::Rollers(rollers) => rollers.contact,
        }
    }

    /// Gap of every roller or pad with the disc's centre on the crank's; negative with preload.
    fn gap_mm(&self) -> f64 {
        match self.bearing {
            BearingLaw::Rollers(rollers) => rollers.play_mm,
            _ => self.play_mm(),
        }
    }
}

impl DiscSupport {
    /// The same support as contacts in the bore of an elastic disc: its rollers, or pads all round.
    ///
    /// Pads go with the crank, so that one roller pitch further on everything is as before.
    #[must_use]
    pub fn in_bore(self, eccentric_rad: f64) -> Self {
        let directions = if self.directions.is_empty() {
            (0..BORE_PADS).map(|pad| unit(eccentric_rad + TAU * pad as f64 / BORE_PADS as f64)).collect()
        } else {
            self.directions
        };
        Self { directions, is_in_bore: true, ..self }
    }

    /// Rollers or pads as contacts of an elastic disc; none where the support is a law of the centre.
    pub fn bore_contacts(&self) -> impl Iterator<Item = Contact> + '_ {
        let (law, gap_mm) = (self.law.contact(), self.law.gap_mm());
        let directions = if self.is_in_bore { &self.directions[..] } else { &[] };
        directions.iter().map(move |outward| Contact {
            disc_row: Vector3::new(-outward.x, -outward.y, 0.0),
            plate_row_mm: 0.0,
            gap_mm,
            law,
        })
    }

    /// Adds to the coefficients of an elastic disc, whose last ones are those of the bore, how the crank yields under each force there.
    ///
    /// **Source** a force F u displaces the crank by c F u.
    pub fn add_crank(&self, coefficients_mm_per_n: &mut [f64]) {
        let compliance = self.law.crank_compliance_mm_per_n;
        if compliance == 0.0 {
            return;
        }
        let count = coefficients_mm_per_n.len().isqrt();
        let first = count - self.directions.len();
        for (row, push) in self.directions.iter().enumerate() {
            for (column, other) in self.directions.iter().enumerate() {
                coefficients_mm_per_n[(first + row) * count + first + column] += compliance * push.dot(other);
            }
        }
    }

    /// Whether the centre cannot move.
    #[must_use]
    pub fn is_rigid(&self) -> bool {
        !self.is_in_bore && self.law.is_rigid()
    }

    /// Slopes of the energy at a displacement of the centre.
    ///
    /// Crank and bearing carry the same force one behind the other. Nothing is left where contacts in the bore carry.
    ///
    /// **Source** Derivation 4, §9.
    #[must_use]
    pub fn slopes(&self, displacement_mm: Vector) -> CentreSlopes {
        let compliance = self.law.crank_compliance_mm_per_n;
        if self.is_in_bore {
            return CentreSlopes { gradient: Vector::zeros(), hessian: Matrix2::zeros() };
        }
        match self.law.bearing {
            BearingLaw::Rigid => spring(displacement_mm, 1.0 / compliance, 0.0),
            BearingLaw::Spring { stiffness_n_per_mm, play_mm } => {
                spring(displacement_mm, 1.0 / (1.0 / stiffness_n_per_mm + compliance), play_mm)
            }
            BearingLaw::Rollers(rollers) if compliance == 0.0 => {
                self.roller_slopes(&rollers, displacement_mm)
            }
            BearingLaw::Rollers(rollers) => {
                let inside = self.in_rollers_mm(&rollers, displacement_mm);
                let own = self.roller_slopes(&rollers, inside);
                // The stiffness of both behind one another: H (1 + H c)⁻¹, which is symmetric.
                let sum = Matrix2::identity() + own.hessian * compliance;
                let hessian = sum.try_inverse().map_or(own.hessian, |inverse| own.hessian * inverse);
                CentreSlopes {
                    gradient: (displacement_mm - inside) / compliance,
                    hessian: 0.5 * (hessian + hessian.transpose()),
                }
            }
        }
    }

    /// Share of a displacement of the centre that the bearing takes; the crank takes the rest.
    ///
    /// **Source** springs in series.
    #[must_use]
    pub fn in_bearing_mm(&self, displacement_mm: Vector) -> Vector {
        match self.law.bearing {
            BearingLaw::Rigid => Vector::zeros(),
            BearingLaw::Rollers(rollers) if self.law.crank_compliance_mm_per_n > 0.0 => {
                self.in_rollers_mm(&rollers, displacement_mm)
            }
            _ => displacement_mm - self.slopes(displacement_mm).gradient * self.law.crank_compliance_mm_per_n,
        }
    }

    /// Force of all rollers at each angle at a displacement of the centre; empty where the model has no rollers.
    ///
    /// `in_bore_n` are the forces of the contacts in the bore of an elastic disc, which are taken over.
    ///
    /// **Source** the law of the rollers.
    #[must_use]
    pub fn bore_forces_n(&self, displacement_mm: Vector, in_bore_n: &[f64]) -> Vec<f64> {
        if self.is_in_bore {
            return in_bore_n.to_vec();
        }
        let BearingLaw::Rollers(rollers) = self.law.bearing else { return Vec::new() };
        let inside = self.in_bearing_mm(displacement_mm);
        self.directions.iter().map(|direction| rollers.pressed(direction, inside).0).collect()
    }

    /// Energy slopes of all rollers. The outer race moves with the disc, so rollers on the far side are pressed.
    fn roller_slopes(&self, rollers: &RollerBearing, inside_mm: Vector) -> CentreSlopes {
        let mut gradient = Vector::zeros();
        let mut hessian = Matrix2::zeros();
        for direction in self.directions.iter() {
            let (force, stiffness) = rollers.pressed(direction, inside_mm);
            if force > 0.0 {
                gradient -= direction * force;
                hessian += direction * direction.transpose() * stiffness;
            }
        }
        CentreSlopes { gradient, hessian }
    }

    /// Displacement inside the rollers where a crank that gives carries the same force, by damped Newton steps on a convex energy.
    fn in_rollers_mm(&self, rollers: &RollerBearing, displacement_mm: Vector) -> Vector {
        let stiffness = 1.0 / self.law.crank_compliance_mm_per_n;
        let slopes = |inside: Vector| {
            let own = self.roller_slopes(rollers, inside);
            let scale = own.gradient.norm();
            let gradient = own.gradient + (inside - displacement_mm) * stiffness;
            (CentreSlopes { gradient, hessian: own.hessian + Matrix2::identity() * stiffness }, scale)
        };
        let mut inside = Vector::zeros();
        let (mut here, _) = slopes(inside);
        for _ in 0..MOST_STEPS {
            let Some(inverse) = here.hessian.try_inverse() else { break };
            let step = -(inverse * here.gradient);
            if step.norm() <= ROUNDING * displacement_mm.norm() {
                break;
            }
            let slope_at_start = here.gradient.dot(&step).abs();
            let mut length = 1.0;
            let mut scale = 0.0;
            let mut trial = inside;
            for _ in 0..MOST_CUTS {
                trial = inside + step * length;
                (here, scale) = slopes(trial);
                if here.gradient.dot(&step) <= 0.5 * slope_at_start {
                    break;
                }
                length *= 0.5;
            }
            inside = trial;
            if here.gradient.norm() <= SETTLED * scale {
                break;
            }
        }
        inside
    }
}

impl RollerBearing {
    /// Force and stiffness of the rollers in a direction.
    fn pressed(&self, direction: &Vector, inside_mm: Vector) -> (f64, f64) {
        self.contact.force_and_stiffness(-direction.dot(&inside_mm) - self.play_mm)
    }
}

/// A radial spring behind a play: energy ½ k (|d| − play)², which is convex.
fn spring(displacement_mm: Vector, stiffness: f64, play_mm: f64) -> CentreSlopes {
    if play_mm <= 0.0 {
        return CentreSlopes {
            gradient: displacement_mm * stiffness,
            hessian: Matrix2::identity() * stiffness,
        };
    }
    let distance = displacement_mm.norm();
    let pressed = distance - play_mm;
    if pressed <= 0.0 {
        return CentreSlopes { gradient: Vector::zeros(), hessian: Matrix2::zeros() };
    }
    let along = displacement_mm / distance;
    let projection = along * along.transpose();
    let across = stiffness * pressed / distance;
    CentreSlopes {
        gradient: along * (stiffness * pressed),
        hessian: projection * stiffness + (Matrix2::identity() - projection) * across,
    }
}
