//! The requirement line by line: met, not met, or not assessed yet; no line is passed over in silence.

mod bearings;

use crate::accuracy::hysteresis::HysteresisError;
use crate::accuracy::hysteresis::reading::LOST_MOTION_SHARE;
use crate::bearing_loads::BearingResults;
use crate::contact::ContactModel;
use crate::finding::{Check, Finding, Sense, Standing, Subject, YES_OR_NO};
use crate::kinematics;
use crate::model::{Drive, Requirement};
use crate::registry;
use crate::results::{GeometryResult, HysteresisResult, PlayResult};
use crate::shape::{PLAY_SAMPLES, crank_angles};
use curves::math::square;

/// One finding for every line of the requirement that the file holds.
///
/// `strength` are the strength findings that the torque lines sum up.
#[must_use]
pub fn requirement_lines(
    drive: &Drive,
    geometry: &GeometryResult,
    strength: &[Finding],
    bearings: &BearingResults,
) -> Vec<Finding> {
    let requirement = &drive.requirement;
    let mut lines = vec![ratio(drive)];
    lines.extend(torques(requirement, strength));
    lines.extend(bearings::lives(requirement, bearings));
    lines.extend(bearings::output_loads(requirement, bearings));
    lines.extend(bearings::swings(drive));
    lines.push(speed(drive));
    lines.extend(backlash(drive, geometry));
    lines.extend(temperatures(geometry));
    lines.extend(indexing(drive));
    lines.extend(envelope(drive));
    lines.extend(not_assessed(requirement));
    lines
}

fn line(
    id: &'static str,
    title: &'static str,
    quantity: &'static str,
    (value, sense, limit): (f64, Sense, f64),
    key: &'static str,
    hint: &str,
) -> Check {
    Check {
        id,
        subject: Subject::Requirement,
        title,
        quantity,
        value,
        limit,
        sense,
        scale: if limit == 0.0 { 1.0 } else { limit },
        when_broken: Standing::Fails,
        place: String::new(),
        formula: "",
        hint: hint.to_owned(),
        key,
    }
}

fn ratio(drive: &Drive) -> Finding {
    let actual = kinematics::ratio(&drive.geometry);
    let wanted = drive.requirement.ratio;
    // Ratios are whole numbers over small ones; anything nearer than rounding is the same.
    let shown = if (actual.abs() - wanted).abs() <= RATIO_TOLERANCE * wanted { wanted } else { actual.abs() };
    let check = line(
        "ratio",
        "ratio as required",
        "ratio",
        (shown, Sense::Equals, wanted),
        "geometry.ring_roller_count",
        &format!(
            "with the ring held the ratio is one less than ring_roller_count, with the plate held it is ring_roller_count: take {}",
            match drive.geometry.held_member {
                crate::model::HeldMember::Ring => wanted.round() + 1.0,
                crate::model::HeldMember::Plate => wanted.round(),
            }
        ),
    );
    let turning = if actual < 0.0 { "output turns against the crank" } else { "output turns with the crank" };
    Check { formula: "ratio", place: turning.to_owned(), scale: YES_OR_NO, ..check }.finding()
}

/// Share by which a ratio may be off by rounding.
const RATIO_TOLERANCE: f64 = 1e-9;

