//! Tables as data, and their rendering for a terminal: aligned on the decimal point, wrapped to a width.

use crate::markup::{Markup, Piece, Tag};
use serde::Serialize;
use unicode_width::UnicodeWidthStr;

/// How the cells of a column stand under each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    /// Flush left.
    Left,
    /// Flush right.
    Right,
    /// Decimal points under each other.
    Decimal,
}

/// The head of a column.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Column {
    /// What the column shows.
    pub head: Markup,
    /// Unit of every value in it, shown once in the head; empty where cells carry their own.
    pub unit: String,
    /// How the cells stand under each other.
    pub align: Align,
}

impl Column {
    /// A column whose cells carry their own units, or none.
    #[must_use]
    pub fn new(head: &str, align: Align) -> Self {
        Self { head: Markup::words(head), unit: String::new(), align }
    }

    /// A column of numbers in one unit.
    #[must_use]
    pub fn numbers(head: Markup, unit: &str) -> Self {
        Self { head, unit: unit.to_owned(), align: Align::Decimal }
    }

    fn head_with_unit(&self) -> Markup {
        if self.unit.is_empty() {
            self.head.clone()
        } else {
            self.head.clone().and(Tag::Aside, format!(", {}", self.unit))
        }
    }
}

/// A table of worded cells.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Table {
    /// What the table shows, as its caption.
    pub title: String,
    /// The heads of the columns.
    pub columns: Vec<Column>,
    /// The rows, each with one cell a column.
    pub rows: Vec<Vec<Markup>>,
}

/// Space between two columns of a terminal table.
const GUTTER: &str = "  ";
/// Narrowest width to which a column of words is wrapped.
const LEAST_WRAPPED_WIDTH: usize = 14;

impl Table {
    /// The table for a terminal of a width in characters, `colour` on or off; each line ends with a line break.
    ///
    /// Columns of words are wrapped where the table is wider than that; columns of numbers never are,
    /// so a very narrow terminal still gets lines that are too long rather than wrong numbers.
    #[must_use]
    pub fn text(&self, width: usize, colour: bool) -> String {
        let aligned: Vec<Vec<Markup>> = self.aligned_rows();
        let heads: Vec<Markup> = self.columns.iter().map(Column::head_with_unit).collect();
        let widths = self.widths(&heads, &aligned, width);
        let mut out = String::new();
        self.push_row(&mut out, &heads, &widths, colour);
        let rule: Vec<String> = widths.iter().map(|&width| "─".repeat(width)).collect();
        out.push_str(&rule.join(GUTTER));
        out.push('\n');
        for row in &aligned {
            self.push_row(&mut out, row, &widths, colour);
        }
        out
    }

    /// The rows with blanks behind the numbers of decimal columns, so that flush right aligns the points.
    fn aligned_rows(&self) -> Vec<Vec<Markup>> {
        let mut rows = self.rows.clone();
        for (index, column) in self.columns.iter().enumerate() {
            if column.align != Align::Decimal {
                continue;
            }
            let tail = |cell: &Markup| fraction_width(&cell.plain());
            let longest = rows.iter().map(|row| tail(&row[index])).max().unwrap_or(0);
            for row in &mut rows {
                let missing = longest - tail(&row[index]);
                row[index] = std::mem::take(&mut row[index]).and(Tag::Words, " ".repeat(missing));
            }
        }
        rows
    }

