//! The tables and sentences that report, page and command line share, so that one thing has one wording.

mod accuracy;
mod assembly;
mod fits;
mod losses;
mod modification;
mod windup;

pub use accuracy::{accuracy_table, orders_table, under_torque_table};
pub use assembly::{
    distribution_table, limits_in_words, proposal_table, share_in_words, tolerance_table, yield_sentences,
};
pub use fits::{fits_table, limits_table};
pub use losses::{loss_table, operating_points_table};
pub use modification::{
    modification_lines, modification_notes, modification_table, modification_wish, play_free_table,
};
pub use windup::{bearing_rollers_table, windup_table};

use crate::figures::nearest_pose;
use crate::margin::margin_percent;
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use curves::math::{hypot, wrap_angle};
use reducer::finding::{Finding, Standing, Subject};
use reducer::model::record::{Field, Kind, Presence, Section, Tabled};
use reducer::model::{Drive, Geometry};
use reducer::registry::{self, format_number};
use reducer::results::{
    Assessment, BearingResult, ContactStress, Extreme, GeometryResult, LoadCase, OnePart,
};
use reducer::units::degrees;
use std::f64::consts::TAU;

/// How a drive stands as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Overall {
    /// Checks whose limit is broken.
    pub fails_count: usize,
    /// Checks that pass the limit of good practice.
    pub doubtful_count: usize,
    /// Checks that hold.
    pub holds_count: usize,
    /// Values that nothing limits.
    pub no_limit_count: usize,
    /// Requirements and checks that were not assessed.
    pub not_assessed_count: usize,
}

/// Counts of all findings by their standing.
#[must_use]
pub fn overall(findings: &[Finding]) -> Overall {
    let count = |standing: Standing| findings.iter().filter(|finding| finding.standing == standing).count();
    Overall {
        fails_count: count(Standing::Fails),
        doubtful_count: count(Standing::Doubtful),
        holds_count: count(Standing::Holds),
        no_limit_count: count(Standing::NoLimit),
        not_assessed_count: count(Standing::NotAssessed),
    }
}

impl Overall {
    /// The standing of the whole: that of its worst check.
    #[must_use]
    pub fn standing(&self) -> Standing {
        if self.fails_count > 0 {
            Standing::Fails
        } else if self.doubtful_count > 0 {
            Standing::Doubtful
        } else {
            Standing::Holds
        }
    }

    /// The verdict in one sentence.
    #[must_use]
    pub fn sentence(&self) -> &'static str {
        match self.standing() {
            Standing::Fails => "The drive does not meet its limits and must not be built as it is.",
            Standing::Doubtful => "The drive holds its limits, with doubts that a designer must settle.",
            _ if self.not_assessed_count > 0 => {
                "Every check that was made holds; some requirements were not assessed."
            }
            _ => "Every check holds.",
        }
    }
}

/// The counts in one line: `2 fail, 1 doubtful, 17 hold, 4 without a limit, 3 not assessed`.
#[must_use]
pub fn verdict_line(findings: &[Finding]) -> Markup {
    let counts = overall(findings);
    let parts = [
        (Tag::Fails, counts.fails_count, if counts.fails_count == 1 { "fails" } else { "fail" }),
        (Tag::Doubtful, counts.doubtful_count, "doubtful"),
        (Tag::Holds, counts.holds_count, if counts.holds_count == 1 { "holds" } else { "hold" }),
        (Tag::NoLimit, counts.no_limit_count, "without a limit"),
        (Tag::NotAssessed, counts.not_assessed_count, "not assessed"),
    ];
    let mut line = Markup::default();
    for (tag, count, words) in parts.into_iter().filter(|part| part.1 > 0) {
        let comma = if line.is_empty() { "" } else { ", " };
        line = line.and(Tag::Words, comma).and(tag, format!("{count} {words}"));
    }
    line
}

/// All findings, worst first: what was checked, value, limit, margin, where.
#[must_use]
pub fn verdict_table(assessment: &Assessment) -> Table {
    findings_table("All checks, smallest margin first", assessment.findings.iter())
}

/// Some findings as a table, in the order given.
#[must_use]
pub fn findings_table<'a>(title: &str, findings: impl Iterator<Item = &'a Finding>) -> Table {
    Table {
        title: title.to_owned(),
        columns: vec![
            Column::new("standing", Align::Left),
            Column::new("check", Align::Left),
            Column::new("value", Align::Decimal),
            Column::new("limit", Align::Decimal),
            Column::numbers(Markup::words("margin"), "%"),
            Column::new("where", Align::Left),
        ],
        rows: findings.map(finding_row).collect(),
    }
}

