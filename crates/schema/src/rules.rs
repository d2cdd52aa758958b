//! Rules across keys: what each value allows alone, but not together with the others.
//!
//! A rule looks only at values that could be read and stays silent where one is missing, so that
//! nothing is reported twice. Anything that has to be computed from the shape is a finding of the
//! core, not a rule here.

mod tolerances;

use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::places::View;
use crate::scalar::{quoted_list, short};
use std::ops::RangeInclusive;

/// Largest departure of the sum of time shares from one: they are written with a few decimals.
const TIME_SHARE_TOLERANCE: f64 = 1e-6;
/// Departure of the stated mean speed from that of the duty cycle that is worth a caution.
const MEAN_SPEED_TOLERANCE: f64 = 0.01;
/// Longest name: it becomes part of file names.
const LONGEST_NAME: usize = 64;

/// Names of the materials that come with the program.
#[must_use]
pub fn known_materials() -> Vec<&'static str> {
    reducer::materials::built_in().iter().map(|material| material.name.as_str()).collect()
}

/// Whether a text can be the name of a drive: lower-case letters, digits and hyphens.
#[must_use]
pub fn is_valid_name(name: &str) -> bool {
    let allowed =
        |character: char| character.is_ascii_lowercase() || character.is_ascii_digit() || character == '-';
    (1..=LONGEST_NAME).contains(&name.len()) && name.chars().all(allowed) && !name.starts_with('-')
}

/// Errors and cautions of a whole file.
pub(crate) fn check(view: &View<'_>) -> (Vec<Diagnostic>, Vec<Diagnostic>) {
    let mut errors = Vec::new();
    identity(view, &mut errors);
    torques_and_speeds(view, &mut errors);
    duty_cycle(view, &mut errors);
    indexing(view, &mut errors);
    geometry(view, &mut errors);
    materials(view, &mut errors);
    bearings(view, &mut errors);
    lubricant(view, &mut errors);
    contact_law(view, &mut errors);
    elastic_disc(view, &mut errors);
    eccentric_bearing(view, &mut errors);
    tolerances::check(view, &mut errors);
    let mut cautions = Vec::new();
    slips(view, &mut cautions);
    (errors, cautions)
}

/// An error at the value of a key.
fn at(view: &View<'_>, path: &str, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(message).at_if_known(view.value_span(path)).key(path)
}

/// An error for a key that another one calls for: it stands at that other one.
fn lacking(view: &View<'_>, path: &str, because: &str, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(message).at_if_known(view.value_span(because)).key(path)
}

/// Requires that one key's value is at least (or more than) another's, where both are known.
fn ordered(view: &View<'_>, errors: &mut Vec<Diagnostic>, rule: &Ordered) {
    let (Some(smaller), Some(larger)) = (view.number(rule.smaller), view.number(rule.larger)) else { return };
    if smaller < larger || (!rule.is_strict && smaller <= larger) {
        return;
    }
    let (place, other) =
        if rule.place == rule.larger { (rule.larger, rule.smaller) } else { (rule.smaller, rule.larger) };
    let (relation, sign) = match (rule.place == rule.larger, rule.is_strict) {
        (true, false) => ("below", "<"),
        (true, true) => ("not above", "≤"),
        (false, false) => ("above", ">"),
        (false, true) => ("not below", "≥"),
    };
    let message = format!(
        "`{}` is {relation} `{}`: {} {sign} {}",
        key_of(place),
        key_of(other),
        view.written(place),
        view.written(other)
    );
    errors.push(at(view, place, message).expected(rule.expected).hint(rule.hint));
}

/// Two keys whose values have an order.
struct Ordered {
    smaller: &'static str,
    larger: &'static str,
    /// Whether equal values break the rule.
    is_strict: bool,
    /// The key at which an error is shown.
    place: &'static str,
    /// What the order means, shown at the place.
    expected: &'static str,
    hint: &'static str,
}

fn key_of(path: &str) -> &str {
    path.rsplit_once('.').map_or(path, |(_, key)| key)
}

