//! Limits and fits: what a tolerance class such as k5 or H7 allows at a nominal size, and what two of them make of each other.
//!
//! Held are the grades IT4 to IT11 from 1 mm to 250 mm (IT5 to IT7 to 315 mm) and the positions that bearings, pins and dowels need: g, h, js, k, m,
//! n, p and G, H, JS, K, M, N, P. What is not held is an error that says what is; nothing is extrapolated.
//!
//! **Source** `[iso286-2-2010]`; [`Basis`] says of every class at every size how far its limits were read in tables.

pub mod callout;
pub mod rolling_bearing;
mod table;

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

/// Deviations from the nominal size that a part may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The lower one: EI of a hole, ei of a shaft.
    pub lower_mm: f64,
    /// The upper one: ES of a hole, es of a shaft.
    pub upper_mm: f64,
}

impl Limits {
    /// Limits in half micrometres, the finest step of the tables: whole numbers, so that halves of tolerances are exact and nothing is −0.
    fn of_half_um(lower: i32, upper: i32) -> Self {
        let mm = |half_um: i32| f64::from(half_um) / HALF_UM_PER_MM;
        Self { lower_mm: mm(lower), upper_mm: mm(upper) }
    }

    /// Distance between the limits.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.upper_mm - self.lower_mm
    }

    /// Middle between the limits.
    #[must_use]
    pub fn middle_mm(&self) -> f64 {
        0.5 * (self.lower_mm + self.upper_mm)
    }
}

const HALF_UM_PER_MM: f64 = 2000.0;

/// Whether a part goes round the other or into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// The outer part: a hole, a bore, a housing.
    Hole,
    /// The inner part: a shaft, a pin, the outside of a bearing.
    Shaft,
}

impl Part {
    /// The part in a word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Shaft => "shaft",
        }
    }
}

/// Where a tolerance stands against the nominal size; written in capitals for holes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Letter {
    /// Close running fit.
    G,
    /// From the nominal size into the material.
    H,
    /// Even about the nominal size.
    Js,
    /// Slight interference on the mean.
    K,
    /// As k, more.
    M,
    /// As m, more.
    N,
    /// Interference.
    P,
}

impl Letter {
    /// All of them, in the order of the alphabet.
    pub const ALL: [Self; 7] = [Self::G, Self::H, Self::Js, Self::K, Self::M, Self::N, Self::P];

    /// As a shaft writes it.
    fn small(self) -> &'static str {
        match self {
            Self::G => "g",
            Self::H => "h",
            Self::Js => "js",
            Self::K => "k",
            Self::M => "m",
            Self::N => "n",
            Self::P => "p",
        }
    }

    /// As a part of a kind writes it.
    fn written(self, part: Part) -> String {
        match part {
            Part::Hole => self.small().to_uppercase(),
            Part::Shaft => self.small().to_owned(),
        }
    }

    /// The letters whose word a part of a kind writes so.
    fn of(part: Part, word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|letter| letter.written(part) == word)
    }

    /// The grades that are held somewhere: those in whose range the fundamental deviation is known not to change, or to change by the rule.
    fn grades(self, part: Part) -> RangeInclusive<u8> {
        match (self, part) {
            (Self::H | Self::Js, _) => table::FIRST_GRADE..=table::LAST_GRADE,
            (Self::G, _) | (_, Part::Shaft) => 4..=7,
            (Self::P, Part::Hole) => 5..=7,
            (_, Part::Hole) => 5..=8,
        }
    }

    /// The fundamental deviation of the shaft; none where the size has none.
    fn shaft_deviation_um(self, step: usize) -> Option<i32> {
        let column = match self {
            Self::H | Self::Js => return Some(0),
            Self::G => 0,
            Self::K => 1,
            Self::M => 2,
            Self::N => 3,
            Self::P => 4,
        };
        table::SHAFT_DEVIATIONS_UM.get(step).map(|row| row[column])
    }
}

/// How far the limits of a class at a size were read, and how far they follow otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Printed in tables that were read, or zero or half of a tolerance by definition.
    Read,
    /// By a rule of the standard from numbers that were read.
    ByRule,
    /// From memory of the standard; agrees with its rules, but no table was at hand.
    FromMemory,
}

