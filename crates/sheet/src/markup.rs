//! Text in pieces tagged by what they mean, with renderers for plain text, terminals and HTML.

use reducer::finding::Standing;
use reducer::registry;
use serde::Serialize;

/// What a piece of text means; how that looks is up to the renderer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tag {
    /// Running text.
    Words,
    /// A number.
    Value,
    /// The unit of a number.
    Unit,
    /// A letter of the trade; `_` stands before its subscript.
    Symbol,
    /// The name of a quantity.
    Quantity,
    /// A key of the drive file, a command, a file name.
    Code,
    /// What the eye should find first.
    Emphasis,
    /// A remark of lesser weight.
    Aside,
    /// The standing of a check that holds.
    Holds,
    /// The standing of a doubtful check.
    Doubtful,
    /// The standing of a check that fails.
    Fails,
    /// The standing of a value that nothing limits.
    NoLimit,
    /// The standing of a check that was not made.
    NotAssessed,
}

impl From<Standing> for Tag {
    fn from(standing: Standing) -> Self {
        match standing {
            Standing::Holds => Self::Holds,
            Standing::Doubtful => Self::Doubtful,
            Standing::Fails => Self::Fails,
            Standing::NoLimit => Self::NoLimit,
            Standing::NotAssessed => Self::NotAssessed,
        }
    }
}

/// A run of text with one meaning.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Piece {
    /// What it means.
    pub tag: Tag,
    /// The text, never markup of any kind.
    pub text: String,
}

/// Text in tagged pieces.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(transparent)]
pub struct Markup {
    /// The pieces in reading order.
    pub pieces: Vec<Piece>,
}

impl Markup {
    /// Text of one piece.
    #[must_use]
    pub fn tagged(tag: Tag, text: impl Into<String>) -> Self {
        let text = text.into();
        Self { pieces: if text.is_empty() { Vec::new() } else { vec![Piece { tag, text }] } }
    }

    /// Running text.
    #[must_use]
    pub fn words(text: impl Into<String>) -> Self {
        Self::tagged(Tag::Words, text)
    }

    /// Running text in which letters with a subscript, such as `z_l`, become symbols, and what stands between backticks code.
    #[must_use]
    pub fn with_symbols(text: &str) -> Self {
        let mut markup = Self::default();
        for (place, part) in text.split('`').enumerate() {
            let tagged =
                if place % 2 == 0 { Self::without_code(part) } else { Self::tagged(Tag::Code, part) };
            markup = markup.then(tagged);
        }
        markup
    }

    /// The name of an order by the counts that make it: `w z_r: pins that pass the crank`. Before the colon the number of pins,
    /// which has no subscript, is a symbol too.
    #[must_use]
    pub fn with_counts(text: &str) -> Self {
        let (counts, words) = text.split_at(text.find(':').unwrap_or(text.len()));
        let counts = match counts.split_once("w z_") {
            Some((times, _)) => {
                let rest = &counts[times.len() + 1..];
                Self::words(times).and(Tag::Symbol, "w").then(Self::without_code(rest))
            }
            None => Self::without_code(counts),
        };
        counts.and(Tag::Words, words)
    }

    fn without_code(text: &str) -> Self {
        let mut markup = Self::default();
        let is_joint = |c: char| !(c.is_alphanumeric() || c == '_');
        for word in text.split_inclusive(is_joint) {
            let bare = word.trim_end_matches(is_joint);
            let mut letters = bare.chars();
            let is_symbol = letters.next().is_some_and(char::is_alphabetic)
                && letters.next() == Some('_')
                && letters.next().is_some();
            markup = match markup.pieces.last_mut() {
                _ if is_symbol => markup.and(Tag::Symbol, bare).and(Tag::Words, &word[bare.len()..]),
                Some(last) if last.tag == Tag::Words => {
                    last.text.push_str(word);
                    markup
                }
                _ => markup.and(Tag::Words, word),
            };
        }
        markup
    }

    /// The standing of a check, in its words.
    #[must_use]
    pub fn standing(standing: Standing) -> Self {
        Self::tagged(standing.into(), standing.words())
    }

    /// A value with its unit, rounded as the table of quantities says.
    #[must_use]
    pub fn value(quantity: &str, core_value: f64) -> Self {
        let Some(entry) = registry::quantity(quantity) else {
            return Self::tagged(Tag::Value, registry::display(quantity, core_value));
        };
        let number = Self::tagged(Tag::Value, entry.number(core_value));
        if entry.unit.is_empty() { number } else { number.and(Tag::Unit, entry.unit_behind()) }
    }

    /// A number and unit that were already put into words, such as `12.5 mm`.
    #[must_use]
    pub fn display(text: &str) -> Self {
        let numeric = text.starts_with(|first: char| first.is_ascii_digit() || first == '−' || first == '+');
        match text.split_once(' ') {
            Some((number, unit)) if numeric => {
                Self::tagged(Tag::Value, number).and(Tag::Unit, format!(" {unit}"))
            }
            _ if numeric => Self::tagged(Tag::Value, text),
            _ => Self::words(text),
        }
    }

    /// The same text with another piece behind it.
    #[must_use]
    pub fn and(mut self, tag: Tag, text: impl Into<String>) -> Self {
        self.pieces.extend(Self::tagged(tag, text).pieces);
        self
    }

    /// The same text with other text behind it.
    #[must_use]
    pub fn then(mut self, other: Self) -> Self {
        self.pieces.extend(other.pieces);
        self
    }

    /// Whether there is nothing to read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// The bare text.
    #[must_use]
    pub fn plain(&self) -> String {
        self.pieces.iter().map(|piece| piece.text.as_str()).collect()
    }

