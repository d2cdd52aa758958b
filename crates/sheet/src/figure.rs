//! The figure model: what a figure shows, as data, before anybody draws it.
//!
//! Geometry is in true millimetres of the part, y upwards. Charts hold values in the units people
//! are shown, with ticks and labels ready-made, so that no renderer converts or rounds. Sizes that
//! belong to the sheet and not to the part (offsets of dimension lines, margins) say `paper`.

mod points;
mod statistics;

pub use statistics::{
    BarColumn, Flag, Histogram, HistogramLimit, PairedBars, PairedRow, PartBar, RoundChart, RoundCurve, Stem,
    StemPanel, Stems,
};

use crate::markup::Markup;
use reducer::finding::Standing;
use serde::Serialize;

/// One figure.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Figure {
    /// Short name with hyphens; prefix of every id inside.
    pub id: String,
    /// What it shows, in a few words.
    pub title: String,
    /// What a reader should see in it.
    pub caption: Markup,
    /// The figure in words, for those who cannot see it.
    pub description: String,
    /// The numbers that the figure is about.
    pub key_numbers: Vec<KeyNumber>,
    /// The picture.
    pub body: Body,
}

/// A number that a figure is about.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct KeyNumber {
    /// Name of the quantity in the registry.
    pub quantity: String,
    /// What it is, in words.
    pub label: String,
    /// The value in core units.
    pub value: f64,
    /// The value as people read it.
    pub display: String,
}

impl KeyNumber {
    /// A number named and rounded as the table of quantities says.
    #[must_use]
    pub fn new(quantity: &str, label: &str, value: f64) -> Self {
        let display = reducer::registry::display(quantity, value);
        Self { quantity: quantity.to_owned(), label: label.to_owned(), value, display }
    }
}

/// The kinds of picture.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Body {
    /// Geometry in true millimetres.
    Drawing(Drawing),
    /// Curves over a common axis.
    Chart(Chart),
    /// Horizontal bars to both sides of zero.
    Bars(Bars),
    /// Coloured cells over two axes.
    Map(Map),
    /// Vectors round a common origin.
    Polar(Polar),
    /// Values over a whole turn.
    Round(RoundChart),
    /// Upright lines over a logarithmic axis.
    Stems(Stems),
    /// How often values fall into bins.
    Histogram(Histogram),
    /// Rows of bars in columns side by side.
    PairedBars(PairedBars),
}

// --- drawings -------------------------------------------------------------------------------

/// Geometry in true millimetres, with its dimensions.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Drawing {
    /// Lower left corner of the geometry.
    pub min_mm: [f64; 2],
    /// Upper right corner of the geometry.
    pub max_mm: [f64; 2],
    /// Room around the geometry for dimensions and callouts: left, right, top, bottom.
    pub margin_paper_mm: [f64; 4],
    /// What is drawn, back to front.
    pub marks: Vec<Mark>,
    /// Notes with leaders, set in columns left and right of the geometry.
    pub callouts: Vec<Callout>,
    /// What pens and fills mean, where the drawing does not say it itself.
    pub legend: Vec<LegendEntry>,
}

/// One drawn thing.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(tag = "mark", rename_all = "kebab-case")]
pub enum Mark {
    /// Marks that move together.
    Group {
        /// Name within the figure.
        name: String,
        /// What belongs to it.
        marks: Vec<Mark>,
    },
    /// A path of lines, true arcs and cubic curves.
    Path {
        /// The line.
        pen: Pen,
        /// What fills it.
        fill: Fill,
        /// Outlines; the second and further ones are holes.
        contours: Vec<Contour>,
    },
    /// A full circle.
    Circle {
        /// Centre.
        centre_mm: [f64; 2],
        /// Radius.
        radius_mm: f64,
        /// The line.
        pen: Pen,
        /// What fills it.
        fill: Fill,
    },
    /// Straight lines from point to point.
    Polyline {
        /// The line.
        pen: Pen,
        /// The points.
        points_mm: Vec<[f64; 2]>,
    },
    /// A force or a direction.
    Arrow {
        /// The line and head.
        pen: Pen,
        /// Where it starts.
        tail_mm: [f64; 2],
        /// Where its point is.
        tip_mm: [f64; 2],
    },
    /// An arc with an arrowhead, for a sense of rotation.
    TurnArrow {
        /// Centre of the arc.
        centre_mm: [f64; 2],
        /// Radius of the arc.
        radius_mm: f64,
        /// Where it starts.
        from_rad: f64,
        /// Where its head is; beyond the start if it turns anticlockwise.
        to_rad: f64,
    },
    /// A small filled dot.
    Dot {
        /// The colour.
        pen: Pen,
        /// Where.
        at_mm: [f64; 2],
    },
    /// Words at a place.
    Label {
        /// Where.
        at_mm: [f64; 2],
        /// How far from there, on paper, to the right and upwards.
        offset_paper_mm: [f64; 2],
        /// Which part of the words stands there.
        anchor: Anchor,
        /// The words.
        text: Markup,
    },
    /// The centre lines of something round.
    CentreLines {
        /// Centre.
        centre_mm: [f64; 2],
        /// How far they reach on each side.
        reach_mm: f64,
        /// Direction of the first; the other is square to it.
        angle_rad: f64,
    },
    /// A linear dimension with extension lines.
    Dimension(Dimension),
}

