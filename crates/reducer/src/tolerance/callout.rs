//! What a tolerance callout of the drawing says, and everything that can be wrong with it.

use super::{SizedClass, Spread, Tolerance};
use crate::iso286::{Class, LimitsError, Part};
use crate::model::{DeviationKind, Drive, ToleranceCallout};
use crate::part::{hole_radius_about_mm, hole_radius_mm, pin_outside_radius_mm};

/// A callout that cannot be understood.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("callout {number} (`{}`): {mistake}", .of.word())]
pub struct ToleranceError {
    /// Number of the callout, from one.
    pub number: usize,
    /// What it limits.
    pub of: DeviationKind,
    /// What is wrong.
    pub mistake: Mistake,
}

/// What is wrong with a callout.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Mistake {
    /// Neither limits nor a class.
    #[error("neither an upper limit nor a class of ISO 286")]
    NoLimits,
    /// A lower limit alone, whose counterpart could be nothing or the same upwards.
    #[error("a lower limit without an upper one")]
    NoUpperLimit,
    /// Limits and a class.
    #[error("limits and a class of ISO 286")]
    LimitsAndClass,
    /// The lower limit is above the upper one.
    #[error("the lower limit is above the upper one")]
    Reversed,
    /// A class for a deviation that has no diameter.
    #[error("a class of ISO 286 needs a diameter")]
    NoDiameter,
    /// No limits are held for the class, or not at this size.
    #[error(transparent)]
    Class(#[from] LimitsError),
    /// A class of a shaft for a hole, or the reverse, which would turn its limits to the other side.
    #[error("`{class}` is a class of a {}, and this is a {}", class.part.words(), part.words())]
    WrongPart {
        /// The class.
        class: Class,
        /// What has the deviation.
        part: Part,
    },
    /// C_pk cannot exceed C_p.
    #[error("`cpk` is above `cp`")]
    Capability,
    /// Another callout draws the same deviation of the same parts.
    #[error("callout {first} limits the same deviation, with the same parts alike")]
    Twice {
        /// Number of the callout that is like it.
        first: usize,
    },
    /// Matched to a deviation that is not sorted.
    #[error("it is matched to `{}`, which is not sorted into as many classes by itself", .to.word())]
    Unmatched {
        /// What it is matched to.
        to: DeviationKind,
    },
}

impl Mistake {
    /// The change likely to help; empty where the message says all.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NoLimits => "give `upper`, or a class such as h5 or H6 in `class`",
            Self::NoUpperLimit => "add upper = \"0 µm\" where the deviation goes down only",
            Self::LimitsAndClass => "give one of them",
            Self::Reversed => "exchange them; without `lower` it is `upper` with the other sign",
            Self::NoDiameter => "give `upper` and `lower`",
            Self::Class(error) => return error.hint(),
            Self::WrongPart { .. } => "holes are written in capitals, shafts in small letters: H6, h6",
            Self::Capability => "a centred process has cpk = cp",
            Self::Twice { .. } => {
                "keep one of them, or give one another `alike`: what all parts have in common and what is left from part to part then add up"
            }
            Self::Unmatched { .. } => "give both callouts the same `class_count`, and match one of them only",
        }
        .to_owned()
    }

    /// The key of the callout at which it stands.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::NoLimits | Self::Twice { .. } => "of",
            Self::NoUpperLimit => "lower",
            Self::Reversed => "upper",
            Self::Capability => "cpk",
            Self::Unmatched { .. } => "matched_to",
            Self::LimitsAndClass | Self::NoDiameter | Self::Class(_) | Self::WrongPart { .. } => "class",
        }
    }
}

/// Radii of the features whose diameters classes are for; none where one is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FeatureRadii {
    /// r_r.
    pub roller_mm: Option<f64>,
    /// R.
    pub ring_mm: Option<f64>,
    /// Outside of the output pins or their sleeves.
    pub pin_mm: Option<f64>,
    /// Holes of the disc.
    pub hole_mm: Option<f64>,
}

impl FeatureRadii {
    /// Those of a drive.
    #[must_use]
    pub fn of(drive: &Drive) -> Self {
        Self {
            roller_mm: Some(drive.geometry.roller_radius_mm),
            ring_mm: Some(drive.geometry.ring_radius_mm),
            pin_mm: Some(pin_outside_radius_mm(drive)),
            hole_mm: Some(hole_radius_mm(drive)),
        }
    }

    /// The same with holes that follow from the pins as usual.
    #[must_use]
    pub fn with_holes(self, eccentricity_mm: Option<f64>, hole_clearance_mm: Option<f64>) -> Self {
        let hole = |pin_mm| Some(hole_radius_about_mm(pin_mm, eccentricity_mm?, hole_clearance_mm?));
        Self { hole_mm: self.pin_mm.and_then(hole), ..self }
    }

    /// Diameter of the feature whose radius deviates, as far as it is known; an error where the deviation is none of a diameter.
    fn diameter_mm(&self, of: DeviationKind) -> Result<Option<f64>, Mistake> {
        let radius_mm = match of {
            DeviationKind::RollerRadius => self.roller_mm,
            DeviationKind::HoleRadius => self.hole_mm,
            DeviationKind::PinRadius => self.pin_mm,
            DeviationKind::RingRadius => self.ring_mm,
            _ => return Err(Mistake::NoDiameter),
        };
        Ok(radius_mm.map(|radius| 2.0 * radius))
    }
}