fn identity(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    if let Some(name) = view.text("drive.name").filter(|name| !is_valid_name(name)) {
        let letters = |character: char| if character.is_ascii_alphanumeric() { character } else { '-' };
        let hyphened: String = name.to_lowercase().chars().map(letters).collect();
        let words: Vec<&str> = hyphened.split('-').filter(|word| !word.is_empty()).collect();
        let plain: String = words.join("-").chars().take(LONGEST_NAME).collect();
        let error = at(view, "drive.name", "`name` must be fit for file names")
            .expected(format!("lower-case letters, digits and hyphens, at most {LONGEST_NAME}"));
        errors.push(if plain.is_empty() { error } else { error.hint(format!("write \"{plain}\"")) });
    }
    if let Some(date) = view.text("drive.date").filter(|date| !is_date(date)) {
        let message = format!("`date` is not a calendar date: {date}");
        errors.push(at(view, "drive.date", message).expected("year, month, day, such as \"2026-11-25\""));
    }
}

/// Whether a text is a date of the form 2026-11-25 that exists in the calendar.
fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return false };
    let number = |part: &str, length: usize| {
        (part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit()))
            .then(|| part.parse::<u32>().ok())?
    };
    let (Some(year), Some(month), Some(day)) = (number(year, 4), number(month, 2), number(day, 2)) else {
        return false;
    };
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let last = match month {
        2 => 28 + u32::from(is_leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return false,
    };
    (1..=last).contains(&day)
}

fn torques_and_speeds(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let (rated, peak, emergency) =
        ("requirement.rated_torque", "requirement.peak_torque", "requirement.emergency_torque");
    for (smaller, larger) in [(rated, peak), (rated, emergency), (peak, emergency)] {
        let rule = Ordered {
            smaller,
            larger,
            is_strict: false,
            place: larger,
            expected: "rated, peak and emergency torque rise in this order",
            hint: "raise it, or leave it out if there is no greater torque",
        };
        ordered(view, errors, &rule);
    }
    for path in ["requirement.max_input_speed", "requirement.mean_input_speed"] {
        if view.number(path) == Some(0.0) {
            let message =
                format!("`{}` is zero: a drive that never turns has no life to compute", key_of(path));
            errors.push(at(view, path, message).expected("above zero"));
        }
    }
    if view.number("requirement.max_input_speed") == Some(0.0) {
        return;
    }
    let rule = Ordered {
        smaller: "requirement.mean_input_speed",
        larger: "requirement.max_input_speed",
        is_strict: false,
        place: "requirement.mean_input_speed",
        expected: "a mean cannot be above the greatest",
        hint: "lower mean_input_speed or raise max_input_speed",
    };
    ordered(view, errors, &rule);
}

fn duty_cycle(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let steps = 0..view.list_length("requirement.duty");
    let each = |key: &str| -> Vec<Option<f64>> {
        steps.clone().map(|step| view.number(&format!("requirement.duty[{step}].{key}"))).collect()
    };
    let shares: Option<Vec<f64>> = each("time_share").into_iter().collect();
    if let Some(sum) = shares.filter(|shares| !shares.is_empty()).map(|shares| shares.iter().sum::<f64>())
        && (sum - 1.0).abs() > TIME_SHARE_TOLERANCE
    {
        let last = format!("requirement.duty[{}].time_share", steps.end - 1);
        let message =
            format!("the time shares of the duty cycle add up to {} %, not 100 %", short(sum * 100.0));
        let hint = "change the shares; standing still does not count, it is in running_share";
        errors.push(at(view, &last, message).expected("the last of the shares").hint(hint));
    }
    let speeds = each("input_speed");
    if !speeds.is_empty() && speeds.iter().all(|speed| *speed == Some(0.0)) {
        let message = "no step of the duty cycle turns";
        errors.push(
            at(view, "requirement.duty[0].input_speed", message).expected("at least one step above zero"),
        );
    }
    above_greatest(view, errors, "input_speed", "requirement.max_input_speed");
    above_greatest(view, errors, "torque", "requirement.peak_torque");
}

