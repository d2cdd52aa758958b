//! What a check, formula, quantity, drive-file key or source means, in words.

use crate::Markup;
use crate::table::wrap;
use reducer::model::describe::{self, KeyEntry};
use reducer::model::record::Kind;
use reducer::registry::{self, CheckEntry, Formula, Quantity, Source};
use serde::Serialize;
use std::fmt::Write;

/// Something that has a name, with all there is to say of it.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// `check`, `formula`, `quantity`, `key` or `source`.
    pub what: &'static str,
    /// The name by which it is found.
    pub name: String,
    /// What it is, in a few words.
    pub title: String,
    /// The lines below the title: what the line says, and the line.
    pub lines: Vec<(&'static str, String)>,
}

/// What a name stands for; one name may stand for several things.
#[must_use]
pub fn find(name: &str) -> Vec<Entry> {
    all().into_iter().filter(|entry| is_meant(entry, name)).collect()
}

/// A key is meant by its whole path or its last part, a quantity also by its name without the unit.
fn is_meant(entry: &Entry, name: &str) -> bool {
    let last_part = || entry.what == "key" && entry.name.rsplit('.').next() == Some(name);
    let stem = || entry.what == "quantity" && quantity_stem(&entry.name) == name;
    entry.name == name || last_part() || stem()
}

fn quantity_stem(name: &str) -> &str {
    let suffix =
        registry::quantity(name).and_then(Quantity::display_unit).map_or("", |unit| unit.dimension.suffix());
    name.strip_suffix(suffix).unwrap_or(name)
}

/// The known name that is most like one that is not known.
#[must_use]
pub fn nearest(name: &str) -> Option<String> {
    let entries = all();
    let likeness = |entry: &Entry| {
        let last = entry.name.rsplit('.').next().unwrap_or(&entry.name);
        let like = |candidate: &str| strsim::normalized_damerau_levenshtein(&name.to_lowercase(), candidate);
        like(&entry.name).max(like(last))
    };
    let nearest = entries.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)))?;
    (likeness(nearest) >= 0.5).then(|| nearest.name.clone())
}

/// All there is to say of an entry, in lines of a width.
#[must_use]
pub fn in_words(entry: &Entry, width: usize) -> String {
    let mut text = format!("{} {}\n", entry.what, entry.name);
    for line in wrapped(&entry.title, width) {
        let _ = writeln!(text, "{line}");
    }
    let label_width = entry.lines.iter().map(|(label, _)| label.chars().count()).max().unwrap_or(0);
    let mut before = "";
    for (label, line) in &entry.lines {
        let mut shown = if *label == before { "" } else { label };
        for part in wrapped(line, width.saturating_sub(label_width + 4)) {
            let _ = writeln!(text, "  {shown:label_width$}  {part}");
            shown = "";
        }
        before = label;
    }
    text
}

fn wrapped(text: &str, width: usize) -> Vec<String> {
    wrap(&Markup::words(text), width).iter().map(Markup::plain).collect()
}

/// Everything that has a name.
#[must_use]
pub fn all() -> Vec<Entry> {
    let checks = registry::checks().iter().map(check_entry);
    let formulas = registry::formulas().iter().map(formula_entry);
    let quantities = registry::quantities().iter().map(quantity_entry);
    let keys = describe::keys();
    let keys = keys.iter().map(key_entry);
    let sources = registry::sources().iter().map(source_entry);
    checks.chain(formulas).chain(quantities).chain(keys).chain(sources).collect()
}

fn check_entry(check: &CheckEntry) -> Entry {
    let mut lines = vec![("limit", check.limit.clone())];
    let formula = check.formula.as_ref().and_then(|id| registry::formula(id));
    lines.extend(formula.into_iter().flat_map(|formula| {
        let mut lines = vec![("value", format!("{} ({})", formula.title, formula.id))];
        lines.extend(formula_entry(formula).lines);
        lines
    }));
    Entry { what: "check", name: check.id.clone(), title: check.asks.clone(), lines }
}

fn formula_entry(formula: &Formula) -> Entry {
    let mut lines = vec![("formula", formula.text.clone())];
    lines.extend(formula.symbols.iter().map(|(letter, meaning)| ("letters", format!("{letter}: {meaning}"))));
    lines.push(("valid for", formula.valid_for.clone()));
    lines.extend(formula.sources.iter().map(|key| ("source", source_line(key))));
    lines.push(("place", formula.place.clone()));
    Entry { what: "formula", name: formula.id.clone(), title: formula.title.clone(), lines }
}

fn quantity_entry(quantity: &Quantity) -> Entry {
    let unit = if quantity.unit.is_empty() { "none" } else { &quantity.unit };
    let mut lines = vec![
        ("letter", quantity.symbol.clone()),
        ("shown in", unit.to_owned()),
        ("digits", format!("{} after the point", quantity.digits)),
    ];
    lines.extend(quantity.sign.iter().map(|sign| ("sign", sign.clone())));
    Entry { what: "quantity", name: quantity.name.clone(), title: quantity.words.clone(), lines }
}

fn key_entry(key: &KeyEntry) -> Entry {
    let field = key.field;
    let mut lines = vec![("value", field.kind_words())];
    if let Kind::Choice(choices) = field.kind {
        lines.extend(choices.iter().map(|choice| ("words", format!("\"{}\": {}", choice.word, choice.doc))));
    }
    lines.extend(field.range_words().map(|range| ("range", range)));
    lines.push(("presence", field.presence_words()));
    Entry { what: "key", name: key.path.clone(), title: field.doc.to_owned(), lines }
}

fn source_entry(source: &Source) -> Entry {
    let mut lines = vec![("author", source.author.clone()), ("year", source.year.to_string())];
    lines.extend(source.edition.iter().map(|edition| ("edition", edition.clone())));
    lines.extend(source.doi.iter().map(|doi| ("doi", doi.clone())));
    lines.push(("held", source.held.clone()));
    let users = registry::formulas().iter().filter(|formula| formula.sources.contains(&source.key));
    lines.extend(users.map(|formula| ("formulas", format!("{}: {}", formula.id, formula.title))));
    Entry { what: "source", name: source.key.clone(), title: source.title.clone(), lines }
}

/// A source in one line, with how much of it was at hand.
fn source_line(key: &str) -> String {
    registry::source(key).map_or_else(
        || format!("[{key}]"),
        |source| format!("[{key}] {}: {}, {} ({})", source.author, source.title, source.year, source.held),
    )
}
