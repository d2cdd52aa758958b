//! Loaded contact of the drive at a crank angle: gaps, directions and laws of all contacts, and their forces.
//!
//! Frame of the ring, origin at its centre. Ideal position: disc k has its centre at `e u(φ_k)` with
//! `φ_k = φ + 2πk/n_d` and its lobes turned by `−φ_k/z_l`; output pins and holes are turned by `−φ/z_l`.
//! Forces and rotations are those in this frame, ring held; `loads` brings a
//! drive with a held plate into it. Source: Derivation 4.

pub mod build;
pub mod centre;
pub mod elastic;
pub mod equilibrium;
pub mod flank;
pub mod solve;
pub mod support;
mod touch;
pub mod windup;

use crate::deviation::{Deviations, DiscDeviation, RoundFeature};
use crate::elastic::plane::PlaneMaterial;
use crate::elastic::{ComplianceData, DiscCompliance, Site, own_reach, pad_reach};
use crate::line_contact::LineContact;
use crate::profile::{CircleContact, LobeOutline, LobeProfile};
use curves::point::{Point, Rotation, Vector, angle_of, cross, rotated, unit};
use equilibrium::{Contact, DiscContacts, Displacements};
use flank::LightGive;
use nalgebra::Vector3;
use std::f64::consts::TAU;
use std::sync::Arc;
use support::{BORE_PADS, BearingLaw, CentreSupport, DiscSupport};
pub use touch::Touch;

/// All of a drive that its loaded contact needs, whatever the crank angle.
#[derive(Clone, Debug)]
pub struct ContactModel<P = LobeProfile> {
    /// Lobe profile, the same on all discs.
    pub profile: P,
    /// z_r.
    pub ring_roller_count: usize,
    /// R of the ring as it is, without profile modification.
    pub ring_radius_mm: f64,
    /// r_r of the rollers as they are.
    pub roller_radius_mm: f64,
    /// e.
    pub eccentricity_mm: f64,
    /// n_d.
    pub disc_count: usize,
    /// w.
    pub pin_count: usize,
    /// R_w.
    pub pin_circle_radius_mm: f64,
    /// Angle of the first pin from a lobe valley of the first disc.
    pub pin_phase_rad: f64,
    /// r_h − r_w: how far a pin can stand off the centre of its hole.
    pub pin_play_radius_mm: f64,
    /// Law of a ring-roller contact against the curvature of the profile there.
    pub roller_law: RollerLaw,
    /// What the support of a ring roller gives in series with its contact, on each disc.
    pub roller_compliance_mm_per_n: Vec<f64>,
    /// Law of an output-pin contact on each disc.
    pub pin_laws: Vec<LineContact>,
    /// What holds the discs' centres on the crank.
    pub support: CentreSupport,
    /// Whether gaps are taken anew at the displaced position.
    pub re_evaluates_gaps: bool,
    /// What the bodies of discs and rollers give; rigid where absent.
    pub compliance: Option<Arc<DiscCompliance>>,
    /// How the parts differ from the drawing; not at all where absent.
    pub deviations: Option<Arc<Deviations>>,
    /// What contacts give under the light torque at which play is measured.
    pub light_give: LightGive,
}

/// Law of the ring-roller contacts.
#[derive(Clone, Copy, Debug)]
pub enum RollerLaw {
    /// The same at every place of the profile.
    Uniform(LineContact),
    /// The two-cylinder law, which depends on the curvature of the profile at the contact.
    TwoCylinders(TwoCylinderRollers),
}

/// What the two-cylinder law needs beside the curvature of the profile.
#[derive(Clone, Copy, Debug)]
pub struct TwoCylinderRollers {
    /// Length of the contact.
    pub length_mm: f64,
    /// Elastic data of the roller.
    pub roller: crate::hertz::Elastic,
    /// Elastic data of the disc.
    pub disc: crate::hertz::Elastic,
    /// Radius of the roller, which is also the depth its approach is counted to.
    pub roller_radius_mm: f64,
    /// Depth that the disc's approach is counted to.
    pub disc_depth_mm: f64,
}

impl RollerLaw {
    fn at(&self, profile_curvature_per_mm: f64) -> LineContact {
        match self {
            Self::Uniform(law) => *law,
            Self::TwoCylinders(data) => LineContact::two_cylinders(
                data.length_mm,
                &data.roller,
                &data.disc,
                1.0 / data.roller_radius_mm + profile_curvature_per_mm,
                data.roller_radius_mm,
                data.disc_depth_mm,
            ),
        }
    }
}