/// The torque lines sum up the strength findings of their load case: the least safety in load.
fn torques(requirement: &Requirement, strength: &[Finding]) -> Vec<Finding> {
    let stated = [
        (
            "rated-torque",
            "rated torque is carried",
            "requirement.rated_torque",
            Some(requirement.rated_torque_n_mm),
            &["rated", "nominal"][..],
        ),
        (
            "peak-torque",
            "peak torque is carried",
            "requirement.peak_torque",
            requirement.peak_torque_n_mm,
            &["peak"],
        ),
        (
            "emergency-torque",
            "emergency torque is carried",
            "requirement.emergency_torque",
            requirement.emergency_torque_n_mm,
            &["emergency"],
        ),
    ];
    stated
        .into_iter()
        .filter_map(|(id, title, key, torque, suffixes)| Some((id, title, key, torque?, suffixes)))
        .map(|(id, title, key, torque, suffixes)| {
            let checks =
                strength.iter().filter(|finding| suffixes.iter().any(|suffix| finding.id.ends_with(suffix)));
            let governing = checks
                .filter_map(|finding| Some((load_reserve(finding)?, finding)))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((reserve, finding)) = governing else {
                let reason = "the geometry does not mesh; mend the geometry findings first";
                return Finding::not_assessed(
                    id,
                    Subject::Requirement,
                    title,
                    Some(("output_torque_n_mm", torque)),
                    key,
                    reason,
                );
            };
            let check = line(
                id,
                title,
                "output_torque_n_mm",
                (reserve * torque, Sense::AtLeast, torque),
                key,
                &finding.hint,
            );
            Check { place: format!("governed by: {}", finding.title), formula: finding.formula, ..check }
                .finding()
        })
        .collect()
}

/// Factor by which the load could grow until a strength finding breaks: pressure grows with its root.
///
/// An estimate where gaps make forces grow less than in proportion at first; exact at the limit itself.
fn load_reserve(finding: &Finding) -> Option<f64> {
    let (value, limit) = (finding.value?, finding.limit?);
    Some(match finding.sense {
        Sense::AtMost => square(limit / value),
        Sense::AtLeast => value / limit,
        Sense::Equals => return None,
    })
}

fn speed(drive: &Drive) -> Finding {
    let (id, title, key) = (
        "max-input-speed",
        "speed between the rings of the eccentric bearing",
        "bearings.eccentric.speed_limit",
    );
    let fastest = drive.requirement.max_input_speed_rad_per_s;
    let speed = kinematics::eccentric_bearing_speed_rad_per_s(&drive.geometry, fastest);
    let Some(limit) = drive.bearings.eccentric.speed_limit_rad_per_s else {
        let reason = "give speed_limit of the eccentric bearing; heat and balance are lines of their own";
        return Finding::not_assessed(
            id,
            Subject::Requirement,
            title,
            Some(("input_speed_rad_per_s", fastest)),
            key,
            reason,
        );
    };
    let check = line(
        id,
        title,
        "max_eccentric_bearing_speed_rad_per_s",
        (speed, Sense::AtMost, limit),
        key,
        "take a faster bearing, or lower max_input_speed",
    );
    Check {
        formula: "bearing-speed",
        place: "at the greatest input speed; heat and balance are lines of their own".to_owned(),
        ..check
    }
    .finding()
}

fn backlash(drive: &Drive, geometry: &GeometryResult) -> Option<Finding> {
    let wanted = drive.requirement.geometric_backlash_rad?;
    let (id, title, key) =
        ("geometric-backlash", "geometric backlash of nominal parts", "requirement.geometric_backlash");
    if geometry.gap_curve.is_empty() {
        let reason = "the geometry does not mesh; mend the geometry findings first";
        return Some(Finding::not_assessed(
            id,
            Subject::Requirement,
            title,
            Some(("geometric_backlash_rad", wanted)),
            key,
            reason,
        ));
    }
    let check = line(
        id,
        title,
        "geometric_backlash_rad",
        (geometry.geometric_backlash_rad, Sense::AtMost, wanted),
        key,
        "reduce equidistant_offset or hole_clearance, or bring ring_radius_shift nearer to nothing",
    );
    let angle_count = crank_angles(drive, PLAY_SAMPLES).len();
    let place = format!(
        "greatest of {angle_count} crank angles; `lobewright accuracy` takes more, `lobewright yield` tolerances"
    );
    Some(Check { formula: "geometric-backlash", place, ..check }.finding())
}