/// An error for each step of the duty cycle that goes beyond the greatest value stated above it.
fn above_greatest(view: &View<'_>, errors: &mut Vec<Diagnostic>, key: &str, greatest: &'static str) {
    let rated = view.number("requirement.rated_torque").filter(|_| key == "torque").unwrap_or(0.0);
    // A limit that is wrong itself says nothing about the steps.
    let Some(limit) = view.number(greatest).filter(|limit| *limit > 0.0 && *limit >= rated) else { return };
    for step in 0..view.list_length("requirement.duty") {
        let path = format!("requirement.duty[{step}].{key}");
        if view.number(&path).is_some_and(|value| value > limit) {
            let message = format!(
                "`{key}` of step {} is above `{}`: {} > {}",
                step + 1,
                key_of(greatest),
                view.written(&path),
                view.written(greatest)
            );
            let hint = format!("lower it, or raise {}", key_of(greatest));
            errors.push(
                at(view, &path, message)
                    .expected("at most the greatest value stated for the drive")
                    .hint(hint),
            );
        }
    }
}

fn indexing(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let keys = ["requirement.index_angle", "requirement.index_time", "requirement.index_rate"];
    let Some(given) = keys.into_iter().find(|path| view.is_given(path)) else { return };
    for path in keys.into_iter().filter(|path| !view.is_given(path)) {
        let message = format!(
            "`{}` is missing: an indexing drive needs angle, time and rate of its moves",
            key_of(path)
        );
        errors
            .push(lacking(view, path, given, message).hint(format!("add {} to [requirement]", key_of(path))));
    }
    if let (Some(time_s), Some(rate_per_s)) = (view.number(keys[1]), view.number(keys[2]))
        && time_s * rate_per_s > 1.0
    {
        let message = format!(
            "the moves take longer than the time between them: {} s > {} s",
            short(time_s),
            short(1.0 / rate_per_s)
        );
        errors.push(at(view, keys[1], message).expected("at most one over index_rate"));
    }
}

fn geometry(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    if let Some(difference) = view.count("geometry.tooth_difference").filter(|difference| *difference != 1) {
        let message = format!("a tooth difference of {difference} is not supported yet");
        errors.push(
            at(view, "geometry.tooth_difference", message)
                .expected("1")
                .hint("with a difference of one the ratio with the ring held is ring_roller_count less one"),
        );
    }
    let rules = [
        Ordered {
            smaller: "geometry.pin_radius",
            larger: "geometry.sleeve_radius",
            is_strict: true,
            place: "geometry.sleeve_radius",
            expected: "the outside of the sleeve that turns on the pin",
            hint: "raise sleeve_radius, or leave it out for bare pins",
        },
        Ordered {
            smaller: "geometry.roller_pin_radius",
            larger: "geometry.roller_radius",
            is_strict: true,
            place: "geometry.roller_pin_radius",
            expected: "the pin inside the roller",
            hint: "lower roller_pin_radius, or leave it out where the roller is solid",
        },
        Ordered {
            smaller: "geometry.contact_length",
            larger: "geometry.disc_width",
            is_strict: false,
            place: "geometry.contact_length",
            expected: "no longer than the disc is wide",
            hint: "lower contact_length, or leave it out for the whole width",
        },
        Ordered {
            smaller: "geometry.pin_contact_length",
            larger: "geometry.disc_width",
            is_strict: false,
            place: "geometry.pin_contact_length",
            expected: "no longer than the disc is wide",
            hint: "lower pin_contact_length, or leave it out for the whole width",
        },
    ];
    rules.iter().for_each(|rule| ordered(view, errors, rule));
    if view.text("geometry.roller_support") == Some("pin") && !view.is_given("geometry.roller_pin_span") {
        let message = "`roller_pin_span` is missing: rollers on pins bend them between the supports";
        errors.push(
            lacking(view, "geometry.roller_pin_span", "geometry.roller_support", message)
                .expected("held at both ends")
                .hint("add roller_pin_span, the free length between the supports, to [geometry]"),
        );
    }
}

