//! Backlash and transmission error of many assemblies at once: gaps linear in the deviations, taken where nominal parts touch.
//!
//! A row is one contact that may stop disc or plate: how far it lets them turn, and how each deviation changes that. Deviations of a block of
//! assemblies stand side by side, so that a row is applied to all of them with the same instructions; single precision holds seven
//! digits of a gap, a thousandth of a nanometre. Source: Derivation 14, §3.

use super::slots::{FORM_ORDERS, Slots};
use crate::contact::ContactModel;
use crate::contact::flank::FlankTouch;
use crate::deviation::DiscDeviation;
use crate::profile::LobeOutline;
use curves::math;
use curves::point::{Vector, polar, unit};
use std::f64::consts::TAU;

/// Assemblies in a block.
pub const LANES: usize = 32;
/// One number for each assembly of a block.
pub type Lane = [f32; LANES];
const NOTHING: Lane = [0.0; LANES];

/// A drive at the crank angles of a study, linear in its deviations.
#[derive(Clone, Debug)]
pub struct LinearDrive {
    slots: Slots,
    positions: Vec<PositionRows>,
    /// Deviations that act; the others are left out of the sums.
    acts: Acts,
    crank_angles_rad: Vec<f64>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Acts {
    form: bool,
    pitch: bool,
    temperature: bool,
}

#[derive(Clone, Debug)]
struct PositionRows {
    /// Cosine and sine of the plate's rotation.
    plate: [f32; 2],
    discs: Vec<DiscRows>,
}

#[derive(Clone, Debug)]
struct DiscRows {
    /// Direction of the eccentric.
    throw: [f32; 2],
    /// Cosine and sine of the disc's rotation.
    turn: [f32; 2],
    /// Anticlockwise, then clockwise.
    senses: [SenseRows; 2],
}

#[derive(Clone, Debug)]
struct SenseRows {
    /// Rotation of the plate where nominal parts stop it, counted in the sense.
    plate_rad: f32,
    flanks: Vec<RollerRow>,
    tips: Vec<RollerRow>,
    pins: Vec<PinRow>,
}

/// A ring roller: deviations over the lever where it stands on a flank, as lengths where it stands at tip or root.
#[derive(Clone, Debug)]
struct RollerRow {
    base: f32,
    radial: f32,
    tangential: f32,
    size: f32,
    body: [f32; 2],
    form: [f32; 2 * FORM_ORDERS],
    pitch: f32,
    ring_growth: f32,
    disc_growth: f32,
    roller: usize,
    lobe: usize,
}

/// An output pin in its hole.
#[derive(Clone, Debug)]
struct PinRow {
    base: f32,
    /// What the plate gains when the disc turns on.
    with_disc: f32,
    pin_radial: f32,
    pin_tangential: f32,
    hole_radial: f32,
    hole_tangential: f32,
    size: f32,
    body: [f32; 2],
    disc_growth: f32,
    pin: usize,
}

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

/// What a block of assemblies comes to over the crank angles.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Greatest play of the plate; below nothing where discs block each other.
    pub greatest_backlash_rad: Lane,
    /// Least play of the plate.
    pub least_backlash_rad: Lane,
    /// Peak to peak of the plate's angle, turning anticlockwise and clockwise.
    pub error_rad: [Lane; 2],
    /// Least gap at tips and roots.
    pub tip_gap_mm: Lane,
}

impl Outcome {
    /// The larger transmission error of both flanks.
    #[must_use]
    pub fn transmission_error_rad(&self, lane: usize) -> f32 {
        self.error_rad[0][lane].max(self.error_rad[1][lane])
    }
}

impl LinearDrive {
    /// Rows at given crank angles. `largest` is the largest deviation that a slot can have, so that contacts which then still cannot touch
    /// first are left out; slots of nothing do not act.
    #[must_use]
    pub fn new<P: LobeOutline>(
        model: &ContactModel<P>,
        growth: Growth,
        slots: Slots,
        crank_angles_rad: &[f64],
        largest: &[f32],
    ) -> Self {
        let any = |range: std::ops::Range<usize>| largest[range].iter().any(|value| *value > 0.0);
        let acts = Acts {
            form: (0..slots.disc_count)
                .any(|disc| any(slots.disc(disc).form..slots.disc(disc).form + 2 * FORM_ORDERS)),
            pitch: (0..slots.disc_count)
                .any(|disc| any(slots.disc(disc).pitch..slots.disc(disc).pitch + slots.lobe_count)),
            temperature: any(slots.ring_temperature()..slots.count()),
        };
        let rows = Rows { model, growth, slots: &slots, largest };
        let positions = crank_angles_rad.iter().map(|angle| rows.position(*angle)).collect();
        Self { slots, positions, acts, crank_angles_rad: crank_angles_rad.to_vec() }
    }

