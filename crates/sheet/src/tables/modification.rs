//! Profile modifications side by side, and the lines of the drive file that make them.

use super::{number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::registry::format_number;
use reducer::results::{ModificationResult, ModificationState};
use reducer::units::arcmin;

/// The present modification and the proposals, one a column; a family that has none is told by [`modification_notes`].
#[must_use]
pub fn modification_table(result: &ModificationResult) -> Table {
    let columns: Vec<(&str, &ModificationState)> = std::iter::once(("present", &result.present))
        .chain(
            result
                .proposals
                .iter()
                .filter_map(|proposal| Some((proposal.family.words(), proposal.state.as_ref()?))),
        )
        .collect();
    let row = |(name, state): &(&str, &ModificationState)| {
        let (fewest, most) = state.carrying_roller_count;
        vec![
            Markup::words(*name),
            number_cell("geometric_backlash_rad", state.geometric_backlash_rad),
            number_cell("tip_gap_mm", state.tip_gap_mm),
            number_cell("root_clearance_mm", state.root_clearance_mm),
            number_cell("least_gap_mm", state.least_gap_mm),
            number_cell("ring_roller_force_n", state.ring_roller_force.value),
            number_cell("force_ratio", state.force_ratio),
            Markup::tagged(Tag::Value, format!("{fewest} … {most}")),
            number_cell("kinematic_error_rad", state.kinematic_error_rad),
            number_cell("windup_rad", state.windup_rad),
        ]
    };
    Table {
        title: "Profile modifications at the wanted backlash, rated torque".to_owned(),
        columns: vec![
            Column::new("modification", Align::Left),
            quantity_column("geometric_backlash_rad", "backlash"),
            quantity_column("tip_gap_mm", "tip"),
            quantity_column("root_clearance_mm", "root"),
            quantity_column("least_gap_mm", "least gap"),
            quantity_column("ring_roller_force_n", "greatest force"),
            quantity_column("force_ratio", "to present"),
            Column::new("carrying", Align::Right),
            quantity_column("kinematic_error_rad", "error"),
            quantity_column("windup_rad", "wind-up"),
        ],
        rows: columns.iter().map(row).collect(),
    }
}

/// Why families have no proposal, one sentence each.
#[must_use]
pub fn modification_notes(result: &ModificationResult) -> Vec<String> {
    let without = result.proposals.iter().filter(|proposal| proposal.state.is_none());
    without.map(|proposal| format!("{}: {}", proposal.family.words(), proposal.obstacle)).collect()
}

/// The lines of `[geometry.modification]` that make a modification.
#[must_use]
pub fn modification_lines(state: &ModificationState) -> [String; 3] {
    // Drive files are plain text: a hyphen for the minus.
    let number = |value: f64, digits: usize| format_number(value, digits).replace('−', "-").replace(',', "");
    [
        format!("equidistant_offset = \"{} µm\"", number(1e3 * state.equidistant_offset_mm, 1)),
        format!("ring_radius_shift = \"{} µm\"", number(1e3 * state.ring_radius_shift_mm, 1)),
        format!("flank_rotation = \"{} arcmin\"", number(arcmin(state.flank_rotation_rad), 2)),
    ]
}