    /// The text with the colour and weight codes of terminals.
    ///
    /// Standing is told by its words first; colour only repeats it.
    #[must_use]
    pub fn ansi(&self) -> String {
        self.pieces.iter().map(Piece::ansi).collect()
    }

    /// The text as HTML, one `span` a piece with the class `m-` and the tag.
    #[must_use]
    pub fn html(&self) -> String {
        self.pieces.iter().map(Piece::html).collect()
    }
}

impl Piece {
    fn ansi(&self) -> String {
        let code = match self.tag {
            Tag::Words | Tag::Value | Tag::Unit | Tag::Symbol | Tag::Quantity | Tag::Holds => "",
            Tag::Code => "36",
            Tag::Emphasis => "1",
            Tag::Aside | Tag::NoLimit | Tag::NotAssessed => "2",
            Tag::Doubtful => "33",
            Tag::Fails => "1;31",
        };
        if code.is_empty() { self.text.clone() } else { format!("\u{1b}[{code}m{}\u{1b}[0m", self.text) }
    }

    fn html(&self) -> String {
        let class = match self.tag {
            Tag::Words => return escape(&self.text),
            Tag::Value => "value",
            Tag::Unit => "unit",
            Tag::Symbol => return symbol_html(&self.text),
            Tag::Quantity => "quantity",
            Tag::Code => return format!("<code>{}</code>", escape(&self.text)),
            Tag::Emphasis => return format!("<strong>{}</strong>", escape(&self.text)),
            Tag::Aside => "aside",
            Tag::Holds => "holds",
            Tag::Doubtful => "doubtful",
            Tag::Fails => "fails",
            Tag::NoLimit => "no-limit",
            Tag::NotAssessed => "not-assessed",
        };
        format!("<span class=\"m-{class}\">{}</span>", escape(&self.text))
    }
}

fn symbol_html(symbol: &str) -> String {
    let (letter, subscript) = split_symbol(symbol);
    let below =
        if subscript.is_empty() { String::new() } else { format!("<sub>{}</sub>", escape(subscript)) };
    format!("<i class=\"m-symbol\">{}</i>{below}", escape(letter))
}

/// A symbol's letter and its subscript: `z_r` is `z` and `r`, `C0` is `C` and `0`; the subscript may be empty.
#[must_use]
pub fn split_symbol(symbol: &str) -> (&str, &str) {
    let digits = symbol.char_indices().nth(1).filter(|(_, second)| second.is_ascii_digit());
    match (symbol.split_once('_'), digits) {
        (Some(parts), _) => parts,
        (None, Some((cut, _))) => symbol.split_at(cut),
        (None, None) => (symbol, ""),
    }
}

/// Text with the characters that XML and HTML reserve written as entities, and control characters left out.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other if other.is_control() => {}
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_all_renderers_say_the_same() {
        let text = Markup::words("gap < limit at ").and(Tag::Symbol, "θ_k").and(Tag::Fails, " fails");
        assert_eq!(text.plain(), "gap < limit at θ_k fails");
        assert_eq!(text.ansi(), "gap < limit at θ_k\u{1b}[1;31m fails\u{1b}[0m");
        assert_eq!(
            text.html(),
            "gap &lt; limit at <i class=\"m-symbol\">θ</i><sub>k</sub><span class=\"m-fails\"> fails</span>"
        );
    }

    #[test]
    fn identity_letters_with_a_subscript_become_symbols() {
        let text = Markup::with_symbols("r_r: radius, γ < D_we/D_pw, not pin_radius");
        let symbols: Vec<&str> = text
            .pieces
            .iter()
            .filter(|piece| piece.tag == Tag::Symbol)
            .map(|piece| piece.text.as_str())
            .collect();
        assert_eq!(symbols, ["r_r", "D_we", "D_pw"]);
        assert_eq!(text.plain(), "r_r: radius, γ < D_we/D_pw, not pin_radius");
    }

    #[test]
    fn identity_what_stands_between_backticks_is_code() {
        let text = Markup::with_symbols("nominal parts; `lobewright yield` counts z_l");
        let tags: Vec<Tag> = text.pieces.iter().map(|piece| piece.tag).collect();
        assert_eq!(tags, [Tag::Words, Tag::Code, Tag::Words, Tag::Symbol]);
        assert_eq!(text.pieces[1].text, "lobewright yield");
    }

    #[test]
    fn identity_the_counts_of_an_order_are_symbols() {
        let symbols = |text: &str| -> Vec<String> {
            let markup = Markup::with_counts(text);
            assert_eq!(markup.plain(), text);
            markup
                .pieces
                .into_iter()
                .filter(|piece| piece.tag == Tag::Symbol)
                .map(|piece| piece.text)
                .collect()
        };
        assert_eq!(symbols("2 × w z_r: pins that pass the crank"), ["w", "z_r"]);
        assert_eq!(symbols("z_l: crank against ring, without w"), ["z_l"]);
        assert_eq!(symbols("mesh, z_l z_r: form common to all lobes"), ["z_l", "z_r"]);
    }

    #[test]
    fn identity_text_cannot_become_markup() {
        assert_eq!(escape("<b a='1'>&\u{7}\""), "&lt;b a=&#39;1&#39;&gt;&amp;&quot;");
    }

    #[test]
    fn identity_displayed_values_are_split_into_number_and_unit() {
        let text = Markup::display("−1.25 mm");
        assert_eq!(text.pieces.iter().map(|piece| piece.tag).collect::<Vec<_>>(), [Tag::Value, Tag::Unit]);
        assert_eq!(text.plain(), "−1.25 mm");
        assert_eq!(Markup::display("not assessed").pieces[0].tag, Tag::Words);
    }
}
