//! What a wanted backlash costs: greatest force and clearance along the modifications that hold it.

use super::curvature::bounds;
use super::scale::{axis_over, shown};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use reducer::registry;
use reducer::results::{ModificationFamily, ModificationPoint, ModificationResult, ModificationState};

const SHIFT: &str = "ring_radius_shift_mm";
const FORCE: &str = "ring_roller_force_n";
const CLEARANCE: &str = "operating_clearance_mm";

/// Force and clearance against the shift of the ring radius, with the proposals marked; absent where no modification holds the backlash.
#[must_use]
pub fn modification(result: &ModificationResult) -> Option<Figure> {
    let chosen = chosen(result)?;
    let points = || result.curves.iter().flat_map(|curve| &curve.points);
    let shifts = points().map(|point| shown(SHIFT, point.ring_radius_shift_mm));
    let (low, high) = bounds(shifts.chain([shown(SHIFT, chosen.ring_radius_shift_mm)]));
    if points().next().is_none() || high - low < 1e-6 {
        return None;
    }
    let backlash = registry::display("wanted_backlash_rad", result.wanted_backlash_rad);
    let clearance = registry::display("wanted_clearance_mm", result.wanted_clearance_mm);
    let force = chosen.ring_roller_force.value;
    Some(Figure {
        id: "modification".to_owned(),
        title: format!("Profile modifications that hold {backlash} of backlash"),
        caption: Markup::words(format!(
            "Greatest force at a ring roller under the rated torque, and gap at tips and roots of lobes, along the modifications that hold {backlash} of backlash. \
             One cut follows from offset and shift; two cuts turn the flanks so far that {clearance} stay at tip and root. Forces \
             are those at the few crank angles of the search. The upright line is the proposal with the least force.",
        )),
        description: format!(
            "The proposal has an offset of {} and a shift of {}; its greatest roller force is {}.",
            registry::display("equidistant_offset_mm", chosen.equidistant_offset_mm),
            registry::display(SHIFT, chosen.ring_radius_shift_mm),
            registry::display(FORCE, force)
        ),
        key_numbers: vec![
            KeyNumber::new("equidistant_offset_mm", "offset of the proposal", chosen.equidistant_offset_mm),
            KeyNumber::new(SHIFT, "its shift", chosen.ring_radius_shift_mm),
            KeyNumber::new("flank_rotation_rad", "its rotation", chosen.flank_rotation_rad),
            KeyNumber::new(FORCE, "its greatest force", force),
            KeyNumber::new("wanted_clearance_mm", "wanted clearance", result.wanted_clearance_mm),
        ],
        body: Body::Chart(Chart {
            x: axis_over(SHIFT, "shift of the ring radius", (low, high), 6),
            panels: vec![
                panel(result, FORCE, "greatest force", |point| point.ring_roller_force_n, force, None),
                panel(
                    result,
                    CLEARANCE,
                    "gap at tip and root",
                    |point| point.operating_clearance_mm,
                    result.wanted_clearance_mm,
                    Some(result.wanted_clearance_mm),
                ),
            ],
        }),
    })
}

/// The proposal with the least force; the simpler one where they are alike.
fn chosen(result: &ModificationResult) -> Option<&ModificationState> {
    let states = result.proposals.iter().filter_map(|proposal| proposal.state.as_ref());
    states.min_by(|one, other| one.ring_roller_force.value.total_cmp(&other.ring_roller_force.value))
}

/// A quantity along the curves, with the proposal and a limit.
fn panel(
    result: &ModificationResult,
    quantity: &str,
    words: &str,
    value: impl Fn(&ModificationPoint) -> f64,
    of_chosen: f64,
    limit: Option<f64>,
) -> Panel {
    let series: Vec<Series> = result
        .curves
        .iter()
        .filter(|curve| !curve.points.is_empty())
        .map(|curve| {
            let place = |point: &ModificationPoint| {
                [shown(SHIFT, point.ring_radius_shift_mm), shown(quantity, value(point))]
            };
            let is_one_cut = curve.family == ModificationFamily::OffsetAndShift;
            Series {
                name: if is_one_cut { "one-cut" } else { "two-cuts" }.to_owned(),
                label: Markup::words(if is_one_cut { "one cut" } else { "two cuts" }),
                style: if is_one_cut { SeriesStyle::First } else { SeriesStyle::Second },
                pieces: vec![curve.points.iter().map(place).collect()],
            }
        })
        .collect();
    let all = series.iter().flat_map(|series| series.pieces.iter().flatten().map(|point| point[1]));
    let more = [Some(of_chosen), limit].into_iter().flatten().map(|core| shown(quantity, core));
    let (low, high) = bounds(all.chain(more));
    let high = if high - low < 1e-6 { low + 1.0 } else { high };
    let mark = chosen(result).map(|state| Rule {
        is_level: false,
        value: shown(SHIFT, state.ring_radius_shift_mm),
        label: Markup::words("proposal"),
        is_limit: false,
    });
    let limit = limit.map(|limit| Rule {
        is_level: true,
        value: shown(quantity, limit),
        label: Markup::words(format!("wanted: {}", registry::display(quantity, limit))),
        is_limit: true,
    });
    Panel {
        height_paper_mm: 44.0,
        y: axis_over(quantity, words, (low, high), 5),
        series,
        rules: mark.into_iter().chain(limit).collect(),
        spans: Vec::new(),
        detail_x: None,
    }
}