impl Basis {
    /// The basis in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "read in tables",
            Self::ByRule => "by rule from tables",
            Self::FromMemory => "from memory",
        }
    }
}

/// A tolerance class: H7, k5.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Class {
    /// Hole or shaft.
    pub part: Part,
    /// Position of the tolerance.
    pub letter: Letter,
    /// Number of the standard tolerance grade.
    pub grade: u8,
}

impl fmt::Display for Class {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}{}", self.letter.written(self.part), self.grade)
    }
}

/// A class or size for which no limits are held.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LimitsError {
    /// The text is no letter with a number.
    #[error("`{text}` is not a tolerance class")]
    NotAClass {
        /// The text.
        text: String,
    },
    /// No limits are held for these letters, or not in this grade.
    #[error("no limits are held for the class `{text}`")]
    UnknownClass {
        /// The class as it was written.
        text: String,
        /// The nearest that is held.
        nearest: Class,
    },
    /// The class is not held at this size.
    #[error(
        "no limits are held for {what} at {size_mm} mm: its table goes {} {first_mm} mm to {last_mm} mm",
        if *.includes_first { "from" } else { "from above" }
    )]
    SizeOutside {
        /// The class, or what else.
        what: String,
        /// The nominal size.
        size_mm: f64,
        /// Where the table begins.
        first_mm: f64,
        /// Whether it holds that size too.
        includes_first: bool,
        /// Where it ends.
        last_mm: f64,
    },
    /// The standard tolerance grade is not held.
    #[error(
        "no standard tolerances are held for IT{grade}: the table has IT{} to IT{}",
        table::FIRST_GRADE,
        table::LAST_GRADE
    )]
    UnknownGrade {
        /// The number of the grade.
        grade: u8,
    },
}

impl LimitsError {
    /// The change likely to help; empty where the message says all.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NotAClass { .. } => {
                "a class is letters with a grade: H7 of a hole, k5 of a shaft".to_owned()
            }
            Self::UnknownClass { nearest, .. } => format!(
                "the nearest that is held is {nearest}; shafts have g h js k m n p, holes G H JS K M N P, in the grades 4 to 11 at most"
            ),
            Self::SizeOutside { .. } | Self::UnknownGrade { .. } => String::new(),
        }
    }
}

impl FromStr for Class {
    type Err = LimitsError;

    /// Reads H7, k5: capitals for holes.
    fn from_str(text: &str) -> Result<Self, LimitsError> {
        let not_a_class = || LimitsError::NotAClass { text: text.to_owned() };
        let digits_at = text.find(|c: char| c.is_ascii_digit()).ok_or_else(not_a_class)?;
        let (word, digits) = text.split_at(digits_at);
        let part = match word.chars().next() {
            Some(first) if first.is_ascii_uppercase() => Part::Hole,
            Some(first) if first.is_ascii_lowercase() => Part::Shaft,
            _ => return Err(not_a_class()),
        };
        if word.len() > 2 || !word.chars().all(|c| c.is_ascii_alphabetic()) {
            return Err(not_a_class());
        }
        let grade: u8 = digits.parse().map_err(|_| not_a_class())?;
        match Letter::of(part, word) {
            Some(letter) if letter.grades(part).contains(&grade) => Ok(Self { part, letter, grade }),
            _ => Err(LimitsError::UnknownClass {
                text: text.to_owned(),
                nearest: Self::nearest(part, word, grade),
            }),
        }
    }
}

impl Class {
    /// The class whose letters stand nearest in the alphabet, in the nearest grade.
    fn nearest(part: Part, word: &str, grade: u8) -> Self {
        let place = |word: &str| -> i32 {
            word.bytes().take(1).map(|byte| 2 * i32::from(byte.to_ascii_lowercase())).sum::<i32>()
                + i32::from(word.len() > 1)
        };
        let far = |letter: &Letter| (place(letter.small()) - place(word)).abs();
        let letter = Letter::ALL.into_iter().min_by_key(far).unwrap_or(Letter::H);
        let grades = letter.grades(part);
        Self { part, letter, grade: grade.clamp(*grades.start(), *grades.end()) }
    }