fn finding_row(finding: &Finding) -> Vec<Markup> {
    vec![
        Markup::standing(finding.standing),
        Markup::words(finding.title.as_str()),
        if finding.value.is_some() { Markup::display(&finding.value_display) } else { Markup::words("–") },
        limit_words(finding),
        margin_words(finding),
        Markup::with_symbols(&finding.place),
    ]
}

/// The limit with the side that is good: `≤ 12.0 mm`; nothing where there is none.
#[must_use]
pub fn limit_words(finding: &Finding) -> Markup {
    use reducer::finding::Sense;
    if finding.limit.is_none() {
        return Markup::default();
    }
    let sense = match finding.sense {
        Sense::AtMost => "≤ ",
        Sense::AtLeast => "≥ ",
        Sense::Equals => "= ",
    };
    Markup::words(sense).then(Markup::display(&finding.limit_display))
}

/// The margin in per cent, without its unit.
fn margin_words(finding: &Finding) -> Markup {
    match finding.margin.and_then(margin_percent) {
        Some(percent) => Markup::tagged(Tag::Value, percent),
        None => Markup::words("–"),
    }
}

/// What to do about each finding that does not hold, in the order of the findings.
#[must_use]
pub fn hints(findings: &[Finding]) -> Vec<Markup> {
    let open =
        findings.iter().filter(|finding| finding.standing != Standing::Holds && !finding.hint.is_empty());
    open.map(|finding| {
        let title = Markup::tagged(finding.standing.into(), finding.title.as_str());
        title.and(Tag::Words, ": ").then(Markup::with_symbols(&finding.hint))
    })
    .collect()
}

/// The subjects of findings in the order of the report, with their headings.
pub const SUBJECTS: [(Subject, &str); 6] = [
    (Subject::Requirement, "Requirement"),
    (Subject::Geometry, "Geometry and fit"),
    (Subject::Strength, "Strength"),
    (Subject::Life, "Life"),
    (Subject::Accuracy, "Accuracy"),
    (Subject::Practice, "Practice"),
];

/// The head of a column for a quantity of the registry.
fn quantity_column(quantity: &str, words: &str) -> Column {
    let entry = registry::quantity(quantity);
    let symbol = entry.map_or("", |entry| entry.symbol.as_str());
    let head = if symbol.is_empty() {
        Markup::words(words)
    } else {
        Markup::words(format!("{words} ")).and(Tag::Symbol, symbol)
    };
    Column::numbers(head, entry.map_or("", |entry| entry.unit.as_str()))
}

fn number_cell(quantity: &str, core_value: f64) -> Markup {
    let text = registry::quantity(quantity)
        .map_or_else(|| registry::display(quantity, core_value), |entry| entry.number(core_value));
    Markup::tagged(Tag::Value, text)
}

/// Force and pressure at each ring roller at the computed crank angle nearest to the one asked for.
///
/// Rollers that carry on no disc are left out.
#[must_use]
pub fn loads_table(geometry: &Geometry, case: &LoadCase, crank_angle_rad: f64) -> Table {
    contact_table(geometry, case, crank_angle_rad, false)
}

/// Half a turn, less than the last digit of an angle.
const OPPOSITE_RAD: f64 = std::f64::consts::PI + 1e-6;

/// Force and pressure at each output pin at the computed crank angle nearest to the one asked for.
#[must_use]
pub fn pin_loads_table(geometry: &Geometry, case: &LoadCase, crank_angle_rad: f64) -> Table {
    contact_table(geometry, case, crank_angle_rad, true)
}

