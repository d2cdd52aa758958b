//! What the charts and maps of contact loads have in common: which load, its words, its values, its panel.

use super::curvature::bounds;
use super::scale::{axis_over, shown};
use crate::figure::{Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use reducer::kinematics;
use reducer::model::Drive;
use reducer::results::{DiscState, Extreme, LoadCase, LoadExtremes, Pose};
use std::f64::consts::TAU;

/// A load that every contact of a kind has at every crank angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactLoad {
    RollerForce,
    RollerPressure,
    PinForce,
    PinPressure,
}

/// A curve of a panel before it has its quantity's name: name, legend, style, points.
pub type Curve<'a> = (&'a str, String, SeriesStyle, Vec<[f64; 2]>);

impl ContactLoad {
    /// Name of the quantity in the registry.
    pub fn quantity(self) -> &'static str {
        match self {
            Self::RollerForce => "ring_roller_force_n",
            Self::RollerPressure => "ring_roller_pressure_mpa",
            Self::PinForce => "output_pin_force_n",
            Self::PinPressure => "output_pin_pressure_mpa",
        }
    }

    /// What it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::RollerForce => "force at a ring roller",
            Self::RollerPressure => "pressure at a ring roller",
            Self::PinForce => "force at an output pin",
            Self::PinPressure => "pressure at an output pin",
        }
    }

    /// Whether output pins have it, and not ring rollers.
    pub fn is_of_pins(self) -> bool {
        matches!(self, Self::PinForce | Self::PinPressure)
    }

    /// The contact in one word.
    pub fn noun(self) -> &'static str {
        if self.is_of_pins() { "pin" } else { "roller" }
    }

    /// Values of all contacts of a disc.
    pub fn values(self, disc: &DiscState) -> &[f64] {
        match self {
            Self::RollerForce => &disc.ring_roller_force_n,
            Self::RollerPressure => &disc.ring_roller_pressure_mpa,
            Self::PinForce => &disc.output_pin_force_n,
            Self::PinPressure => &disc.output_pin_pressure_mpa,
        }
    }

    /// The greatest of a load case.
    pub fn extreme(self, extremes: &LoadExtremes) -> Extreme {
        match self {
            Self::RollerForce => extremes.ring_roller_force,
            Self::RollerPressure => extremes.ring_roller_pressure,
            Self::PinForce => extremes.output_pin_force,
            Self::PinPressure => extremes.output_pin_pressure,
        }
    }

    /// A value in the unit shown.
    pub fn shown(self, value: f64) -> f64 {
        shown(self.quantity(), value)
    }

    /// A panel from zero to the greatest value, with a limit if it is near.
    pub fn panel(self, height_paper_mm: f64, curves: Vec<Curve<'_>>, limit: Option<f64>) -> Panel {
        let values = curves.iter().flat_map(|curve| &curve.3).map(|point| point[1]);
        let peak = bounds(values).1.max(1e-9);
        // A limit far above everything would press the curves flat; the table of checks has it.
        let limit = limit.map(|limit| self.shown(limit)).filter(|&limit| limit < 2.0 * peak);
        let high = limit.map_or(peak, |limit| limit.max(peak));
        let series = |(name, label, style, points): Curve<'_>| Series {
            name: format!("{}-{name}", self.quantity()),
            label: Markup::words(label),
            style,
            pieces: vec![points],
        };
        Panel {
            height_paper_mm,
            y: axis_over(self.quantity(), self.words(), (0.0, high), 4),
            series: curves.into_iter().map(series).collect(),
            rules: limit
                .map(|value| Rule { is_level: true, value, label: Markup::words("limit"), is_limit: true })
                .into_iter()
                .collect(),
            spans: Vec::new(),
            detail_x: None,
        }
    }
}

/// A moment of a turn of the crank: its angle, the computed pose that stands for it, and the periods between them.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a> {
    /// Crank angle from 0 to 2π.
    pub crank_angle_rad: f64,
    /// A pose one or more periods earlier, or at this very angle.
    pub pose: &'a Pose,
    /// Angle by which the pose lies back.
    pub turned_rad: f64,
    passed_count: usize,
}

/// One whole turn of the crank, made up from the computed period.
///
/// Poses cover the pin period only. One period later all contacts stand as before but turned by the
/// period: rollers by `m` places, where the period has m roller pitches, and pins by `m w/z_l` places.
#[derive(Clone, Debug)]
pub struct Turn<'a> {
    /// Moments with rising crank angle.
    pub moments: Vec<Moment<'a>>,
    /// The moment that follows, where none falls on the end of the turn: curves go towards it.
    pub following: Option<Moment<'a>>,
    roller_count: usize,
    roller_shift: usize,
    pin_count: usize,
    pin_shift: usize,
}

impl<'a> Turn<'a> {
    /// The turn of a load case.
    pub fn of(drive: &Drive, case: &'a LoadCase) -> Self {
        let geometry = &drive.geometry;
        let pitches = kinematics::roller_periods_in_pin_period(geometry);
        let period = kinematics::roller_period_rad(geometry) * pitches as f64;
        let end_rad = TAU * (1.0 + 1e-12);
        let all = (0..=(TAU / period).ceil() as usize).flat_map(|passed_count| {
            let turned_rad = passed_count as f64 * period;
            let moment = move |pose: &'a Pose| Moment {
                crank_angle_rad: pose.crank_angle_rad + turned_rad,
                pose,
                turned_rad,
                passed_count,
            };
            case.poses.iter().map(moment)
        });
        let (moments, later): (Vec<_>, Vec<_>) = all.partition(|moment| moment.crank_angle_rad <= end_rad);
        let ends_there = moments.last().is_some_and(|last| last.crank_angle_rad > TAU * (1.0 - 1e-12));
        Self {
            moments,
            following: later.into_iter().next().filter(|_| !ends_there),
            roller_count: geometry.ring_roller_count,
            roller_shift: pitches,
            pin_count: geometry.pin_count,
            pin_shift: pitches * geometry.pin_count / kinematics::lobe_count(geometry),
        }
    }

    /// Contacts of the kind that has a load.
    pub fn contact_count(&self, load: ContactLoad) -> usize {
        if load.is_of_pins() { self.pin_count } else { self.roller_count }
    }

    /// A load of one contact of one disc at a moment, in the core unit.
    pub fn value(&self, moment: &Moment<'_>, load: ContactLoad, disc: usize, contact: usize) -> Option<f64> {
        let shift = if load.is_of_pins() { self.pin_shift } else { self.roller_shift };
        let count = self.contact_count(load);
        let back = (shift * moment.passed_count) % count;
        let values = load.values(moment.pose.discs.get(disc)?);
        values.get((contact + count - back) % count).copied()
    }
}
