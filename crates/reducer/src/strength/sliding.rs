//! Sliding contacts: pressure times speed where a material's own heat and wear limit it, and the lubricant's film over the roughness.

use crate::bearing::modified::lubricant_temperature_k;
use crate::contact::build::{ContactMaterials, pin_contact_length_mm, roller_contact_length_mm};
use crate::film::{FilmContact, film_ratio};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::hertz::{LineGeometry, contact_modulus_mpa};
use crate::kinematics::{self, Speeds};
use crate::losses::heat::viscosity_mm2_per_s;
use crate::losses::sweep::roller_force_distance_n_mm;
use crate::losses::{check::told, turning};
use crate::materials::Material;
use crate::model::{Drive, LubricantKind, Production, RollerTurning};
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::registry;
use crate::results::{LoadCase, Pose};
use curves::math::square;
use curves::point::{Point, Vector, cross, turned_left, unit};
use std::f64::consts::{PI, TAU};

/// Pressure times speed of ring rollers and output pins over the duty cycle, and films under the rated torque.
///
/// `steady_k` is the temperature that the losses lead to.
#[must_use]
pub fn sliding_checks(
    drive: &Drive,
    materials: &ContactMaterials,
    load_cases: &[LoadCase],
    steady_k: Option<f64>,
) -> Vec<Finding> {
    let mut findings: Vec<Finding> = [roller_slide(drive, materials), Some(pin_slide(drive, materials))]
        .into_iter()
        .flatten()
        .filter_map(|slide| pressure_speed(drive, &slide, load_cases))
        .collect();
    findings
        .extend(load_cases.first().map_or_else(Vec::new, |rated| films(drive, materials, rated, steady_k)));
    findings
}

/// Modulus of elasticity below which a body wears by its own heat, so that a limit must be known.
const MOST_PLASTIC_MODULUS_MPA: f64 = 10_000.0;
/// Coefficient of friction of a roller on its pin below which it turns on a rolling bearing and nothing slides.
const MOST_ROLLING_FRICTION: f64 = 0.01;

/// What two plastics on each other bear of the limit on steel, which takes the heat away.
/// **Source** common practice: a quarter to a half; like on like wears fastest.
const PLASTIC_ON_PLASTIC_SHARE: f64 = 0.5;

/// A pair that slides under the load.
struct Slide<'a> {
    id: &'static str,
    title: &'static str,
    /// The pair in words.
    words: String,
    materials: [&'a Material; 2],
    /// Diameter times length over which the force counts as spread.
    area_mm2: f64,
    /// Mean over the turn of force times speed of one contact, N·mm/s, in a load case.
    force_speed: Box<dyn Fn(&LoadCase) -> f64 + 'a>,
    hint: &'static str,
    key: &'static str,
}

fn roller_slide<'a>(drive: &'a Drive, materials: &'a ContactMaterials) -> Option<Slide<'a>> {
    let geometry = &drive.geometry;
    let (support, radius_mm, words) = match turning(drive) {
        RollerTurning::InSeat => (&materials.ring, geometry.roller_radius_mm, "rollers turn in their seats"),
        RollerTurning::OnPin => {
            if drive.losses.roller_support_friction.is_some_and(|friction| friction < MOST_ROLLING_FRICTION) {
                return None;
            }
            (&materials.ring_pin, geometry.roller_pin_radius_mm?, "rollers turn on their pins")
        }
        RollerTurning::Fixed | RollerTurning::Auto => {
            (&materials.disc, geometry.roller_radius_mm, "lobes slide on fixed rollers")
        }
    };
    let share = radius_mm / geometry.roller_radius_mm;
    Some(Slide {
        id: "pressure-speed-rollers",
        title: "pressure times sliding speed at the ring rollers",
        words: words.to_owned(),
        materials: [&materials.roller, support],
        area_mm2: 2.0 * radius_mm * roller_contact_length_mm(drive),
        force_speed: Box::new(move |case| {
            let speeds = kinematics::speeds(&drive.geometry, case.input_speed_rad_per_s);
            let turns = (speeds.disc_rad_per_s - speeds.ring_rad_per_s).abs();
            share * turns * mean_force_distance_n_mm(drive, case)
        }),
        hint: "lower mean_input_speed or the load, widen the discs, or let the rollers turn on rolling bearings",
        key: "geometry.roller_turning",
    })
}

