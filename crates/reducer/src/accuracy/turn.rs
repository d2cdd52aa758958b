//! Backlash and transmission error of one drive, as drawn or as made, at every angle of a whole output turn.

use super::spectrum::{Counts, Order, amplitudes, leading_orders_of_both};
use crate::contact::ContactModel;
use crate::kinematics;
use crate::model::Drive;
use crate::profile::LobeOutline;
use schemars::JsonSchema;
use serde::Serialize;
use std::f64::consts::TAU;

/// Positions in one pass of a lobe over a roller that show where its error is greatest and least; parts as drawn are always looked at there.
///
/// A number with many divisors, so that a coarser record is a part of the same positions.
const POSITIONS_PER_PASS: usize = 24;
/// Divisors of it, the least of which still tells the passes from each other.
const COARSER: [usize; 5] = [1, 2, 3, 4, 6];
const COARSEST: usize = 8;
/// Positions over a turn beyond which a record becomes coarser: of parts as drawn, which are only carried on, and of parts as made, each of which is
/// worked out.
const MOST_POSITIONS_DRAWN: usize = 100_000;
const MOST_POSITIONS_MADE: usize = 20_000;
/// Orders that are told for each flank.
const STRONGEST_ORDERS: usize = 12;

/// A drive's play and error over one output turn.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TurnResult {
    /// Positions of the record, in equal steps of the output over one turn.
    pub position_count: usize,
    /// Positions that were worked out: at least those of the record until everything repeats. Extremes, mean and errors are those of all of them.
    pub computed_count: usize,
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
    /// Strongest orders of the error of either flank, anticlockwise.
    pub orders_ahead: Vec<Order>,
    /// The same orders, clockwise.
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

/// Play and error of a drive over a whole output turn, gaps exact, bearing centres held, nothing loaded.
///
/// **Source** `[common-practice]` for the definitions; Derivation 14, §1.
#[must_use]
pub fn turn<P: LobeOutline>(drive: &Drive, model: &ContactModel<P>) -> TurnResult {
    let grid = TurnGrid::of(drive, model);
    let mut limits = Limits::new(model, kinematics::plate_to_output(&drive.geometry));
    let computed: Vec<_> =
        (0..grid.computed_count).map(|place| limits.at(grid.crank_angle_rad(place))).collect();
    let seen = |flank: usize| -> Vec<f64> { computed.iter().map(|limits| stands(*limits)[flank]).collect() };
    let recorded = |seen: &[f64]| -> Vec<f64> {
        let places = (0..grid.position_count).map(|position| position * grid.step % seen.len());
        places.map(|place| seen[place]).collect()
    };
    let (ahead_seen, behind_seen) = (seen(0), seen(1));
    let (ahead_rad, behind_rad) = (recorded(&ahead_seen), recorded(&behind_seen));
    let backlash_rad: Vec<f64> = computed.iter().map(|[ahead, behind]| ahead - behind).collect();
    let extreme = |sign: f64| {
        let mut found = AtAngle { backlash_rad: backlash_rad[0], crank_angle_rad: 0.0 };
        for (place, &value) in backlash_rad.iter().enumerate() {
            if sign * value > sign * found.backlash_rad {
                found = AtAngle { backlash_rad: value, crank_angle_rad: grid.crank_angle_rad(place) };
            }
        }
        found
    };
    let counts = Counts {
        lobe_count: model.lobe_count(),
        roller_count: model.ring_roller_count,
        pin_count: model.pin_count,
    };
    let [ahead_amplitudes, behind_amplitudes] = [&ahead_rad, &behind_rad].map(|signal| amplitudes(signal));
    let [orders_ahead, orders_behind] =
        leading_orders_of_both([&ahead_amplitudes, &behind_amplitudes], &counts, STRONGEST_ORDERS);
    TurnResult {
        position_count: grid.position_count,
        computed_count: grid.computed_count,
        greatest_backlash: extreme(1.0),
        least_backlash: extreme(-1.0),
        mean_backlash_rad: backlash_rad.iter().sum::<f64>() / backlash_rad.len() as f64,
        error_ahead_rad: spread(&ahead_seen),
        error_behind_rad: spread(&behind_seen),
        tip_gap_mm: limits.tip_gap_mm,
        orders_ahead,
        orders_behind,
        ahead_rad,
        behind_rad,
    }
}

