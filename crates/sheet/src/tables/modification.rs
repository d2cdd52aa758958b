//! Profile modifications side by side, and the lines of the drive file that make them.

use super::{number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::registry::{self, format_number};
use reducer::results::{
    BacklashReason, ClearanceReason, ModificationResult, ModificationState, PlayFreeModification,
};
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
        let mut cells = vec![
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
        ];
        if let Some(shares) = &state.assemblies {
            cells.push(number_cell("tips_free_share", shares.tips_free_share));
            if let Some(share) = shares.within_backlash_share {
                cells.push(number_cell("within_backlash_share", share));
            }
        }
        cells
    };
    let mut heads = vec![
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
    ];
    if let Some(shares) = &result.present.assemblies {
        heads.push(quantity_column("tips_free_share", "tips free"));
        if shares.within_backlash_share.is_some() {
            heads.push(quantity_column("within_backlash_share", "backlash met"));
        }
    }
    Table {
        title: "Profile modifications at the wanted backlash, rated torque".to_owned(),
        columns: heads,
        rows: columns.iter().map(row).collect(),
    }
}

/// What is wanted, and why that much.
#[must_use]
pub fn modification_wish(result: &ModificationResult) -> String {
    let backlash = registry::display("wanted_backlash_rad", result.wanted_backlash_rad);
    let clearance = registry::display("wanted_clearance_mm", result.wanted_clearance_mm);
    let share = format_number(100.0 * result.wanted_backlash_share.unwrap_or(1.0), 0);
    let why_backlash = match result.backlash_reason {
        BacklashReason::Asked => "as asked".to_owned(),
        BacklashReason::Requirement => format!("{share} % of what is required"),
        BacklashReason::Present => "as at present".to_owned(),
    };
    let why_clearance = match result.clearance_reason {
        ClearanceReason::Asked => "as asked",
        ClearanceReason::Process => "as lubricant and process usually ask for",
        ClearanceReason::Tolerances => "which 99 % of the assemblies within the tolerances need",
    };
    format!("Wanted: {backlash} of backlash ({why_backlash}), {clearance} at tip and root ({why_clearance})")
}

/// Why families have no proposal, one sentence each, and that there is none at all.
#[must_use]
pub fn modification_notes(result: &ModificationResult) -> Vec<String> {
    let without = result.proposals.iter().filter(|proposal| proposal.state.is_none());
    let mut notes: Vec<String> =
        without.map(|proposal| format!("{}: {}", proposal.family.words(), proposal.obstacle)).collect();
    if !result.is_possible() {
        notes
            .push("No modification does what is wanted; the lines above say what the nearest is.".to_owned());
    }
    notes
}

/// Combinations that leave the profile no play; that of the output holes stays.
#[must_use]
pub fn play_free_table(result: &ModificationResult) -> Table {
    let row = |made: &PlayFreeModification| {
        vec![
            number_cell("ring_radius_shift_mm", made.ring_radius_shift_mm),
            number_cell("flank_rotation_rad", made.flank_rotation_rad),
            number_cell("equidistant_offset_mm", made.equidistant_offset_mm),
            number_cell("exact_offset_mm", made.exact_offset_mm),
            number_cell("play_free_clearance_mm", made.play_free_clearance_mm),
        ]
    };
    Table {
        title: format!(
            "Combinations without play between the flanks; output holes alone make {}",
            registry::display("hole_play_rad", result.hole_play_rad)
        ),
        columns: vec![
            quantity_column("ring_radius_shift_mm", "shift"),
            quantity_column("flank_rotation_rad", "rotation"),
            quantity_column("equidistant_offset_mm", "offset, closed form"),
            quantity_column("exact_offset_mm", "offset, exact"),
            quantity_column("play_free_clearance_mm", "tip and root"),
        ],
        rows: result.without_play.iter().map(row).collect(),
    }
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