    /// The limits at a nominal size.
    ///
    /// ```text
    /// shafts   g: es                  k, m, n, p: ei       h: es = 0     js: ± IT/2
    /// holes    G: EI = −es of g       H: EI = 0            JS: ± IT/2
    ///          K, M, N, P: ES = −ei of k, m, n, p + Δ,   Δ = IT_n − IT_(n−1)
    /// ```
    /// The other limit is one standard tolerance away. Up to 3 mm the rule with Δ does not hold; there K7, M7, N7 and P7 have ES = −ei.
    /// **Valid for** what the tables hold. **Source** rules of `[iso286-1-2010]`, tables of `[iso286-2-2010]`; [`Self::basis`] says what was read.
    /// **Checked by** `validation/iso286/`.
    ///
    /// # Errors
    /// [`LimitsError::SizeOutside`] with the range of sizes that is held.
    pub fn limits(self, size_mm: f64) -> Result<Limits, LimitsError> {
        table::step(size_mm)
            .and_then(|step| self.limits_in_step(step))
            .ok_or_else(|| self.size_outside(size_mm))
    }

    fn limits_in_step(self, step: usize) -> Option<Limits> {
        if !self.letter.grades(self.part).contains(&self.grade) {
            return None;
        }
        let tolerance = table::standard_tolerance_um(self.grade, step)?;
        let deviation = self.letter.shaft_deviation_um(step)?;
        let up_from = |lower: i32| Some(Limits::of_half_um(2 * lower, 2 * (lower + tolerance)));
        let down_from = |upper: i32| Some(Limits::of_half_um(2 * (upper - tolerance), 2 * upper));
        match (self.part, self.letter) {
            (_, Letter::Js) => Some(Limits::of_half_um(-tolerance, tolerance)),
            (Part::Shaft, Letter::G | Letter::H) => down_from(deviation),
            (Part::Shaft, _) => up_from(deviation),
            (Part::Hole, Letter::G | Letter::H) => up_from(-deviation),
            (Part::Hole, _) => down_from(-deviation + self.delta_um(step, tolerance)?),
        }
    }

    /// Δ: how much higher a hole stands than the mirrored shaft.
    fn delta_um(self, step: usize, tolerance: i32) -> Option<i32> {
        if step == 0 {
            return (self.grade == GRADE_OF_SMALL_HOLES).then_some(0);
        }
        Some(tolerance - table::standard_tolerance_um(self.grade - 1, step)?)
    }

    fn size_outside(self, size_mm: f64) -> LimitsError {
        let held =
            || (0..table::STANDARD_TOLERANCES_UM.len()).filter(|step| self.limits_in_step(*step).is_some());
        // A class of a file is held somewhere; one that was put together by hand need not be.
        let first = held().next().unwrap_or(0);
        let last = held().next_back().unwrap_or(0);
        LimitsError::SizeOutside {
            what: self.to_string(),
            size_mm,
            first_mm: table::STEP_ENDS_MM[first],
            includes_first: first == 0,
            last_mm: table::STEP_ENDS_MM[last + 1],
        }
    }

    /// The class of the same letters one grade finer, where it is held at a size.
    #[must_use]
    pub fn finer(self, size_mm: f64) -> Option<Self> {
        let class = Self { grade: self.grade.checked_sub(1)?, ..self };
        class.limits(size_mm).is_ok().then_some(class)
    }

    /// The class of the same letters one grade coarser, where it is held at a size.
    #[must_use]
    pub fn coarser(self, size_mm: f64) -> Option<Self> {
        let class = Self { grade: self.grade.checked_add(1)?, ..self };
        class.limits(size_mm).is_ok().then_some(class)
    }