    fn widths(&self, heads: &[Markup], rows: &[Vec<Markup>], limit: usize) -> Vec<usize> {
        let natural = |index: usize| {
            let cells = rows.iter().map(|row| &row[index]);
            std::iter::once(&heads[index]).chain(cells).map(|cell| cell.plain().width()).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = (0..self.columns.len()).map(natural).collect();
        let gutters = GUTTER.len() * self.columns.len().saturating_sub(1);
        while widths.iter().sum::<usize>() + gutters > limit {
            let wrappable = (0..widths.len()).filter(|&index| {
                self.columns[index].align == Align::Left && widths[index] > LEAST_WRAPPED_WIDTH
            });
            let Some(widest) = wrappable.max_by_key(|&index| widths[index]) else { break };
            widths[widest] -= 1;
        }
        widths
    }

    fn push_row(&self, out: &mut String, cells: &[Markup], widths: &[usize], colour: bool) {
        let wrapped: Vec<Vec<Markup>> =
            cells.iter().zip(widths).map(|(cell, &width)| wrap(cell, width)).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(0);
        for line in 0..height {
            let mut text = String::new();
            for (index, lines) in wrapped.iter().enumerate() {
                let empty = Markup::default();
                let cell = lines.get(line).unwrap_or(&empty);
                let blank = " ".repeat(widths[index].saturating_sub(cell.plain().width()));
                let shown = if colour { cell.ansi() } else { cell.plain() };
                let left = self.columns[index].align == Align::Left;
                text.push_str(&if left { format!("{shown}{blank}") } else { format!("{blank}{shown}") });
                text.push_str(GUTTER);
            }
            out.push_str(text.trim_end());
            out.push('\n');
        }
    }
}

/// Width of what stands behind the whole digits of a number: point, fraction and unit.
fn fraction_width(text: &str) -> usize {
    text[point_of(text)..].width()
}

/// Where the decimal point of a text is, or would be: behind its first run of digits; at the
/// end of a text that does not start with a number.
fn point_of(text: &str) -> usize {
    let start = text.find(|c: char| !matches!(c, '≤' | '≥' | '<' | '>' | '−' | '+' | ' ')).unwrap_or(0);
    if !text[start..].starts_with(|c: char| c.is_ascii_digit()) {
        return text.len();
    }
    let run = text[start..].find(|c: char| !(c.is_ascii_digit() || c == ','));
    run.map_or(text.len(), |length| start + length)
}

/// A cell cut where its decimal point is, or would be, for renderers that align the two halves themselves.
#[must_use]
pub fn split_at_point(cell: &Markup) -> (Markup, Markup) {
    let mut rest = point_of(&cell.plain());
    let (mut head, mut tail) = (Markup::default(), Markup::default());
    for piece in &cell.pieces {
        let (before, after) = piece.text.split_at(rest.min(piece.text.len()));
        rest -= before.len();
        head = head.and(piece.tag, before);
        tail = tail.and(piece.tag, after);
    }
    (head, tail)
}

/// Text broken at blanks into lines of at most a width; a longer word stands alone on its line.
#[must_use]
pub fn wrap(text: &Markup, width: usize) -> Vec<Markup> {
    if text.plain().width() <= width {
        return vec![text.clone()];
    }
    let mut lines = vec![Markup::default()];
    let mut used = 0;
    for piece in &text.pieces {
        for word in piece.text.split_inclusive(' ') {
            let bare = word.trim_end().width();
            if used > 0 && used + bare > width {
                trim_end(lines.last_mut());
                lines.push(Markup::default());
                used = 0;
            }
            let line = lines.last_mut().expect("there is always a line: one is there from the start");
            push_merged(line, piece.tag, word);
            used += word.width();
        }
    }
    lines
}

/// Takes the blanks off the end of a line, which is where it was broken.
fn trim_end(line: Option<&mut Markup>) {
    if let Some(last) = line.and_then(|line| line.pieces.last_mut()) {
        last.text.truncate(last.text.trim_end().len());
    }
}

fn push_merged(line: &mut Markup, tag: Tag, word: &str) {
    match line.pieces.last_mut() {
        Some(last) if last.tag == tag => last.text.push_str(word),
        _ => line.pieces.push(Piece { tag, text: word.to_owned() }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Table {
        let cell = |text: &str| Markup::display(text);
        Table {
            title: String::new(),
            columns: vec![
                Column::new("check", Align::Left),
                Column::numbers(Markup::words("force"), "N"),
                Column::new("n", Align::Right),
            ],
            rows: vec![
                vec![cell("greatest force at any ring roller of any disc"), cell("1234.5"), cell("2")],
                vec![cell("none"), cell("−3"), cell("17")],
            ],
        }
    }

    #[test]
    fn locked_terminal_table_aligns_points_and_wraps_words() {
        let expected = "check                       force, N   n
──────────────────────────  ────────  ──
greatest force at any ring    1234.5   2
roller of any disc
none                            −3    17
";
        assert_eq!(sample().text(40, false), expected);
    }

    #[test]
    fn identity_cells_are_cut_at_their_point() {
        let cut = |text: &str| {
            let (head, tail) = split_at_point(&Markup::words("≤ ").then(Markup::display(text)));
            (head.plain(), tail.plain())
        };
        assert_eq!(cut("1,234.5 mm"), ("≤ 1,234".to_owned(), ".5 mm".to_owned()));
        assert_eq!(cut("180 N·m"), ("≤ 180".to_owned(), " N·m".to_owned()));
        assert_eq!(cut("C0 of 3"), ("≤ C0 of 3".to_owned(), String::new()));
    }

    #[test]
    fn identity_no_line_is_wider_than_asked_and_no_word_is_lost() {
        for width in 34..90 {
            let text = sample().text(width, false);
            assert!(text.lines().all(|line| line.width() <= width), "{width}\n{text}");
            let words: Vec<&str> = text.split_whitespace().collect();
            for word in ["greatest", "force", "roller", "disc", "1234.5", "−3", "17"] {
                assert!(words.contains(&word), "{word}\n{text}");
            }
        }
    }
}