fn contact_table(geometry: &Geometry, case: &LoadCase, crank_angle_rad: f64, is_pin: bool) -> Table {
    let (noun, force, pressure) = if is_pin {
        ("output pin", "output_pin_force_n", "output_pin_pressure_mpa")
    } else {
        ("ring roller", "ring_roller_force_n", "ring_roller_pressure_mpa")
    };
    let pose = nearest_pose(case, crank_angle_rad);
    let angle = pose.map_or(crank_angle_rad, |pose| pose.crank_angle_rad);
    let discs = pose.map_or(&[][..], |pose| &pose.discs[..]);
    let mut columns =
        vec![Column::new(noun, Align::Right), Column::numbers(Markup::words("from the crank"), "°")];
    for disc in 1..=discs.len() {
        columns.push(quantity_column(force, &format!("disc {disc}: force")));
        columns.push(quantity_column(pressure, "pressure"));
    }
    let count = if is_pin { geometry.pin_count } else { geometry.ring_roller_count };
    let lobes = reducer::kinematics::lobe_count(geometry) as f64;
    let turned =
        if is_pin { geometry.hole_phase_rad - angle * geometry.tooth_difference as f64 / lobes } else { 0.0 };
    let mut rows = Vec::new();
    for contact in 0..count {
        let loads: Vec<(f64, f64)> = discs
            .iter()
            .map(|disc| {
                let (forces, pressures) = if is_pin {
                    (&disc.output_pin_force_n, &disc.output_pin_pressure_mpa)
                } else {
                    (&disc.ring_roller_force_n, &disc.ring_roller_pressure_mpa)
                };
                (forces.get(contact).copied().unwrap_or(0.0), pressures.get(contact).copied().unwrap_or(0.0))
            })
            .collect();
        if !is_pin && loads.iter().all(|load| load.0 <= 0.0) {
            continue;
        }
        let from_crank = wrap_angle(turned + TAU * contact as f64 / count as f64 - angle);
        // Opposite the crank rounding must not choose between 180° and −180°.
        let from_crank = if from_crank < OPPOSITE_RAD - TAU { from_crank + TAU } else { from_crank };
        let mut row = vec![
            Markup::tagged(Tag::Value, format!("{}", contact + 1)),
            Markup::tagged(Tag::Value, format_number(degrees(from_crank), 1)),
        ];
        for (force_n, pressure_mpa) in loads {
            let shown = |quantity: &str, value: f64| {
                if force_n > 0.0 { number_cell(quantity, value) } else { Markup::tagged(Tag::Aside, "–") }
            };
            row.push(shown(force, force_n));
            row.push(shown(pressure, pressure_mpa));
        }
        rows.push(row);
    }
    let degrees = format_number(degrees(angle), 1);
    Table {
        title: format!("Loads at the {noun}s at a crank angle of {degrees}°, {}", case.title),
        columns,
        rows,
    }
}

/// The greatest loads of every load case, one case a row.
#[must_use]
pub fn extremes_table(cases: &[LoadCase]) -> Table {
    let mut columns = vec![Column::new("load case", Align::Left)];
    columns.push(quantity_column("output_torque_n_mm", "torque"));
    columns.push(quantity_column("ring_roller_force_n", "ring roller: force"));
    columns.push(quantity_column("ring_roller_pressure_mpa", "pressure"));
    columns.push(quantity_column("output_pin_force_n", "output pin: force"));
    columns.push(quantity_column("output_pin_pressure_mpa", "pressure"));
    columns.push(quantity_column("output_pin_bending_mpa", "bending"));
    columns.push(quantity_column("bearing_force_n", "bearing: force"));
    let row = |case: &LoadCase| {
        let extremes = &case.extremes;
        vec![
            Markup::words(case.title.as_str()),
            number_cell("output_torque_n_mm", case.output_torque_n_mm),
            number_cell("ring_roller_force_n", extremes.ring_roller_force.value),
            number_cell("ring_roller_pressure_mpa", extremes.ring_roller_pressure.value),
            number_cell("output_pin_force_n", extremes.output_pin_force.value),
            number_cell("output_pin_pressure_mpa", extremes.output_pin_pressure.value),
            number_cell("output_pin_bending_mpa", extremes.output_pin_bending.value),
            number_cell("bearing_force_n", extremes.bearing_force.value),
        ]
    };
    Table {
        title: "Greatest loads of every load case over one period".to_owned(),
        columns,
        rows: cases.iter().map(row).collect(),
    }
}

