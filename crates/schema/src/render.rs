//! Diagnostics as text for people: file, line, the words underlined, what was expected, a hint.

use crate::diagnostic::{Diagnostic, Severity, floor_boundary, line_and_column};
use crate::syntax::MOST_ERRORS;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::ops::Range;

/// Whether messages carry colour codes for a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    /// Text alone.
    Plain,
    /// Text with colour codes.
    Terminal,
}

/// Most messages shown at once; a file with more is not a drive file with slips.
const MOST_SHOWN: usize = 40;
/// Most characters shown of one line of the file.
const LONGEST_LINE: usize = 110;
/// Characters kept to the left of the underlined words in a line that is too long.
const LEAD: usize = 40;
/// Most characters beside the underlined words; longer remarks stand below the line.
const LONGEST_LABEL: usize = 60;
/// Most characters of a message: it may quote a value of any length.
const LONGEST_MESSAGE: usize = 600;

/// All messages one below the other, in the order given.
pub(crate) fn render(name: &str, text: &str, items: &[Diagnostic], colour: Colour) -> String {
    let renderer = match colour {
        Colour::Plain => Renderer::plain(),
        Colour::Terminal => Renderer::styled(),
    }
    .term_width(4 * LONGEST_LINE);
    let mut blocks: Vec<String> =
        items.iter().take(MOST_SHOWN).map(|item| render_one(name, text, item, &renderer)).collect();
    if items.len() > MOST_SHOWN {
        let more = if items.len() < MOST_ERRORS {
            (items.len() - MOST_SHOWN).to_string()
        } else {
            "many".to_owned()
        };
        blocks.push(format!("… and {more} more"));
    }
    blocks.join("\n\n")
}

fn render_one(name: &str, text: &str, item: &Diagnostic, renderer: &Renderer) -> String {
    let level = match item.severity {
        Severity::Error => Level::ERROR,
        Severity::Caution => Level::WARNING.with_name("caution"),
    };
    let mut group = Group::with_title(level.primary_title(shorten(&item.message)));
    group = match &item.span {
        None => group.element(Origin::path(name)),
        Some(span) => {
            let (line, column) = line_and_column(text, span.start);
            let excerpt = Excerpt::of(text, span);
            let label = is_label(&item.expected).then(|| shorten(&item.expected));
            let annotation = AnnotationKind::Primary.span(excerpt.span).label(label);
            let snippet = Snippet::source(excerpt.line).line_start(line).fold(false).annotation(annotation);
            if excerpt.is_from_start {
                group.element(snippet.path(name))
            } else {
                // The renderer would count the column in the cut line.
                group.element(Origin::path(name).line(line).char_column(column)).element(snippet)
            }
        }
    };
    if !item.expected.is_empty() && (item.span.is_none() || !is_label(&item.expected)) {
        group = group.element(Level::NOTE.with_name("expected").message(shorten(&item.expected)));
    }
    if !item.hint.is_empty() {
        group = group.element(Level::HELP.with_name("hint").message(shorten(&item.hint)));
    }
    renderer.render(&[group])
}

/// Whether what was expected is short enough to stand beside the underlined words.
fn is_label(expected: &str) -> bool {
    (1..=LONGEST_LABEL).contains(&expected.chars().count())
}

/// The line of the file that a message is about, cut to a length that a screen can hold.
struct Excerpt {
    line: String,
    span: Range<usize>,
    /// Whether the beginning of the line was kept, so that columns in it are those of the file.
    is_from_start: bool,
}

impl Excerpt {
    /// The first line of a span; what goes beyond the line is left out.
    fn of(text: &str, span: &Range<usize>) -> Self {
        let start = floor_boundary(text, span.start);
        let line_start = text[..start].rfind('\n').map_or(0, |index| index + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |index| start + index);
        let line = text[line_start..line_end].trim_end_matches('\r');
        let from = (start - line_start).min(line.len());
        let to = floor_boundary(line, (span.end.max(span.start) - line_start).min(line.len())).max(from);
        Self::cut(line, from, to)
    }

    fn cut(line: &str, from: usize, to: usize) -> Self {
        if line.chars().count() <= LONGEST_LINE {
            return Self { line: line.to_owned(), span: from..to, is_from_start: true };
        }
        let is_near = line[..from].chars().count() < LONGEST_LINE / 2;
        let keep_from =
            line[..from].char_indices().rev().nth(LEAD).filter(|_| !is_near).map_or(0, |(index, _)| index);
        let rest = &line[keep_from..];
        let keep_to =
            rest.char_indices().nth(LONGEST_LINE).map_or(line.len(), |(index, _)| keep_from + index);
        let front = if keep_from > 0 { "…" } else { "" };
        let back = if keep_to < line.len() { "…" } else { "" };
        let shift = |index: usize| index.clamp(keep_from, keep_to) - keep_from + front.len();
        let line = format!("{front}{}{back}", &line[keep_from..keep_to]);
        Self { line, span: shift(from)..shift(to), is_from_start: keep_from == 0 }
    }
}

/// A message cut to a length that a screen can hold, without control characters.
fn shorten(message: &str) -> String {
    let clean =
        |character: char| if character.is_control() && character != '\n' { '\u{fffd}' } else { character };
    let mut short: String = message.chars().take(LONGEST_MESSAGE).map(clean).collect();
    if message.chars().nth(LONGEST_MESSAGE).is_some() {
        short.push('…');
    }
    short
}