/// The required lost motion against that of nominal parts, bearings with their clearance where the load model has it.
///
/// It is read on the mid-line of the loop with friction, as on a test bench. Friction that holds the play within ±3 % of the rated torque, or
/// locks the mesh, would hide it: the lost motion without friction counts then.
#[must_use]
pub fn lost_motion(
    drive: &Drive,
    play: Option<&PlayResult>,
    twist_loop: Option<&Result<HysteresisResult, HysteresisError>>,
    model: &ContactModel,
) -> Option<Finding> {
    let wanted = drive.requirement.lost_motion_rad?;
    let (id, title, key) =
        ("lost-motion", "lost motion at ±3 % of the rated torque", "requirement.lost_motion");
    let Some(play) = play else {
        let reason = "no loads from which it follows";
        let wanted = Some(("lost_motion_rad", wanted));
        return Some(Finding::not_assessed(id, Subject::Requirement, title, wanted, key, reason));
    };
    let small = LOST_MOTION_SHARE * drive.requirement.rated_torque_n_mm;
    let on_mid_line = twist_loop.and_then(|twist_loop| twist_loop.as_ref().ok());
    let counted = on_mid_line.filter(|twist_loop| twist_loop.output_friction_torque_n_mm < small);
    let value = counted.map_or(play.lost_motion.value, |twist_loop| twist_loop.lost_motion.value);
    let check = line(
        id,
        title,
        "lost_motion_rad",
        (value, Sense::AtMost, wanted),
        key,
        "reduce equidistant_offset, hole_clearance or the clearance of the eccentric bearings, or stiffen what gives most",
    );
    let bearings = if model.support.is_rigid() {
        "rigid bearings without clearance"
    } else {
        "bearings with their clearance"
    };
    let gaps = if play.has_linear_gaps { "; the unloaded position in part with linear gaps" } else { "" };
    let friction = match (counted, twist_loop) {
        (Some(twist_loop), _) => format!(
            "on the mid-line of the loop, which friction opens to {} at no torque",
            registry::display("hysteresis_width_rad", twist_loop.hysteresis_width.value)
        ),
        (None, Some(Ok(twist_loop))) => format!(
            "without friction, as that of the output, {}, holds the play on the loop",
            registry::display("output_friction_torque_n_mm", twist_loop.output_friction_torque_n_mm)
        ),
        (None, Some(Err(error))) => format!("without friction, with which there is no loop ({error})"),
        (None, None) => "without friction, with which no loop was looked for".to_owned(),
    };
    let place = format!(
        "greatest over the turn, {friction}; free play {}; {bearings}{gaps}; tolerances are not counted",
        registry::display("lost_motion_rad", play.free_play.value)
    );
    Some(Check { formula: "lost-motion", place, ..check }.finding())
}

/// The seizure check: what expansion leaves of the smallest gap.
///
/// A little interference only preloads the mesh, so it is doubtful and not failing.
fn temperatures(geometry: &GeometryResult) -> Option<Finding> {
    let check = line(
        "temperatures",
        "smallest roller gap at operating temperatures",
        "roller_gap_mm",
        (geometry.operating_gap_mm?, Sense::AtLeast, 0.0),
        "requirement.disc_temperature",
        "the discs grow into the ring: raise equidistant_offset or flank_rotation, or bring the temperatures nearer to each other",
    );
    let check =
        Check { when_broken: Standing::Doubtful, scale: YES_OR_NO, formula: "thermal-expansion", ..check };
    Some(check.finding())
}

