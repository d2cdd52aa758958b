//! The walk over the tree of a drive file, table by table, along the field table.

use crate::DRIVE;
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::places::{Place, Places, join};
use crate::scalar::{self, Complaint};
use crate::syntax::{MOST_ERRORS, Parsed};
use reducer::model::DRIVE_FILE_FORMAT;
use reducer::model::record::{Field, Kind, Presence, Record, Section, Value};
use reducer::units::{Dimension, UNITS};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

/// What a walk has found.
pub(crate) struct Walked {
    pub(crate) record: Record,
    pub(crate) places: Places,
    pub(crate) errors: Vec<Diagnostic>,
}

/// Reads every value that can be read and says what is wrong with the others.
pub(crate) fn walk(parsed: &Parsed<'_>) -> Walked {
    let mut walk = Walk { parsed, places: Places::new(), errors: Vec::new() };
    let record = walk.section(DRIVE, parsed.tree.get_ref(), "", None);
    Walked { record, places: walk.places, errors: walk.errors }
}

/// Most unknown keys of one table that are compared with the keys it lacks.
const MOST_SLIPS: usize = 20;

struct Walk<'a, 't> {
    parsed: &'a Parsed<'t>,
    places: Places,
    errors: Vec<Diagnostic>,
}

impl Walk<'_, '_> {
    /// The values of one table; `header` is where its name stands.
    fn section(
        &mut self,
        section: &'static Section,
        table: &DeTable<'_>,
        path: &str,
        header: Option<&Range<usize>>,
    ) -> Record {
        let mut record = Record::default();
        for field in section.fields {
            let entry = table.iter().find(|(key, _)| key.get_ref() == field.key);
            let value = match entry {
                Some((key, value)) => match (value.get_ref(), split_off(section, table, field)) {
                    (DeValue::Table(part), Some(rest)) => {
                        let whole = joined(part, rest);
                        self.given(
                            field,
                            key.span(),
                            &Spanned::new(value.span(), DeValue::Table(whole)),
                            path,
                        )
                    }
                    _ => self.given(field, key.span(), value, path),
                },
                // A key that is there with a slip in its name is told once, where it stands; what stands
                // in a table with a slip in its name is read all the same.
                None => match misspelt(section, table, field) {
                    Some((key, value)) if matches!(value.get_ref(), DeValue::Table(_)) => {
                        self.given(field, key.span(), value, path)
                    }
                    Some(_) => None,
                    None => self.absent(field, path, header),
                },
            };
            if let Some(value) = value {
                record.0.insert(field.key, value);
            }
        }
        for (key, _) in table.iter().filter(|(key, _)| section.field(key.get_ref()).is_none()) {
            self.unknown(section, key, path);
        }
        record
    }

    fn given(
        &mut self,
        field: &'static Field,
        key: Range<usize>,
        value: &Spanned<DeValue<'_>>,
        path: &str,
    ) -> Option<Value> {
        let path = join(path, field.key);
        self.places.insert(path.clone(), Place { key: key.clone(), value: value.span() });
        match (field.kind, value.get_ref()) {
            (Kind::Section(inner), DeValue::Table(table)) => {
                Some(Value::Record(self.section(inner, table, &path, Some(&key))))
            }
            (Kind::List(inner), DeValue::Array(items)) => self.list(field, inner, items, value.span(), &path),
            (Kind::Section(_), DeValue::Array(_)) => self.brackets(field, &path, key, false),
            (Kind::List(_), DeValue::Table(_)) => self.brackets(field, &path, key, true),
            (_, found) => match scalar::from_toml(field, found) {
                Ok(value) => Some(value),
                Err(complaint) => self.complain(complaint, &path, value.span()),
            },
        }
    }

    fn list(
        &mut self,
        field: &'static Field,
        inner: &'static Section,
        items: &[Spanned<DeValue<'_>>],
        span: Range<usize>,
        path: &str,
    ) -> Option<Value> {
        if items.is_empty() {
            let message = format!("`{}` is an empty list", field.key);
            let hint = format!("leave it out, or write [[{path}]] and the keys below it");
            self.push(Diagnostic::error(message).expected("at least one table").hint(hint), path, span);
            return None;
        }
        let mut records = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let path = format!("{path}[{index}]");
            self.places.insert(path.clone(), Place { key: item.span(), value: item.span() });
            match item.get_ref() {
                DeValue::Table(table) => records.push(self.section(inner, table, &path, Some(&item.span()))),
                _ => {
                    let message = format!("`{}` holds something that is not a table", field.key);
                    self.push(Diagnostic::error(message).expected("a table of keys"), &path, item.span());
                    // The place is kept, so that later tables keep their numbers in messages.
                    records.push(Record::default());
                }
            }
        }
        Some(Value::List(records))
    }

