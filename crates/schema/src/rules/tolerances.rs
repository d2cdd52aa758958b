//! Tolerance callouts: limits, classes of ISO 286 and parts that are matched must make sense together.

use super::at;
use crate::diagnostic::Diagnostic;
use crate::places::View;
use reducer::model::{DeviationKind, DistributionKind, ToleranceCallout};
use reducer::tolerance::callout::{FeatureRadii, Mistake, ToleranceError, mistakes};

const CALLOUTS: &str = "tolerances.callout";

pub(super) fn check(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let found = mistakes(&view.tables(CALLOUTS), &radii(view));
    errors.extend(found.iter().map(|error| diagnostic(view, error)));
    capabilities(view, errors);
    bearing_clearances(view, errors);
}

/// A uniform distribution lies between its limits and has no process beside them.
fn capabilities(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    for (index, callout) in view.tables::<ToleranceCallout>(CALLOUTS).iter().enumerate() {
        if callout.as_ref().is_none_or(|callout| callout.distribution != DistributionKind::Uniform) {
            continue;
        }
        for key in ["cp", "cpk"] {
            let path = format!("{CALLOUTS}[{index}].{key}");
            if view.is_given(&path) {
                let message =
                    format!("callout {}: `{key}` says nothing of a uniform distribution", index + 1);
                let hint =
                    format!("take `{key}` out, or take the distribution \"normal\" or \"truncated-normal\"");
                errors.push(at(view, &path, message).expected("limits alone").hint(hint));
            }
        }
    }
}

/// Clearances of the eccentric bearings stay at nothing or above, as the nominal one does: preload is no clearance that varies.
fn bearing_clearances(view: &View<'_>, errors: &mut Vec<Diagnostic>) {
    let (plain, clearance) = ("tolerances.bearing_clearance", "bearings.eccentric.radial_clearance");
    let Some(nominal_mm) = view.number(clearance) else { return };
    let is_of_clearance = |callout: &ToleranceCallout| callout.of == DeviationKind::BearingClearance;
    let callouts = view.tables::<ToleranceCallout>(CALLOUTS);
    let mut lowest: Vec<(String, f64)> = Vec::new();
    for (index, callout) in callouts.iter().enumerate() {
        let Some(callout) = callout.as_ref().filter(|callout| is_of_clearance(callout)) else { continue };
        let key = if callout.lower_mm.is_some() { "lower" } else { "upper" };
        let lower_mm = callout.lower_mm.or(callout.upper_mm.map(|upper| -upper));
        lowest.extend(lower_mm.map(|lower_mm| (format!("{CALLOUTS}[{index}].{key}"), lower_mm)));
    }
    if lowest.is_empty() {
        lowest.extend(view.number(plain).map(|half_width_mm| (plain.to_owned(), -half_width_mm)));
    }
    // Callouts of one deviation add up.
    if nominal_mm + lowest.iter().map(|(_, lower_mm)| lower_mm).sum::<f64>() >= 0.0 {
        return;
    }
    let Some((path, _)) = lowest.last() else { return };
    let nominal = if view.is_given(clearance) { view.written(clearance) } else { "0 mm" };
    let message =
        format!("some bearings would be fitted with less than no clearance: it is {nominal} in the middle");
    let hint = "state the middle of the fitted clearances as `radial_clearance` in [bearings.eccentric], or narrow the band; preloaded bearings are not in the model";
    errors.push(at(view, path, message).expected("at most `radial_clearance` downwards").hint(hint));
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
        Mistake::NoUpperLimit => "an upper limit beside it",
        Mistake::Twice { .. } => "one callout for each deviation and `alike`",
        Mistake::NoLimits | Mistake::LimitsAndClass => "limits or a class, one of the two",
    };
    at(view, &path, error.to_string()).expected(expected).hint(error.mistake.hint())
}
