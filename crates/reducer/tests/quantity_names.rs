//! Every number that drive file or results carry has an entry in the table of quantities.

use reducer::accuracy::summary::AccuracyResult;
use reducer::assembly::summary::YieldResult;
use reducer::model::Drive;
use reducer::model::record::{Kind, Section, Tabled};
use reducer::registry;
use reducer::results::{Assessment, ModificationResult};
use serde_json::Value;
use std::collections::BTreeSet;

/// Numbers that are an index, or whose meaning depends on what they stand in: a check, an extreme, or a distribution that names its quantity.
const NOT_QUANTITIES: [&str; 13] = [
    "value",
    "limit",
    "margin",
    "disc",
    "contact",
    "mean",
    "mean_bound",
    "standard_deviation",
    "least",
    "greatest",
    "percentiles",
    "first_edge",
    "bin_width",
];

/// Names of fields that hold a table `Extreme`: the quantity is one of these.
const EXTREMES: [(&str, &str); 13] = [
    ("bearing_element_force", "bearing_element_force_n"),
    ("bearing_element_pressure", "bearing_element_pressure_mpa"),
    ("free_play", "lost_motion_rad"),
    ("frictionless_lost_motion", "lost_motion_rad"),
    ("hysteresis_width", "hysteresis_width_rad"),
    ("lost_motion", "lost_motion_rad"),
    ("ring_roller_force", "ring_roller_force_n"),
    ("ring_roller_pressure", "ring_roller_pressure_mpa"),
    ("output_pin_force", "output_pin_force_n"),
    ("output_pin_pressure", "output_pin_pressure_mpa"),
    ("output_pin_bending", "output_pin_bending_mpa"),
    ("bearing_force", "bearing_force_n"),
    ("disc_share", "disc_share"),
];

fn collect_drive_file(section: &Section, names: &mut BTreeSet<String>) {
    for field in section.fields {
        match field.kind {
            Kind::Quantity(dimension) => {
                names.insert(format!("{}{}", field.key, dimension.suffix()));
            }
            Kind::Count => {
                names.insert(field.key.to_owned());
            }
            Kind::Section(inner) | Kind::List(inner) => collect_drive_file(inner, names),
            Kind::Choice(_) | Kind::Text | Kind::Flag => {}
        }
    }
}

/// Whether a schema is a number, possibly optional or in a list.
fn is_number(schema: &Value) -> bool {
    let type_is_number = match &schema["type"] {
        Value::String(word) => word == "number" || word == "integer",
        Value::Array(words) => words.iter().any(|word| word == "number" || word == "integer"),
        _ => false,
    };
    let items = schema["items"].is_object() && is_number(&schema["items"]);
    let prefix = schema["prefixItems"].as_array().is_some_and(|items| items.iter().any(is_number));
    type_is_number || items || prefix
}

fn collect_results(schema: &Value, names: &mut BTreeSet<String>) {
    if let Value::Object(object) = schema {
        if let Some(Value::Object(properties)) = object.get("properties") {
            names.extend(
                properties.iter().filter(|(_, inner)| is_number(inner)).map(|(name, _)| name.clone()),
            );
        }
        for inner in object.values() {
            collect_results(inner, names);
        }
    } else if let Value::Array(array) = schema {
        for inner in array {
            collect_results(inner, names);
        }
    }
}

#[test]
fn identity_every_number_of_the_drive_file_is_a_named_quantity() {
    let mut names = BTreeSet::new();
    collect_drive_file(&Drive::SECTION, &mut names);
    assert!(names.len() > 80);
    let missing: Vec<_> = names.iter().filter(|name| registry::quantity(name).is_none()).collect();
    assert!(missing.is_empty(), "no entry in quantities.toml: {missing:?}");
}

#[test]
fn identity_every_number_of_the_results_is_a_named_quantity() {
    let mut names = BTreeSet::new();
    for schema in [
        schemars::schema_for!(Assessment),
        schemars::schema_for!(ModificationResult),
        schemars::schema_for!(AccuracyResult),
        schemars::schema_for!(YieldResult),
    ] {
        let before = names.len();
        collect_results(&schema.to_value(), &mut names);
        assert!(names.len() > before, "a document without a number of its own");
    }
    assert!(names.len() > 150, "{}", names.len());
    let missing: Vec<_> = names
        .iter()
        .filter(|name| !NOT_QUANTITIES.contains(&name.as_str()) && registry::quantity(name).is_none())
        .collect();
    assert!(missing.is_empty(), "no entry in quantities.toml: {missing:?}");
    for (_, quantity) in EXTREMES {
        assert!(registry::quantity(quantity).is_some(), "{quantity}");
    }
}

#[test]
fn identity_quantities_are_shown_in_their_printed_unit() {
    assert_eq!(registry::display("geometric_backlash_rad", 4e-4), "1.38 arcmin");
    assert_eq!(registry::display("elastic_modulus_mpa", 206_000.0), "206.0 GPa");
    assert_eq!(registry::display("life_s", 3600.0 * 21_519.0), "21,519 h");
    assert_eq!(registry::display("ring_temperature_k", 313.15), "40 °C");
    assert_eq!(registry::display("torsional_stiffness_n_mm_per_rad", 3_437_746.8), "1.0 N·m/arcmin");
    assert_eq!(registry::display("max_pin_sliding_speed_mm_per_s", 471.2), "0.471 m/s");
}
