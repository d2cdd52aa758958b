//! Widths of text in the face that figures are set in, so that boxes and leaders fit their words.
//!
//! The face is Libertinus Serif (SIL Open Font License), which the report embeds and the page serves.

/// Family name of the face, as SVG and the report name it.
pub const FONT_FAMILY: &str = "Libertinus Serif";

/// Advance widths of the characters from blank to `~`, in thousandths of the type size.
const ASCII_WIDTHS: [u16; 95] = [
    250, 288, 336, 465, 465, 637, 705, 190, 298, 298, 369, 550, 220, 338, 220, 323, 465, 465, 465, 465, 465,
    465, 465, 465, 465, 465, 236, 236, 550, 550, 550, 435, 895, 695, 588, 646, 701, 557, 485, 685, 730, 297,
    322, 637, 528, 839, 699, 702, 541, 702, 587, 485, 597, 661, 652, 951, 660, 575, 604, 356, 287, 356, 518,
    486, 392, 457, 493, 428, 506, 447, 310, 500, 538, 271, 272, 512, 264, 790, 542, 504, 519, 503, 372, 390,
    316, 531, 497, 747, 490, 515, 424, 277, 205, 277, 449,
];
/// Advance widths of further characters that figures use.
const OTHER_WIDTHS: &[(char, u16)] = &[
    ('°', 267),
    ('µ', 515),
    ('·', 250),
    ('×', 550),
    ('Ø', 702),
    ('–', 548),
    ('—', 742),
    ('−', 550),
    ('…', 749),
    ('≤', 527),
    ('≥', 527),
    ('∞', 785),
    ('Δ', 636),
    ('α', 566),
    ('β', 517),
    ('γ', 505),
    ('δ', 491),
    ('θ', 489),
    ('κ', 506),
    ('ρ', 525),
    ('σ', 570),
    ('φ', 589),
    ('ψ', 628),
    ('ω', 658),
    ('′', 249),
    ('″', 381),
    ('²', 307),
    ('³', 307),
    ('±', 550),
    ('→', 1130),
];
/// Assumed for everything else; wider than all but a few letters.
const UNKNOWN_WIDTH: u16 = 750;

/// How much wider text may come out where the face is not at hand and another serif stands in for it: common ones are up to this.
pub const STAND_IN_STRETCH: f64 = 1.36;

/// Height of capitals over the type size.
pub const CAP_HEIGHT: f64 = 0.658;

/// Width of one line of text over its type size.
#[must_use]
pub fn width_ratio(text: &str) -> f64 {
    text.chars().map(|character| f64::from(advance(character))).sum::<f64>() / 1000.0
}

fn advance(character: char) -> u16 {
    let code = u32::from(character);
    if let Some(index) = code.checked_sub(32).filter(|&index| index < 95) {
        return ASCII_WIDTHS[index as usize];
    }
    let entry = OTHER_WIDTHS.iter().find(|entry| entry.0 == character);
    entry.map_or(UNKNOWN_WIDTH, |entry| entry.1)
}

/// Text broken at blanks into lines that are at most so wide over their type size.
#[must_use]
pub fn broken_into_lines(text: &str, widest_ratio: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("there is always a line: one is there from the start");
        if line.is_empty() {
            line.push_str(word);
        } else if width_ratio(line) + width_ratio(word) + 0.25 <= widest_ratio {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}