fn pin_slide<'a>(drive: &'a Drive, materials: &'a ContactMaterials) -> Slide<'a> {
    let geometry = &drive.geometry;
    let (pair, share, words) = match geometry.sleeve_radius_mm {
        Some(sleeve) => (
            [&materials.pin_surface, &materials.pin],
            geometry.pin_radius_mm / sleeve,
            "sleeves turn on their pins",
        ),
        None => ([&materials.disc, &materials.pin], 1.0, "holes slide on bare pins"),
    };
    Slide {
        id: "pressure-speed-pins",
        title: "pressure times sliding speed at the output pins",
        words: words.to_owned(),
        materials: pair,
        area_mm2: 2.0 * geometry.pin_radius_mm * pin_contact_length_mm(drive),
        force_speed: Box::new(move |case| {
            let speed = hole_speed_mm_per_s(drive, case.input_speed_rad_per_s);
            share * speed * mean_pin_force_n(case)
        }),
        hint: "lower mean_input_speed or the load, widen the discs, add pins, or give them sleeves",
        key: "geometry.pin_count",
    }
}

/// Speed of a hole's wall over its pin, e |ω_crank − ω_disc|.
fn hole_speed_mm_per_s(drive: &Drive, input_rad_per_s: f64) -> f64 {
    drive.geometry.eccentricity_mm
        * kinematics::eccentric_bearing_speed_rad_per_s(&drive.geometry, input_rad_per_s)
}

/// Mean of force times distance from the pitch point over all rollers, discs and crank angles.
fn mean_force_distance_n_mm(drive: &Drive, case: &LoadCase) -> f64 {
    let geometry = &drive.geometry;
    let contacts = (geometry.ring_roller_count * geometry.disc_count * case.poses.len()) as f64;
    let in_pose = |pose: &Pose| -> f64 {
        let discs = pose.discs.iter().enumerate();
        discs
            .map(|(disc, state)| {
                let phase = pose.crank_angle_rad + TAU * disc as f64 / geometry.disc_count as f64;
                roller_force_distance_n_mm(state, kinematics::pitch_point(geometry, phase))
            })
            .sum()
    };
    case.poses.iter().map(in_pose).sum::<f64>() / contacts
}

/// Mean force over all pins, discs and crank angles.
fn mean_pin_force_n(case: &LoadCase) -> f64 {
    let forces = || case.poses.iter().flat_map(|pose| &pose.discs).flat_map(|disc| &disc.output_pin_force_n);
    forces().sum::<f64>() / forces().count().max(1) as f64
}

/// Pressure times speed in the mean over the running time, against the lower limit of the pair.
///
/// ```text
/// p v = Σ t mean(F v)/(d L) / Σ t
/// ```
/// The mean over the turn counts, since heat and wear add up; every contact of a kind has the same.
/// Hardened metals have no such limit; for a plastic it must be known. **Source** common practice.
fn pressure_speed(drive: &Drive, slide: &Slide, load_cases: &[LoadCase]) -> Option<Finding> {
    let limits = slide.materials.iter().filter_map(|material| material.pressure_speed_limit_mpa_mm_per_s);
    let are_plastic =
        slide.materials.iter().all(|material| material.elastic_modulus_mpa < MOST_PLASTIC_MODULUS_MPA);
    let limit =
        limits.fold(f64::INFINITY, f64::min) * if are_plastic { PLASTIC_ON_PLASTIC_SHARE } else { 1.0 };
    let lacking = slide.materials.iter().find(|material| {
        material.elastic_modulus_mpa < MOST_PLASTIC_MODULUS_MPA
            && material.pressure_speed_limit_mpa_mm_per_s.is_none()
    });
    if let Some(material) = lacking {
        let reason = format!("state pressure_speed_limit of {} under [[materials.custom]]", material.name);
        return Some(Finding::not_assessed(
            slide.id,
            Subject::Life,
            slide.title,
            None,
            "materials.custom.pressure_speed_limit",
            &reason,
        ));
    }
    if !limit.is_finite() {
        return None;
    }
    let in_duty = || load_cases.iter().filter_map(|case| Some((case, case.time_share?)));
    let time: f64 = in_duty().map(|(_, share)| share).sum();
    let mean = in_duty().map(|(case, share)| share * (slide.force_speed)(case)).sum::<f64>() / time;
    let is_plastic = |material: &&&Material| material.elastic_modulus_mpa < MOST_PLASTIC_MODULUS_MPA;
    let state = match drive.lubrication.kind {
        LubricantKind::Dry => "dry",
        _ if slide.materials.iter().any(|material| is_plastic(&material)) => "limit that of dry running",
        _ => "lubricated",
    };
    let names = slide.materials.map(|material| material.name.as_str());
    Some(
        Check {
            id: slide.id,
            subject: Subject::Life,
            title: slide.title,
            quantity: "pressure_speed_mpa_mm_per_s",
            value: mean / slide.area_mm2,
            limit,
            sense: Sense::AtMost,
            scale: limit,
            when_broken: Standing::Fails,
            place: format!(
                "{}, {} on {}, {state}; mean over the running time",
                slide.words, names[0], names[1]
            ),
            formula: "pressure-speed",
            hint: slide.hint.to_owned(),
            key: slide.key,
        }
        .finding(),
    )
}