/// Whether a feature is a hole or a shaft; the circle of roller centres is neither and takes either.
fn part(of: DeviationKind) -> Option<Part> {
    match of {
        DeviationKind::HoleRadius => Some(Part::Hole),
        DeviationKind::RollerRadius | DeviationKind::PinRadius => Some(Part::Shaft),
        _ => None,
    }
}

/// All that is wrong with the callouts of a file; one that could not be read is absent, and what depends on it is not looked at.
#[must_use]
pub fn mistakes(callouts: &[Option<ToleranceCallout>], radii: &FeatureRadii) -> Vec<ToleranceError> {
    let read =
        callouts.iter().enumerate().filter_map(|(index, callout)| Some((index + 1, callout.as_ref()?)));
    let mut found: Vec<_> =
        read.filter_map(|(number, callout)| tolerance(radii, number, callout).err()).collect();
    let all: Option<Vec<&ToleranceCallout>> = callouts.iter().map(Option::as_ref).collect();
    found.extend(all.iter().flat_map(|all| unmatched(all)));
    found.extend(all.iter().flat_map(|all| twice(all)));
    found
}

/// The tolerance of a callout; none where its limits are those of a class at a size that is not known.
pub(super) fn tolerance(
    radii: &FeatureRadii,
    number: usize,
    callout: &ToleranceCallout,
) -> Result<Option<Tolerance>, ToleranceError> {
    let error = |mistake| ToleranceError { number, of: callout.of, mistake };
    let cpk = callout.cpk.unwrap_or(callout.cp);
    if cpk > callout.cp {
        return Err(error(Mistake::Capability));
    }
    let Some((lower_mm, upper_mm, class)) = limits(radii, callout).map_err(error)? else { return Ok(None) };
    Ok(Some(Tolerance {
        kind: callout.of,
        label: callout.label.clone(),
        spread: Spread { lower_mm, upper_mm, shape: callout.distribution, cp: callout.cp, cpk },
        class,
        alike: callout.alike,
        class_count: callout.class_count,
        matched_to: callout.matched_to,
        cost_weight: callout.cost_weight,
    }))
}

type LimitsOfRadius = (f64, f64, Option<SizedClass>);

fn limits(radii: &FeatureRadii, callout: &ToleranceCallout) -> Result<Option<LimitsOfRadius>, Mistake> {
    if callout.class.is_some() && (callout.upper_mm.is_some() || callout.lower_mm.is_some()) {
        return Err(Mistake::LimitsAndClass);
    }
    if let Some(upper_mm) = callout.upper_mm {
        let lower_mm = callout.lower_mm.unwrap_or(-upper_mm);
        return if lower_mm > upper_mm {
            Err(Mistake::Reversed)
        } else {
            Ok(Some((lower_mm, upper_mm, None)))
        };
    }
    let Some(text) = &callout.class else {
        let is_lower_given = callout.lower_mm.is_some();
        return Err(if is_lower_given { Mistake::NoUpperLimit } else { Mistake::NoLimits });
    };
    let diameter_mm = radii.diameter_mm(callout.of)?;
    let class: Class = text.parse()?;
    if let Some(part) = part(callout.of).filter(|part| *part != class.part) {
        return Err(Mistake::WrongPart { class, part });
    }
    let Some(diameter_mm) = diameter_mm else { return Ok(None) };
    let limits = class.limits(diameter_mm)?;
    Ok(Some((0.5 * limits.lower_mm, 0.5 * limits.upper_mm, Some(SizedClass { class, diameter_mm }))))
}

/// Callouts that limit the deviation of an earlier one with the same parts alike: nobody would add these up.
pub(super) fn twice(callouts: &[&ToleranceCallout]) -> Vec<ToleranceError> {
    let error = |(index, callout): (usize, &&ToleranceCallout)| {
        let is_like = |other: &&ToleranceCallout| (other.of, other.alike) == (callout.of, callout.alike);
        let first = callouts[..index].iter().position(is_like)? + 1;
        Some(ToleranceError { number: index + 1, of: callout.of, mistake: Mistake::Twice { first } })
    };
    callouts.iter().enumerate().filter_map(error).collect()
}

/// Callouts that are matched to a deviation whose first callout is not sorted as they are.
pub(super) fn unmatched(callouts: &[&ToleranceCallout]) -> Vec<ToleranceError> {
    let is_lost = |callout: &ToleranceCallout| {
        let to = callout.matched_to?;
        let partner = callouts.iter().find(|other| other.of == to);
        let is_found = callout.class_count > 1
            && partner.is_some_and(|partner| {
                partner.class_count == callout.class_count && partner.matched_to.is_none()
            });
        (!is_found).then_some(Mistake::Unmatched { to })
    };
    let error = |(index, callout): (usize, &&ToleranceCallout)| {
        is_lost(callout).map(|mistake| ToleranceError { number: index + 1, of: callout.of, mistake })
    };
    callouts.iter().enumerate().filter_map(error).collect()
}