/// Pressure and shear where each kind of contact is pressed most in a load case.
#[must_use]
pub fn contact_stress_table(stresses: &[ContactStress], case: &LoadCase) -> Table {
    let mut columns = vec![Column::new("contact", Align::Left)];
    columns.push(quantity_column("contact_force_n", "force"));
    columns.push(quantity_column("hertz_pressure_mpa", "pressure"));
    columns.push(quantity_column("half_width_mm", "half width"));
    columns.push(quantity_column("greatest_shear_mpa", "greatest shear"));
    columns.push(quantity_column("shear_depth_mm", "at a depth of"));
    let row = |stress: &ContactStress| {
        vec![
            Markup::words(stress.contact.as_str()),
            number_cell("contact_force_n", stress.contact_force_n),
            number_cell("hertz_pressure_mpa", stress.hertz_pressure_mpa),
            number_cell("half_width_mm", stress.half_width_mm),
            number_cell("greatest_shear_mpa", stress.greatest_shear_mpa),
            number_cell("shear_depth_mm", stress.shear_depth_mm),
        ]
    };
    Table {
        title: format!("Stresses where each kind of contact is pressed most, {}", case.title),
        columns,
        rows: stresses.iter().filter(|stress| stress.load_case == case.id).map(row).collect(),
    }
}

/// Where the greatest loads of one load case act.
#[must_use]
pub fn governing_table(case: &LoadCase) -> Table {
    let extremes = &case.extremes;
    let row = |words: &str, quantity: &str, extreme: &Extreme, contact: &str| {
        let place =
            if contact.is_empty() { String::new() } else { format!("{contact} {}", extreme.contact + 1) };
        vec![
            Markup::words(words),
            Markup::value(quantity, extreme.value),
            Markup::words(format!("disc {}", extreme.disc + 1)),
            Markup::words(place),
            Markup::tagged(Tag::Value, format_number(degrees(extreme.crank_angle_rad), 1)),
        ]
    };
    Table {
        title: format!("Where the greatest loads act, {}", case.title),
        columns: vec![
            Column::new("load", Align::Left),
            Column::new("value", Align::Decimal),
            Column::new("disc", Align::Left),
            Column::new("contact", Align::Left),
            Column::numbers(Markup::words("crank angle"), "°"),
        ],
        rows: vec![
            row("force at a ring roller", "ring_roller_force_n", &extremes.ring_roller_force, "roller"),
            row(
                "pressure at a ring roller",
                "ring_roller_pressure_mpa",
                &extremes.ring_roller_pressure,
                "roller",
            ),
            row("force at an output pin", "output_pin_force_n", &extremes.output_pin_force, "pin"),
            row("pressure at an output pin", "output_pin_pressure_mpa", &extremes.output_pin_pressure, "pin"),
            row("bending of an output pin", "output_pin_bending_mpa", &extremes.output_pin_bending, "pin"),
            row("force of an eccentric bearing", "bearing_force_n", &extremes.bearing_force, ""),
        ],
    }
}

/// Force of each disc's bearing and its share of the torque at a crank angle.
#[must_use]
pub fn discs_table(case: &LoadCase, crank_angle_rad: f64) -> Table {
    let pose = nearest_pose(case, crank_angle_rad);
    let discs = pose.map_or(&[][..], |pose| &pose.discs[..]);
    let total: f64 = discs.iter().map(|disc| disc.torque_n_mm).sum();
    let row = |(index, disc): (usize, &reducer::results::DiscState)| {
        let carrying = disc.ring_roller_force_n.iter().filter(|&&force| force > 0.0).count();
        let share = if total == 0.0 { 0.0 } else { disc.torque_n_mm / total };
        vec![
            Markup::tagged(Tag::Value, format!("{}", index + 1)),
            number_cell("output_torque_n_mm", disc.torque_n_mm),
            Markup::tagged(Tag::Value, format_number(100.0 * share, 1)),
            Markup::tagged(Tag::Value, format!("{carrying}")),
            number_cell("bearing_force_n", hypot(disc.bearing_force_n[0], disc.bearing_force_n[1])),
        ]
    };
    Table {
        title: format!("Discs, {}", case.title),
        columns: vec![
            Column::new("disc", Align::Right),
            quantity_column("output_torque_n_mm", "torque passed on"),
            Column::numbers(Markup::words("share"), "%"),
            Column::new("rollers that carry", Align::Right),
            quantity_column("bearing_force_n", "bearing force"),
        ],
        rows: discs.iter().enumerate().map(row).collect(),
    }
}

/// Named values, one a row, with their symbols.
fn value_table(title: &str, rows: Vec<Option<Vec<Markup>>>) -> Table {
    Table {
        title: title.to_owned(),
        columns: vec![
            Column::new("quantity", Align::Left),
            Column::new("symbol", Align::Left),
            Column::new("value", Align::Decimal),
        ],
        rows: rows.into_iter().flatten().collect(),
    }
}

