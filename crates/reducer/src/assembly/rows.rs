//! The contacts of a nominal drive as rows: how far each lets disc or plate turn, and how deviations change that.
//!
//! Source: Derivation 14, §2 and §3.

use super::slots::{FORM_ORDERS, Slots};
use crate::contact::ContactModel;
use crate::contact::flank::FlankTouch;
use crate::deviation::DiscDeviation;
use crate::profile::LobeOutline;
use curves::math;
use curves::point::{Vector, polar, unit};
use std::f64::consts::TAU;

/// How parts grow with one kelvin, where temperatures are drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Growth {
    /// Ring.
    pub ring_per_k: f64,
    /// Ring rollers.
    pub roller_per_k: f64,
    /// Discs and plate.
    pub disc_per_k: f64,
    /// Crank.
    pub crank_per_k: f64,
}

#[derive(Clone, Debug)]
pub(super) struct PositionRows {
    /// Cosine and sine of the plate's rotation.
    pub(super) plate: [f32; 2],
    pub(super) discs: Vec<DiscRows>,
}

#[derive(Clone, Debug)]
pub(super) struct DiscRows {
    /// Direction of the eccentric.
    pub(super) throw: [f32; 2],
    /// Cosine and sine of the disc's rotation.
    pub(super) turn: [f32; 2],
    /// Anticlockwise, then clockwise.
    pub(super) senses: [SenseRows; 2],
}

#[derive(Clone, Debug)]
pub(super) struct SenseRows {
    /// Rotation of the plate where nominal parts stop it, counted in the sense.
    pub(super) plate_rad: f32,
    pub(super) flanks: Vec<RollerRow>,
    pub(super) tips: Vec<RollerRow>,
    pub(super) pins: Vec<PinRow>,
}

/// A ring roller: deviations over the lever where it stands on a flank, as lengths where it stands at tip or root.
#[derive(Clone, Debug)]
pub(super) struct RollerRow {
    pub(super) base: f32,
    pub(super) radial: f32,
    pub(super) tangential: f32,
    pub(super) size: f32,
    pub(super) body: [f32; 2],
    pub(super) form: [f32; 2 * FORM_ORDERS],
    pub(super) pitch: f32,
    pub(super) ring_growth: f32,
    pub(super) disc_growth: f32,
    pub(super) roller: usize,
    pub(super) lobe: usize,
}

/// An output pin in its hole.
#[derive(Clone, Debug)]
pub(super) struct PinRow {
    pub(super) base: f32,
    /// What the plate gains when the disc turns on.
    pub(super) with_disc: f32,
    pub(super) pin_radial: f32,
    pub(super) pin_tangential: f32,
    pub(super) hole_radial: f32,
    pub(super) hole_tangential: f32,
    pub(super) size: f32,
    pub(super) body: [f32; 2],
    pub(super) disc_growth: f32,
    pub(super) pin: usize,
}

/// What rows are made from.
pub(super) struct Rows<'a, P> {
    pub(super) model: &'a ContactModel<P>,
    pub(super) growth: Growth,
    pub(super) slots: &'a Slots,
    pub(super) largest: &'a [f32],
}

