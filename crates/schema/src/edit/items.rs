//! Items of lists, and tables that can be left out: added with values that work, and taken out whole.

use super::{refuse, table_of, value_of};
use crate::diagnostic::Diagnostic;
use crate::places::{field_of, join, split_index};
use crate::template::starter_value;
use reducer::model::record::{Field, Kind, Presence, Section};
use reducer::units::{Dimension, parse_quantity};
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// Keys that a new table gets beside those that it must have, since it would say nothing without them.
const ALSO: &[(&str, &[&str])] =
    &[("bearings.input", BEARING), ("bearings.output", BEARING), ("tolerances.callout", &["upper", "lower"])];
const BEARING: &[&str] = &[
    "element_count",
    "element_diameter",
    "element_length",
    "pitch_diameter",
    "contact_angle",
    "bore_diameter",
    "outside_diameter",
    "width",
];
const DUTY: &str = "requirement.duty";

/// Keys of an item with what a person would type for their values.
type Values = Vec<(String, String)>;

/// Adds an item to a list, or a table that is left out.
pub(super) fn add(document: &mut DocumentMut, path: &str) -> Result<(), Box<Diagnostic>> {
    match field_of(path) {
        Some(Field { kind: Kind::List(inner), .. }) => {
            let values = new_item(document, path, inner)?;
            let (table, key) = table_of(document, path)?;
            push(table, key, inner, &values);
            Ok(())
        }
        Some(Field { kind: Kind::Section(inner), .. }) if !path.contains('[') => {
            let values = starter_values(path, inner);
            let (table, key) = table_of(document, path)?;
            if table.contains_key(key) {
                return Err(refuse(path, format!("the table [{path}] is there already")));
            }
            table.insert(key, Item::Table(table_from(inner, &values)));
            Ok(())
        }
        Some(_) => Err(refuse(path, format!("`{path}` is neither a list nor a table"))),
        None => Err(refuse(path, format!("the drive file has no list `{path}`"))),
    }
}

/// Takes an item out of its list, or a table that can be left out.
pub(super) fn take_out(document: &mut DocumentMut, path: &str) -> Result<(), Box<Diagnostic>> {
    let field =
        field_of(path).ok_or_else(|| refuse(path, format!("the drive file has no table `{path}`")))?;
    let (table, key) = table_of(document, path)?;
    match (field.kind, split_index(key)) {
        (Kind::List(inner), (list, Some(index))) => {
            let is_duty = path.starts_with(DUTY);
            let mut all = items_of(table, list, inner);
            if index >= all.len() {
                return Err(refuse(path, format!("`{list}` has no item {}", index + 1)));
            }
            let taken = all.remove(index);
            remove(table, list, index);
            if let (true, false) = (is_duty, all.is_empty()) {
                let heir = index.saturating_sub(1);
                let sum = share_of(&taken).zip(share_of(&all[heir])).map(|(a, b)| a + b);
                set_share(table, list, heir, sum);
            }
            Ok(())
        }
        (Kind::Section(_), (_, None)) if field.presence != Presence::Required => {
            table.remove(key);
            Ok(())
        }
        (Kind::Section(_), _) => Err(refuse(path, format!("the table [{path}] must be there"))),
        _ => Err(refuse(path, format!("`{path}` is no item of a list"))),
    }
}

/// Puts other items in the place of those of a list.
pub(super) fn put(document: &mut DocumentMut, path: &str, items: &[Values]) -> Result<(), Box<Diagnostic>> {
    let Some(Field { kind: Kind::List(inner), .. }) = field_of(path) else {
        return Err(refuse(path, format!("`{path}` is no list")));
    };
    let (table, key) = table_of(document, path)?;
    table.remove(key);
    for values in items {
        push(table, key, inner, values);
    }
    Ok(())
}

/// Values of a new item: those of the last one, or those of the starter file.
fn new_item(document: &mut DocumentMut, path: &str, inner: &Section) -> Result<Values, Box<Diagnostic>> {
    let (table, key) = table_of(document, path)?;
    let present = items_of(table, key, inner);
    let Some(last) = present.last() else {
        let starter = starter_values(path, inner);
        return Ok(if path == DUTY { first_duty_step(table, starter) } else { starter });
    };
    let mut values = last.clone();
    if path == DUTY {
        // The shares of a cycle must stay a whole, so the new step takes half the time of the last.
        let half = share_of(last).map(|share| share / 2.0);
        set_share(table, key, present.len() - 1, half);
        if let (Some(half), Some((_, text))) = (half, values.iter_mut().find(|(key, _)| key == "time_share"))
        {
            *text = percent(half);
        }
    }
    if let Some((_, name)) = values.iter_mut().find(|(key, _)| key == "name") {
        let taken = |name: &str| present.iter().flatten().any(|(key, other)| key == "name" && other == name);
        let free = (2..).map(|number| format!("{name}-{number}")).find(|name| !taken(name));
        *name = free.unwrap_or_default();
    }
    Ok(values)
}