fn value_row(quantity: &str, words: &str, core_value: f64) -> Option<Vec<Markup>> {
    let symbol = registry::quantity(quantity).map_or("", |entry| entry.symbol.as_str());
    let cells = vec![
        Markup::tagged(Tag::Quantity, words),
        Markup::tagged(Tag::Symbol, symbol),
        Markup::value(quantity, core_value),
    ];
    core_value.is_finite().then_some(cells)
}

fn words_row(words: &str, value: String) -> Option<Vec<Markup>> {
    Some(vec![Markup::tagged(Tag::Quantity, words), Markup::default(), Markup::words(value)])
}

/// What follows from the shape alone.
#[must_use]
pub fn geometry_table(geometry: &GeometryResult) -> Table {
    let one_part = match geometry.one_part {
        OnePart::SameWayUp => "yes, all the same way up",
        OnePart::TurnedOver => "yes, some turned over",
        OnePart::Different => "no, the discs differ by a phase",
    };
    let (fewest, most) = geometry.carrying_roller_count;
    value_table(
        "What follows from the geometry",
        vec![
            words_row("lobes of a disc", format!("{}", geometry.lobe_count)),
            value_row("shortening", "shortening coefficient", geometry.shortening),
            value_row(
                "rolling_circle_diameter_mm",
                "rolling-circle diameter",
                geometry.rolling_circle_diameter_mm,
            ),
            value_row("base_circle_diameter_mm", "base-circle diameter", geometry.base_circle_diameter_mm),
            value_row("ring_pitch_radius_mm", "pitch radius of the ring", geometry.ring_pitch_radius_mm),
            value_row("disc_pitch_radius_mm", "pitch radius of the disc", geometry.disc_pitch_radius_mm),
            value_row("tip_radius_mm", "tip radius of a lobe", geometry.tip_radius_mm),
            value_row("root_radius_mm", "root radius of a lobe", geometry.root_radius_mm),
            value_row("lobe_height_mm", "height of a lobe", geometry.lobe_height_mm),
            value_row(
                "undercut_limit_mm",
                "roller radius at which undercut starts",
                geometry.undercut_limit_mm,
            ),
            value_row(
                "least_convex_radius_mm",
                "smallest convex radius of the profile",
                geometry.least_convex_radius_mm,
            ),
            value_row(
                "valley_radius_mm",
                "radius in the valley (negative: concave)",
                geometry.valley_radius_mm,
            ),
            value_row("largest_lever_mm", "longest lever arm of a roller force", geometry.largest_lever_mm),
            value_row(
                "largest_normal_angle_rad",
                "largest angle of a normal to the radius",
                geometry.largest_normal_angle_rad,
            ),
            words_row("rollers that can carry", format!("{fewest} to {most}")),
            value_row(
                "pin_outside_radius_mm",
                "outside radius of an output pin",
                geometry.pin_outside_radius_mm,
            ),
            value_row("hole_radius_mm", "radius of an output hole", geometry.hole_radius_mm),
            value_row(
                "profile_backlash_rad",
                "backlash from the lobe profile",
                geometry.profile_backlash_rad,
            ),
            value_row("geometric_backlash_rad", "geometric backlash in all", geometry.geometric_backlash_rad),
            geometry
                .profile_area_mm2
                .and_then(|area| value_row("profile_area_mm2", "area inside the profile", area)),
            geometry
                .profile_length_mm
                .and_then(|length| value_row("profile_length_mm", "length of the profile", length)),
            geometry
                .disc_area_mm2
                .and_then(|area| value_row("disc_area_mm2", "area of a disc without its holes", area)),
            geometry.disc_mass_kg.and_then(|mass| value_row("disc_mass_kg", "mass of a disc", mass)),
            words_row("one part number for all discs", one_part.to_owned()),
        ],
    )
}