/// A linear dimension in drawing practice: extension lines, dimension line, arrowheads, text.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Dimension {
    /// First measured point.
    pub from_mm: [f64; 2],
    /// Second measured point.
    pub to_mm: [f64; 2],
    /// Direction from the points towards the dimension line, square to the measured length.
    pub away_rad: f64,
    /// How far the part reaches in that direction, from the first point.
    pub reach_mm: f64,
    /// How far beyond the part the dimension line lies.
    pub offset_paper_mm: f64,
    /// The text, nominal value first.
    pub text: Markup,
}

/// A note with a leader to a point of the drawing.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Callout {
    /// The point that the leader touches.
    pub target_mm: [f64; 2],
    /// Where the leader comes from.
    pub side: Side,
    /// What ends the leader.
    pub end: LeaderEnd,
    /// The dimension or name, over the line.
    pub text: Markup,
    /// What it is, under the line.
    pub note: String,
}

/// A column of callouts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Left of the geometry.
    Left,
    /// Right of the geometry.
    Right,
}

/// What ends a leader.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LeaderEnd {
    /// An arrowhead, on a line.
    Arrow,
    /// A dot, inside an area.
    Dot,
}

/// Which part of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// One outline of a path.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Contour {
    /// First point.
    pub start_mm: [f64; 2],
    /// From there on.
    pub steps: Vec<Step>,
    /// Whether it returns to the first point.
    pub closed: bool,
}

/// One piece of an outline, from where the last one ended.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(tag = "step", rename_all = "kebab-case")]
pub enum Step {
    /// A straight line.
    Line {
        /// End.
        to_mm: [f64; 2],
    },
    /// A true circular arc.
    Arc {
        /// End.
        to_mm: [f64; 2],
        /// Radius.
        radius_mm: f64,
        /// Whether it spans more than half a turn.
        large: bool,
        /// Whether it turns anticlockwise.
        anticlockwise: bool,
    },
    /// A cubic Bézier curve.
    Cubic {
        /// First handle.
        first_mm: [f64; 2],
        /// Second handle.
        second_mm: [f64; 2],
        /// End.
        to_mm: [f64; 2],
    },
}

/// What a line is, from which its width, dashes and colour follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Pen {
    /// No line.
    None,
    /// Visible edge.
    Edge,
    /// Visible edge of lesser weight.
    FineEdge,
    /// Edge of another part or position, long dash and two dots.
    Ghost,
    /// Centre line or pitch circle, long dash and dot.
    Centre,
    /// Line of a construction.
    Construction,
    /// Force at a ring roller.
    RollerForce,
    /// Force at an output pin.
    PinForce,
    /// Force of the bearing.
    BearingForce,
}

/// What fills an area.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fill {
    /// Nothing.
    None,
    /// The colour of the sheet: what lies behind is hidden.
    Sheet,
    /// Cut material, hatched to the right.
    HatchRight,
    /// Cut material, hatched to the left and closer.
    HatchLeft,
    /// A light tint.
    Tint,
    /// A darker tint.
    DeepTint,
}

/// What a pen or fill of a drawing means.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct LegendEntry {
    /// The pen.
    pub pen: Pen,
    /// What it means.
    pub text: Markup,
}

// --- charts ---------------------------------------------------------------------------------

/// Panels under each other over one common axis.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Chart {
    /// The common axis.
    pub x: Axis,
    /// Panels from top to bottom.
    pub panels: Vec<Panel>,
}

/// One panel of a chart.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Panel {
    /// Height of its field.
    pub height_paper_mm: f64,
    /// The upright axis.
    pub y: Axis,
    /// The curves.
    pub series: Vec<Series>,
    /// Straight lines at a value.
    pub rules: Vec<Rule>,
    /// Lengths that are marked along the upright axis.
    pub spans: Vec<Span>,
    /// Own axis of a panel that shows a part of the curves above it at a larger scale.
    pub detail_x: Option<Axis>,
}