/// Geometry of all contacts of one disc at a crank angle and given displacements.
#[derive(Clone, Debug)]
pub struct DiscGeometry {
    /// Crank angle of this disc, φ_k.
    pub crank_angle_rad: f64,
    /// Nearest approach at each ring roller, in the frame of the ring.
    pub rollers: Vec<CircleContact>,
    /// Free distance at each output pin.
    pub pin_gap_mm: Vec<f64>,
    /// Unit vector from hole centre to pin centre at each pin: the way the pin pushes the disc.
    pub pin_direction: Vec<Vector>,
    /// Lever of that direction about the centre of pins, and so of the force on the plate.
    pub pin_lever_mm: Vec<f64>,
    /// Lever of that direction about the centre of the disc, through the hole's centre.
    pub hole_lever_mm: Vec<f64>,
    /// Lever of the outward normal at each roller about the disc's centre.
    pub roller_lever_mm: Vec<f64>,
}

/// The drive at one crank angle, ready to be loaded.
#[derive(Clone, Debug)]
pub struct Position {
    /// φ.
    pub crank_angle_rad: f64,
    /// Unloaded rotations of discs and plate.
    pub touch: Touch,
    /// Geometry where each disc touches without load.
    pub discs: Vec<DiscGeometry>,
    /// Whether a disc overlaps its ring or its pins in the ideal position, so that contacts press without load.
    pub is_preloaded: bool,
    /// Contacts of each disc, ring rollers first, as the equilibrium takes them.
    pub contacts: Vec<DiscContacts>,
}

/// The loaded drive at one crank angle.
#[derive(Clone, Debug)]
pub struct LoadedPosition {
    /// Displacements of discs and plate from the ideal position.
    pub displacements: Displacements,
    /// Geometry that the forces belong to.
    pub discs: Vec<DiscGeometry>,
    /// Forces on each disc.
    pub forces: Vec<DiscForces>,
    /// Torque on the crank that holds the load.
    pub holding_torque_n_mm: f64,
}

/// Forces on one disc.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscForces {
    /// Q_i.
    pub roller_n: Vec<f64>,
    /// P_j.
    pub pin_n: Vec<f64>,
    /// F_b: force of the eccentric bearing on the disc.
    pub bearing_n: Vector,
    /// Force of all rollers at each angle of the eccentric bearing, or of pads in the bore of an elastic disc; empty where the
    /// model has neither.
    pub bore_n: Vec<f64>,
    /// Torque that the disc passes to the plate.
    pub torque_n_mm: f64,
}

/// Deviations of the parts that one disc meets; as drawn by default.
#[derive(Clone, Copy, Default)]
struct AsMade<'a> {
    rollers: &'a [RoundFeature],
    ring_shift_mm: Vector,
    plate_shift_mm: Vector,
    pins: &'a [RoundFeature],
    disc: Option<&'a DiscDeviation>,
}

impl AsMade<'_> {
    fn roller(&self, index: usize) -> RoundFeature {
        self.rollers.get(index).copied().unwrap_or_default()
    }

    fn pin(&self, index: usize) -> RoundFeature {
        self.pins.get(index).copied().unwrap_or_default()
    }

    fn hole(&self, index: usize) -> RoundFeature {
        self.disc.and_then(|disc| disc.holes.get(index)).copied().unwrap_or_default()
    }
}

/// Where one disc stands, and the parts as made that it meets there.
struct Stand<'a> {
    made: AsMade<'a>,
    /// φ_k.
    phase_rad: f64,
    /// Centre of its bore.
    centre: Point,
    turn: Rotation,
    /// Turn of pins and holes in the ideal position.
    plate_turn_rad: f64,
    /// β.
    rotation_rad: f64,
}

impl Stand<'_> {
    fn lever_mm(&self, contact: &CircleContact) -> f64 {
        cross(contact.place_mm - self.centre, contact.normal)
    }
}

/// Change of a free rotation after which the next one, its square, is below rounding.
const SETTLED_RAD: f64 = 1e-8;
/// Rounds of re-evaluated gaps after which they must have settled; they settle in about five.
const MAX_ROUNDS: usize = 40;

impl<P: LobeOutline> ContactModel<P> {
    /// z_l.
    #[must_use]
    pub fn lobe_count(&self) -> usize {
        self.ring_roller_count - 1
    }

    /// e z_l: radius of the disc's pitch circle, the largest lever of a roller force.
    #[must_use]
    pub fn lever_scale_mm(&self) -> f64 {
        self.eccentricity_mm * self.lobe_count() as f64
    }