    /// Crank angles of the rows.
    #[must_use]
    pub fn crank_angles_rad(&self) -> &[f64] {
        &self.crank_angles_rad
    }

    /// Contacts that are looked at, of all that there are.
    #[must_use]
    pub fn row_count(&self) -> usize {
        let senses = self.positions.iter().flat_map(|p| &p.discs).flat_map(|disc| &disc.senses);
        senses.map(|rows| rows.flanks.len() + rows.tips.len() + rows.pins.len()).sum()
    }

    /// Backlash, transmission error and tip gaps of a block; deviations stand by slot, then assembly.
    #[must_use]
    pub fn outcome(&self, deviations: &[Lane]) -> Outcome {
        let mut seen = Extremes::default();
        self.for_each_position(deviations, |plate, tips| seen.add(plate, tips));
        seen.outcome()
    }

    /// Rotation of the plate at every crank angle, turning anticlockwise and clockwise, for one assembly of a block.
    #[must_use]
    pub fn rotations_rad(&self, deviations: &[Lane], lane: usize) -> Vec<[f32; 2]> {
        let mut rotations = Vec::with_capacity(self.positions.len());
        self.for_each_position(deviations, |plate, _| rotations.push([plate[0][lane], plate[1][lane]]));
        rotations
    }

    fn for_each_position(&self, deviations: &[Lane], mut see: impl FnMut(&[Lane; 2], &Lane)) {
        for position in &self.positions {
            let mut plate = [[f32::INFINITY; LANES]; 2];
            let mut tips = [f32::INFINITY; LANES];
            for (disc, rows) in position.discs.iter().enumerate() {
                let body = self.body(deviations, position, disc, rows);
                for (sense, rows) in rows.senses.iter().enumerate() {
                    let disc_turn = self.disc_turn(deviations, disc, rows, &body.on_rollers);
                    self.tips(deviations, disc, rows, &body.on_rollers, &mut tips);
                    self.plate_turn(deviations, disc, rows, &body.on_pins, &disc_turn, &mut plate[sense]);
                }
            }
            plate[1].iter_mut().for_each(|angle| *angle = -*angle);
            see(&plate, &tips);
        }
    }

    /// How far the bodies stand off: what moves rollers away from the disc, and pins.
    fn body(&self, deviations: &[Lane], position: &PositionRows, disc: usize, rows: &DiscRows) -> Body {
        let slots = self.slots.disc(disc);
        let (throw, round) = (&deviations[slots.throw], &deviations[slots.throw_round]);
        let shift = [&deviations[slots.lobe_shift], &deviations[slots.lobe_shift + 1]];
        let ring = [&deviations[self.slots.ring_shift()], &deviations[self.slots.ring_shift() + 1]];
        let plate = [&deviations[self.slots.plate_shift()], &deviations[self.slots.plate_shift() + 1]];
        let mut body = Body { on_rollers: [NOTHING; 2], on_pins: [NOTHING; 2] };
        let ([ux, uy], [c, s], [pc, ps]) = (rows.throw, rows.turn, position.plate);
        for lane in 0..LANES {
            let off_x = throw[lane] * ux - round[lane] * uy;
            let off_y = throw[lane] * uy + round[lane] * ux;
            body.on_rollers[0][lane] = ring[0][lane] - off_x - (c * shift[0][lane] - s * shift[1][lane]);
            body.on_rollers[1][lane] = ring[1][lane] - off_y - (s * shift[0][lane] + c * shift[1][lane]);
            body.on_pins[0][lane] = off_x - (pc * plate[0][lane] - ps * plate[1][lane]);
            body.on_pins[1][lane] = off_y - (ps * plate[0][lane] + pc * plate[1][lane]);
        }
        body
    }

