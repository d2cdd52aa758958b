//! Where each key and value of a drive file stands, and what was read there.

use crate::DRIVE;
use reducer::model::record::{Field, Kind, Record, Tabled, Value};
use std::collections::BTreeMap;
use std::ops::Range;

/// Where a key of the drive file and its value stand, in bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The key, or the name in the header of a table.
    pub key: Range<usize>,
    /// The value, or the header of a table.
    pub value: Range<usize>,
}

/// Places of all keys that the file gives, by dotted path such as `requirement.duty[0].torque`.
pub type Places = BTreeMap<String, Place>;

/// What the rules across fields look at: the values that could be read, and where they stand.
pub(crate) struct View<'a> {
    pub(crate) text: &'a str,
    pub(crate) record: &'a Record,
    pub(crate) places: &'a Places,
}

impl View<'_> {
    /// Whether the file itself gives the key, whatever its value.
    pub(crate) fn is_given(&self, path: &str) -> bool {
        self.places.contains_key(path)
    }

    pub(crate) fn number(&self, path: &str) -> Option<f64> {
        match self.value(path)? {
            Value::Number(number) => Some(*number),
            _ => None,
        }
    }

    pub(crate) fn count(&self, path: &str) -> Option<usize> {
        match self.value(path)? {
            Value::Count(count) => Some(*count),
            _ => None,
        }
    }

    pub(crate) fn text(&self, path: &str) -> Option<&str> {
        match self.value(path)? {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// How many tables a list holds.
    pub(crate) fn list_length(&self, path: &str) -> usize {
        match self.value(path) {
            Some(Value::List(records)) => records.len(),
            _ => 0,
        }
    }

    /// The tables of a list as structs; none for one in which a key could not be read or is missing.
    pub(crate) fn tables<T: Tabled>(&self, path: &str) -> Vec<Option<T>> {
        let Some(Value::List(records)) = self.value(path) else { return Vec::new() };
        let is_whole = |index: usize, record: &Record| {
            let begin = format!("{path}[{index}].");
            let keys = self.places.range(begin.clone()..).map_while(|(place, _)| place.strip_prefix(&begin));
            keys.into_iter().all(|key| record.0.contains_key(key))
        };
        let table = |(index, record): (usize, &Record)| {
            if is_whole(index, record) { T::from_record(record.clone()).ok() } else { None }
        };
        records.iter().enumerate().map(table).collect()
    }

    /// The value of a path; a path that is not in the field table is a defect of the caller.
    fn value(&self, path: &str) -> Option<&Value> {
        debug_assert!(field_of(path).is_some(), "no key `{path}` in the field table");
        let mut record = self.record;
        let mut steps = path.split('.').peekable();
        while let Some(step) = steps.next() {
            let (key, index) = split_index(step);
            let value = record.0.get(key)?;
            let next = match (value, index) {
                (Value::List(records), Some(index)) => records.get(index)?,
                (Value::Record(inner), None) if steps.peek().is_some() => inner,
                _ => return steps.peek().is_none().then_some(value),
            };
            record = next;
        }
        None
    }

    /// A quantity as the file writes it, without its quotes; empty where the file does not give it.
    pub(crate) fn written(&self, path: &str) -> &str {
        let span = self.places.get(path).map(|place| place.value.clone());
        span.and_then(|span| self.text.get(span)).unwrap_or_default().trim_matches(['"', '\''])
    }

    /// Where the value of a key stands, if the file gives it; otherwise where its table stands.
    pub(crate) fn value_span(&self, path: &str) -> Option<Range<usize>> {
        self.places.get(path).map(|place| place.value.clone()).or_else(|| self.table_span(path))
    }

    /// Where the table of a key stands.
    pub(crate) fn table_span(&self, path: &str) -> Option<Range<usize>> {
        let (table, _) = path.rsplit_once('.')?;
        self.places.get(table).map(|place| place.key.clone())
    }
}

/// Splits `duty[2]` into `duty` and 2.
pub(crate) fn split_index(step: &str) -> (&str, Option<usize>) {
    let parts = step.strip_suffix(']').and_then(|open| open.split_once('['));
    match parts {
        Some((key, index)) => (key, index.parse().ok()),
        None => (step, None),
    }
}

/// The entry of the field table for a dotted path.
pub fn field_of(path: &str) -> Option<&'static Field> {
    let mut section = DRIVE;
    let mut steps = path.split('.').peekable();
    while let Some(step) = steps.next() {
        let field = section.field(split_index(step).0)?;
        if steps.peek().is_none() {
            return Some(field);
        }
        let (Kind::Section(inner) | Kind::List(inner)) = field.kind else { return None };
        section = inner;
    }
    None
}

/// Dotted path of a key in a table.
pub(crate) fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}