    fn absent(&mut self, field: &'static Field, path: &str, header: Option<&Range<usize>>) -> Option<Value> {
        match (field.presence, field.kind) {
            (Presence::Optional, _) => None,
            (Presence::Default(_), Kind::Section(inner)) => {
                let path = join(path, field.key);
                Some(Value::Record(self.section(inner, &DeTable::new(), &path, header)))
            }
            (Presence::Default(text), _) => match scalar::from_default(field, text) {
                Ok(value) => Some(value),
                // A test reads every default; should one slip through, it is told like an error of the file.
                Err(complaint) => {
                    self.complain(complaint, &join(path, field.key), header.cloned().unwrap_or(0..0))
                }
            },
            (Presence::Required, _) => {
                self.missing(field, path, header);
                None
            }
        }
    }

    fn missing(&mut self, field: &Field, path: &str, header: Option<&Range<usize>>) {
        if self.is_full()
            || self.parsed.may_hold(field.key)
            || header.is_some_and(|span| self.parsed.is_unread(span))
        {
            return;
        }
        let path_of_key = join(path, field.key);
        let diagnostic = match field.kind {
            Kind::Section(_) => Diagnostic::error(format!("the table [{path_of_key}] is missing")),
            _ => Diagnostic::error(format!("`{}` is missing", field.key)),
        };
        let hint = match field.kind {
            Kind::Section(inner) => format!("add [{path_of_key}] with {}", required_keys(inner)),
            _ => format!("add {} = {}", field.key, sample(field)),
        };
        let expected = field.doc.trim_end_matches('.');
        self.errors
            .push(diagnostic.at_if_known(header.cloned()).key(path_of_key).expected(expected).hint(hint));
    }

    fn unknown(&mut self, section: &'static Section, key: &Spanned<impl AsRef<str>>, path: &str) {
        let word = key.get_ref().as_ref();
        if self.is_full() || self.parsed.has_unread_header() || self.parsed.is_unread(&key.span()) {
            return;
        }
        let table =
            if path.is_empty() { "at the top of the file".to_owned() } else { format!("in [{path}]") };
        let hint = explain_unknown(section, word, path);
        let keys: Vec<_> = section.fields.iter().map(|field| field.key).collect();
        let expected =
            if hint.is_empty() { format!("known keys: {}", keys.join(", ")) } else { String::new() };
        let diagnostic =
            Diagnostic::error(format!("`{word}` is not a key {table}")).expected(expected).hint(hint);
        self.errors.push(diagnostic.at(key.span()).key(join(path, word)));
    }

    fn brackets(&mut self, field: &Field, path: &str, key: Range<usize>, is_list: bool) -> Option<Value> {
        let (message, hint) = if is_list {
            (format!("`{}` is one table", field.key), format!("write [[{path}]] with double brackets"))
        } else {
            (format!("`{}` is a list", field.key), format!("write [{path}] with single brackets"))
        };
        self.push(Diagnostic::error(message).expected(scalar::wanted(field)).hint(hint), path, key);
        None
    }

    fn complain(&mut self, complaint: Complaint, path: &str, span: Range<usize>) -> Option<Value> {
        let Complaint { message, expected, hint } = complaint;
        self.push(Diagnostic::error(message).expected(expected).hint(hint), path, span);
        None
    }

    /// Whether enough is known to be wrong: the file is not a drive file with slips.
    fn is_full(&self) -> bool {
        self.errors.len() >= MOST_ERRORS
    }

    /// Keeps a diagnostic unless the text at its place could not be read anyway.
    fn push(&mut self, diagnostic: Diagnostic, path: &str, span: Range<usize>) {
        if !self.is_full() && !self.parsed.is_unread(&span) {
            self.errors.push(diagnostic.at(span).key(path));
        }
    }
}

/// The first few keys of a table that are not in the field table; in a file with more they are no slips.
fn unknown_keys<'t>(section: &Section, table: &'t DeTable<'_>) -> impl Iterator<Item = &'t str> {
    let unknown = |word: &&str| section.field(word).is_none();
    table.keys().map(|key| key.get_ref().as_ref()).filter(unknown).take(MOST_SLIPS)
}

/// The unknown key of a table, with its value, that is most likely this one, misspelt.
fn misspelt<'a, 't>(
    section: &Section,
    table: &'a DeTable<'t>,
    field: &Field,
) -> Option<(&'a Spanned<DeString<'t>>, &'a Spanned<DeValue<'t>>)> {
    let absent = || section.fields.iter().map(|known| known.key).filter(|key| !table.contains_key(*key));
    let word = unknown_keys(section, table).find(|word| {
        let stem = strip_unit_suffix(word).map_or(*word, |(stem, _)| stem);
        nearest(stem, absent()) == Some(field.key)
    })?;
    table.iter().find(|(key, _)| key.get_ref() == word)
}