    fn disc_turn(&self, deviations: &[Lane], disc: usize, rows: &SenseRows, body: &[Lane; 2]) -> Lane {
        let mut turn = [f32::INFINITY; LANES];
        for row in &rows.flanks {
            self.lower(deviations, disc, row, body, &mut turn);
        }
        turn
    }

    fn tips(&self, deviations: &[Lane], disc: usize, rows: &SenseRows, body: &[Lane; 2], least: &mut Lane) {
        for row in &rows.tips {
            self.lower(deviations, disc, row, body, least);
        }
    }

    /// Lowers a limit to that of a roller.
    #[inline]
    fn lower(&self, deviations: &[Lane], disc: usize, row: &RollerRow, body: &[Lane; 2], least: &mut Lane) {
        let slots = self.slots.disc(disc);
        let roller = self.slots.roller(row.roller);
        let (radial, tangential) = (&deviations[roller.radial], &deviations[roller.tangential]);
        let (size, surplus) = (&deviations[roller.radius], &deviations[slots.surplus]);
        let mut value = NOTHING;
        for lane in 0..LANES {
            value[lane] = row.base
                + row.radial * radial[lane]
                + row.tangential * tangential[lane]
                + row.body[0] * body[0][lane]
                + row.body[1] * body[1][lane]
                - row.size * (size[lane] + surplus[lane]);
        }
        if self.acts.form {
            let form = &deviations[slots.form..slots.form + 2 * FORM_ORDERS];
            for (share, amplitude) in row.form.iter().zip(form) {
                add(&mut value, *share, amplitude);
            }
        }
        if self.acts.pitch {
            add(&mut value, row.pitch, &deviations[slots.pitch + row.lobe]);
        }
        if self.acts.temperature {
            add(&mut value, row.ring_growth, &deviations[self.slots.ring_temperature()]);
            add(&mut value, row.disc_growth, &deviations[self.slots.disc_temperature()]);
        }
        lower(least, &value);
    }

    fn plate_turn(
        &self,
        deviations: &[Lane],
        disc: usize,
        rows: &SenseRows,
        body: &[Lane; 2],
        disc_turn: &Lane,
        plate: &mut Lane,
    ) {
        for row in &rows.pins {
            let (pin, hole) = (self.slots.pin(row.pin), self.slots.hole(disc, row.pin));
            let at = |slot: usize| &deviations[slot];
            let (pin_r, pin_t, pin_size) = (at(pin.radial), at(pin.tangential), at(pin.radius));
            let (hole_r, hole_t, hole_size) = (at(hole.radial), at(hole.tangential), at(hole.radius));
            let growth = at(self.slots.disc_temperature());
            let mut value = NOTHING;
            for lane in 0..LANES {
                value[lane] = row.base
                    + row.with_disc * disc_turn[lane]
                    + row.pin_radial * pin_r[lane]
                    + row.pin_tangential * pin_t[lane]
                    + row.hole_radial * hole_r[lane]
                    + row.hole_tangential * hole_t[lane]
                    + row.size * (hole_size[lane] - pin_size[lane])
                    + row.body[0] * body[0][lane]
                    + row.body[1] * body[1][lane]
                    + row.disc_growth * growth[lane];
            }
            value.iter_mut().for_each(|value| *value += rows.plate_rad);
            lower(plate, &value);
        }
    }
}

struct Body {
    on_rollers: [Lane; 2],
    on_pins: [Lane; 2],
}

#[inline]
fn add(value: &mut Lane, share: f32, of: &Lane) {
    for lane in 0..LANES {
        value[lane] += share * of[lane];
    }
}

#[inline]
fn lower(least: &mut Lane, value: &Lane) {
    for lane in 0..LANES {
        least[lane] = if value[lane] < least[lane] { value[lane] } else { least[lane] };
    }
}

#[inline]
fn raise(most: &mut Lane, value: &Lane) {
    for lane in 0..LANES {
        most[lane] = if value[lane] > most[lane] { value[lane] } else { most[lane] };
    }
}

