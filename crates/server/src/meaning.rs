//! A check, formula, quantity, key or source explained, as the command line explains it.

use crate::api::{ExplainedEntry, ExplainedLine, Explanation};
use reducer::registry::{self, Formula, Source};
use sheet::explain::{Entry, find, in_words};

/// Characters of a line of the whole text.
const WIDTH: usize = 90;

/// What a name means; nothing where nothing has that name.
#[must_use]
pub fn explanation(name: &str) -> Option<Explanation> {
    let entries = find(name);
    if entries.is_empty() {
        return None;
    }
    let formula = formula_of(name);
    let letters = |formula: &Formula| {
        formula.symbols.iter().map(|(letter, meaning)| format!("{letter}: {meaning}")).collect()
    };
    let of_formula = |formula: &Formula| {
        formula.sources.iter().filter_map(|key| registry::source(key)).map(in_full).collect()
    };
    let texts: Vec<String> = entries.iter().map(|entry| in_words(entry, WIDTH)).collect();
    Some(Explanation {
        name: name.to_owned(),
        expression: formula.map_or_else(String::new, |formula| formula.text.clone()),
        symbols: formula.map(letters).unwrap_or_default(),
        valid_for: formula.map_or_else(String::new, |formula| formula.valid_for.clone()),
        sources: formula
            .map_or_else(|| registry::source(name).map(in_full).into_iter().collect(), of_formula),
        text: texts.join("\n"),
        entries: entries.into_iter().map(explained).collect(),
    })
}

fn explained(entry: Entry) -> ExplainedEntry {
    let line = |(label, text): (&str, String)| ExplainedLine { label: label.to_owned(), text };
    ExplainedEntry {
        what: entry.what.to_owned(),
        name: entry.name,
        title: entry.title,
        lines: entry.lines.into_iter().map(line).collect(),
    }
}

/// The formula of that name, or of the check of that name.
fn formula_of(name: &str) -> Option<&'static Formula> {
    registry::formula(name).or_else(|| {
        let check = registry::checks().iter().find(|check| check.id == name)?;
        registry::formula(check.formula.as_deref()?)
    })
}

fn in_full(source: &Source) -> String {
    let edition = source.edition.as_ref().map_or_else(String::new, |edition| format!(", {edition}"));
    let doi = source.doi.as_ref().map_or_else(String::new, |doi| format!(", doi {doi}"));
    format!("{}: {}{edition}, {}{doi} ({})", source.author, source.title, source.year, source.held)
}
