//! Tolerance callouts: limits, classes of ISO 286 and parts that are matched must make sense together.

use super::at;
use crate::diagnostic::Diagnostic;
use crate::places::View;
use reducer::tolerance::callout::{FeatureRadii, Mistake, ToleranceError, mistakes};

const CALLOUTS: &str = "tolerances.callout";

pub(super) fn check(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let found = mistakes(&view.tables(CALLOUTS), &radii(view));
    errors.extend(found.iter().map(|error| diagnostic(view, error)));
}

/// Radii of the features as far as the geometry could be read.
fn radii(view: &View<'_>) -> FeatureRadii {
    let geometry = |key: &str| view.number(&format!("geometry.{key}"));
    let outside_of_pin = if view.is_given("geometry.sleeve_radius") { "sleeve_radius" } else { "pin_radius" };
    let radii = FeatureRadii {
        roller_mm: geometry("roller_radius"),
        ring_mm: geometry("ring_radius"),
        pin_mm: geometry(outside_of_pin),
        hole_mm: None,
    };
    radii.with_holes(geometry("eccentricity"), geometry("hole_clearance"))
}

fn diagnostic(view: &View<'_>, error: &ToleranceError) -> Diagnostic {
    let path = format!("{CALLOUTS}[{}].{}", error.number - 1, error.mistake.key());
    let expected = match error.mistake {
        Mistake::Class(_) | Mistake::WrongPart { .. } => "a tolerance class that fits the feature",
        Mistake::NoDiameter => "limits of this deviation",
        Mistake::Unmatched { .. } => "a deviation that is sorted into the same number of classes",
        Mistake::Capability => "at most `cp`",
        Mistake::Reversed => "not below the lower limit",
        Mistake::NoLimits | Mistake::LimitsAndClass => "limits or a class, one of the two",
    };
    at(view, &path, error.to_string()).expected(expected).hint(error.mistake.hint())
}
