//! Changes to one value of a drive file that keep its comments, order and layout.

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::nearest::nearest;
use crate::places::{field_of, split_index};
use crate::read::{DriveFile, read};
use reducer::model::record::{Field, Kind};
use reducer::units::Dimension;
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

impl DriveFile {
    /// The file with one value changed, or added where its key was left out, and read again.
    ///
    /// `text` is what a person would type for the value, without quotes: `62.5 mm`, `40`, `true`.
    /// Paths are dotted; a table of a list is named by its number from zero: `requirement.duty[0].torque`.
    ///
    /// # Errors
    /// The diagnostics of the changed file, placed in its changed text; or one without place where
    /// no key has this path.
    pub fn with_value(&self, path: &str, text: &str) -> Result<Self, Diagnostics> {
        let field = self.scalar_field(path)?;
        self.edited(path, |table, key| set(table, key, value_of(field, text)))
    }

    /// The file without a key, so that its default holds, or nothing, read again.
    ///
    /// # Errors
    /// As [`Self::with_value`].
    pub fn without(&self, path: &str) -> Result<Self, Diagnostics> {
        self.scalar_field(path)?;
        self.edited(path, |table, key| {
            table.remove(key);
        })
    }

    /// The entry of a path in the field table, if it holds a single value.
    fn scalar_field(&self, path: &str) -> Result<&'static Field, Diagnostics> {
        match field_of(path) {
            Some(field) if !matches!(field.kind, Kind::Section(_) | Kind::List(_)) => Ok(field),
            Some(_) => Err(self.refuse(path, format!("`{path}` is a table, not a value"))),
            None => Err(self.refuse(path, format!("the drive file has no key `{path}`"))),
        }
    }

    fn edited(&self, path: &str, change: impl FnOnce(&mut dyn TableLike, &str)) -> Result<Self, Diagnostics> {
        let mut document: DocumentMut = self
            .text
            .parse()
            .map_err(|_| self.refuse(path, "the text of the file cannot be edited".to_owned()))?;
        let (tables, key) = path.rsplit_once('.').unwrap_or(("", path));
        let steps = tables.split('.').filter(|step| !step.is_empty());
        let Some(table) = descend(document.as_table_mut(), steps) else {
            return Err(self.refuse(path, format!("the file has no table [{tables}]")));
        };
        change(table, key);
        read(&self.name, document.to_string().as_bytes())
    }

    fn refuse(&self, path: &str, message: String) -> Diagnostics {
        let mut diagnostic = Diagnostic::error(message).key(path);
        if let Some(near) = nearest(path, self.places.keys().map(String::as_str)) {
            diagnostic = diagnostic.hint(format!("did you mean `{near}`?"));
        }
        Diagnostics::new(&self.name, &self.text, vec![diagnostic])
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

/// Puts a value in the place of the old one and keeps the blanks and remarks around it.
fn set(table: &mut dyn TableLike, key: &str, mut value: Value) {
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
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
    typed.filter(fits).unwrap_or_else(|| Value::from(text))
}
