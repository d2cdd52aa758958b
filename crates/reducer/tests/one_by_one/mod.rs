//! The same linear gaps one assembly at a time, written as the formulas are: what the fast way is tested and measured against.

use curves::math;
use curves::point::{Vector, unit};
use reducer::contact::ContactModel;
use reducer::contact::flank::{FlankTouch, LEAST_LEVER_RATIO, LightGive, limit_rad};
use reducer::deviation::{Deviations, DiscDeviation};
use reducer::profile::LobeOutline;
use std::f64::consts::TAU;

/// Nominal contacts at the crank angles of a study.
#[derive(Clone, Debug)]
pub struct PlainDrive {
    lobe_count: usize,
    ring_radius_mm: f64,
    eccentricity_mm: f64,
    flank_lever_mm: f64,
    pin_lever_mm: f64,
    give: LightGive,
    rollers: Vec<Vector>,
    positions: Vec<Position>,
}

#[derive(Clone, Debug)]
struct Position {
    plate: Vector,
    pins: Vec<Vector>,
    discs: Vec<Disc>,
}

#[derive(Clone, Debug)]
struct Disc {
    throw: Vector,
    turn: Vector,
    touches: [FlankTouch; 2],
    /// Cosines and sines of the orders of lobe form at every roller, by sense.
    form: [Vec<Vec<[f64; 2]>>; 2],
    lobes: [Vec<usize>; 2],
}

/// What one assembly comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlainOutcome {
    /// Greatest play of the plate.
    pub greatest_backlash_rad: f64,
    /// Peak to peak of the plate's angle, the worse flank.
    pub transmission_error_rad: f64,
}

impl PlainDrive {
    /// Nominal contacts of a drive.
    #[must_use]
    pub fn new<P: LobeOutline>(model: &ContactModel<P>, crank_angles_rad: &[f64]) -> Self {
        let lobes = model.lobe_count();
        let position = |angle: f64| {
            let plate_rad = -angle / lobes as f64;
            let disc = |disc: usize| {
                let phase = angle + TAU * disc as f64 / model.disc_count as f64;
                let touches = [1.0, -1.0].map(|sense| model.flank_touch(angle, disc, sense));
                let form = touches.each_ref().map(|touch| {
                    let at = |parameter: f64, order: usize| {
                        let (sine, cosine) = math::sin_cos((order * lobes) as f64 * parameter);
                        [cosine, sine]
                    };
                    let rollers = touch.geometry.rollers.iter();
                    rollers.map(|roller| (1..=3).map(|order| at(roller.parameter, order)).collect()).collect()
                });
                let lobe = |touch: &FlankTouch| {
                    let rollers = touch.geometry.rollers.iter();
                    rollers.map(|roller| DiscDeviation::lobe_at(roller.parameter, lobes)).collect()
                };
                Disc {
                    throw: unit(phase),
                    turn: unit(-phase / lobes as f64),
                    lobes: touches.each_ref().map(lobe),
                    form,
                    touches,
                }
            };
            let pin = |pin: usize| {
                unit(model.pin_phase_rad + plate_rad + TAU * pin as f64 / model.pin_count as f64)
            };
            Position {
                plate: unit(plate_rad),
                pins: (0..model.pin_count).map(pin).collect(),
                discs: (0..model.disc_count).map(disc).collect(),
            }
        };
        Self {
            lobe_count: lobes,
            ring_radius_mm: model.ring_radius_mm,
            eccentricity_mm: model.eccentricity_mm,
            flank_lever_mm: model.lever_scale_mm(),
            pin_lever_mm: model.pin_circle_radius_mm,
            give: model.light_give,
            rollers: (0..model.ring_roller_count)
                .map(|roller| unit(TAU * roller as f64 / model.ring_roller_count as f64))
                .collect(),
            positions: crank_angles_rad.iter().map(|angle| position(*angle)).collect(),
        }
    }

