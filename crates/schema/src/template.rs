//! The starter drive file: every key with its meaning, from the field table and a set of values that work.

use crate::DRIVE;
use crate::places::join;
use crate::scalar::limits_in;
use reducer::model::record::{Field, Kind, Presence, Section};
use reducer::units::Dimension;

/// A complete drive file to start from: required keys with values of a working drive, all others
/// there but left out by a `#` in front.
///
/// The name becomes the name of the drive; [`crate::is_valid_name`] says whether it can be.
#[must_use]
pub fn template(name: &str) -> String {
    let mut text = HEAD.to_owned();
    write_section(&mut text, DRIVE, "", &Style { name, is_left_out: false });
    text
}

const HEAD: &str = "\
# A cycloidal drive, for lobewright.
#
# Quantities are text with a unit: \"3.2 mm\", \"180 N·m\", \"1500 rpm\", \"1.5 arcmin\", \"40 %\".
# A key with a # right before it is left out; its default holds, or nothing is assumed.
# Delete the # to use it. The values are those of a small drive that works; make them yours.

";

struct Style<'a> {
    name: &'a str,
    /// Whether the whole table is left out.
    is_left_out: bool,
}

/// Writes the plain keys of a table first and its inner tables after them, as TOML wants it.
fn write_section(text: &mut String, section: &Section, path: &str, style: &Style<'_>) {
    for field in section.fields.iter().filter(|field| !is_table(field)) {
        write_key(text, field, path, style);
    }
    for field in section.fields {
        let (Kind::Section(inner) | Kind::List(inner)) = field.kind else { continue };
        let path = join(path, field.key);
        let is_left_out = style.is_left_out || field.presence == Presence::Optional;
        let mark = if is_left_out { "#" } else { "" };
        let (open, close) = if matches!(field.kind, Kind::List(_)) { ("[[", "]]") } else { ("[", "]") };
        text.push_str(&format!("\n# {}\n{mark}{open}{path}{close}\n", field.doc));
        write_section(text, inner, &path, &Style { name: style.name, is_left_out });
    }
}

fn write_key(text: &mut String, field: &Field, path: &str, style: &Style<'_>) {
    let path = join(path, field.key);
    let is_in_use = field.presence == Presence::Required || IN_USE.contains(&path.as_str());
    let mark = if style.is_left_out || !is_in_use { "#" } else { "" };
    text.push_str(&format!("# {}{}\n", field.doc, remark(field, &path)));
    if let Kind::Choice(choices) = field.kind {
        for choice in choices {
            text.push_str(&format!("#   {}: {}\n", choice.word, choice.doc));
        }
    }
    text.push_str(&format!("{mark}{} = {}\n", field.key, written(field, value(field, &path, style.name))));
}

/// Limits of a count and the way to leave the key out.
fn remark(field: &Field, path: &str) -> String {
    let limits = match field.kind {
        Kind::Count if path != "format" => format!(" ({})", limits_in(field, None)),
        _ => String::new(),
    };
    match field.presence {
        Presence::Required => limits,
        Presence::Optional => format!("{limits} Optional."),
        Presence::Default(text) if starter_value(path).is_some() => format!("{limits} Default: {text}."),
        Presence::Default(_) => format!("{limits} The default."),
    }
}

/// The text of a key's value: that of the starter drive, or its default.
fn value<'a>(field: &'a Field, path: &str, name: &'a str) -> &'a str {
    if path == "drive.name" {
        return name;
    }
    starter_value(path).unwrap_or(match field.presence {
        Presence::Default(text) => text,
        Presence::Required | Presence::Optional => "",
    })
}

/// The value of a key in the starter file.
pub(crate) fn starter_value(path: &str) -> Option<&'static str> {
    STARTER.iter().find(|(known, _)| *known == path).map(|(_, text)| *text)
}

/// A value as it stands in the file: in quotes, unless it is a count, a flag or a plain number.
fn written(field: &Field, text: &str) -> String {
    let is_bare = match field.kind {
        Kind::Count | Kind::Flag => true,
        Kind::Quantity(Dimension::Plain) => text.parse::<f64>().is_ok(),
        _ => false,
    };
    if is_bare { text.to_owned() } else { toml_edit::Value::from(text).to_string() }
}

fn is_table(field: &Field) -> bool {
    matches!(field.kind, Kind::Section(_) | Kind::List(_))
}