impl<P: LobeOutline> Rows<'_, P> {
    /// Rows at a crank angle.
    pub(super) fn position(&self, crank_angle_rad: f64) -> PositionRows {
        let model = self.model;
        let plate = unit(-crank_angle_rad / model.lobe_count() as f64);
        let discs = (0..model.disc_count).map(|disc| self.disc(crank_angle_rad, disc)).collect();
        PositionRows { plate: narrow(plate), discs }
    }

    fn disc(&self, crank_angle_rad: f64, disc: usize) -> DiscRows {
        let model = self.model;
        let phase = crank_angle_rad + TAU * disc as f64 / model.disc_count as f64;
        let senses = [1.0, -1.0].map(|sense| {
            let touch = model.flank_touch(crank_angle_rad, disc, sense);
            self.sense(crank_angle_rad, disc, sense, &touch)
        });
        DiscRows {
            throw: narrow(unit(phase)),
            turn: narrow(unit(-phase / model.lobe_count() as f64)),
            senses,
        }
    }

    fn sense(&self, crank_angle_rad: f64, disc: usize, sense: f64, touch: &FlankTouch) -> SenseRows {
        let model = self.model;
        let geometry = &touch.geometry;
        let (mut flanks, mut tips) = (Vec::new(), Vec::new());
        for (roller, lever) in geometry.roller_lever_mm.iter().enumerate() {
            let signed = sense * lever;
            if let Some(give_rad) = model.roller_limit_rad(0.0, signed) {
                let row = self.roller(touch, roller, 1.0 / signed);
                flanks.push(RollerRow { base: row.base + give_rad as f32, ..row });
            }
            if lever.abs() < model.tip_lever_mm() {
                tips.push(self.roller(touch, roller, 1.0));
            }
        }
        keep_first(&mut flanks, |row| (row.base, self.roller_reach(row, disc)));
        keep_first(&mut tips, |row| (row.base, self.roller_reach(row, disc)));
        let angles_rad = (crank_angle_rad, geometry.crank_angle_rad);
        let mut pins: Vec<_> = (0..model.pin_count)
            .filter_map(|pin| {
                let give_rad = model.pin_limit_rad(0.0, sense * geometry.pin_lever_mm[pin])?;
                let row = self.pin(touch, angles_rad, pin, sense);
                Some(PinRow { base: row.base + give_rad as f32, ..row })
            })
            .collect();
        keep_first(&mut pins, |row| (row.base, self.pin_reach(row, disc)));
        SenseRows { plate_rad: (sense * touch.geometry_plate_rad) as f32, flanks, tips, pins }
    }

    fn roller(&self, touch: &FlankTouch, roller: usize, scale: f64) -> RollerRow {
        let model = self.model;
        let contact = &touch.geometry.rollers[roller];
        let lobes = model.lobe_count();
        let radial = unit(TAU * roller as f64 / model.ring_roller_count as f64);
        let normal = contact.normal;
        let phase = touch.geometry.crank_angle_rad;
        let centre = polar(model.eccentricity_mm, phase);
        let lever_mm = touch.geometry.roller_lever_mm[roller];
        let form = std::array::from_fn(|index| {
            let order = (index / 2 + 1) * lobes;
            let (sine, cosine) = math::sin_cos(order as f64 * contact.parameter);
            (-scale * if index % 2 == 0 { cosine } else { sine }) as f32
        });
        let growth = &self.growth;
        let ring_growth = model.ring_radius_mm * growth.ring_per_k * radial.dot(&normal)
            - model.roller_radius_mm * growth.roller_per_k;
        let disc_growth = -growth.disc_per_k * (contact.place_mm - centre).dot(&normal)
            - model.eccentricity_mm * growth.crank_per_k * unit(phase).dot(&normal);
        RollerRow {
            base: (scale * contact.gap_mm) as f32,
            radial: (scale * radial.dot(&normal)) as f32,
            tangential: (scale * Vector::new(-radial.y, radial.x).dot(&normal)) as f32,
            size: scale as f32,
            body: [(scale * normal.x) as f32, (scale * normal.y) as f32],
            form,
            pitch: (-scale * lever_mm / model.ring_radius_mm) as f32,
            ring_growth: (scale * ring_growth) as f32,
            disc_growth: (scale * disc_growth) as f32,
            roller,
            lobe: DiscDeviation::lobe_at(contact.parameter, lobes),
        }
    }

    fn pin(&self, touch: &FlankTouch, angles_rad: (f64, f64), pin: usize, sense: f64) -> PinRow {
        let (crank_angle_rad, phase) = angles_rad;
        let model = self.model;
        let geometry = &touch.geometry;
        let direction = geometry.pin_direction[pin];
        let scale = 1.0 / (sense * geometry.pin_lever_mm[pin]);
        let turn = model.pin_phase_rad - crank_angle_rad / model.lobe_count() as f64;
        let radial = unit(turn + TAU * pin as f64 / model.pin_count as f64);
        let along = scale * radial.dot(&direction);
        let across = scale * Vector::new(-radial.y, radial.x).dot(&direction);
        let throw_growth = model.eccentricity_mm * self.growth.crank_per_k * unit(phase).dot(&direction);
        let play_growth = model.pin_play_radius_mm * self.growth.disc_per_k;
        PinRow {
            base: (scale * geometry.pin_gap_mm[pin]) as f32,
            with_disc: (scale * sense * geometry.hole_lever_mm[pin]) as f32,
            pin_radial: -along as f32,
            pin_tangential: -across as f32,
            hole_radial: along as f32,
            hole_tangential: across as f32,
            size: scale as f32,
            body: [(scale * direction.x) as f32, (scale * direction.y) as f32],
            disc_growth: (scale * (throw_growth + play_growth)) as f32,
            pin,
        }
    }

    /// How far deviations can move a roller's limit.
    fn roller_reach(&self, row: &RollerRow, disc: usize) -> f32 {
        let slots = self.slots.disc(disc);
        let roller = self.slots.roller(row.roller);
        let most = |slot: usize| self.largest[slot];
        let form: f32 =
            row.form.iter().enumerate().map(|(index, share)| share.abs() * most(slots.form + index)).sum();
        row.radial.abs() * most(roller.radial)
            + row.tangential.abs() * most(roller.tangential)
            + row.size * (most(roller.radius) + most(slots.surplus))
            + row.size * self.largest_body(disc, self.slots.ring_shift(), slots.lobe_shift)
            + form
            + row.pitch.abs() * most(slots.pitch + row.lobe)
            + row.ring_growth.abs() * most(self.slots.ring_temperature())
            + row.disc_growth.abs() * most(self.slots.disc_temperature())
    }

    fn pin_reach(&self, row: &PinRow, disc: usize) -> f32 {
        let (pin, hole) = (self.slots.pin(row.pin), self.slots.hole(disc, row.pin));
        let most = |slot: usize| self.largest[slot];
        row.pin_radial.abs() * (most(pin.radial) + most(hole.radial))
            + row.pin_tangential.abs() * (most(pin.tangential) + most(hole.tangential))
            + row.size * (most(hole.radius) + most(pin.radius))
            + row.size * self.largest_body(disc, self.slots.plate_shift(), self.slots.plate_shift())
            + row.disc_growth.abs() * most(self.slots.disc_temperature())
    }

    /// Bound of the distance of bodies from their places; the directions of the rows are unit vectors.
    fn largest_body(&self, disc: usize, first: usize, second: usize) -> f32 {
        let slots = self.slots.disc(disc);
        let all = [slots.throw, slots.throw_round, first, first + 1, second, second + 1];
        all.iter().map(|slot| self.largest[*slot]).sum()
    }
}

fn narrow(vector: Vector) -> [f32; 2] {
    [vector.x as f32, vector.y as f32]
}

/// Room for what the rows leave out: the disc's own turn moves the limits of all pins alike but for a thousandth.
const MARGIN: f32 = 1.02;

/// Keeps the rows that can be the first to stop: those whose lowest value is below the highest of every other.
fn keep_first<R>(rows: &mut Vec<R>, value_and_reach: impl Fn(&R) -> (f32, f32)) {
    let bound = rows
        .iter()
        .map(|row| {
            let (value, reach) = value_and_reach(row);
            value + reach
        })
        .fold(f32::INFINITY, f32::min);
    rows.retain(|row| {
        let (value, reach) = value_and_reach(row);
        value - MARGIN * reach <= bound
    });
}
