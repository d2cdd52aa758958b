//! Reads the callout of a part or of a fit as drawings write it: `25k5`, `8H7/m6`, `25bearing/k5`.

use super::rolling_bearing::limits_normal_class_iso492;
use super::{Basis, Class, Fit, Limits, LimitsError, Part};
use std::fmt;

/// A nominal size with the classes of the hole, the shaft, or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Callout {
    /// Nominal size.
    pub size_mm: f64,
    /// The hole and its limits.
    pub hole: Option<Toleranced>,
    /// The shaft and its limits.
    pub shaft: Option<Toleranced>,
}

/// One part of a callout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Toleranced {
    /// What sets its limits.
    pub tolerance: Tolerance,
    /// Hole or shaft.
    pub part: Part,
    /// The limits.
    pub limits: Limits,
    /// How far they were read.
    pub basis: Basis,
}

/// What sets the limits of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tolerance {
    /// A class of limits and fits.
    Class(Class),
    /// A rolling bearing of the normal class: its bore as the hole, its outside as the shaft.
    Bearing,
}

impl fmt::Display for Tolerance {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Class(class) => class.fmt(formatter),
            Self::Bearing => formatter.write_str(BEARING),
        }
    }
}

/// The word that stands for a rolling bearing.
const BEARING: &str = "bearing";

/// A callout that can not be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CalloutError {
    /// Nothing that is read as a size, or nothing behind it.
    #[error("`{text}` is not a size with a tolerance class")]
    NotACallout {
        /// The text.
        text: String,
    },
    /// It has no size, and nothing before it has one.
    #[error("`{text}` has no size, and no callout before it has one")]
    NoSize {
        /// The text.
        text: String,
    },
    /// The hole does not come first, or both are the same.
    #[error("`{text}` is not a hole with a shaft")]
    NotAPair {
        /// The text.
        text: String,
    },
    /// A bearing stands alone, so that it is not known which of its diameters is meant.
    #[error("`{text}` leaves open whether the bore or the outside of the bearing is meant")]
    BearingAlone {
        /// The text.
        text: String,
        /// Its size.
        size_mm: f64,
    },
    /// No limits are held for a class or a size.
    #[error(transparent)]
    Limits(#[from] LimitsError),
}

impl CalloutError {
    /// The change likely to help.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NotACallout { text } if let Some((better, why)) = rewritten(text) => {
                format!("{why}: write {better}")
            }
            Self::NotACallout { .. } | Self::Limits(LimitsError::NotAClass { .. }) => {
                "write size in mm and class without blanks: 25k5, 25H7, 8H7/m6, 25bearing/k5".to_owned()
            }
            Self::NoSize { text } => {
                format!("write the size in mm before it: 25{text}")
            }
            Self::NotAPair { text } if let Some(better) = exchanged(text) => {
                format!("the hole comes first, and the bore of a bearing is one: write {better}")
            }
            Self::NotAPair { .. } => "the hole comes first, in capitals: 8H7/m6".to_owned(),
            Self::BearingAlone { size_mm, .. } => {
                format!(
                    "give the other part: {size_mm}bearing/k5 for its bore, {size_mm}H7/bearing for its outside"
                )
            }
            Self::Limits(error) => error.hint(),
        }
    }
}

/// The callout that a text is but for signs of drawings that are not read here, and which sign that is.
fn rewritten(text: &str) -> Option<(String, &'static str)> {
    let signs: [(&[char], &str, &str); 3] = [
        (&['ø', 'Ø', '⌀', '∅'], "", "leave the sign of a diameter out"),
        (&[','], ".", "the decimal sign is a point"),
        (&[' ', '\t', '\u{a0}'], "", "leave blanks out"),
    ];
    let found = signs.iter().find(|(sign, ..)| text.contains(*sign))?;
    let better = signs.iter().fold(text.to_owned(), |text, (sign, instead, _)| text.replace(*sign, instead));
    Callout::read_after(&better, Some(10.0)).is_ok().then_some((better, found.2))
}

/// The callout with its parts exchanged, where that is a pair.
fn exchanged(text: &str) -> Option<String> {
    let (first, second) = text.split_once('/')?;
    let classes = first.find(|c: char| c.is_ascii_alphabetic())?;
    let (size, first) = first.split_at(classes);
    let better = format!("{size}{second}/{first}");
    Callout::read_after(&better, Some(10.0)).is_ok().then_some(better)
}

