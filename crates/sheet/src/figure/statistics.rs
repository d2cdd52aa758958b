//! Figures of accuracy and yield: values round a turn, stems over orders, histograms, and shares in two columns.

use super::Axis;
use crate::markup::Markup;
use serde::Serialize;

/// Values over a whole turn in frames side by side: the angle goes round, the value is the distance from the centre.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RoundChart {
    /// What goes round, 0° to the right and anticlockwise.
    pub angle: Axis,
    /// Values from the centre to the rim, the same in all frames; the centre need not be zero.
    pub radius: Axis,
    /// What one ring of the scale stands for.
    pub scale: Markup,
    /// The frames from left to right, a curve in each.
    pub curves: Vec<RoundCurve>,
}

/// A curve round a turn.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RoundCurve {
    /// Name within the figure.
    pub name: String,
    /// What it shows.
    pub label: Markup,
    /// Angle, least and greatest value near it, in the units shown; both values are one where nothing was taken together.
    pub points: Vec<[f64; 3]>,
}

/// Panels of upright lines from zero over one common logarithmic axis.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Stems {
    /// The common axis, logarithmic.
    pub x: Axis,
    /// Panels from top to bottom.
    pub panels: Vec<StemPanel>,
}

/// One panel of stems.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct StemPanel {
    /// Name within the figure.
    pub name: String,
    /// What the panel shows, in words.
    pub title: Markup,
    /// Height of its field.
    pub height_paper_mm: f64,
    /// The upright axis, from zero.
    pub y: Axis,
    /// The stems from left to right.
    pub stems: Vec<Stem>,
}

/// An upright line from zero to a value.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Stem {
    /// Where it stands.
    pub x: f64,
    /// Where it ends.
    pub value: f64,
    /// What is written above it, in lines; of labels without room those of the shortest stems are left out.
    pub label: Vec<Markup>,
}

/// How often values fall into bins of one width.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Histogram {
    /// The values.
    pub x: Axis,
    /// Share of all values in a bin.
    pub y: Axis,
    /// Lower end of the first bin.
    pub first_edge: f64,
    /// Width of a bin.
    pub bin_width: f64,
    /// The shares, in the unit of the upright axis.
    pub shares: Vec<f64>,
    /// Upright lines with a label above them, from left to right.
    pub flags: Vec<Flag>,
    /// Where values stop to hold and on which side, in the unit shown; where it lies among the bins, it lies on an edge.
    pub limit: Option<HistogramLimit>,
    /// What it comes to, in words.
    pub note: Markup,
}

/// An upright line with its name and value above it.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Flag {
    /// Where it stands.
    pub x: f64,
    /// What is written above it, in lines.
    pub label: Vec<Markup>,
    /// Whether it is a limit; otherwise a mark for the eye.
    pub is_limit: bool,
}

/// A limit of a histogram's values.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct HistogramLimit {
    /// The limit.
    pub value: f64,
    /// Whether values below it hold; otherwise those above it.
    pub is_upper: bool,
}

/// Rows of bars in columns side by side, each bar a part within a whole.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PairedBars {
    /// The columns from left to right.
    pub columns: Vec<BarColumn>,
    /// The rows from top to bottom.
    pub rows: Vec<PairedRow>,
    /// What the dark part of a bar is.
    pub part_label: Markup,
    /// What the whole bar is.
    pub whole_label: Markup,
    /// What the line at the end of a bar is.
    pub bound_label: Markup,
}

/// A column of bars.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BarColumn {
    /// What its bars share out.
    pub title: Markup,
    /// The axis along the bars, from zero.
    pub axis: Axis,
}

/// A row of bars, one a column.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PairedRow {
    /// What it stands for.
    pub label: String,
    /// The bars.
    pub bars: Vec<PartBar>,
}

/// A bar with a part of it.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PartBar {
    /// The whole.
    pub whole: f64,
    /// Half width of the confidence interval of the whole.
    pub whole_bound: f64,
    /// The part.
    pub part: f64,
    /// The values in words.
    pub text: Markup,
}
