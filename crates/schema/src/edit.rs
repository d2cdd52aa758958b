//! Changes to values of a drive file that keep its comments, order and layout.

mod items;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::nearest::nearest;
use crate::places::{Places, field_of, split_index};
use crate::read::{DriveFile, read};
use crate::{syntax, walk};
use reducer::model::record::{Field, Kind};
use reducer::units::Dimension;
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// One change of a drive file. Paths are dotted; a table of a list is named by its number from zero:
/// `requirement.duty[0].torque`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Gives a key a value, or adds the key where it was left out.
    Set {
        /// Path of the key.
        path: String,
        /// What a person would type, without quotes: `62.5 mm`, `40`, `true`.
        text: String,
    },
    /// Takes a key out, so that its default holds, or nothing.
    Remove {
        /// Path of the key.
        path: String,
    },
    /// Adds an item at the end of a list, or a table that is left out, with values that work.
    Add {
        /// Path of the list or table.
        path: String,
    },
    /// Takes out an item of a list, or a table that can be left out, with all that stands in it.
    TakeOut {
        /// Path of the item or table.
        path: String,
    },
    /// Puts other items in the place of those of a list.
    PutList {
        /// Path of the list.
        path: String,
        /// Keys and values of each item.
        items: Vec<Vec<(String, String)>>,
    },
}

impl Edit {
    /// The path of what it changes.
    #[must_use]
    pub fn path(&self) -> &str {
        match self {
            Self::Set { path, .. }
            | Self::Remove { path }
            | Self::Add { path }
            | Self::TakeOut { path }
            | Self::PutList { path, .. } => path,
        }
    }
}

impl DriveFile {
    /// The file with all changes made, in their order, and read again; only the whole must be a drive file.
    ///
    /// # Errors
    /// The diagnostics of the changed file, placed in its changed text; or one without place where
    /// a change names nothing of the drive file.
    pub fn edited(&self, edits: &[Edit]) -> Result<Self, Diagnostics> {
        let mut text = self.text.clone();
        for edit in edits {
            text = apply(&text, edit)
                .map_err(|wrong| Diagnostics::new(&self.name, &self.text, vec![self.with_hint(*wrong)]))?;
        }
        read(&self.name, text.as_bytes())
    }

    /// The file with one value changed, or added where its key was left out.
    ///
    /// # Errors
    /// As [`Self::edited`].
    pub fn with_value(&self, path: &str, text: &str) -> Result<Self, Diagnostics> {
        self.edited(&[Edit::Set { path: path.to_owned(), text: text.to_owned() }])
    }

    /// The file without a key, so that its default holds, or nothing.
    ///
    /// # Errors
    /// As [`Self::edited`].
    pub fn without(&self, path: &str) -> Result<Self, Diagnostics> {
        self.edited(&[Edit::Remove { path: path.to_owned() }])
    }

    fn with_hint(&self, wrong: Diagnostic) -> Diagnostic {
        match nearest(&wrong.key, self.places.keys().map(String::as_str)) {
            Some(near) if wrong.hint.is_empty() && near != wrong.key => {
                let hint = format!("did you mean `{near}`?");
                wrong.hint(hint)
            }
            _ => wrong,
        }
    }
}

fn refuse(path: &str, message: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(message).key(path))
}

/// The text with one change; it need not be a drive file on the way.
fn apply(text: &str, edit: &Edit) -> Result<String, Box<Diagnostic>> {
    match edit {
        Edit::Set { path, text: typed } => {
            let field = scalar_field(path)?;
            let value = value_of(field, typed);
            match places(text).get(path) {
                // Nothing but the value itself is touched.
                Some(place) => {
                    Ok(format!("{}{value}{}", &text[..place.value.start], &text[place.value.end..]))
                }
                None => in_document(text, path, |document| {
                    let (table, key) = table_of(document, path)?;
                    table.insert(key, Item::Value(value));
                    Ok(())
                }),
            }
        }
        Edit::Remove { path } => {
            scalar_field(path)?;
            if !places(text).contains_key(path) {
                return Ok(text.to_owned());
            }
            in_document(text, path, |document| {
                let (table, key) = table_of(document, path)?;
                table.remove(key);
                Ok(())
            })
        }
        Edit::Add { path } => in_document(text, path, |document| items::add(document, path)),
        Edit::TakeOut { path } => in_document(text, path, |document| items::take_out(document, path)),
        Edit::PutList { path, items } => {
            in_document(text, path, |document| items::put(document, path, items))
        }
    }
}