/// Where the output stands, loaded either way: at its limits, or half-way between limits that parts press across.
fn stands([ahead, behind]: [f64; 2]) -> [f64; 2] {
    let middle = 0.5 * (ahead + behind);
    [ahead.max(middle), behind.min(middle)]
}

/// The positions at which a drive is looked at, and those of them that make the record of the turn.
#[derive(Clone, Copy, Debug)]
struct TurnGrid {
    /// Positions of the record over one output turn.
    position_count: usize,
    /// Positions that are worked out, from the first on. Parts as drawn repeat after them, parts as made only after the whole turn.
    computed_count: usize,
    /// Positions that are worked out in a step of the record.
    step: usize,
    crank_step_rad: f64,
}

impl TurnGrid {
    fn of<P: LobeOutline>(drive: &Drive, model: &ContactModel<P>) -> Self {
        let lobes = model.lobe_count();
        let passes = lobes * model.ring_roller_count;
        let finest = passes * POSITIONS_PER_PASS;
        let coarser =
            |most: usize| COARSER.into_iter().find(|coarser| finest / coarser <= most).unwrap_or(COARSEST);
        // Positions of all that is worked out over the whole turn, then those of the record and those worked out.
        let (turn_count, position_count, computed_count) = if model.deviations.is_some() {
            let count = finest / coarser(MOST_POSITIONS_MADE);
            (count, count, count)
        } else {
            let repeats = kinematics::roller_periods_in_pin_period(&drive.geometry);
            (finest, finest / coarser(MOST_POSITIONS_DRAWN), POSITIONS_PER_PASS * repeats)
        };
        Self {
            position_count,
            computed_count,
            step: turn_count / position_count,
            crank_step_rad: TAU * lobes as f64 / turn_count as f64,
        }
    }

    fn crank_angle_rad(&self, place: usize) -> f64 {
        self.crank_step_rad * place as f64
    }
}

/// Peak to peak of a signal.
fn spread(signal: &[f64]) -> f64 {
    let (least, most) = signal.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
        (least.min(*value), most.max(*value))
    });
    most - least
}

/// The limits of the output, and the least gap at tips and roots on the way.
struct Limits<'a, P> {
    model: &'a ContactModel<P>,
    /// Rotation of the output for one of the plate in the frame of the ring.
    output_ratio: f64,
    tip_gap_mm: f64,
}

impl<'a, P: LobeOutline> Limits<'a, P> {
    fn new(model: &'a ContactModel<P>, output_ratio: f64) -> Self {
        Self { model, output_ratio, tip_gap_mm: f64::INFINITY }
    }

    /// Where the output stops anticlockwise, and clockwise.
    fn at(&mut self, crank_angle_rad: f64) -> [f64; 2] {
        let plate = [1.0, -1.0].map(|sense| self.plate_rad(crank_angle_rad, sense));
        let [first, second] = plate.map(|angle| self.output_ratio * angle);
        if self.output_ratio > 0.0 { [first, second] } else { [second, first] }
    }

    fn plate_rad(&mut self, crank_angle_rad: f64, sense: f64) -> f64 {
        let tip_lever_mm = self.model.tip_lever_mm();
        let mut limit = f64::INFINITY;
        for disc in 0..self.model.disc_count {
            let touch = self.model.flank_touch(crank_angle_rad, disc, sense);
            limit = limit.min(sense * touch.plate_rad);
            self.tip_gap_mm = self.tip_gap_mm.min(touch.tip_and_root_gap_mm(tip_lever_mm));
        }
        sense * limit
    }
}