/// Indexing moves against torque, speed and time: the gentlest move there is, half speeding up and half slowing down.
fn indexing(drive: &Drive) -> Vec<Finding> {
    let requirement = &drive.requirement;
    let (Some(angle), Some(time)) = (requirement.index_angle_rad, requirement.index_time_s) else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    if let Some(inertia) = requirement.load_inertia_kg_mm2 {
        // kg·mm²/s² is a thousandth of N·mm.
        let torque = 4.0 * inertia * angle / square(time) * 1e-3;
        let carried = requirement
            .peak_torque_n_mm
            .unwrap_or(requirement.rated_torque_n_mm)
            .max(requirement.rated_torque_n_mm);
        let check = line(
            "index-torque",
            "torque to speed up the load in an indexing move",
            "output_torque_n_mm",
            (torque, Sense::AtMost, carried),
            "requirement.index_time",
            "allow more index_time, or raise peak_torque",
        );
        let place = "constant acceleration over half the move; a smoother move needs more";
        lines.push(Check { formula: "index-torque", place: place.to_owned(), ..check }.finding());
    }
    let crank_speed = 2.0 * angle / time * kinematics::ratio(&drive.geometry).abs();
    let check = line(
        "index-speed",
        "crank speed in the middle of an indexing move",
        "input_speed_rad_per_s",
        (crank_speed, Sense::AtMost, requirement.max_input_speed_rad_per_s),
        "requirement.index_time",
        "allow more index_time, or raise max_input_speed",
    );
    lines.push(Check { formula: "index-speed", ..check }.finding());
    if let Some(rate) = requirement.index_rate_per_s {
        let check = line(
            "index-rate",
            "share of the time spent moving",
            "time_share",
            (rate * time, Sense::AtMost, 1.0),
            "requirement.index_rate",
            "the moves take longer than there is time between them: lower index_rate or index_time",
        );
        lines.push(check.finding());
    }
    lines
}

fn envelope(drive: &Drive) -> Vec<Finding> {
    let requirement = &drive.requirement;
    let sizes = [
        (
            "outside-diameter",
            "outside diameter",
            "outside_diameter_mm",
            requirement.outside_diameter_mm,
            drive.geometry.housing_radius_mm.map(|radius| 2.0 * radius),
            "requirement.outside_diameter",
            "give housing_radius",
        ),
        (
            "length",
            "length along the axis",
            "length_mm",
            requirement.length_mm,
            drive.geometry.housing_length_mm,
            "requirement.length",
            "give housing_length",
        ),
    ];
    let mut lines: Vec<_> = sizes
        .into_iter()
        .filter_map(|(id, title, quantity, limit, value, key, hint)| {
            Some((id, title, quantity, limit?, value, key, hint))
        })
        .map(|(id, title, quantity, limit, value, key, hint)| match value {
            Some(value) => {
                line(id, title, quantity, (value, Sense::AtMost, limit), key, "make the housing smaller")
                    .finding()
            }
            None => {
                Finding::not_assessed(id, Subject::Requirement, title, Some((quantity, limit)), key, hint)
            }
        })
        .collect();
    lines.extend(requirement.mass_kg.map(|mass| {
        Finding::not_assessed(
            "mass",
            Subject::Requirement,
            "mass",
            Some(("mass_kg", mass)),
            "requirement.mass",
            "masses of housing and shafts are not known to the program yet",
        )
    }));
    lines
}

/// Lines of the requirement that this verdict does not reach.
fn not_assessed(requirement: &Requirement) -> Vec<Finding> {
    let later = |id, title, quantity: &'static str, value: Option<f64>, key, reason: &str| {
        value.map(|value| {
            Finding::not_assessed(id, Subject::Requirement, title, Some((quantity, value)), key, reason)
        })
    };
    let accuracy = "takes the whole output turn: `lobewright accuracy` for parts as drawn, `lobewright yield` with tolerances";
    let mut lines: Vec<Finding> = [later(
        "transmission-error",
        "transmission error over an output turn",
        "transmission_error_rad",
        requirement.transmission_error_rad,
        "requirement.transmission_error",
        accuracy,
    )]
    .into_iter()
    .flatten()
    .collect();
    lines.extend(requirement.holds_load.then(|| {
        Finding::not_assessed(
            "holds-load",
            Subject::Requirement,
            "load is held when the crank is let go",
            None,
            "requirement.holds_load",
            "the drive is not self-locking: a brake must hold the load, and is not part of this calculation",
        )
    }));
    lines.push(Finding::not_assessed(
        "production",
        Subject::Requirement,
        &format!("tolerances that {} parts can hold", requirement.production.word()),
        None,
        "requirement.production",
        "needs data of the process, which this program does not hold",
    ));
    lines.push(Finding::not_assessed(
        "quantity",
        Subject::Requirement,
        &format!("yield of a lot of {}", requirement.quantity),
        None,
        "requirement.quantity",
        "takes a study of its own: `lobewright yield`",
    ));
    lines
}
