//! Backlash and transmission error of one drive, as drawn or as made, at every angle of a whole output turn.

use super::spectrum::{Counts, Order, amplitudes, leading_orders};
use crate::contact::ContactModel;
use crate::contact::flank::FlankTouch;
use crate::kinematics;
use crate::model::Drive;
use crate::profile::LobeOutline;
use schemars::JsonSchema;
use serde::Serialize;
use std::f64::consts::TAU;

/// Positions in one pass of a lobe over a roller, for drives with few and with many of them.
const POSITIONS_PER_MESH: usize = 4;
const POSITIONS_PER_MESH_OF_MANY: usize = 3;
/// Passes in an output turn from which on they count as many.
const MANY_PASSES: usize = 3_000;
/// Orders that are told for each flank.
const STRONGEST_ORDERS: usize = 12;

/// A drive's play and error over one output turn.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TurnResult {
    /// Positions, in equal steps of the output over one turn.
    pub position_count: usize,
    /// Error of the output at every position, its load acting anticlockwise. It is the limit towards which play is used up.
    pub ahead_rad: Vec<f64>,
    /// The same with the load acting clockwise.
    pub behind_rad: Vec<f64>,
    /// Greatest backlash and the crank angle where it is.
    pub greatest_backlash: AtAngle,
    /// Least backlash; below nothing where parts press on each other without load.
    pub least_backlash: AtAngle,
    /// Mean backlash.
    pub mean_backlash_rad: f64,
    /// Peak to peak of the error, anticlockwise.
    pub error_ahead_rad: f64,
    /// Peak to peak of the error, clockwise.
    pub error_behind_rad: f64,
    /// Least gap of rollers at tips and roots of lobes.
    pub tip_gap_mm: f64,
    /// Strongest orders of the error, anticlockwise.
    pub orders_ahead: Vec<Order>,
    /// Strongest orders of the error, clockwise.
    pub orders_behind: Vec<Order>,
}

/// An angle of the output and the crank angle where it is met.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AtAngle {
    /// The angle.
    pub backlash_rad: f64,
    /// Crank angle.
    pub crank_angle_rad: f64,
}

impl TurnResult {
    /// The larger error of both flanks.
    #[must_use]
    pub fn transmission_error_rad(&self) -> f64 {
        self.error_ahead_rad.max(self.error_behind_rad)
    }
}

/// Positions over an output turn that show every pass of a lobe over a roller.
#[must_use]
pub fn position_count(lobe_count: usize, roller_count: usize) -> usize {
    let passes = lobe_count * roller_count;
    passes * if passes > MANY_PASSES { POSITIONS_PER_MESH_OF_MANY } else { POSITIONS_PER_MESH }
}

/// Play and error of a drive over a whole output turn, gaps exact, bearing centres held, nothing loaded.
///
/// **Source** `[common-practice]` for the definitions; Derivation 14, §1.
#[must_use]
pub fn turn<P: LobeOutline>(drive: &Drive, model: &ContactModel<P>) -> TurnResult {
    let lobes = model.lobe_count();
    let count = position_count(lobes, model.ring_roller_count);
    let mut limits = Limits::new(model, kinematics::plate_to_output(&drive.geometry));
    let mut ahead_rad = Vec::with_capacity(count);
    let mut behind_rad = Vec::with_capacity(count);
    let mut backlash_rad = Vec::with_capacity(count);
    let crank_angle_rad = |position: usize| TAU * lobes as f64 * position as f64 / count as f64;
    let period = period(drive, model, count);
    let computed: Vec<_> = (0..period).map(|position| limits.at(crank_angle_rad(position))).collect();
    for position in 0..count {
        let [ahead, behind] = computed[position % period];
        let middle = 0.5 * (ahead + behind);
        ahead_rad.push(ahead.max(middle));
        behind_rad.push(behind.min(middle));
        backlash_rad.push(ahead - behind);
    }
    let extreme = |sign: f64| {
        let mut found = AtAngle { backlash_rad: backlash_rad[0], crank_angle_rad: 0.0 };
        for (position, &value) in backlash_rad.iter().enumerate() {
            if sign * value > sign * found.backlash_rad {
                found = AtAngle { backlash_rad: value, crank_angle_rad: crank_angle_rad(position) };
            }
        }
        found
    };
    let counts =
        Counts { lobe_count: lobes, roller_count: model.ring_roller_count, pin_count: model.pin_count };
    let orders = |signal: &[f64]| leading_orders(&amplitudes(signal), &counts, STRONGEST_ORDERS);
    TurnResult {
        position_count: count,
        greatest_backlash: extreme(1.0),
        least_backlash: extreme(-1.0),
        mean_backlash_rad: backlash_rad.iter().sum::<f64>() / count as f64,
        error_ahead_rad: spread(&ahead_rad),
        error_behind_rad: spread(&behind_rad),
        tip_gap_mm: limits.tip_gap_mm,
        orders_ahead: orders(&ahead_rad),
        orders_behind: orders(&behind_rad),
        ahead_rad,
        behind_rad,
    }
}

/// Positions after which everything repeats: parts as drawn do with the pins, parts as made only after the whole turn.
fn period<P: LobeOutline>(drive: &Drive, model: &ContactModel<P>, count: usize) -> usize {
    if model.deviations.is_some() {
        return count;
    }
    let per_pitch = count / (model.lobe_count() * model.ring_roller_count);
    per_pitch * kinematics::roller_periods_in_pin_period(&drive.geometry)
}

/// Peak to peak of a signal.
fn spread(signal: &[f64]) -> f64 {
    let (least, most) = signal.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
        (least.min(*value), most.max(*value))
    });
    most - least
}

/// The limits of the output, each position begun from the last one.
struct Limits<'a, P> {
    model: &'a ContactModel<P>,
    /// Rotation of the output for one of the plate in the frame of the ring.
    output_ratio: f64,
    /// Touches of the last position, by sense and disc.
    known: [Vec<Option<FlankTouch>>; 2],
    tip_gap_mm: f64,
}

impl<'a, P: LobeOutline> Limits<'a, P> {
    fn new(model: &'a ContactModel<P>, output_ratio: f64) -> Self {
        let none = || vec![None; model.disc_count];
        Self { model, output_ratio, known: [none(), none()], tip_gap_mm: f64::INFINITY }
    }

    /// Where the output stops anticlockwise, and clockwise.
    fn at(&mut self, crank_angle_rad: f64) -> [f64; 2] {
        let plate = [1.0, -1.0].map(|sense| self.plate_rad(crank_angle_rad, sense));
        let [first, second] = plate.map(|angle| self.output_ratio * angle);
        if self.output_ratio > 0.0 { [first, second] } else { [second, first] }
    }

    fn plate_rad(&mut self, crank_angle_rad: f64, sense: f64) -> f64 {
        let least_lever_mm = self.model.least_flank_lever_mm();
        let mut limit = f64::INFINITY;
        for (disc, known) in self.known[usize::from(sense < 0.0)].iter_mut().enumerate() {
            let touch = self.model.flank_touch(crank_angle_rad, disc, sense, known.as_ref());
            limit = limit.min(sense * touch.plate_rad);
            self.tip_gap_mm = self.tip_gap_mm.min(touch.tip_and_root_gap_mm(least_lever_mm));
            *known = Some(touch);
        }
        sense * limit
    }
}