/// Ratios and speeds at the greatest crank speed.
#[must_use]
pub fn kinematics_table(assessment: &Assessment) -> Table {
    let kinematics = &assessment.kinematics;
    value_table(
        "Ratio and speeds; a minus sign means against the crank",
        vec![
            value_row("ratio", "turns of the crank for one of the output", kinematics.ratio),
            value_row(
                "max_input_speed_rad_per_s",
                "greatest crank speed",
                kinematics.max_input_speed_rad_per_s,
            ),
            value_row(
                "max_output_speed_rad_per_s",
                "output speed then",
                kinematics.max_output_speed_rad_per_s,
            ),
            value_row(
                "max_eccentric_bearing_speed_rad_per_s",
                "speed between the rings of the eccentric bearing then",
                kinematics.max_eccentric_bearing_speed_rad_per_s,
            ),
            value_row(
                "mean_eccentric_bearing_speed_rad_per_s",
                "the same at the mean crank speed",
                kinematics.mean_eccentric_bearing_speed_rad_per_s,
            ),
            value_row(
                "max_roller_sliding_speed_mm_per_s",
                "sliding at a ring roller that does not turn",
                kinematics.max_roller_sliding_speed_mm_per_s,
            ),
            value_row(
                "max_pin_sliding_speed_mm_per_s",
                "sliding at an output pin without a sleeve",
                kinematics.max_pin_sliding_speed_mm_per_s,
            ),
        ],
    )
}

/// Ratings, load and life of a bearing.
#[must_use]
pub fn bearing_table(title: &str, bearing: &BearingResult) -> Table {
    value_table(
        title,
        vec![
            value_row("dynamic_rating_n", "basic dynamic load rating", bearing.dynamic_rating_n),
            bearing
                .static_rating_n
                .and_then(|rating| value_row("static_rating_n", "basic static load rating", rating)),
            words_row("ratings", bearing.rating_origin.clone()),
            value_row("equivalent_load_n", "equivalent load over the duty cycle", bearing.equivalent_load_n),
            value_row("mean_speed_rad_per_s", "mean speed between its rings", bearing.mean_speed_rad_per_s),
            value_row("life_million_turns", "basic rating life", bearing.life_million_turns),
            value_row("life_s", "basic rating life in running time", bearing.life_s),
            value_row("greatest_force_n", "greatest force over all load cases", bearing.greatest_force_n),
            bearing.static_safety.and_then(|safety| value_row("static_safety", "static safety", safety)),
        ],
    )
}

/// Every input, one table a section of the drive file, values as written and defaults marked.
///
/// `written` gives the text of a value that stands in the file, by its dotted path such as
/// `requirement.duty[0].torque`. Optional keys that the file does not give are left out.
#[must_use]
pub fn input_tables(written: &dyn Fn(&str) -> Option<String>) -> Vec<Table> {
    let mut tables = Vec::new();
    for field in Drive::SECTION.fields {
        if let Kind::Section(section) = field.kind {
            let mut rows = Vec::new();
            collect_inputs(section, field.key, "", written, &mut rows);
            tables.push(Table {
                title: section.doc.trim().trim_end_matches('.').to_owned(),
                columns: vec![
                    Column::new("key", Align::Left),
                    Column::new("value", Align::Left),
                    Column::new("meaning", Align::Left),
                ],
                rows,
            });
        }
    }
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn collect_inputs(
    section: &Section,
    path: &str,
    prefix: &str,
    written: &dyn Fn(&str) -> Option<String>,
    rows: &mut Vec<Vec<Markup>>,
) {
    for field in section.fields {
        let full = format!("{path}.{}", field.key);
        let shown = format!("{prefix}{}", field.key);
        match field.kind {
            Kind::Section(inner) => {
                if written(&full).is_some()
                    || matches!(field.presence, Presence::Default(_))
                    || has_any(inner, &full, written)
                {
                    collect_inputs(inner, &full, &format!("{shown}."), written, rows);
                }
            }
            Kind::List(inner) => {
                let mut index = 0;
                while has_any(inner, &format!("{full}[{index}]"), written) {
                    let label = format!("{shown} {}.", index + 1);
                    collect_inputs(inner, &format!("{full}[{index}]"), &label, written, rows);
                    index += 1;
                }
            }
            _ => rows.extend(input_row(field, &shown, written(&full))),
        }
    }
}

fn has_any(section: &Section, path: &str, written: &dyn Fn(&str) -> Option<String>) -> bool {
    section.fields.iter().any(|field| written(&format!("{path}.{}", field.key)).is_some())
}

fn input_row(field: &Field, shown: &str, text: Option<String>) -> Option<Vec<Markup>> {
    let value = match (text, field.presence) {
        (Some(text), _) => Markup::display(&text),
        (None, Presence::Default(text)) => Markup::display(text).and(Tag::Aside, " (default)"),
        (None, _) => return None,
    };
    Some(vec![Markup::tagged(Tag::Code, shown), value, Markup::with_symbols(field.doc.trim_end_matches('.'))])
}
