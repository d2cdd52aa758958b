//! The field table: each key of the drive file once, with its dimension, range, default and words.
//!
//! The `record!` macro writes a plain struct and the table entry of each of its fields from one
//! line, so that the reader of drive files, the JSON Schema, `explain` and the page's form can
//! never disagree with the code. Keys are bare stems; Rust names are stem + core unit.

use crate::units::Dimension;
use std::collections::BTreeMap;

/// One key of the drive file.
#[derive(Debug)]
pub struct Field {
    /// The bare stem as it stands in the file.
    pub key: &'static str,
    /// What the value must be.
    pub kind: Kind,
    /// Whether the key may be left out, and what then holds.
    pub presence: Presence,
    /// Smallest and largest value in core units, for quantities, numbers and counts.
    pub range: (f64, f64),
    /// What the key means, for people.
    pub doc: &'static str,
}

/// What the value of a key must be.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A number with a unit, written as text; plain numbers may stand bare or as text with %.
    Quantity(Dimension),
    /// A whole number.
    Count,
    /// One of a few words.
    Choice(&'static [Choice]),
    /// Free text.
    Text,
    /// True or false.
    Flag,
    /// A table of further keys.
    Section(&'static Section),
    /// An array of tables.
    List(&'static Section),
}

/// One word of a choice and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The word in the file.
    pub word: &'static str,
    /// What it means, for people.
    pub doc: &'static str,
}

/// Whether a key may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Presence {
    /// It must be there.
    Required,
    /// It may be absent, and then nothing is assumed.
    Optional,
    /// It may be absent, and then this text is read in its place.
    Default(&'static str),
}

/// A table of the drive file.
#[derive(Debug)]
pub struct Section {
    /// What the table is about, for people.
    pub doc: &'static str,
    /// Its keys in the order in which people are shown them.
    pub fields: &'static [Field],
}

impl Section {
    /// The entry of a key.
    #[must_use]
    pub fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.key == key)
    }
}

/// A value as the reader hands it over: in core units and already checked against its field.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity in core units, or a plain number.
    Number(f64),
    /// A whole number.
    Count(usize),
    /// The word of a choice, or free text.
    Text(String),
    /// True or false.
    Flag(bool),
    /// A table.
    Record(Record),
    /// An array of tables.
    List(Vec<Record>),
}

/// The values of one table by key.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record(pub BTreeMap<&'static str, Value>);

/// A value that the field table promised and the reader did not deliver: a defect of the program.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("key `{key}` was read as something else than the field table says")]
pub struct FieldMismatch {
    /// The key whose value does not fit.
    pub key: &'static str,
}

impl Record {
    /// Takes the value of a key out as the type that the struct holds.
    ///
    /// # Errors
    /// [`FieldMismatch`] if the reader did not keep to the field table.
    pub fn take<T: FromValue>(&mut self, key: &'static str) -> Result<T, FieldMismatch> {
        T::from_value(self.0.remove(key)).ok_or(FieldMismatch { key })
    }
}

/// A type that a field of the drive file can be held in.
pub trait FromValue: Sized {
    /// The value as this type, `None` if it does not fit.
    fn from_value(value: Option<Value>) -> Option<Self>;
}

impl FromValue for f64 {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value? {
            Value::Number(number) => Some(number),
            _ => None,
        }
    }
}

impl FromValue for usize {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value? {
            Value::Count(count) => Some(count),
            _ => None,
        }
    }
}

impl FromValue for bool {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value? {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }
}

impl FromValue for String {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value? {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }
}

impl<T: FromValue> FromValue for Option<T> {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value {
            None => Some(None),
            present => T::from_value(present).map(Some),
        }
    }
}

/// A struct that `record!` wrote: it knows its table and can be filled from one.
pub trait Tabled: Sized {
    /// The table's entry in the field table.
    const SECTION: Section;

    /// The struct filled from a record that was checked against [`Tabled::SECTION`].
    ///
    /// # Errors
    /// [`FieldMismatch`] if the record does not keep to the table.
    fn from_record(record: Record) -> Result<Self, FieldMismatch>;
}

impl<T: Tabled> FromValue for T {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value? {
            Value::Record(record) => T::from_record(record).ok(),
            _ => None,
        }
    }
}

impl<T: Tabled> FromValue for Vec<T> {
    fn from_value(value: Option<Value>) -> Option<Self> {
        match value {
            None => Some(Vec::new()),
            Some(Value::List(records)) => {
                records.into_iter().map(|record| T::from_record(record).ok()).collect()
            }
            Some(_) => None,
        }
    }
}

/// Writes an enum and its words for the drive file from one list.
macro_rules! choice {
    ($(#[doc = $doc:literal])+ $name:ident { $($word:literal => $variant:ident $words:literal,)+ }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
        pub enum $name {
            $(#[doc = $words] #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            /// The words of the drive file, in the order people are shown them.
            pub const CHOICES: &'static [$crate::model::record::Choice] =
                &[$($crate::model::record::Choice { word: $word, doc: $words },)+];

            /// All of them, in the order people are shown them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The word that stands for this in the drive file.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }
        }

        impl $crate::model::record::FromValue for $name {
            fn from_value(value: Option<$crate::model::record::Value>) -> Option<Self> {
                match value? {
                    $crate::model::record::Value::Text(text) => match text.as_str() {
                        $($word => Some(Self::$variant),)+
                        _ => None,
                    },
                    _ => None,
                }
            }
        }
    };
}

/// Writes a struct and its field table from one list.
macro_rules! record {
    ($(#[doc = $doc:literal])+ $name:ident {
        $($key:literal $field:ident: $type:ty = $kind:expr, $presence:expr, $range:expr, $words:literal;)+
    }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name {
            $(#[doc = $words] pub $field: $type,)+
        }

        impl $crate::model::record::Tabled for $name {
            const SECTION: $crate::model::record::Section = $crate::model::record::Section {
                doc: concat!($($doc),+),
                fields: &[$($crate::model::record::Field {
                    key: $key, kind: $kind, presence: $presence, range: $range, doc: $words,
                },)+],
            };

            fn from_record(
                mut record: $crate::model::record::Record,
            ) -> Result<Self, $crate::model::record::FieldMismatch> {
                Ok(Self { $($field: record.take($key)?,)+ })
            }
        }
    };
}

pub(crate) use {choice, record};