    /// Backlash and transmission error of one assembly.
    #[must_use]
    pub fn outcome(&self, made: &Deviations) -> PlainOutcome {
        let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let mut greatest_backlash_rad = f64::NEG_INFINITY;
        for position in &self.positions {
            let ahead = self.plate_rad(position, made, 0);
            let behind = -self.plate_rad(position, made, 1);
            greatest_backlash_rad = greatest_backlash_rad.max(ahead - behind);
            let middle = 0.5 * (ahead + behind);
            for (side, stand) in [ahead.max(middle), behind.min(middle)].into_iter().enumerate() {
                least[side] = least[side].min(stand);
                most[side] = most[side].max(stand);
            }
        }
        let transmission_error_rad = (most[0] - least[0]).max(most[1] - least[1]);
        PlainOutcome { greatest_backlash_rad, transmission_error_rad }
    }

    /// How far the plate turns in a sense before something stops it.
    fn plate_rad(&self, position: &Position, made: &Deviations, side: usize) -> f64 {
        let sense = if side == 0 { 1.0 } else { -1.0 };
        let mut least = f64::INFINITY;
        for (disc, as_made) in position.discs.iter().zip(&made.discs) {
            let touch = &disc.touches[side];
            let across = Vector::new(-disc.throw.y, disc.throw.x);
            let off =
                disc.throw * as_made.throw_mm + across * (as_made.throw_angle_rad * self.eccentricity_mm);
            let turn_rad = self.disc_rad(disc, side, made, as_made, off);
            let plate_shift = turned(position.plate, Vector::from(made.plate_shift_mm));
            for (pin, radial) in position.pins.iter().enumerate() {
                let lever = sense * touch.geometry.pin_lever_mm[pin];
                if lever < LEAST_LEVER_RATIO * self.pin_lever_mm {
                    continue;
                }
                let (pin_made, hole_made) = (&made.pins[pin], &as_made.holes[pin]);
                let tangential = Vector::new(-radial.y, radial.x);
                let moved = radial * (pin_made.radial_mm - hole_made.radial_mm)
                    + tangential * (pin_made.tangential_mm - hole_made.tangential_mm)
                    + plate_shift
                    - off;
                let gap = touch.geometry.pin_gap_mm[pin] + hole_made.radius_mm
                    - pin_made.radius_mm
                    - moved.dot(&touch.geometry.pin_direction[pin])
                    + sense * touch.geometry.hole_lever_mm[pin] * turn_rad;
                let limit = limit_rad(gap, lever, self.pin_lever_mm, self.give.pin_mm);
                least = least.min(limit + sense * touch.geometry_plate_rad);
            }
        }
        least
    }

    /// How far one disc turns beyond where nominal parts touch.
    fn disc_rad(
        &self,
        disc: &Disc,
        side: usize,
        made: &Deviations,
        as_made: &DiscDeviation,
        off: Vector,
    ) -> f64 {
        let sense = if side == 0 { 1.0 } else { -1.0 };
        let geometry = &disc.touches[side].geometry;
        let shift = turned(disc.turn, Vector::from(as_made.lobe_shift_mm));
        let body = Vector::from(made.ring_shift_mm) - off - shift;
        let mut least = f64::INFINITY;
        for (roller, contact) in geometry.rollers.iter().enumerate() {
            let lever = sense * geometry.roller_lever_mm[roller];
            if lever < LEAST_LEVER_RATIO * self.flank_lever_mm {
                continue;
            }
            let feature = &made.rollers[roller];
            let off_place = Vector::new(feature.radial_mm, feature.tangential_mm);
            let moved = turned(self.rollers[roller], off_place) + body;
            let form: f64 = disc.form[side][roller]
                .iter()
                .zip(&as_made.lobe_form_mm)
                .map(|(at, amplitude)| at[0] * amplitude[0] + at[1] * amplitude[1])
                .sum();
            let lobe = disc.lobes[side][roller] % self.lobe_count;
            let off_pitch = as_made.lobe_pitch_mm.get(lobe).copied().unwrap_or(0.0);
            let pitch = off_pitch * geometry.roller_lever_mm[roller] / self.ring_radius_mm;
            let surplus = as_made.surplus_mm + form + pitch;
            let gap = contact.gap_mm + moved.dot(&contact.normal) - feature.radius_mm - surplus;
            least = least.min(limit_rad(gap, lever, self.flank_lever_mm, self.give.roller_mm));
        }
        least
    }
}

fn turned(direction: Vector, vector: Vector) -> Vector {
    Vector::new(
        direction.x * vector.x - direction.y * vector.y,
        direction.y * vector.x + direction.x * vector.y,
    )
}
