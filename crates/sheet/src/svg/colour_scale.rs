//! The scale of colours of maps: from little to much, told apart by lightness alone.
//!
//! Lightness falls evenly from level to level (on a light sheet; it rises on a dark one), so the order is the same for
//! every kind of colour blindness and in grey print; the hue, sand over green and teal to indigo, only helps to name a place. The
//! colours are even steps of lightness in a perceptual space between four anchors, chosen for this program.

use super::Theme;
use std::fmt::Write as _;

/// Levels of the scale.
pub const LEVEL_COUNT: usize = 20;

/// On a light sheet, least first.
const LIGHT: [&str; LEVEL_COUNT] = [
    "#f2e7b9", "#e1ddab", "#cfd49f", "#bccc94", "#a7c38b", "#91bb85", "#7ab280", "#63a980", "#4c9e82",
    "#369383", "#228883", "#107c82", "#056f80", "#04637b", "#055775", "#0a4a6e", "#103e66", "#14325d",
    "#162754", "#171b49",
];

/// On a dark sheet, least first.
const DARK: [&str; LEVEL_COUNT] = [
    "#373e6a", "#374874", "#37537e", "#365d87", "#346890", "#327397", "#2f7e9d", "#2e8aa1", "#3096a3",
    "#37a1a3", "#44aba2", "#54b5a0", "#67bf9d", "#7dc79b", "#95cf9b", "#abd69d", "#c1dca1", "#d5e3a7",
    "#e7e9b0", "#f9f0ba",
];

/// Level of a value between both ends of the scale.
pub fn level(value: f64, range: [f64; 2]) -> usize {
    let share = (value - range[0]) / (range[1] - range[0]);
    ((share * LEVEL_COUNT as f64).floor().max(0.0) as usize).min(LEVEL_COUNT - 1)
}

/// Class of a level.
pub fn class(level: usize) -> String {
    format!("f-level-{level}")
}

/// Custom property of a level; a letter counts, as names of colours hold letters alone.
pub fn property(level: usize) -> String {
    let letter = (b'a'..=b'z').nth(level).map_or('z', char::from);
    format!("--fig-level-{letter}")
}

/// First level on which the colour of the sheet stands out more than that of the ink.
const FIRST_HIGH_LEVEL: usize = 8;

/// Class of text on a level: it stands out from the cell in the ink's or in the sheet's colour.
pub fn text_class(level: usize) -> &'static str {
    if level < FIRST_HIGH_LEVEL { "f-cell-low" } else { "f-cell-high" }
}

/// Colours of the levels, least first.
#[must_use]
pub fn colours(theme: Theme) -> [&'static str; LEVEL_COUNT] {
    if theme == Theme::Dark { DARK } else { LIGHT }
}

/// Rules of the style sheet for all levels and for the text on them.
pub fn style(theme: Theme) -> String {
    let colours = colours(theme);
    let value = |property: &str, colour: &str| {
        if theme == Theme::Page { format!("var({property},{colour})") } else { colour.to_owned() }
    };
    let mut style = String::new();
    // Writing to a string never fails.
    for (level, colour) in colours.iter().enumerate() {
        let fill = value(&property(level), colour);
        let _ = writeln!(style, ".{} {{ fill: {fill}; stroke: none; }}", class(level));
    }
    let palette = theme.palette();
    for (name, property_name, colour) in
        [("low", "--fig-ink", palette.ink), ("high", "--fig-sheet", palette.sheet)]
    {
        let fill = value(property_name, colour);
        let _ = writeln!(
            style,
            ".f-cell-{name} {{ font-family: \"Libertinus Serif\", serif; font-size: 2.6px; fill: {fill}; }}"
        );
    }
    style
}

#[cfg(test)]
mod tests {
    use super::super::tests::{contrast, luminance};
    use super::*;

    #[test]
    fn identity_lightness_alone_tells_the_order() {
        let light: Vec<f64> = LIGHT.iter().map(|colour| luminance(colour)).collect();
        let dark: Vec<f64> = DARK.iter().map(|colour| luminance(colour)).collect();
        for (little, much) in light
            .windows(2)
            .map(|pair| (pair[1], pair[0]))
            .chain(dark.windows(2).map(|pair| (pair[0], pair[1])))
        {
            assert!((much + 0.05) / (little + 0.05) > 1.04, "{little} {much}");
        }
    }

    #[test]
    fn identity_no_load_is_told_from_a_little() {
        for theme in [Theme::Light, Theme::Dark] {
            assert!(contrast(colours(theme)[0], theme.palette().sheet) > 1.2);
            assert!(contrast(colours(theme)[LEVEL_COUNT - 1], theme.palette().sheet) > 12.0);
        }
    }

    #[test]
    fn identity_text_in_cells_can_be_read() {
        for theme in [Theme::Light, Theme::Dark] {
            let palette = theme.palette();
            for (level, colour) in colours(theme).iter().enumerate() {
                let text = if text_class(level) == "f-cell-low" { palette.ink } else { palette.sheet };
                assert!(contrast(text, colour) > 3.0, "{level} {}", contrast(text, colour));
            }
        }
    }

    #[test]
    fn identity_ends_of_the_range_are_the_ends_of_the_scale() {
        assert_eq!(level(0.0, [0.0, 10.0]), 0);
        assert_eq!(level(10.0, [0.0, 10.0]), LEVEL_COUNT - 1);
        assert_eq!(level(5.0, [0.0, 10.0]), LEVEL_COUNT / 2);
        assert_eq!(level(-3.0, [0.0, 10.0]), 0);
        assert_eq!(level(20.0, [0.0, 10.0]), LEVEL_COUNT - 1);
    }
}
