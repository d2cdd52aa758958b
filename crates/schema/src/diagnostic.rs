//! What is wrong with a drive file, where, and what would be accepted.

use crate::render::{self, Colour};
use crate::syntax::MOST_ERRORS;
use serde::Serialize;
use std::fmt;
use std::ops::Range;

/// How much a diagnostic matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, but something in it looks like a slip.
    Caution,
}

/// One thing that is wrong with a drive file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Bytes of the file that it is about; absent where it is about the file as a whole.
    pub span: Option<Range<usize>>,
    /// Key of the drive file as a dotted path, empty where there is none.
    pub key: String,
    /// What is wrong, with the value and the limit.
    pub message: String,
    /// What was expected at the place, empty where the message says it.
    pub expected: String,
    /// The one change likely to help, empty where there is none.
    pub hint: String,
    /// How much it matters.
    pub severity: Severity,
    /// Whether others may only follow from it, as from text that is not closed.
    pub is_cause: bool,
}

/// Everything that is wrong with one file, causes first, then in order of place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostics {
    name: String,
    text: String,
    items: Vec<Diagnostic>,
}

/// A diagnostic with its place in lines and columns, for programs and the page.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct LocatedDiagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// Line, counted from one; absent where it is about the file as a whole.
    pub line: Option<usize>,
    /// Column in characters, counted from one.
    pub column: Option<usize>,
    /// First byte of the place and the one after its last.
    pub bytes: Option<(usize, usize)>,
    /// Key of the drive file as a dotted path, empty where there is none.
    pub key: String,
    /// What is wrong.
    pub message: String,
    /// What was expected at the place.
    pub expected: String,
    /// The one change likely to help.
    pub hint: String,
}

impl Diagnostic {
    /// An error without place, to be completed by the methods below.
    pub(crate) fn error(message: impl Into<String>) -> Self {
        Self {
            span: None,
            key: String::new(),
            message: message.into(),
            expected: String::new(),
            hint: String::new(),
            severity: Severity::Error,
            is_cause: false,
        }
    }

    /// A caution without place.
    pub(crate) fn caution(message: impl Into<String>) -> Self {
        Self { severity: Severity::Caution, ..Self::error(message) }
    }

    pub(crate) fn at(mut self, span: Range<usize>) -> Self {
        self.span = Some(span);
        self
    }

    pub(crate) fn marked_cause(mut self) -> Self {
        self.is_cause = true;
        self
    }

    pub(crate) fn at_if_known(mut self, span: Option<Range<usize>>) -> Self {
        self.span = span;
        self
    }

    pub(crate) fn key(mut self, key: impl Into<String>) -> Self {
        self.key = key.into();
        self
    }

    pub(crate) fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = expected.into();
        self
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }
}

impl Diagnostics {
    /// Diagnostics of a file, put in order of place, those about the whole file first; before all of them those from which
    /// others may follow. There is an end to them.
    pub(crate) fn new(name: &str, text: &str, mut items: Vec<Diagnostic>) -> Self {
        items.sort_by_key(|item| {
            let place = item.span.as_ref().map_or((0, 0), |span| (span.start + 1, span.end));
            (!item.is_cause, place)
        });
        items.dedup();
        items.truncate(MOST_ERRORS);
        Self { name: name.to_owned(), text: text.to_owned(), items }
    }

    /// What is wrong, causes first, then in order of place.
    #[must_use]
    pub fn items(&self) -> &[Diagnostic] {
        &self.items
    }

    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// Whether one of them makes the file unusable.
    #[must_use]
    pub fn has_error(&self) -> bool {
        self.items.iter().any(|item| item.severity == Severity::Error)
    }

    /// Name of the file, as it was given to the reader.
    #[must_use]
    pub fn file_name(&self) -> &str {
        &self.name
    }

    /// The messages as people read them, each with its line of the file and the text underlined.
    #[must_use]
    pub fn render(&self, colour: Colour) -> String {
        render::render(&self.name, &self.text, &self.items, colour)
    }

    /// The messages with lines and columns, for programs and the page.
    #[must_use]
    pub fn located(&self) -> Vec<LocatedDiagnostic> {
        self.items.iter().map(|item| self.locate(item)).collect()
    }

    fn locate(&self, item: &Diagnostic) -> LocatedDiagnostic {
        let place = item.span.as_ref().map(|span| line_and_column(&self.text, span.start));
        LocatedDiagnostic {
            severity: item.severity,
            line: place.map(|(line, _)| line),
            column: place.map(|(_, column)| column),
            bytes: item.span.as_ref().map(|span| (span.start, span.end)),
            key: item.key.clone(),
            message: item.message.clone(),
            expected: item.expected.clone(),
            hint: item.hint.clone(),
        }
    }
}

impl fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(Colour::Plain))
    }
}

impl std::error::Error for Diagnostics {}

/// Line and column of a byte of a text, both counted from one, columns in characters.
pub(crate) fn line_and_column(text: &str, offset: usize) -> (usize, usize) {
    let offset = floor_boundary(text, offset);
    let before = &text[..offset];
    let line_start = before.rfind('\n').map_or(0, |index| index + 1);
    (before.matches('\n').count() + 1, text[line_start..offset].chars().count() + 1)
}

/// The last boundary between characters that is not after the offset.
pub(crate) fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}