fn materials(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let built_in = known_materials();
    let custom: Vec<(String, String)> = (0..view.list_length("materials.custom"))
        .filter_map(|index| {
            let path = format!("materials.custom[{index}].name");
            view.text(&path).map(str::to_owned).map(|name| (path, name))
        })
        .collect();
    for (index, (path, name)) in custom.iter().enumerate() {
        let is_taken =
            built_in.contains(&name.as_str()) || custom[..index].iter().any(|(_, other)| other == name);
        if is_taken {
            let message = format!("there is already a material called \"{name}\"");
            errors.push(at(view, path, message).expected("a name of its own"));
        }
    }
    let names: Vec<&str> =
        built_in.iter().copied().chain(custom.iter().map(|(_, name)| name.as_str())).collect();
    for part in PARTS {
        let Some(name) = view.text(part).filter(|name| !names.contains(name)) else { continue };
        let hint = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "state it under [[materials.custom]] with a source for its values".to_owned(),
        };
        let message = format!("there is no material called \"{name}\"");
        let expected = format!("one of {}", quoted_list(names.iter().copied()));
        errors.push(at(view, part, message).expected(expected).hint(hint));
    }
    if !view.is_given("geometry") || !view.is_given("materials") {
        return;
    }
    match (view.is_given("geometry.sleeve_radius"), view.is_given("materials.sleeve")) {
        (true, false) => {
            let message = "`sleeve` is missing in [materials]: the output pins have sleeves";
            errors.push(
                lacking(view, "materials.sleeve", "geometry.sleeve_radius", message)
                    .hint("add sleeve to [materials], or leave sleeve_radius out for bare pins"),
            );
        }
        (false, true) => {
            let message = "`sleeve` is given, but the output pins have no sleeves";
            errors.push(
                at(view, "materials.sleeve", message)
                    .hint("leave it out, or add sleeve_radius to [geometry]"),
            );
        }
        _ => {}
    }
}

/// The keys that name a material.
const PARTS: [&str; 5] =
    ["materials.disc", "materials.ring_roller", "materials.output_pin", "materials.sleeve", "materials.ring"];

fn bearings(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    for table in ["bearings.eccentric", "bearings.input", "bearings.output"] {
        if view.is_given(table) {
            bearing_data(view, errors, table);
            bearing_sizes(view, errors, table);
        }
    }
}

/// A bearing needs its rating, or all from which the rating formula computes it.
fn bearing_data(view: &View<'_>, errors: &mut Vec<Diagnostic>, table: &str) {
    let key = |key: &str| format!("{table}.{key}");
    if view.is_given(&key("dynamic_rating")) {
        return;
    }
    let Some(kind) = view.text(&key("kind")) else { return };
    let mut needed = vec!["element_count", "element_diameter", "pitch_diameter"];
    if !matches!(kind, "deep-groove-ball" | "angular-contact-pair") {
        needed.push("element_length");
    }
    if matches!(kind, "angular-contact-pair" | "tapered-roller-pair") {
        needed.push("contact_angle");
    }
    let lacking_keys: Vec<&str> = needed.iter().copied().filter(|name| !view.is_given(&key(name))).collect();
    if lacking_keys.is_empty() {
        return;
    }
    let has_geometry = lacking_keys.len() < needed.len();
    let message = format!("[{table}] has neither its rating nor all that a rating is computed from");
    let hint = if has_geometry {
        format!("add {}, or dynamic_rating from the maker", lacking_keys.join(", "))
    } else {
        format!("add dynamic_rating from the maker, or {}", needed.join(", "))
    };
    let span = view.places.get(table).map(|place| place.key.clone());
    errors.push(Diagnostic::error(message).at_if_known(span).key(key("dynamic_rating")).hint(hint));
}

