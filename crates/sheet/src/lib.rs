//! Figures, tables and worded text: each drawn and worded once, rendered for report, page and command line.
//!
//! A [`Figure`] and a [`Table`] are data; [`svg`] and [`Table::text`] are renderers. Text is
//! [`Markup`], pieces tagged by what they mean; how a piece looks is the renderer's business.

pub mod explain;
pub mod figure;
pub mod figures;
mod margin;
pub mod markup;
pub mod metrics;
pub mod svg;
pub mod table;
pub mod tables;

pub use figure::Figure;
pub use margin::{margin_percent, margin_with_unit};
pub use markup::{Markup, Tag};
pub use table::{Align, Column, Table};
pub use tables::{
    Overall, SUBJECTS, accuracy_table, bearing_rollers_table, bearing_table, contact_stress_table,
    discs_table, distribution_table, extremes_table, findings_table, fits_table, geometry_table,
    governing_table, hints, input_tables, kinematics_table, limit_words, limits_in_words, limits_table,
    loads_table, loss_table, modification_lines, modification_notes, modification_table, modification_wish,
    operating_points_table, orders_table, overall, pin_loads_table, play_free_table, proposal_table,
    share_in_words, tolerance_table, under_torque_table, verdict_line, verdict_table, windup_table,
    yield_sentences,
};