/// The misspelt table that holds the rest of one that is there: `[requirements]` beside
/// `[[requirement.duty]]`.
fn split_off<'a, 't>(section: &Section, table: &'a DeTable<'t>, field: &Field) -> Option<&'a DeTable<'t>> {
    let keys = || section.fields.iter().map(|known| known.key);
    let word = unknown_keys(section, table).find(|word| nearest(word, keys()) == Some(field.key))?;
    match table.get(word)?.get_ref() {
        DeValue::Table(rest) => Some(rest),
        _ => None,
    }
}

/// A table and the rest of it; what stands in both is taken from the first.
fn joined<'t>(part: &DeTable<'t>, rest: &DeTable<'t>) -> DeTable<'t> {
    let mut whole = rest.clone();
    whole.extend(part.iter().map(|(key, value)| (key.clone(), value.clone())));
    whole
}

/// Keys that somebody may well expect in a table and that there are not: table, key and what to write instead.
const LEFT_OUT: [(&str, &str, &str); 1] = [(
    "tolerances",
    "housing_temperature",
    "the housing's temperature acts on no gap; where ring and housing are one part, write its range as `ring_temperature`",
)];

/// What somebody who wrote an unknown key most likely wanted.
fn explain_unknown(section: &'static Section, word: &str, path: &str) -> String {
    if let Some((.., hint)) = LEFT_OUT.iter().find(|(table, key, _)| (*table, *key) == (path, word)) {
        return (*hint).to_owned();
    }
    let keys = || section.fields.iter().map(|field| field.key);
    if let Some((stem, suffix)) = strip_unit_suffix(word).filter(|(stem, _)| section.field(stem).is_some()) {
        return format!("keys carry no unit: write {stem} = \"… {suffix}\"");
    }
    let elsewhere = tables_with(word, path);
    if !elsewhere.is_empty() {
        return format!("`{word}` belongs in {}", elsewhere.join(" or "));
    }
    if let Some(near) = nearest(word, keys()) {
        return format!("did you mean `{near}`?");
    }
    let all = all_keys();
    match nearest(word, all.iter().map(|(key, _)| *key)) {
        Some(near) => {
            format!("did you mean `{near}`, which belongs in {}?", tables_with(near, path).join(" or "))
        }
        None => String::new(),
    }
}

/// The stem of a key that ends in the name of a core unit, and how that unit is written.
fn strip_unit_suffix(word: &str) -> Option<(&str, &'static str)> {
    UNITS.iter().find_map(|unit| {
        let suffix = unit.dimension.suffix();
        let stem = word.strip_suffix(suffix)?;
        (!suffix.is_empty()).then_some((stem, unit.spellings[0]))
    })
}

/// All tables, as headers, that have a key, other than the one at a path.
fn tables_with(key: &str, path: &str) -> Vec<String> {
    all_keys()
        .into_iter()
        .filter(|(known, table)| *known == key && table.trim_matches(['[', ']']) != path)
        .map(|(_, table)| table)
        .collect()
}

/// Every key of the drive file with the header of its table, in the order of the field table.
fn all_keys() -> Vec<(&'static str, String)> {
    fn collect(section: &'static Section, path: &str, is_list: bool, keys: &mut Vec<(&'static str, String)>) {
        let header = match (path, is_list) {
            ("", _) => "the top of the file".to_owned(),
            (path, true) => format!("[[{path}]]"),
            (path, false) => format!("[{path}]"),
        };
        keys.extend(section.fields.iter().map(|field| (field.key, header.clone())));
        for field in section.fields {
            if let Kind::Section(inner) | Kind::List(inner) = field.kind {
                collect(inner, &join(path, field.key), matches!(field.kind, Kind::List(_)), keys);
            }
        }
    }
    let mut keys = Vec::new();
    collect(DRIVE, "", false, &mut keys);
    keys
}

fn required_keys(section: &'static Section) -> String {
    let required = section.fields.iter().filter(|field| field.presence == Presence::Required);
    let keys: Vec<_> = required.map(|field| field.key).collect();
    if keys.is_empty() { "its keys".to_owned() } else { keys.join(", ") }
}

/// How a key's value looks, with a gap for what only the designer knows.
fn sample(field: &Field) -> String {
    match field.kind {
        Kind::Quantity(dimension) => match dimension.units().next() {
            Some(unit) if dimension != Dimension::Plain => format!("\"… {}\"", unit.spellings[0]),
            _ => "…".to_owned(),
        },
        Kind::Count if field.key == "format" => DRIVE_FILE_FORMAT.to_string(),
        Kind::Count => "…".to_owned(),
        Kind::Choice(choices) => {
            scalar::quoted_list(choices.iter().map(|choice| choice.word)).replace(", ", " or ")
        }
        Kind::Flag => "true".to_owned(),
        Kind::Text | Kind::Section(_) | Kind::List(_) => "\"…\"".to_owned(),
    }
}