/// Rings and rolling elements that cannot be.
fn bearing_sizes(view: &View<'_>, errors: &mut Vec<Diagnostic>, table: &str) {
    let key = |key: &str| format!("{table}.{key}");
    let number = |name: &str| view.number(&key(name));
    let mut refuse = |name: &str, message: String, expected: &str| {
        errors.push(at(view, &key(name), format!("{message} in [{table}]")).expected(expected));
    };
    let not_below = |smaller: &str, larger: &str| {
        format!(
            "`{smaller}` is not below `{larger}`: {} ≥ {}",
            view.written(&key(smaller)),
            view.written(&key(larger))
        )
    };
    if let (Some(bore), Some(outside)) = (number("bore_diameter"), number("outside_diameter"))
        && bore >= outside
    {
        refuse("bore_diameter", not_below("bore_diameter", "outside_diameter"), "the inner of the two");
    }
    let (Some(element), Some(pitch)) = (number("element_diameter"), number("pitch_diameter")) else { return };
    if element >= pitch {
        refuse("element_diameter", not_below("element_diameter", "pitch_diameter"), "much smaller");
    } else if let Some(count) = view.count(&key("element_count")) {
        // Neighbours on the circle touch where the arc's chord equals the diameter; the arc is a little longer.
        if count as f64 * element > std::f64::consts::PI * pitch {
            let most = (std::f64::consts::PI * pitch / element).floor();
            refuse(
                "element_count",
                format!("{count} rolling elements overlap"),
                &format!("at most {most} on this circle"),
            );
        }
    }
}

fn lubricant(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let rule = Ordered {
        smaller: "lubrication.viscosity_100",
        larger: "lubrication.viscosity_40",
        is_strict: true,
        place: "lubrication.viscosity_100",
        expected: "oil is thinner at 100 °C than at 40 °C",
        hint: "check that the two are not exchanged",
    };
    ordered(view, errors, &rule);
}

fn contact_law(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    if view.text("model.contact_law") != Some("linear") {
        return;
    }
    for path in ["model.roller_stiffness", "model.pin_stiffness"] {
        if !view.is_given(path) {
            let message =
                format!("`{}` is missing: the linear law has no stiffness of its own", key_of(path));
            errors.push(
                lacking(view, path, "model.contact_law", message)
                    .hint(format!("add {} to [model], or write contact_law = \"auto\"", key_of(path))),
            );
        }
    }
}

/// Laws that already hold some give of the bodies do not go with bodies that give by themselves.
fn elastic_disc(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    if view.text("model.disc") != Some("elastic") {
        return;
    }
    let law = match view.text("model.contact_law") {
        Some("palmgren") => "Palmgren's law",
        Some("brandlein") => "Brändlein's law",
        Some("linear") => "a constant stiffness",
        _ => return,
    };
    let message = format!("{law} does not go with an elastic disc: the give of the bodies would count twice");
    let hint = "write contact_law = \"auto\" or \"two-cylinders\", or disc = \"rigid\"";
    errors.push(at(view, "model.contact_law", message).hint(hint));
}

/// A bearing that gives way in the load model needs what says how.
fn eccentric_bearing(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    const CHOICE: &str = "model.eccentric_bearing";
    const TABLE: &str = "bearings.eccentric";
    let word = view.text(CHOICE).filter(|_| view.is_given(CHOICE) && view.is_given(TABLE));
    let key = |key: &str| format!("{TABLE}.{key}");
    play_of_eccentric_bearing(view, errors, word);
    match word {
        Some("stiffness") if !view.is_given(&key("stiffness")) => {
            let message = "`stiffness` is missing: the eccentric bearing is to give by it";
            let hint =
                format!("add stiffness to [{TABLE}], or write eccentric_bearing = \"rollers\" or \"rigid\"");
            errors.push(lacking(view, &key("stiffness"), CHOICE, message).hint(hint));
        }
        Some("rollers") => {
            let Some(kind) = view.text(&key("kind")) else { return };
            if !ROLLER_KINDS.contains(&kind) {
                let message = format!("the eccentric bearing is to give by its rollers, but is a {kind}");
                let hint = format!("write eccentric_bearing = \"stiffness\" and add stiffness to [{TABLE}]");
                errors.push(at(view, CHOICE, message).hint(hint));
                return;
            }
            let missing: Vec<&str> = INSIDE.into_iter().filter(|name| !view.is_given(&key(name))).collect();
            if let Some(first) = missing.first() {
                let message =
                    "the eccentric bearing is to give by its rollers, but what is inside it is not known";
                let hint = format!("add {} to [{TABLE}]", missing.join(", "));
                errors.push(lacking(view, &key(first), CHOICE, message).hint(hint));
            }
        }
        _ => {}
    }
}