    /// Geometry and laws of all contacts, discs and plate turned to where they touch without load.
    ///
    /// `sense` is the sign of the torque on the plate that will act. Gaps that are linear in the displacements
    /// are linear from there, so that free play, however large, costs no accuracy.
    #[must_use]
    pub fn position(&self, crank_angle_rad: f64, sense: f64) -> Position {
        let sense = 1.0_f64.copysign(sense);
        let touched: Vec<_> =
            (0..self.disc_count).map(|disc| self.disc_touch(crank_angle_rad, disc, sense)).collect();
        let touch = Touch::of(touched.iter().map(|touch| (touch.rotation_rad, touch.plate_rad)), sense);
        let contacts = touched
            .iter()
            .enumerate()
            .map(|(disc, touched)| {
                let displacement = Vector3::new(0.0, 0.0, touched.geometry_rotation_rad);
                let eccentric_rad = TAU * disc as f64 / self.disc_count as f64;
                let support = self.support.with_clearance(self.extra_clearance_mm(disc));
                let mut centre = support.at(crank_angle_rad, self.lobe_count(), eccentric_rad);
                if self.compliance.is_some() {
                    centre = centre.in_bore(touched.geometry.crank_angle_rad);
                }
                let rotation = touched.geometry_rotation_rad;
                let bulk = self.bulk_mm_per_n(disc, &touched.geometry, rotation, &centre);
                let held = (centre, bulk);
                self.contacts(disc, &touched.geometry, &displacement, touched.geometry_plate_rad, held)
            })
            .collect();
        let is_preloaded = touched.iter().any(|touched| touched.is_preloaded)
            || self.discs_block_each_other(crank_angle_rad, sense, &touch);
        Position {
            crank_angle_rad,
            touch,
            is_preloaded,
            discs: touched.into_iter().map(|touched| touched.geometry).collect(),
            contacts,
        }
    }

    /// Contacts of one disc at a crank angle, displaced by (u, v, β), with the plate turned by γ.
    fn disc_geometry(
        &self,
        crank_angle_rad: f64,
        disc: usize,
        displacement: &Vector3<f64>,
        plate_rad: f64,
        known: Option<&DiscGeometry>,
    ) -> DiscGeometry {
        let stand = self.stand(crank_angle_rad, disc, displacement);
        let lobes = self.lobe_count() as f64;
        let start = |roller: usize| match known {
            Some(geometry) => geometry.rollers[roller].parameter,
            None => self.roller_angle_rad(roller) + stand.phase_rad / lobes,
        };
        let rollers: Vec<_> = (0..self.ring_roller_count)
            .map(|roller| self.roller_contact(&stand, roller, start(roller)))
            .collect();
        let roller_lever_mm = rollers.iter().map(|contact| stand.lever_mm(contact)).collect();
        let mut geometry = DiscGeometry {
            crank_angle_rad: stand.phase_rad,
            rollers,
            roller_lever_mm,
            pin_gap_mm: Vec::with_capacity(self.pin_count),
            pin_direction: Vec::with_capacity(self.pin_count),
            pin_lever_mm: Vec::with_capacity(self.pin_count),
            hole_lever_mm: Vec::with_capacity(self.pin_count),
        };
        self.place_pins(&mut geometry, &stand, plate_rad);
        geometry
    }