/// Roughness of lobes and holes: as stated, or usual for how they are made; nothing for printed ones, which have no film.
fn disc_roughness_mm(drive: &Drive) -> Option<f64> {
    let usual = match drive.requirement.production {
        Production::Ground => Some(0.4e-3),
        Production::WireCut => Some(0.8e-3),
        Production::Milled => Some(1.6e-3),
        Production::Printed => None,
    };
    drive.materials.disc_roughness_mm.or(usual)
}

/// Films where pressure is greatest at rollers and pins, at the mean speed; only for lubricated metals.
fn films(
    drive: &Drive,
    materials: &ContactMaterials,
    rated: &LoadCase,
    steady_k: Option<f64>,
) -> Vec<Finding> {
    let is_soft = |material: &Material| material.elastic_modulus_mpa < MOST_PLASTIC_MODULUS_MPA;
    let Some(roughness_mm) = disc_roughness_mm(drive) else { return Vec::new() };
    let Some(temperature_k) = lubricant_temperature_k(drive, steady_k) else { return Vec::new() };
    let viscosity = viscosity_mm2_per_s(&drive.lubrication, temperature_k);
    if viscosity <= 0.0 || is_soft(&materials.disc) {
        return Vec::new();
    }
    let conditions = Conditions { drive, rated, viscosity, temperature_k, roughness_mm };
    let rollers = (!is_soft(&materials.roller)).then(|| conditions.at_rollers(materials)).flatten();
    let pins = (!is_soft(&materials.pin_surface)).then(|| conditions.at_pins(materials)).flatten();
    rollers.into_iter().chain(pins).collect()
}

/// What all films of a drive have in common.
struct Conditions<'a> {
    drive: &'a Drive,
    rated: &'a LoadCase,
    viscosity: f64,
    temperature_k: f64,
    roughness_mm: f64,
}

impl Conditions<'_> {
    fn at_rollers(&self, materials: &ContactMaterials) -> Option<Finding> {
        let extreme = &self.rated.extremes.ring_roller_pressure;
        let pose = self.pose(extreme.crank_angle_rad)?;
        let state = &pose.discs[extreme.disc];
        let force_n = state.ring_roller_force_n[extreme.contact];
        let length_mm = roller_contact_length_mm(self.drive);
        let modulus_mpa = contact_modulus_mpa(&materials.roller.elastic(), &materials.disc.elastic());
        let contact = RollerContact {
            drive: self.drive,
            disc: extreme.disc,
            crank_angle_rad: extreme.crank_angle_rad,
            place_mm: Point::from(Vector::from(state.ring_roller_contact_mm[extreme.contact])),
            into_disc: Vector::from(state.ring_roller_normal[extreme.contact]),
        };
        let speeds = kinematics::speeds(&self.drive.geometry, self.rated.input_speed_rad_per_s);
        let film = FilmContact {
            geometry: LineGeometry {
                length_mm,
                relative_curvature_per_mm: PI * length_mm * square(extreme.value) / (force_n * modulus_mpa),
                contact_modulus_mpa: modulus_mpa,
            },
            force_n,
            entrainment_mm_per_s: contact.entrainment_mm_per_s(&speeds),
            viscosity_mm2_per_s: self.viscosity,
        };
        let title = "lubricant film over roughness where a ring roller presses most";
        Some(self.told("film-rollers", title, &film, "materials.roller_roughness"))
    }

    fn at_pins(&self, materials: &ContactMaterials) -> Option<Finding> {
        let extreme = &self.rated.extremes.output_pin_pressure;
        let pose = self.pose(extreme.crank_angle_rad)?;
        let geometry = &self.drive.geometry;
        let (pin_mm, hole_mm) = (pin_outside_radius_mm(self.drive), hole_radius_mm(self.drive));
        // A sleeve rolls in the hole; on a bare pin the contact runs once round the pin and once round the hole.
        let reach_mm = if geometry.sleeve_radius_mm.is_some() { hole_mm } else { 0.5 * (pin_mm + hole_mm) };
        let input = self.rated.input_speed_rad_per_s;
        let film = FilmContact {
            geometry: LineGeometry {
                length_mm: pin_contact_length_mm(self.drive),
                relative_curvature_per_mm: 1.0 / pin_mm - 1.0 / hole_mm,
                contact_modulus_mpa: contact_modulus_mpa(
                    &materials.pin_surface.elastic(),
                    &materials.disc.elastic(),
                ),
            },
            force_n: pose.discs[extreme.disc].output_pin_force_n[extreme.contact],
            entrainment_mm_per_s: reach_mm * kinematics::eccentric_bearing_speed_rad_per_s(geometry, input),
            viscosity_mm2_per_s: self.viscosity,
        };
        let title = "lubricant film over roughness where an output pin presses most";
        Some(self.told("film-pins", title, &film, "materials.roller_roughness"))
    }

    fn pose(&self, crank_angle_rad: f64) -> Option<&Pose> {
        self.rated.poses.iter().find(|pose| pose.crank_angle_rad == crank_angle_rad)
    }

    fn told(&self, id: &'static str, title: &str, film: &FilmContact, key: &'static str) -> Finding {
        let film_mm = film.least_film_dowson_higginson_mm();
        let ratio = film_ratio(film_mm, self.roughness_mm, self.drive.materials.roller_roughness_mm);
        let place = format!(
            "film of {:.*} µm at {}, rated torque at the mean speed; {}",
            if film_mm < 0.1e-3 { 3 } else { 2 },
            film_mm * 1e3,
            registry::display("lubricant_temperature_k", self.temperature_k),
            regime_in_words(ratio)
        );
        told(id, Subject::Practice, title, ("film_ratio", ratio), "film-thickness", key, place)
    }
}