/// Bearings whose elements are rollers.
const ROLLER_KINDS: [&str; 3] = ["cylindrical-roller", "needle", "drawn-cup-needle"];
/// What says what is inside a roller bearing.
const INSIDE: [&str; 4] = ["element_count", "element_diameter", "element_length", "pitch_diameter"];

/// Whether the eccentric bearing gives in the load model where the file leaves it to the program.
fn gives_unasked(view: &View<'_>) -> bool {
    let key = |name: &str| format!("bearings.eccentric.{name}");
    let is_roller = view.text(&key("kind")).is_some_and(|kind| ROLLER_KINDS.contains(&kind));
    view.is_given(&key("stiffness")) || (is_roller && INSIDE.iter().all(|name| view.is_given(&key(name))))
}

/// Most clearance of an eccentric bearing that gives, as a share of the eccentricity: with more a disc can slip over the rollers.
const MOST_PLAY: f64 = 0.2;

/// A disc whose bearing has nearly as much play as its lobes have height is not held in mesh.
fn play_of_eccentric_bearing(view: &View<'_>, errors: &mut Vec<Diagnostic>, word: Option<&str>) {
    let path = "bearings.eccentric.radial_clearance";
    let gives = matches!(word, Some("stiffness" | "rollers"))
        || (word.is_none_or(|word| word == "auto") && gives_unasked(view));
    let (Some(clearance), Some(eccentricity)) = (view.number(path), view.number("geometry.eccentricity"))
    else {
        return;
    };
    if gives && clearance > MOST_PLAY * eccentricity {
        let message = format!(
            "`radial_clearance` is too large for the eccentricity: {} > {} of {}",
            view.written(path),
            short(MOST_PLAY),
            view.written("geometry.eccentricity")
        );
        errors.push(
            at(view, path, message)
                .expected("little against the height of the lobes, or the disc slips over the rollers")
                .hint("lower radial_clearance, or write eccentric_bearing = \"rigid\" in [model]"),
        );
    }
}

/// What is allowed, but is more likely a slip than meant.
fn slips(view: &View<'_>, cautions: &mut Vec<Diagnostic>) {
    let used = |name: &str| PARTS.iter().any(|part| view.text(part) == Some(name));
    for index in 0..view.list_length("materials.custom") {
        let path = format!("materials.custom[{index}].name");
        if let Some(name) = view.text(&path).filter(|name| !used(name)) {
            let caution = Diagnostic::caution(format!("no part is made of \"{name}\""));
            cautions.push(caution.at_if_known(view.value_span(&path)).key(path));
        }
    }
    if let (Some(duty), Some(stated)) = (mean_duty_speed(view), view.number("requirement.mean_input_speed"))
        && !within(duty / stated, 1.0 - MEAN_SPEED_TOLERANCE..=1.0 + MEAN_SPEED_TOLERANCE)
    {
        let path = "requirement.mean_input_speed";
        let message = format!(
            "`mean_input_speed` is not that of the duty cycle, which is {} times it",
            short(duty / stated)
        );
        cautions.push(
            Diagnostic::caution(message)
                .at_if_known(view.value_span(path))
                .key(path)
                .hint("the duty cycle decides the life; make the two agree"),
        );
    }
}

/// Mean speed of the duty cycle by time, if all its steps could be read.
fn mean_duty_speed(view: &View<'_>) -> Option<f64> {
    let count = view.list_length("requirement.duty");
    let step_speed = |step: usize| {
        let speed = view.number(&format!("requirement.duty[{step}].input_speed"))?;
        Some(speed * view.number(&format!("requirement.duty[{step}].time_share"))?)
    };
    let parts: Option<Vec<f64>> = (0..count).map(step_speed).collect();
    parts.filter(|parts| !parts.is_empty()).map(|parts| parts.iter().sum())
}

fn within(value: f64, range: RangeInclusive<f64>) -> bool {
    range.contains(&value)
}
