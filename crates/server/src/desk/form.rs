//! All keys of the drive file as a form, from the field table alone.

use super::values::list_length;
use crate::api::{ChoiceWord, FieldKind, FormField, FormList, FormSection};
use crate::view::scale_text;
use reducer::model::Drive;
use reducer::model::record::{Field, Kind, Presence, Section, Tabled};
use reducer::registry;
use schema::DriveFile;

static DRIVE: &Section = &const { Drive::SECTION };

/// The tables of a drive file with their keys, values and what is accepted; values are compared with the saved file.
#[must_use]
pub fn form(file: &DriveFile, saved: &DriveFile) -> Vec<FormSection> {
    let mut sections = Vec::new();
    let look = Look { file, saved };
    for field in DRIVE.fields {
        if let Kind::Section(inner) = field.kind {
            look.table(field, inner, field.key, &mut sections);
        }
    }
    sections
}

struct Look<'a> {
    file: &'a DriveFile,
    saved: &'a DriveFile,
}

impl Look<'_> {
    /// A table, then the tables and list items inside it.
    fn table(&self, field: &Field, inner: &'static Section, path: &str, sections: &mut Vec<FormSection>) {
        let is_present = self.file.place(path).is_some();
        let is_left_out = field.presence == Presence::Optional && !is_present;
        let section = FormSection {
            path: path.to_owned(),
            title: path.replace('.', ": ").replace('_', " "),
            doc: inner_doc(field, inner),
            is_present,
            list: None,
            can_be_added: is_left_out,
            can_be_removed: is_present && field.presence != Presence::Required,
            fields: self.fields(inner, path),
            lists: lists(inner, path),
        };
        sections.push(section);
        for field in inner.fields {
            let path = format!("{path}.{}", field.key);
            match field.kind {
                Kind::Section(deeper) => self.table(field, deeper, &path, sections),
                Kind::List(deeper) => self.items(field, deeper, &path, sections),
                _ => {}
            }
        }
    }

    fn items(&self, field: &Field, inner: &'static Section, list: &str, sections: &mut Vec<FormSection>) {
        let name = list.replace('.', ": ").replace('_', " ");
        for index in 0..list_length(self.file, list) {
            let path = format!("{list}[{index}]");
            sections.push(FormSection {
                title: format!("{name} {}", index + 1),
                doc: inner_doc(field, inner),
                is_present: true,
                list: Some(list.to_owned()),
                can_be_added: false,
                can_be_removed: true,
                fields: self.fields(inner, &path),
                lists: lists(inner, &path),
                path,
            });
        }
    }

    fn fields(&self, section: &'static Section, path: &str) -> Vec<FormField> {
        section.fields.iter().filter_map(|field| self.field(field, path)).collect()
    }

    fn field(&self, field: &'static Field, table: &str) -> Option<FormField> {
        let kind = kind(field)?;
        let path = format!("{table}.{}", field.key);
        let text = self.file.written(&path);
        let saved = self.saved.written(&path);
        Some(FormField {
            key: field.key.to_owned(),
            label: field.key.replace('_', " "),
            symbol: symbol(field),
            doc: field.doc.to_owned(),
            kind,
            is_required: field.presence == Presence::Required,
            accepted: field.range_words().unwrap_or_default(),
            has_scale: scale_text(self.file, &path, field).is_some(),
            saved_text: (saved != text).then_some(saved),
            text,
            default_text: field.default_text().map(str::to_owned),
            path,
        })
    }
}

/// What a table is about: the words of its own entry, then those of the table.
fn inner_doc(field: &Field, inner: &Section) -> String {
    let (own, whole) = (field.doc.trim(), inner.doc.trim());
    if own == whole { own.to_owned() } else { format!("{own} {whole}") }
}

fn lists(section: &'static Section, path: &str) -> Vec<FormList> {
    let list = |field: &Field| match field.kind {
        Kind::List(inner) => {
            Some(FormList { path: format!("{path}.{}", field.key), doc: inner.doc.trim().to_owned() })
        }
        _ => None,
    };
    section.fields.iter().filter_map(list).collect()
}