    /// Where a disc stands at a crank angle, displaced by (u, v, β).
    fn stand(&self, crank_angle_rad: f64, disc: usize, displacement: &Vector3<f64>) -> Stand<'_> {
        let phase_rad = crank_angle_rad + TAU * disc as f64 / self.disc_count as f64;
        let made = self.as_made(disc);
        let held_mm = made.disc.map_or_else(
            || unit(phase_rad) * self.eccentricity_mm,
            |disc| disc.centre_mm(self.eccentricity_mm, phase_rad),
        );
        let lobes = self.lobe_count() as f64;
        Stand {
            made,
            phase_rad,
            centre: Point::from(held_mm + Vector::new(displacement.x, displacement.y)),
            turn: Rotation::by(-phase_rad / lobes + displacement.z),
            plate_turn_rad: self.pin_phase_rad - crank_angle_rad / lobes,
            rotation_rad: displacement.z,
        }
    }

    fn roller_angle_rad(&self, roller: usize) -> f64 {
        TAU * roller as f64 / self.ring_roller_count as f64
    }

    /// Contact of one roller with the disc, in the frame of the ring.
    fn roller_contact(&self, stand: &Stand, roller: usize, start: f64) -> CircleContact {
        let (made, turn, centre) = (&stand.made, &stand.turn, stand.centre);
        let deviation = made.roller(roller);
        let place =
            deviation.place_mm(self.ring_radius_mm, self.roller_angle_rad(roller)) + made.ring_shift_mm;
        let contact = self.lobe_contact(
            turn.turn_back(place - centre.coords),
            self.roller_radius_mm + deviation.radius_mm,
            start,
            made.disc,
        );
        CircleContact {
            normal: turn.turn(contact.normal),
            place_mm: centre + turn.turn(contact.place_mm.coords),
            ..contact
        }
    }

    /// Puts the pins of the plate, turned by γ, into the holes of the disc.
    fn place_pins(&self, geometry: &mut DiscGeometry, stand: &Stand, plate_rad: f64) {
        let Stand { made, centre, plate_turn_rad, rotation_rad, .. } = stand;
        geometry.pin_gap_mm.clear();
        geometry.pin_direction.clear();
        geometry.pin_lever_mm.clear();
        geometry.hole_lever_mm.clear();
        let plate_shift = rotated(made.plate_shift_mm, plate_turn_rad - self.pin_phase_rad + plate_rad);
        for pin in 0..self.pin_count {
            let angle = plate_turn_rad + TAU * pin as f64 / self.pin_count as f64;
            let (hole, pin) = (made.hole(pin), made.pin(pin));
            let hole_arm = hole.place_mm(self.pin_circle_radius_mm, angle + rotation_rad);
            let pin_place = pin.place_mm(self.pin_circle_radius_mm, angle + plate_rad) + plate_shift;
            let offset = pin_place - (centre.coords + hole_arm);
            let distance = offset.norm();
            let direction = offset / distance;
            geometry.pin_gap_mm.push(self.pin_play_radius_mm + (hole.radius_mm - pin.radius_mm) - distance);
            geometry.pin_direction.push(direction);
            geometry.pin_lever_mm.push(cross(pin_place, direction));
            geometry.hole_lever_mm.push(cross(hole_arm, direction));
        }
    }

    /// Nearest approach of a roller to the lobes as made, in the frame of the disc's bore.
    fn lobe_contact(
        &self,
        roller_mm: Vector,
        radius_mm: f64,
        start: f64,
        made: Option<&DiscDeviation>,
    ) -> CircleContact {
        let Some(made) = made else {
            return self.profile.contact_with_circle(Point::from(roller_mm), radius_mm, start);
        };
        let shift = Vector::from(made.lobe_shift_mm);
        let contact = self.profile.contact_with_circle(Point::from(roller_mm - shift), radius_mm, start);
        let surplus_mm = made.surplus_at_mm(&contact, self.lobe_count(), self.ring_radius_mm);
        CircleContact {
            gap_mm: contact.gap_mm - surplus_mm,
            place_mm: contact.place_mm + shift + contact.normal * surplus_mm,
            ..contact
        }
    }

    /// Whether discs as made stop the plate before it is free of all of them.
    fn discs_block_each_other(&self, crank_angle_rad: f64, sense: f64, touch: &Touch) -> bool {
        let is_nominal = self.deviations.is_none();
        !is_nominal && sense * (touch.plate_rad - self.touch(crank_angle_rad, -sense).plate_rad) < 0.0
    }

    /// Diametral clearance that the eccentric bearing of a disc has beyond the drawn one.
    fn extra_clearance_mm(&self, disc: usize) -> f64 {
        let of_disc = |deviations: &Deviations| deviations.bearing_clearance_mm.get(disc).copied();
        self.deviations.as_deref().and_then(of_disc).unwrap_or(0.0)
    }

    /// The parts that one disc meets, as made.
    fn as_made(&self, disc: usize) -> AsMade<'_> {
        let Some(deviations) = self.deviations.as_deref() else { return AsMade::default() };
        AsMade {
            rollers: &deviations.rollers,
            ring_shift_mm: Vector::from(deviations.ring_shift_mm),
            plate_shift_mm: Vector::from(deviations.plate_shift_mm),
            pins: &deviations.pins,
            disc: deviations.discs.get(disc),
        }
    }

    /// What the bodies of a disc and its rollers give under unit forces; empty where they are rigid.
    ///
    /// Contacts shift by micrometres under load, which moves no coefficient, so the unloaded geometry serves.
    fn bulk_mm_per_n(
        &self,
        disc: usize,
        geometry: &DiscGeometry,
        rotation_rad: f64,
        centre: &DiscSupport,
    ) -> Arc<[f64]> {
        let Some(compliance) = &self.compliance else { return Arc::from([]) };
        let rollers = geometry.rollers.iter().enumerate().map(|(roller, contact)| {
            let radial = unit(TAU * roller as f64 / self.ring_roller_count as f64);
            Site::Lobe {
                parameter: contact.parameter,
                seat_angle_rad: angle_of(Vector::new(
                    radial.dot(&contact.normal),
                    cross(radial, contact.normal),
                )),
            }
        });
        let lobes = self.lobe_count() as f64;
        let first_disc_rad = geometry.crank_angle_rad - TAU * disc as f64 / self.disc_count as f64;
        let hole_turn = self.pin_phase_rad - first_disc_rad / lobes + rotation_rad;
        let pins = geometry.pin_direction.iter().enumerate().map(|(pin, direction)| {
            let centre = unit(hole_turn + TAU * pin as f64 / self.pin_count as f64);
            let angle_rad = angle_of(Vector::new(centre.dot(direction), cross(centre, *direction)));
            Site::Hole { hole: pin, angle_rad }
        });
        let turn = -geometry.crank_angle_rad / lobes + rotation_rad;
        let reach = self.bore_reach(compliance.data());
        let bore = centre
            .directions
            .iter()
            .map(|direction| Site::Bore { angle_rad: angle_of(*direction) - turn, reach });
        let sites: Vec<Site> = rollers.chain(pins).chain(bore).collect();
        let mut coefficients = compliance.coefficients_mm_per_n(disc, &sites);
        centre.add_crank(&mut coefficients);
        coefficients.into()
    }

    /// Share of the bore's radius at which the disc's body takes over from what presses on it.
    fn bore_reach(&self, data: &ComplianceData) -> f64 {
        match &self.support.bearing {
            BearingLaw::Rollers(rollers) => {
                let material = PlaneMaterial::of(&data.disc, data.state);
                own_reach(rollers.race_depth_mm, data.shape.bore_radius_mm, &material)
            }
            BearingLaw::Rigid | BearingLaw::Spring { .. } => pad_reach(BORE_PADS),
        }
    }

    /// Rows of the equilibrium from a geometry taken at given displacements.
    fn contacts(
        &self,
        disc: usize,
        geometry: &DiscGeometry,
        displacement: &Vector3<f64>,
        plate_rad: f64,
        (centre, bulk): (DiscSupport, Arc<[f64]>),
    ) -> DiscContacts {
        let mut contacts = Vec::with_capacity(self.ring_roller_count + self.pin_count);
        let compliance = self.roller_compliance_mm_per_n[disc];
        for (roller, &lever) in geometry.rollers.iter().zip(&geometry.roller_lever_mm) {
            let disc_row = Vector3::new(roller.normal.x, roller.normal.y, lever);
            contacts.push(Contact {
                disc_row,
                plate_row_mm: 0.0,
                gap_mm: roller.gap_mm + disc_row.dot(displacement),
                law: self.roller_law.at(roller.curvature_per_mm).with_series_compliance(compliance),
            });
        }
        for pin in 0..self.pin_count {
            let direction = geometry.pin_direction[pin];
            let disc_row = Vector3::new(-direction.x, -direction.y, -geometry.hole_lever_mm[pin]);
            let plate_row_mm = geometry.pin_lever_mm[pin];
            contacts.push(Contact {
                disc_row,
                plate_row_mm,
                gap_mm: geometry.pin_gap_mm[pin] + disc_row.dot(displacement) + plate_row_mm * plate_rad,
                law: self.pin_laws[disc],
            });
        }
        contacts.extend(centre.bore_contacts());
        DiscContacts { contacts, centre, given: Vector3::zeros(), bulk }
    }

    fn forces(&self, geometry: &DiscGeometry, all: &[f64]) -> DiscForces {
        let (roller_n, others) = all.split_at(self.ring_roller_count);
        let pin_n = &others[..self.pin_count];
        let from_rollers =
            geometry.rollers.iter().zip(roller_n).map(|(contact, force)| contact.normal * *force);
        let from_pins =
            geometry.pin_direction.iter().zip(pin_n).map(|(direction, force)| -direction * *force);
        let torque_n_mm = geometry.pin_lever_mm.iter().zip(pin_n).map(|(lever, force)| lever * force).sum();
        DiscForces {
            bearing_n: from_rollers.chain(from_pins).sum(),
            roller_n: roller_n.to_vec(),
            pin_n: pin_n.to_vec(),
            bore_n: Vec::new(),
            torque_n_mm,
        }
    }
}