/// Where the plate stands, turning either way: at the limit, or half-way between limits that parts press across.
fn stands(plate: &[Lane; 2]) -> [Lane; 2] {
    let mut stands = [NOTHING; 2];
    for lane in 0..LANES {
        let middle = 0.5 * (plate[0][lane] + plate[1][lane]);
        stands[0][lane] = if plate[0][lane] > middle { plate[0][lane] } else { middle };
        stands[1][lane] = if plate[1][lane] < middle { plate[1][lane] } else { middle };
    }
    stands
}

/// Extremes over the crank angles.
struct Extremes {
    least: [Lane; 2],
    most: [Lane; 2],
    least_play: Lane,
    most_play: Lane,
    tips: Lane,
}

impl Default for Extremes {
    fn default() -> Self {
        let (low, high) = ([f32::INFINITY; LANES], [f32::NEG_INFINITY; LANES]);
        Self { least: [low; 2], most: [high; 2], least_play: low, most_play: high, tips: low }
    }
}

impl Extremes {
    fn add(&mut self, plate: &[Lane; 2], tips: &Lane) {
        let mut play = NOTHING;
        for lane in 0..LANES {
            play[lane] = plate[0][lane] - plate[1][lane];
        }
        lower(&mut self.least_play, &play);
        raise(&mut self.most_play, &play);
        lower(&mut self.tips, tips);
        for (sense, angle) in stands(plate).iter().enumerate() {
            lower(&mut self.least[sense], angle);
            raise(&mut self.most[sense], angle);
        }
    }

    fn outcome(self) -> Outcome {
        let spread = |sense: usize| {
            let mut spread = NOTHING;
            for (lane, value) in spread.iter_mut().enumerate() {
                *value = self.most[sense][lane] - self.least[sense][lane];
            }
            spread
        };
        Outcome {
            error_rad: [spread(0), spread(1)],
            greatest_backlash_rad: self.most_play,
            least_backlash_rad: self.least_play,
            tip_gap_mm: self.tips,
        }
    }
}

/// What rows are made from.
struct Rows<'a, P> {
    model: &'a ContactModel<P>,
    growth: Growth,
    slots: &'a Slots,
    largest: &'a [f32],
}

impl<P: LobeOutline> Rows<'_, P> {
    fn position(&self, crank_angle_rad: f64) -> PositionRows {
        let model = self.model;
        let plate = unit(-crank_angle_rad / model.lobe_count() as f64);
        let discs = (0..model.disc_count).map(|disc| self.disc(crank_angle_rad, disc)).collect();
        PositionRows { plate: narrow(plate), discs }
    }

    fn disc(&self, crank_angle_rad: f64, disc: usize) -> DiscRows {
        let model = self.model;
        let phase = crank_angle_rad + TAU * disc as f64 / model.disc_count as f64;
        let senses = [1.0, -1.0].map(|sense| {
            let touch = model.flank_touch(crank_angle_rad, disc, sense, None);
            self.sense(crank_angle_rad, disc, sense, &touch)
        });
        DiscRows {
            throw: narrow(unit(phase)),
            turn: narrow(unit(-phase / model.lobe_count() as f64)),
            senses,
        }
    }

    fn sense(&self, crank_angle_rad: f64, disc: usize, sense: f64, touch: &FlankTouch) -> SenseRows {
        let least = self.model.least_flank_lever_mm();
        let geometry = &touch.geometry;
        let (mut flanks, mut tips) = (Vec::new(), Vec::new());
        for (roller, lever) in geometry.roller_lever_mm.iter().enumerate() {
            let signed = sense * lever;
            if signed >= least {
                flanks.push(self.roller(touch, roller, 1.0 / signed));
            } else if lever.abs() < least {
                tips.push(self.roller(touch, roller, 1.0));
            }
        }
        keep_first(&mut flanks, |row| (row.base, self.roller_reach(row, disc)));
        keep_first(&mut tips, |row| (row.base, self.roller_reach(row, disc)));
        let least_pin = self.model.least_pin_lever_mm();
        let mut pins: Vec<_> = (0..self.model.pin_count)
            .filter(|pin| sense * geometry.pin_lever_mm[*pin] >= least_pin)
            .map(|pin| self.pin(touch, (crank_angle_rad, geometry.crank_angle_rad), pin, sense))
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
