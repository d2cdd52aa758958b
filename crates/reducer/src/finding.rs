//! Findings: what was checked, how it stands against its limit, and what to do about it.
//!
//! A finding is not an error. An error says that something could not be computed; a finding says
//! that it was, and that it is good, doubtful or bad. Report, page and command line show the same
//! findings in the same words.

use crate::registry;
use serde::Serialize;

/// How a finding stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The limit is broken; the drive must not be built so.
    Fails,
    /// The limit of good practice is passed, or a formula is used near its edge.
    Doubtful,
    /// The limit holds.
    Holds,
    /// Nothing limits the value; it is told for the designer to judge.
    NoLimit,
    /// This program does not compute it yet.
    NotAssessed,
}

impl Standing {
    /// The standing in the words that people are shown.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Doubtful => "doubtful",
            Self::NotAssessed => "not assessed",
            Self::Holds => "holds",
            Self::NoLimit => "no limit",
        }
    }
}

/// Which side of the limit is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// The value must not pass above the limit.
    AtMost,
    /// The value must not fall below the limit.
    AtLeast,
    /// The value must be the limit.
    Equals,
}

/// What kind of question a finding answers; report and page group by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Subject {
    /// A line of the requirement.
    Requirement,
    /// Does it mesh and go together?
    Geometry,
    /// Does it carry?
    Strength,
    /// Does it last?
    Life,
    /// How exact is it?
    Accuracy,
    /// Can it be made and used so?
    Practice,
}

/// One check with its value, limit and margin.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Finding {
    /// Short name with hyphens, as `explain` takes it.
    pub id: &'static str,
    /// How it stands.
    pub standing: Standing,
    /// What kind of question it answers.
    pub subject: Subject,
    /// What was checked, in words.
    pub title: String,
    /// Name of the quantity in the registry.
    pub quantity: &'static str,
    /// The value in core units; absent where it was not assessed.
    pub value: Option<f64>,
    /// The value as people read it.
    pub value_display: String,
    /// The limit in core units.
    pub limit: Option<f64>,
    /// The limit as people read it.
    pub limit_display: String,
    /// Which side of the limit is good.
    pub sense: Sense,
    /// Distance from the limit as a share of its scale, positive on the good side.
    pub margin: Option<f64>,
    /// Where: part, roller, crank angle, load case.
    pub place: String,
    /// Id of the formula, empty where a requirement is only compared.
    pub formula: &'static str,
    /// The one change likely to help, naming the key of the drive file.
    pub hint: String,
    /// Key of the drive file that the finding hangs on, as `table.key`.
    pub key: &'static str,
}

/// The comparison of a value with its limit, from which a [`Finding`] is made.
#[derive(Clone, Debug)]
pub struct Check {
    /// Short name with hyphens.
    pub id: &'static str,
    /// What kind of question it answers.
    pub subject: Subject,
    /// What was checked, in words.
    pub title: &'static str,
    /// Name of the quantity in the registry.
    pub quantity: &'static str,
    /// The value in core units.
    pub value: f64,
    /// The limit in core units.
    pub limit: f64,
    /// Which side of the limit is good.
    pub sense: Sense,
    /// What counts as a margin of one, in core units; [`YES_OR_NO`] where a margin says nothing.
    pub scale: f64,
    /// How it stands when the limit is broken.
    pub when_broken: Standing,
    /// Where it governs.
    pub place: String,
    /// Id of the formula.
    pub formula: &'static str,
    /// The change likely to help; shown only where the limit is broken.
    pub hint: String,
    /// Key of the drive file that the finding hangs on.
    pub key: &'static str,
}

/// Scale of a check that holds or does not, without more or less.
pub const YES_OR_NO: f64 = f64::INFINITY;

impl Check {
    /// The finding: margin, standing, and the numbers as people read them.
    ///
    /// A value that is not a number breaks its limit.
    #[must_use]
    pub fn finding(self) -> Finding {
        let distance = match self.sense {
            Sense::AtMost => self.limit - self.value,
            Sense::AtLeast => self.value - self.limit,
            Sense::Equals => -(self.value - self.limit).abs(),
        };
        let holds = distance >= 0.0;
        Finding {
            id: self.id,
            standing: if holds { Standing::Holds } else { self.when_broken },
            subject: self.subject,
            title: self.title.to_owned(),
            quantity: self.quantity,
            value: Some(self.value),
            value_display: registry::display(self.quantity, self.value),
            limit: Some(self.limit),
            limit_display: registry::display(self.quantity, self.limit),
            sense: self.sense,
            margin: self.scale.is_finite().then(|| distance / self.scale.abs()),
            place: self.place,
            formula: self.formula,
            hint: if holds { String::new() } else { self.hint },
            key: self.key,
        }
    }
}

impl Check {
    /// The finding with a title that names something of the drive.
    #[must_use]
    pub fn finding_titled(self, title: &str) -> Finding {
        Finding { title: title.to_owned(), ..self.finding() }
    }
}

impl Finding {
    /// A line of the requirement, or a check, that this program does not compute yet.
    #[must_use]
    pub fn not_assessed(
        id: &'static str,
        subject: Subject,
        title: &str,
        limit: Option<(&'static str, f64)>,
        key: &'static str,
        reason: &str,
    ) -> Self {
        let (quantity, limit_value) = limit.map_or(("", None), |(quantity, value)| (quantity, Some(value)));
        Self {
            id,
            standing: Standing::NotAssessed,
            subject,
            title: title.to_owned(),
            quantity,
            value: None,
            value_display: "not assessed".to_owned(),
            limit: limit_value,
            limit_display: limit_value.map_or_else(String::new, |value| registry::display(quantity, value)),
            sense: Sense::AtMost,
            margin: None,
            place: String::new(),
            formula: "",
            hint: reason.to_owned(),
            key,
        }
    }
}

/// Sorts findings for people: by standing, what fails first, then by margin, smallest first; ties keep their order.
pub fn sort_by_margin(findings: &mut [Finding]) {
    findings.sort_by(|a, b| {
        let margin = |finding: &Finding| finding.margin.unwrap_or(f64::INFINITY);
        a.standing.cmp(&b.standing).then(margin(a).total_cmp(&margin(b)))
    });
}