    /// How far the limits at a size were read.
    #[must_use]
    pub fn basis(self, size_mm: f64) -> Basis {
        match (self.part, self.letter) {
            (_, Letter::H | Letter::Js) => Basis::Read,
            (_, Letter::P) if size_mm > LAST_SHAFT_READ_MM => Basis::FromMemory,
            (Part::Shaft, Letter::P | Letter::N | Letter::G) if self.grade != 6 => Basis::ByRule,
            (Part::Shaft, _) if !(5..=6).contains(&self.grade) || size_mm > LAST_SHAFT_READ_MM => {
                Basis::ByRule
            }
            (Part::Shaft, _) => Basis::Read,
            (Part::Hole, Letter::G) if self.grade == 7 && size_mm > LAST_SMALL_MM => Basis::Read,
            (Part::Hole, Letter::G) => Basis::ByRule,
            (Part::Hole, _) if size_mm <= LAST_SMALL_MM => Basis::FromMemory,
            (Part::Hole, Letter::P) => Basis::ByRule,
            (Part::Hole, _) if (6..=7).contains(&self.grade) && size_mm > FIRST_HOLE_READ_MM => Basis::Read,
            (Part::Hole, _) => Basis::ByRule,
        }
    }
}

/// The only grade of K, M, N and P that is held up to 3 mm.
const GRADE_OF_SMALL_HOLES: u8 = 7;
/// End of the first step, in which the rule for holes does not hold.
const LAST_SMALL_MM: f64 = 3.0;
/// Up to here the deviations of shafts were read.
const LAST_SHAFT_READ_MM: f64 = 80.0;
/// Above this the limits of K6 to N7 were read.
const FIRST_HOLE_READ_MM: f64 = 10.0;

/// The standard tolerance of a grade at a nominal size.
///
/// **Valid for** IT4 to IT11 from 1 mm to 250 mm, IT5 to IT7 to 315 mm. **Source** `[iso286-1-2010]`, read in `[it-grades-table2025]`.
/// **Checked by** `validation/iso286/standard-tolerances.toml`.
///
/// # Errors
/// [`LimitsError`] with what the table holds.
pub fn standard_tolerance_mm(grade: u8, size_mm: f64) -> Result<f64, LimitsError> {
    if !(table::FIRST_GRADE..=table::LAST_GRADE).contains(&grade) {
        return Err(LimitsError::UnknownGrade { grade });
    }
    // A tolerance of IT n is the upper limit of H n.
    Class { part: Part::Hole, letter: Letter::H, grade }.limits(size_mm).map(|limits| limits.upper_mm)
}

/// A hole and a shaft of the same nominal size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Limits of the hole.
    pub hole: Limits,
    /// Limits of the shaft.
    pub shaft: Limits,
}

/// What a fit gives over all parts within their limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitKind {
    /// Clearance, or at least none and no interference.
    Clearance,
    /// One or the other.
    Transition,
    /// Interference, or at least none and no clearance.
    Interference,
}

impl FitKind {
    /// The kind in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Transition => "transition",
            Self::Interference => "interference",
        }
    }
}

impl Fit {
    /// Two classes at a nominal size.
    ///
    /// # Errors
    /// [`LimitsError`] where one is not held at this size.
    pub fn of(hole: Class, shaft: Class, size_mm: f64) -> Result<Self, LimitsError> {
        Ok(Self { hole: hole.limits(size_mm)?, shaft: shaft.limits(size_mm)? })
    }

    /// Clearance of the largest hole on the smallest shaft, diametral; negative is interference.
    #[must_use]
    pub fn greatest_clearance_mm(&self) -> f64 {
        self.hole.upper_mm - self.shaft.lower_mm
    }

    /// Clearance of the smallest hole on the largest shaft, diametral; negative is interference.
    #[must_use]
    pub fn least_clearance_mm(&self) -> f64 {
        self.hole.lower_mm - self.shaft.upper_mm
    }

    /// What the fit gives over all parts within their limits.
    #[must_use]
    pub fn kind(&self) -> FitKind {
        if self.least_clearance_mm() >= 0.0 {
            FitKind::Clearance
        } else if self.greatest_clearance_mm() <= 0.0 {
            FitKind::Interference
        } else {
            FitKind::Transition
        }
    }
}