impl Callout {
    /// Reads callouts in a row: one without a size has that of the one before.
    ///
    /// # Errors
    /// [`CalloutError`] of the first that is no callout or whose limits are not held.
    pub fn read_all<'a>(texts: impl IntoIterator<Item = &'a str>) -> Result<Vec<Self>, CalloutError> {
        let mut all: Vec<Self> = Vec::new();
        for text in texts {
            let size_before_mm = all.last().map(|before| before.size_mm);
            all.push(Self::read_after(text, size_before_mm)?);
        }
        Ok(all)
    }

    /// Reads a callout, and the limits of its parts.
    ///
    /// # Errors
    /// [`CalloutError`] where the text is no callout or its limits are not held.
    pub fn read(text: &str) -> Result<Self, CalloutError> {
        Self::read_after(text, None)
    }

    fn read_after(text: &str, size_before_mm: Option<f64>) -> Result<Self, CalloutError> {
        let not_a_callout = || CalloutError::NotACallout { text: text.to_owned() };
        let size_ends = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).ok_or_else(not_a_callout)?;
        let (size, classes) = text.split_at(size_ends);
        if text.contains(char::is_whitespace) || !classes.starts_with(|c: char| c.is_ascii_alphabetic()) {
            return Err(not_a_callout());
        }
        let size_mm: f64 = if size.is_empty() {
            size_before_mm.ok_or_else(|| CalloutError::NoSize { text: text.to_owned() })?
        } else {
            size.parse().map_err(|_| not_a_callout())?
        };
        let Some((hole, shaft)) = classes.split_once('/') else {
            if classes == BEARING {
                return Err(CalloutError::BearingAlone { text: text.to_owned(), size_mm });
            }
            let class: Class = classes.parse()?;
            let alone = Toleranced::of(Tolerance::Class(class), class.part, size_mm)?;
            let (hole, shaft) =
                if class.part == Part::Hole { (Some(alone), None) } else { (None, Some(alone)) };
            return Ok(Self { size_mm, hole, shaft });
        };
        if hole.is_empty() || shaft.is_empty() {
            return Err(not_a_callout());
        }
        let (hole, shaft) = (tolerance(hole)?, tolerance(shaft)?);
        let is_part = |tolerance, part| match tolerance {
            Tolerance::Class(class) => class.part == part,
            Tolerance::Bearing => true,
        };
        let is_pair = is_part(hole, Part::Hole) && is_part(shaft, Part::Shaft);
        if !is_pair || hole == shaft {
            return Err(CalloutError::NotAPair { text: text.to_owned() });
        }
        let of = |tolerance, part| Toleranced::of(tolerance, part, size_mm).map(Some);
        Ok(Self { size_mm, hole: of(hole, Part::Hole)?, shaft: of(shaft, Part::Shaft)? })
    }

    /// What the two parts make of each other; none where there is only one.
    #[must_use]
    pub fn fit(&self) -> Option<Fit> {
        Some(Fit { hole: self.hole?.limits, shaft: self.shaft?.limits })
    }

    /// The parts, the hole first.
    pub fn parts(&self) -> impl Iterator<Item = Toleranced> {
        [self.hole, self.shaft].into_iter().flatten()
    }
}

impl fmt::Display for Callout {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<String> = self.parts().map(|part| part.tolerance.to_string()).collect();
        write!(formatter, "{}{}", self.size_mm, words.join("/"))
    }
}

impl Toleranced {
    fn of(tolerance: Tolerance, part: Part, size_mm: f64) -> Result<Self, LimitsError> {
        let (limits, basis) = match tolerance {
            Tolerance::Class(class) => (class.limits(size_mm)?, class.basis(size_mm)),
            Tolerance::Bearing => (limits_normal_class_iso492(part, size_mm)?, Basis::FromMemory),
        };
        Ok(Self { tolerance, part, limits, basis })
    }
}

fn tolerance(text: &str) -> Result<Tolerance, LimitsError> {
    if text == BEARING { Ok(Tolerance::Bearing) } else { text.parse().map(Tolerance::Class) }
}