/// What a ratio of film to roughness means. **Source** common practice: below 1 boundary, above 3 full film.
fn regime_in_words(film_ratio: f64) -> &'static str {
    if film_ratio < 1.0 {
        "surfaces touch: hardness, additives and running in carry"
    } else if film_ratio < 3.0 {
        "mixed: film and touching surfaces share the load"
    } else {
        "the film carries"
    }
}

/// A contact of a ring roller as it moves.
pub struct RollerContact<'a> {
    /// The drive.
    pub drive: &'a Drive,
    /// Disc, counted from zero.
    pub disc: usize,
    /// φ.
    pub crank_angle_rad: f64,
    /// Where it touches, in the ring's frame.
    pub place_mm: Point,
    /// Unit normal from the roller into the disc.
    pub into_disc: Vector,
}

impl RollerContact<'_> {
    /// Speeds at which the contact moves over the surface of the roller, if that stands still, and over the lobe.
    ///
    /// ```text
    /// v_r = r_r β',   v_d = r_r β' + ω_d d,   β' = (P − C) × P' / |P − C|²
    /// ```
    /// C is the roller's centre, P the pitch point, d its distance from the contact, β the direction of the normal, all in the frame of the ring.
    /// **Source** Derivation 11, §3; `v_d = −ρ (β' − ω_d)` with the radius ρ of the lobe is what a test compares with.
    #[must_use]
    pub fn surface_speeds_mm_per_s(&self, speeds: &Speeds) -> (f64, f64) {
        let geometry = &self.drive.geometry;
        let phase = self.crank_angle_rad + TAU * self.disc as f64 / geometry.disc_count as f64;
        let crank_rad_per_s = speeds.input_rad_per_s - speeds.ring_rad_per_s;
        let disc_rad_per_s = speeds.disc_rad_per_s - speeds.ring_rad_per_s;
        let radius_mm = geometry.roller_radius_mm;
        let pitch = kinematics::pitch_point(geometry, phase);
        let pitch_radius_mm = pitch.coords.norm();
        let pitch_speed = turned_left(unit(phase)) * (pitch_radius_mm * crank_rad_per_s);
        let to_pitch = pitch - (self.place_mm - self.into_disc * radius_mm);
        let turning_rad_per_s = cross(to_pitch, pitch_speed) / to_pitch.norm_squared();
        let over_roller = radius_mm * turning_rad_per_s;
        (over_roller, over_roller + disc_rad_per_s * (to_pitch.norm() - radius_mm))
    }

    /// Speed at which lubricant is drawn in: the mean of both, or that over the lobe where the roller rolls along.
    fn entrainment_mm_per_s(&self, speeds: &Speeds) -> f64 {
        let (over_roller, over_lobe) = self.surface_speeds_mm_per_s(speeds);
        match turning(self.drive) {
            RollerTurning::InSeat | RollerTurning::OnPin => over_lobe.abs(),
            RollerTurning::Fixed | RollerTurning::Auto => 0.5 * (over_roller + over_lobe).abs(),
        }
    }
}