/// An axis with ready-made ticks.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Axis {
    /// Name of the quantity in the registry.
    pub quantity: String,
    /// What it shows, with its symbol and unit.
    pub label: Markup,
    /// Values at both ends, in the unit shown.
    pub range: [f64; 2],
    /// The ticks.
    pub ticks: Vec<Tick>,
}

/// A tick and its label.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Tick {
    /// The value in the unit shown.
    pub value: f64,
    /// The value as people read it.
    pub label: String,
}

/// A curve of a chart.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Series {
    /// Name within the figure.
    pub name: String,
    /// What it shows.
    pub label: Markup,
    /// How it is told from the others.
    pub style: SeriesStyle,
    /// Unbroken pieces, each of points (x, y) in the units shown.
    pub pieces: Vec<Vec<[f64; 2]>>,
}

/// How a curve is told from others: by colour and by dashes, so that either suffices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeriesStyle {
    /// The main curve: full line, first colour.
    First,
    /// Dashed, second colour.
    Second,
    /// Dotted, third colour.
    Third,
    /// A full thin line that stands back.
    Quiet,
}

/// A straight line across a panel.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Rule {
    /// Whether it lies level (at a y value) or stands upright (at an x value).
    pub is_level: bool,
    /// The value in the unit shown.
    pub value: f64,
    /// What it is.
    pub label: Markup,
    /// Whether it is a limit; otherwise a mark for the eye.
    pub is_limit: bool,
}

/// A length along the upright axis, dimensioned between two points of the curves.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Span {
    /// Where the dimension line stands, in the unit shown.
    pub x: f64,
    /// The lower point.
    pub from: [f64; 2],
    /// The upper point.
    pub to: [f64; 2],
    /// What it is, with its value.
    pub label: Markup,
}

// --- maps -----------------------------------------------------------------------------------

/// Panels of coloured cells under each other over one common axis.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Map {
    /// The common axis.
    pub x: Axis,
    /// Panels from top to bottom.
    pub panels: Vec<MapPanel>,
}

/// One panel of a map.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct MapPanel {
    /// Name within the figure.
    pub name: String,
    /// Height of its field.
    pub height_paper_mm: f64,
    /// The upright axis.
    pub y: Axis,
    /// The scale of colours.
    pub scale: Axis,
    /// What each column stands for, in the unit of the common axis.
    pub columns: Vec<f64>,
    /// What each row stands for, in the unit of the upright axis.
    pub rows: Vec<f64>,
    /// Where the columns of cells meet, one more than there are columns.
    pub x_edges: Vec<f64>,
    /// Where the rows of cells meet, one more than there are rows, upwards.
    pub y_edges: Vec<f64>,
    /// Values in the unit shown, one list a row; nothing is drawn where there is none.
    pub cells: Vec<Vec<Option<f64>>>,
    /// What is written in the cells, one list a row; empty where nothing is.
    pub cell_labels: Vec<Vec<String>>,
    /// Lines over the cells, for the eye.
    pub guides: Vec<Series>,
}

// --- polar plots ----------------------------------------------------------------------------

/// Vectors from a common origin, in one or more frames side by side.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Polar {
    /// The frames from left to right.
    pub panels: Vec<PolarPanel>,
}

/// Vectors in one frame.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PolarPanel {
    /// Name within the figure.
    pub name: String,
    /// The frame, in words.
    pub title: Markup,
    /// Length of a vector from zero to the rim.
    pub radius: Axis,
    /// Paths of the vectors' tips, x and y in the unit shown.
    pub series: Vec<Series>,
    /// Single vectors.
    pub arrows: Vec<PolarArrow>,
    /// A part of the paths that is drawn once more, larger, where they would be no more than a dot.
    pub detail: Option<PolarDetail>,
}

/// A circle of a polar plot to be drawn larger.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PolarDetail {
    /// Its centre, x and y in the unit shown.
    pub centre: [f64; 2],
    /// Its radius.
    pub radius: f64,
    /// A length to compare with.
    pub bar: Tick,
}

/// A vector from the origin.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PolarArrow {
    /// Its tip, x and y in the unit shown.
    pub tip: [f64; 2],
    /// What it is.
    pub label: Markup,
}

// --- bars -----------------------------------------------------------------------------------

/// Horizontal bars to both sides of zero, one a row.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Bars {
    /// The axis along the bars.
    pub axis: Axis,
    /// The bars from top to bottom.
    pub rows: Vec<Bar>,
}

/// One bar.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Bar {
    /// What it stands for.
    pub label: String,
    /// Where it ends, in the unit shown; beyond the axis it is drawn broken.
    pub value: f64,
    /// The value in words, behind the bar.
    pub text: Markup,
    /// Its standing, told by colour and by the shape of its end.
    pub standing: Standing,
}