/// Keys that can be left out, but not in a file to start from: the verdict needs them.
const IN_USE: &[&str] = &[
    "requirement.peak_torque",
    "requirement.life",
    "requirement.geometric_backlash",
    "requirement.outside_diameter",
    "geometry.pin_support",
    "geometry.hole_clearance",
    "geometry.crank_radius",
    "geometry.housing_radius",
    "geometry.housing_length",
    "geometry.modification.equidistant_offset",
    "geometry.modification.flank_rotation",
    "bearings.eccentric.element_count",
    "bearings.eccentric.element_diameter",
    "bearings.eccentric.element_length",
    "bearings.eccentric.pitch_diameter",
    "bearings.eccentric.bore_diameter",
    "bearings.eccentric.outside_diameter",
    "bearings.eccentric.width",
    "lubrication.viscosity_40",
    "lubrication.viscosity_100",
    "dynamics.counterweight_plane_1",
    "dynamics.counterweight_plane_2",
    "lubrication.operating_temperature",
    "lubrication.cleanliness",
];

/// Values of a small drive that works, for every key without a default and a few with one. Worked out by hand: 29:1,
/// K1 = 1.25 · 30 / 55 = 0.68; the roller radius of 3 mm is well below the undercut limit of 6.5 mm;
/// walls beside the output holes are 5 mm and more.
const STARTER: &[(&str, &str)] = &[
    ("format", "1"),
    ("drive.title", "What the drive is for"),
    ("drive.revision", "A"),
    ("drive.date", "2026-11-25"),
    ("drive.designer", "design office"),
    ("drive.note", "What a reader of the report should know"),
    ("requirement.ratio", "29"),
    ("requirement.rated_torque", "80 N·m"),
    ("requirement.peak_torque", "160 N·m"),
    ("requirement.emergency_torque", "240 N·m"),
    ("requirement.max_input_speed", "3000 rpm"),
    ("requirement.mean_input_speed", "1000 rpm"),
    ("requirement.duty.torque", "80 N·m"),
    ("requirement.duty.input_speed", "1000 rpm"),
    ("requirement.duty.time_share", "100 %"),
    ("requirement.life", "6000 h"),
    ("requirement.geometric_backlash", "3 arcmin"),
    ("requirement.lost_motion", "4 arcmin"),
    ("requirement.transmission_error", "2 arcmin"),
    ("requirement.torsional_stiffness", "10 N·m/arcmin"),
    ("requirement.efficiency", "70 %"),
    ("requirement.output_radial_force", "1 kN"),
    ("requirement.output_axial_force", "500 N"),
    ("requirement.output_tilting_moment", "100 N·m"),
    ("requirement.load_inertia", "2 kg·m²"),
    ("requirement.oscillation_angle", "90 deg"),
    ("requirement.index_angle", "30 deg"),
    ("requirement.index_time", "0.4 s"),
    ("requirement.index_rate", "60 /min"),
    ("requirement.outside_diameter", "140 mm"),
    ("requirement.length", "90 mm"),
    ("requirement.mass", "8 kg"),
    ("requirement.production", "ground"),
    ("geometry.ring_roller_count", "30"),
    ("geometry.ring_radius", "55 mm"),
    ("geometry.roller_radius", "3 mm"),
    ("geometry.roller_pin_radius", "2 mm"),
    ("geometry.roller_pin_span", "25 mm"),
    ("geometry.seat_wall_radius", "55 mm"),
    ("geometry.eccentricity", "1.25 mm"),
    ("geometry.disc_width", "10 mm"),
    ("geometry.contact_length", "9 mm"),
    ("geometry.pin_contact_length", "9 mm"),
    ("geometry.disc_count", "2"),
    ("geometry.bore_radius", "20 mm"),
    ("geometry.pin_count", "8"),
    ("geometry.pin_circle_radius", "34 mm"),
    ("geometry.pin_radius", "5 mm"),
    ("geometry.sleeve_radius", "6.5 mm"),
    ("geometry.hole_clearance", "10 µm"),
    ("geometry.pin_support", "both-ends"),
    ("geometry.modification.equidistant_offset", "1 µm"),
    ("geometry.modification.flank_rotation", "1 arcmin"),
    ("geometry.crank_radius", "14 mm"),
    ("geometry.housing_radius", "66 mm"),
    ("geometry.housing_length", "85 mm"),
    ("materials.disc", "bearing-steel"),
    ("materials.ring_roller", "bearing-steel"),
    ("materials.output_pin", "bearing-steel"),
    ("materials.sleeve", "bearing-steel"),
    ("materials.ring", "my-ring-steel"),
    ("materials.ring_pin", "bearing-steel"),
    ("materials.disc_case_depth", "1 mm"),
    ("materials.roller_case_depth", "0.8 mm"),
    ("materials.disc_roughness", "0.4 µm"),
    ("materials.custom.name", "my-ring-steel"),
    ("materials.custom.elastic_modulus", "206 GPa"),
    ("materials.custom.poisson_ratio", "0.3"),
    ("materials.custom.density", "7.85 g/cm³"),
    ("materials.custom.thermal_expansion", "11.5 µm/m/K"),
    ("materials.custom.contact_pressure_limit", "700 MPa"),
    ("materials.custom.static_contact_pressure_limit", "1000 MPa"),
    ("materials.custom.yield_strength", "600 MPa"),
    ("materials.custom.bending_fatigue_strength", "350 MPa"),
    ("materials.custom.temperature_limit", "90 °C"),
    ("materials.custom.pressure_speed_limit", "1.7 MPa·m/s"),
    ("materials.custom.surface_hardness", "250"),
    ("materials.custom.source", "test certificate of the batch"),
    ("bearings.eccentric.kind", "cylindrical-roller"),
    ("bearings.eccentric.designation", "what the parts list calls it"),
    ("bearings.eccentric.dynamic_rating", "24 kN"),
    ("bearings.eccentric.static_rating", "30 kN"),
    ("bearings.eccentric.element_count", "14"),
    ("bearings.eccentric.element_diameter", "6 mm"),
    ("bearings.eccentric.element_length", "7.6 mm"),
    ("bearings.eccentric.pitch_diameter", "34 mm"),
    ("bearings.eccentric.contact_angle", "40 deg"),
    ("bearings.eccentric.bore_diameter", "28 mm"),
    ("bearings.eccentric.outside_diameter", "40 mm"),
    ("bearings.eccentric.width", "10 mm"),
    ("bearings.eccentric.radial_clearance", "10 µm"),
    ("bearings.eccentric.stiffness", "200 N/µm"),
    ("bearings.eccentric.speed_limit", "8000 rpm"),
    ("bearings.input.kind", "deep-groove-ball"),
    ("bearings.input.designation", "what the parts list calls it"),
    ("bearings.input.dynamic_rating", "12 kN"),
    ("bearings.input.static_rating", "7 kN"),
    ("bearings.input.element_count", "10"),
    ("bearings.input.element_diameter", "7 mm"),
    ("bearings.input.element_length", "7 mm"),
    ("bearings.input.pitch_diameter", "38 mm"),
    ("bearings.input.contact_angle", "40 deg"),
    ("bearings.input.bore_diameter", "25 mm"),
    ("bearings.input.outside_diameter", "52 mm"),
    ("bearings.input.width", "12 mm"),
    ("bearings.input.stiffness", "100 N/µm"),
    ("bearings.input.speed_limit", "12000 rpm"),
    ("bearings.output.kind", "crossed-roller"),
    ("bearings.output.designation", "what the parts list calls it"),
    ("bearings.output.dynamic_rating", "20 kN"),
    ("bearings.output.static_rating", "30 kN"),
    ("bearings.output.element_count", "40"),
    ("bearings.output.element_diameter", "6 mm"),
    ("bearings.output.element_length", "6 mm"),
    ("bearings.output.pitch_diameter", "100 mm"),
    ("bearings.output.contact_angle", "45 deg"),
    ("bearings.output.bore_diameter", "80 mm"),
    ("bearings.output.outside_diameter", "120 mm"),
    ("bearings.output.width", "14 mm"),
    ("bearings.output.stiffness", "500 N/µm"),
    ("bearings.output.speed_limit", "2000 rpm"),
    ("lubrication.kind", "grease"),
    ("lubrication.viscosity_40", "100 mm²/s"),
    ("lubrication.viscosity_100", "11 mm²/s"),
    ("losses.roller_friction", "0.05"),
    ("losses.roller_support_friction", "0.05"),
    ("losses.pin_friction", "0.05"),
    ("losses.sleeve_friction", "0.05"),
    ("losses.eccentric_f0", "2.5"),
    ("losses.eccentric_f1", "0.0003"),
    ("losses.input_f0", "1.5"),
    ("losses.input_f1", "0.0005"),
    ("losses.output_f0", "2.5"),
    ("losses.output_f1", "0.0003"),
    ("losses.output_bearing_count", "2"),
    ("losses.cooling_area", "0.06 m²"),
    ("losses.temperature_limit", "90 °C"),
    ("dynamics.rotor_mass", "2.5 kg"),
    ("dynamics.counterweight_plane_1", "-20 mm"),
    ("dynamics.counterweight_plane_2", "20 mm"),
    ("dynamics.counterweight_1", "300 g·mm"),
    ("dynamics.counterweight_2", "300 g·mm"),
    ("dynamics.input_bearing_plane_1", "-30 mm"),
    ("dynamics.input_bearing_plane_2", "30 mm"),
    ("lubrication.operating_temperature", "60 °C"),
    ("lubrication.cleanliness", "normal"),
    ("stiffness.crank_support", "300 N/µm"),
    ("stiffness.crank_torsion", "1 N·m/arcmin"),
    ("stiffness.carrier", "200 N·m/arcmin"),
    ("stiffness.ring", "400 N·m/arcmin"),
    ("stiffness.output_bearing", "500 N/µm"),
    ("tolerances.profile", "5 µm"),
    ("tolerances.profile_run_out", "3 µm"),
    ("tolerances.ring_radius", "5 µm"),
    ("tolerances.ring_run_out", "3 µm"),
    ("tolerances.roller_position", "5 µm"),
    ("tolerances.roller_radius", "1 µm"),
    ("tolerances.eccentricity", "5 µm"),
    ("tolerances.eccentric_angle", "0.5 arcmin"),
    ("tolerances.hole_position", "5 µm"),
    ("tolerances.hole_pattern", "3 µm"),
    ("tolerances.hole_radius", "5 µm"),
    ("tolerances.pin_position", "5 µm"),
    ("tolerances.pin_radius", "2 µm"),
    ("tolerances.plate_run_out", "3 µm"),
    ("tolerances.bearing_clearance", "4 µm"),
    ("tolerances.ring_temperature", "5 K"),
    ("tolerances.disc_temperature", "5 K"),
    ("tolerances.callout.of", "roller-radius"),
    ("tolerances.callout.label", "K3"),
    ("tolerances.callout.upper", "0 µm"),
    ("tolerances.callout.lower", "-2 µm"),
    ("tolerances.callout.class", "h5"),
    ("tolerances.callout.cpk", "1"),
    ("tolerances.callout.matched_to", "hole-radius"),
    ("model.roller_stiffness", "200 N/µm"),
    ("model.pin_stiffness", "200 N/µm"),
    ("model.contact_pressure_limit", "1100 MPa"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::places::field_of;
    use crate::read;

    /// Keys of a tolerance callout that take the place of others, or need a second callout.
    const INSTEAD_OF_OTHERS: [&str; 2] = ["class = ", "matched_to = "];

    /// The starter file with every `#` in front of a key or header taken away, but for keys that exclude others.
    fn all_in_use(text: &str) -> String {
        let excludes = |rest: &str| INSTEAD_OF_OTHERS.iter().any(|key| rest.starts_with(key));
        let is_key = |rest: &str| rest.starts_with(|first: char| first == '[' || first.is_ascii_lowercase());
        let used = |line: &str| match line.strip_prefix('#') {
            Some(rest) if is_key(rest) && !excludes(rest) => rest.to_owned(),
            _ => line.to_owned(),
        };
        text.lines().map(used).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn identity_starter_file_reads_as_it_is_and_with_all_keys_in_use() {
        let text = template("my-drive");
        let file = read("my-drive.toml", text.as_bytes()).unwrap_or_else(|wrong| panic!("\n{wrong}"));
        assert_eq!(file.drive.identity.name, "my-drive");
        let full = all_in_use(&text);
        let full = read("full.toml", full.as_bytes()).unwrap_or_else(|wrong| panic!("\n{wrong}"));
        assert_eq!(full.drive.materials.custom.len(), 1);
        assert!(full.cautions.is_empty());
    }

    #[test]
    fn identity_starter_values_belong_to_keys_and_no_key_lacks_one() {
        for (path, _) in STARTER {
            assert!(field_of(path).is_some(), "{path}");
        }
        let bare =
            template("x").lines().filter(|line| line.ends_with("= \"\"") || line.ends_with("= ")).count();
        assert_eq!(bare, 0);
    }
}
