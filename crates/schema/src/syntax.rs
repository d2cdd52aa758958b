//! Errors of the TOML text itself, in our words, and what they leave unread.

use crate::diagnostic::{Diagnostic, line_and_column};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeTable;

/// What the parser could make of the text.
pub(crate) struct Parsed<'t> {
    /// The tree of all that could be read.
    pub(crate) tree: Spanned<DeTable<'t>>,
    /// Errors of the text.
    pub(crate) errors: Vec<Diagnostic>,
    text: &'t str,
    /// Lines on which the text could not be read as TOML.
    unread_lines: Vec<usize>,
}

/// More errors than this are not kept: the file is not TOML.
pub(crate) const MOST_ERRORS: usize = 200;

/// Reads the text as far as it can be read.
pub(crate) fn parse(text: &str) -> Parsed<'_> {
    let (tree, found) = DeTable::parse_recoverable(text);
    let mut errors = Vec::new();
    let mut unread_lines = Vec::new();
    for error in found.iter().take(MOST_ERRORS) {
        let span = error.span().unwrap_or(0..0);
        let (line, _) = line_and_column(text, span.start);
        let duplicate = error.message().starts_with("duplicate key");
        // The first error of a line says what is wrong; those that follow from it would only confuse.
        if !duplicate {
            if unread_lines.contains(&line) {
                continue;
            }
            unread_lines.push(line);
        }
        errors.push(describe(text, error.message(), span));
    }
    Parsed { tree, errors, text, unread_lines }
}

impl Parsed<'_> {
    /// Whether an error in the text stands on the line of a span, so that its value says nothing.
    pub(crate) fn is_unread(&self, span: &Range<usize>) -> bool {
        !self.unread_lines.is_empty() && self.unread_lines.contains(&line_and_column(self.text, span.start).0)
    }

    /// Whether a key that is missing from the tree may stand in a part that could not be read.
    pub(crate) fn may_hold(&self, key: &str) -> bool {
        !self.unread_lines.is_empty() && self.text.lines().any(|line| names_key(line, key))
    }

    /// Whether a header of a table could not be read, so that keys may seem to stand in another table.
    pub(crate) fn has_unread_header(&self) -> bool {
        self.unread_lines.iter().any(|line| {
            self.text.lines().nth(line - 1).is_some_and(|text| text.trim_start().starts_with('['))
        })
    }
}

fn names_key(line: &str, key: &str) -> bool {
    let line = line.trim_start();
    if line.starts_with('[') { line.contains(key) } else { line.starts_with(key) }
}

/// The parser's message in our form, with a hint for the slips that people make most.
fn describe(text: &str, message: &str, span: Range<usize>) -> Diagnostic {
    let words = &text[span.clone()];
    if message.starts_with("duplicate key") {
        return Diagnostic::error(format!("`{words}` is given twice"))
            .at(span)
            .expected("it is there already")
            .hint("delete one of the two");
    }
    let (what, expected) = in_our_words(message);
    // It may take what follows for a part of itself.
    let is_cause = what.contains("is not closed");
    let diagnostic =
        Diagnostic::error(format!("this is not TOML: {what}")).at(span.clone()).expected(expected);
    let diagnostic = Diagnostic { is_cause, ..diagnostic };
    match unquoted_value(text, &span) {
        Some(value) => {
            diagnostic.hint(format!("values with a unit, and words, stand in quotes: write \"{value}\""))
        }
        None => diagnostic,
    }
}

/// What is wrong and what was expected, from the parser's message.
fn in_our_words(message: &str) -> (String, String) {
    let known = [
        ("string values must be quoted", "words and quantities need quotes", "quotes on both sides"),
        ("invalid basic string", "the text is not closed, or holds a sign that it must not", "a closing \""),
        ("invalid multi-line basic string", "the text is not closed", "a closing \"\"\""),
        ("unclosed table", "the header of the table is not closed", "a closing ]"),
        ("unclosed array", "the list is not closed", "a closing ]"),
        ("key with no value", "the key has no value", "an equals sign and a value"),
        ("cannot recurse further", "lists or tables are nested too deep", "a few levels at most"),
        (
            "unexpected key or value",
            "there is more on the line than one value",
            "the end of the line, or a remark after #",
        ),
    ];
    if let Some((_, what, expected)) = known.iter().find(|(start, ..)| message.starts_with(start)) {
        return ((*what).to_owned(), (*expected).to_owned());
    }
    match message.split_once(", expected ") {
        Some((what, expected)) => (what.to_owned(), format!("expected {expected}")),
        None => (message.to_owned(), "a key, an equals sign and a value".to_owned()),
    }
}

/// The value on the line of an error, if it looks like a quantity or word without its quotes.
fn unquoted_value(text: &str, span: &Range<usize>) -> Option<String> {
    let line_start = text[..span.start].rfind('\n').map_or(0, |index| index + 1);
    let line = text[line_start..].lines().next()?;
    let (_, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let bare = !value.is_empty() && !value.contains(['"', '\'', '[', ']', '{', '}', '=']);
    let is_number = value.starts_with(|first: char| first.is_ascii_digit());
    bare.then(|| if is_number { value.replacen(',', ".", 1) } else { value.to_owned() })
}