fn kind(field: &Field) -> Option<FieldKind> {
    Some(match field.kind {
        Kind::Quantity(dimension) => FieldKind::Quantity {
            units: dimension.units().map(|unit| unit.spellings[0].to_owned()).collect(),
        },
        Kind::Count => FieldKind::Count,
        Kind::Choice(choices) => {
            let word = |choice: &reducer::model::record::Choice| ChoiceWord {
                word: choice.word.to_owned(),
                doc: choice.doc.to_owned(),
            };
            FieldKind::Choice { choices: choices.iter().map(word).collect() }
        }
        Kind::Text => FieldKind::Text,
        Kind::Flag => FieldKind::Flag,
        Kind::Section(_) | Kind::List(_) => return None,
    })
}

/// The trade's letter: the one with which the words of the key begin, or that of the quantity.
fn symbol(field: &Field) -> String {
    let suffix = match field.kind {
        Kind::Quantity(dimension) => dimension.suffix(),
        Kind::Count => "",
        _ => return String::new(),
    };
    let letter = field.doc.split_once(": ").map_or("", |(letter, _)| letter);
    if (1..=4).contains(&letter.chars().count()) && !letter.contains(' ') {
        return letter.to_owned();
    }
    registry::quantity(&format!("{}{suffix}", field.key))
        .map_or_else(String::new, |quantity| quantity.symbol.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use reducer::model::describe;
    use schema::read;
    use std::collections::BTreeSet;

    #[test]
    fn identity_the_form_holds_every_key_once_and_in_order() {
        let text = schema::template("whole");
        let file = read("whole.toml", text.as_bytes()).unwrap();
        let sections = form(&file, &file);
        let mut shown: Vec<String> = Vec::new();
        for section in &sections {
            shown.extend(section.fields.iter().map(|field| field.path.clone()));
            assert!(section.fields.iter().all(|field| field.saved_text.is_none()));
        }
        let unique: BTreeSet<&String> = shown.iter().collect();
        assert_eq!(unique.len(), shown.len());
        // Those of lists are there only with their items.
        let is_plain = |path: &str| {
            !path.contains(".duty.") && !path.contains(".custom.") && !path.contains(".callout.")
        };
        for key in describe::keys() {
            let is_value = !matches!(key.field.kind, Kind::Section(_) | Kind::List(_));
            if is_value && key.path != "format" && is_plain(&key.path) {
                assert!(unique.contains(&key.path), "{}", key.path);
            }
        }
        let places = |path: &str| shown.iter().position(|known| known == path).unwrap();
        assert!(places("requirement.ratio") < places("geometry.ring_radius"));
    }

    #[test]
    fn identity_letters_ranges_and_differences_are_told() {
        let file = read("a.toml", include_bytes!("../../../../examples/orchard-arm-shoulder.toml")).unwrap();
        let desk = file.with_value("geometry.eccentricity", "1.3 mm").unwrap();
        let sections = form(&desk, &file);
        let field = sections
            .iter()
            .flat_map(|section| &section.fields)
            .find(|field| field.path == "geometry.eccentricity")
            .unwrap();
        assert_eq!(field.symbol, "e");
        assert_eq!(field.accepted, "0.001 mm to 500 mm");
        assert_eq!(field.text.as_deref(), Some("1.3 mm"));
        assert_eq!(field.saved_text, Some(file.written("geometry.eccentricity")));
        let letters = |table: &str| -> BTreeSet<String> {
            let fields = sections.iter().flat_map(|section| &section.fields);
            let of_table = fields.filter(|field| field.path.starts_with(table) && !field.symbol.is_empty());
            of_table.map(|field| field.symbol.clone()).collect()
        };
        assert!(
            letters("tolerances.").is_disjoint(&letters("geometry.")),
            "a tolerance has the letter of its value"
        );
        let duty = sections.iter().filter(|section| section.list.as_deref() == Some("requirement.duty"));
        assert_eq!(duty.count(), file.drive.requirement.duty.len());
    }
}
