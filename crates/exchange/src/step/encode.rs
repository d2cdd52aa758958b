//! Exchange-structure encoding of ISO 10303-21: entity instances, numbers, text.

use std::fmt::Write as _;

/// Number of an entity instance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Id(usize);

impl std::fmt::Display for Id {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "#{}", self.0)
    }
}

/// The data section as it grows.
#[derive(Debug, Default)]
pub(super) struct Entities {
    lines: String,
    count: usize,
}

impl Entities {
    /// Adds an instance, given as `NAME(parameters)`, and returns its number.
    pub(super) fn add(&mut self, instance: impl std::fmt::Display) -> Id {
        self.count += 1;
        // Writing to a string cannot fail.
        let _ = writeln!(self.lines, "#{}={instance};", self.count);
        Id(self.count)
    }

    pub(super) fn as_str(&self) -> &str {
        &self.lines
    }
}

/// A parenthesised list.
pub(super) fn list(items: impl IntoIterator<Item = impl std::fmt::Display>) -> String {
    let items: Vec<String> = items.into_iter().map(|item| item.to_string()).collect();
    format!("({})", items.join(","))
}

/// A real number: always with a decimal point, no trailing zeros, no negative zero.
pub(super) fn real(value: f64) -> String {
    let digits = format!("{value:.12}");
    let trimmed = digits.trim_end_matches('0');
    if trimmed == "-0." { "0.".to_owned() } else { trimmed.to_owned() }
}

/// A string in quotes; letters beyond ASCII become the standard's hexadecimal groups.
pub(super) fn text(value: &str) -> String {
    let mut encoded = String::from("'");
    for letter in value.chars() {
        match letter {
            '\'' => encoded.push_str("''"),
            '\\' => encoded.push_str("\\\\"),
            ' '..='~' => encoded.push(letter),
            '\u{a0}'..='\u{ffff}' => encoded.push_str(&format!("\\X2\\{:04X}\\X0\\", letter as u32)),
            '\u{10000}'.. => encoded.push_str(&format!("\\X4\\{:08X}\\X0\\", letter as u32)),
            _ => encoded.push(' '),
        }
    }
    encoded.push('\'');
    encoded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_reals_have_a_point_and_no_negative_zero() {
        let written = [0.0, -0.0, 1.0, -2.5, 1e-15, -1e-15, 72.000_000_000_1].map(real);
        assert_eq!(written, ["0.", "0.", "1.", "-2.5", "0.", "0.", "72.0000000001"]);
    }

    #[test]
    fn identity_text_is_escaped() {
        assert_eq!(text("o'ring \\ disc"), "'o''ring \\\\ disc'");
        assert_eq!(
            text("größe Ø8 𝑟"),
            "'gr\\X2\\00F6\\X0\\\\X2\\00DF\\X0\\e \\X2\\00D8\\X0\\8 \\X4\\0001D45F\\X0\\'"
        );
        assert_eq!(text("two\nlines"), "'two lines'");
    }
}