fn places(text: &str) -> Places {
    walk::walk(&syntax::parse(text)).places
}

/// A change of the structure; line ends and a byte-order mark stay what they were.
fn in_document(
    text: &str,
    path: &str,
    change: impl FnOnce(&mut DocumentMut) -> Result<(), Box<Diagnostic>>,
) -> Result<String, Box<Diagnostic>> {
    let mut document: DocumentMut =
        text.parse().map_err(|_| refuse(path, "the text of the file cannot be edited".to_owned()))?;
    change(&mut document)?;
    let mut changed = document.to_string();
    if text.contains("\r\n") {
        changed = changed.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    let mark = "\u{feff}";
    Ok(if text.starts_with(mark) && !changed.starts_with(mark) {
        format!("{mark}{changed}")
    } else {
        changed
    })
}

/// The entry of a path in the field table, if it holds a single value.
fn scalar_field(path: &str) -> Result<&'static Field, Box<Diagnostic>> {
    match field_of(path) {
        Some(field) if !matches!(field.kind, Kind::Section(_) | Kind::List(_)) => Ok(field),
        Some(_) => Err(refuse(path, format!("`{path}` is a table, not a value"))),
        None => Err(refuse(path, format!("the drive file has no key `{path}`"))),
    }
}

/// The table in which the last key of a path stands, and that key.
fn table_of<'t, 'p>(
    document: &'t mut DocumentMut,
    path: &'p str,
) -> Result<(&'t mut dyn TableLike, &'p str), Box<Diagnostic>> {
    let (tables, key) = path.rsplit_once('.').unwrap_or(("", path));
    let steps = tables.split('.').filter(|step| !step.is_empty());
    match descend(document.as_table_mut(), steps) {
        Some(table) => Ok((table, key)),
        None => Err(refuse(path, format!("the file has no table [{tables}]"))),
    }
}

/// The table at the end of a path; tables that are left out are added, those of lists are not.
fn descend<'t, 's>(
    root: &'t mut Table,
    steps: impl Iterator<Item = &'s str>,
) -> Option<&'t mut dyn TableLike> {
    let mut table: &mut dyn TableLike = root;
    for step in steps {
        table = match split_index(step) {
            (key, None) => {
                table.entry(key).or_insert_with(|| Item::Table(Table::new())).as_table_like_mut()?
            }
            (key, Some(index)) => match table.get_mut(key)? {
                Item::ArrayOfTables(tables) => tables.get_mut(index)?,
                Item::Value(Value::Array(values)) => values.get_mut(index)?.as_inline_table_mut()?,
                _ => return None,
            },
        };
    }
    Some(table)
}

/// What somebody typed, as the kind of value that the key holds; what does not fit stays text and is
/// told by the reader.
fn value_of(field: &Field, text: &str) -> Value {
    let typed = text.trim().parse::<Value>().ok();
    let fits = |value: &Value| match field.kind {
        Kind::Count => value.is_integer(),
        Kind::Quantity(Dimension::Plain) => value.is_integer() || value.is_float(),
        Kind::Flag => value.is_bool(),
        _ => false,
    };
    let as_text = || Value::from(if matches!(field.kind, Kind::Text) { text } else { text.trim() });
    let mut value = typed.filter(fits).unwrap_or_else(as_text);
    value.decor_mut().clear();
    value
}