/// The first step of a duty cycle says what held without one.
fn first_duty_step(requirement: &dyn TableLike, mut values: Values) -> Values {
    for (key, source) in [("torque", "rated_torque"), ("input_speed", "mean_input_speed")] {
        let stated = requirement.get(source).and_then(Item::as_value).map(plain_text);
        if let (Some(stated), Some((_, text))) = (stated, values.iter_mut().find(|(known, _)| known == key)) {
            *text = stated;
        }
    }
    values
}

fn starter_values(path: &str, inner: &Section) -> Values {
    let also = ALSO.iter().find(|(known, _)| *known == path).map_or(&[] as &[&str], |(_, keys)| keys);
    let is_wanted = |field: &&Field| field.presence == Presence::Required || also.contains(&field.key);
    let value = |field: &Field| {
        starter_value(&join(path, field.key)).map(|text| (field.key.to_owned(), text.to_owned()))
    };
    inner.fields.iter().filter(is_wanted).filter_map(value).collect()
}

/// Keys and values of all items of a list.
fn items_of(table: &dyn TableLike, key: &str, inner: &Section) -> Vec<Values> {
    let values = |item: &dyn TableLike| -> Values {
        let of_key = |field: &Field| {
            let value = item.get(field.key)?.as_value()?;
            Some((field.key.to_owned(), plain_text(value)))
        };
        inner.fields.iter().filter_map(of_key).collect()
    };
    match table.get(key) {
        Some(Item::ArrayOfTables(tables)) => tables.iter().map(|table| values(table)).collect(),
        Some(Item::Value(Value::Array(array))) => {
            array.iter().filter_map(Value::as_inline_table).map(|table| values(table)).collect()
        }
        _ => Vec::new(),
    }
}

/// A value as a person would type it.
fn plain_text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string().trim().to_owned(), str::to_owned)
}

fn push(table: &mut dyn TableLike, key: &str, inner: &Section, values: &Values) {
    if let Some(Item::Value(Value::Array(array))) = table.get_mut(key) {
        push_inline(array, inner, values);
        return;
    }
    let tables = table.entry(key).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    if let Item::ArrayOfTables(tables) = tables {
        tables.push(table_from(inner, values));
    }
}

fn push_inline(array: &mut Array, inner: &Section, values: &Values) {
    let mut item = InlineTable::new();
    for (key, text) in values {
        if let Some(field) = inner.field(key) {
            item.insert(key, value_of(field, text));
        }
    }
    array.push(item);
}

fn table_from(inner: &Section, values: &Values) -> Table {
    let mut table = Table::new();
    for (key, text) in values {
        if let Some(field) = inner.field(key) {
            table.insert(key, Item::Value(value_of(field, text)));
        }
    }
    table
}

/// Removes an item; what was remarked above the first one moves to the next, as it is often about all of them.
fn remove(table: &mut dyn TableLike, key: &str, index: usize) {
    let is_empty = match table.get_mut(key) {
        Some(Item::ArrayOfTables(tables)) => {
            let above = |table: &Table| {
                table.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or_default().to_owned()
            };
            let remark = tables.get(index).map(above).filter(|text| index == 0 && text.contains('#'));
            tables.remove(index);
            if let (Some(remark), Some(next)) = (remark, tables.get_mut(0)) {
                let own = above(next);
                next.decor_mut().set_prefix(format!("{remark}{}", own.trim_start_matches('\n')));
            }
            tables.is_empty()
        }
        Some(Item::Value(Value::Array(array))) => {
            array.remove(index);
            array.is_empty()
        }
        _ => false,
    };
    if is_empty {
        table.remove(key);
    }
}

/// The share of time of a step of the duty cycle.
fn share_of(values: &Values) -> Option<f64> {
    let (_, text) = values.iter().find(|(key, _)| key == "time_share")?;
    parse_quantity(text, Dimension::Plain).ok()
}

fn set_share(table: &mut dyn TableLike, key: &str, index: usize, share: Option<f64>) {
    let Some(share) = share else { return };
    let value = match table.get_mut(key) {
        Some(Item::ArrayOfTables(tables)) => {
            tables.get_mut(index).and_then(|table| table.get_mut("time_share")).and_then(Item::as_value_mut)
        }
        Some(Item::Value(Value::Array(array))) => array
            .get_mut(index)
            .and_then(Value::as_inline_table_mut)
            .and_then(|table| table.get_mut("time_share")),
        _ => None,
    };
    if let Some(value) = value {
        let decor = value.decor().clone();
        *value = Value::from(percent(share));
        *value.decor_mut() = decor;
    }
}

/// A share as text, with decimals enough that halves of shares still add up.
fn percent(share: f64) -> String {
    let rounded = (share * 1e11).round() / 1e9;
    format!("{rounded} %")
}
