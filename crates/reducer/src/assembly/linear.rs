//! Backlash and transmission error of many assemblies at once: gaps linear in the deviations, taken where nominal parts touch.
//!
//! Deviations of a block of assemblies stand side by side, so that a row is applied to all of them with the same instructions; single
//! precision holds seven digits of a gap, a thousandth of a nanometre. Rows are worked out for one turn of the crank in the disc only: after it all that
//! belongs to the disc stands as before, and the ring's rollers have moved on by one. Source: Derivation 14, §3.

use super::angles::crank_angles_rad;
pub use super::rows::Growth;
use super::rows::{DiscRows, PositionRows, RollerRow, Rows, SenseRows};
use super::slots::{FORM_ORDERS, Slots};
use crate::contact::ContactModel;
use crate::phase::greatest_common_divisor;
use crate::profile::LobeOutline;
use curves::point::unit;
use std::f64::consts::TAU;

/// Assemblies in a block.
pub const LANES: usize = 32;
/// One number for each assembly of a block.
pub type Lane<const L: usize = LANES> = [f32; L];

/// Steps at which an assembly is looked at, by the places in one pass of a lobe over a roller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Places {
    /// Close enough to follow extremes: 24, or 12 where a turn then has more than a hundred thousand.
    Close,
    /// Enough for a scan alone: 3.
    Wide,
}

impl Places {
    fn per_pass(self, passes: usize) -> usize {
        match self {
            Self::Close if passes * CLOSE > MOST_PLACES => CLOSE / 2,
            Self::Close => CLOSE,
            Self::Wide => WIDE,
        }
    }
}

const CLOSE: usize = 24;
const WIDE: usize = 3;
const MOST_PLACES: usize = 100_000;

/// A drive at the places of a whole output turn, linear in its deviations.
#[derive(Clone, Debug)]
pub struct LinearDrive {
    slots: Slots,
    /// Places of one turn of the crank in the disc.
    table: Vec<PositionRows>,
    /// Cosine and sine of the crank's turn in the ring after so many turns in the disc.
    turns: Vec<[f32; 2]>,
    /// Places of one pass.
    places_per_pass: usize,
    /// Places at which every assembly is looked at.
    scanned: Vec<usize>,
    /// Deviations that act; the others are left out of the sums.
    acts: Acts,
}

#[derive(Clone, Copy, Debug, Default)]
struct Acts {
    form: bool,
    pitch: bool,
    temperature: bool,
}

/// Where the plate of some assemblies can stand at one place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits<const L: usize> {
    /// Rotation of the plate where something stops it, turning anticlockwise and clockwise.
    plate_rad: [Lane<L>; 2],
}

/// What a block of assemblies comes to over an output turn.
#[derive(Clone, Debug)]
pub struct Outcome<const L: usize = LANES> {
    /// Greatest play of the plate; below nothing where discs block each other.
    pub greatest_backlash_rad: Lane<L>,
    /// Least play of the plate.
    pub least_backlash_rad: Lane<L>,
    /// Peak to peak of the plate's angle, turning anticlockwise and clockwise.
    pub error_rad: [Lane<L>; 2],
    /// Least gap at tips and roots.
    pub tip_gap_mm: Lane<L>,
}

impl<const L: usize> Outcome<L> {
    /// The larger transmission error of both flanks.
    #[must_use]
    pub fn transmission_error_rad(&self, lane: usize) -> f32 {
        self.error_rad[0][lane].max(self.error_rad[1][lane])
    }
}

impl LinearDrive {
    /// A drive looked at at a least number of crank angles over the output turn. `largest` is the largest deviation that a slot can have, so that
    /// contacts which then still cannot touch first are left out; slots of nothing do not act.
    #[must_use]
    pub fn new<P: LobeOutline>(
        model: &ContactModel<P>,
        growth: Growth,
        slots: Slots,
        (crank_angle_count, places): (usize, Places),
        largest: &[f32],
    ) -> Self {
        let lobes = model.lobe_count();
        let passes = lobes * model.ring_roller_count;
        let places_per_pass = places.per_pass(passes);
        let place_count = passes * places_per_pass;
        let step_rad = TAU * lobes as f64 / place_count as f64;
        let rows = Rows { model, growth, slots: &slots, largest };
        let nearest = |angle: &f64| (angle / step_rad).round() as usize % place_count;
        Self {
            table: (0..lobes * places_per_pass).map(|place| rows.position(place as f64 * step_rad)).collect(),
            turns: (0..model.ring_roller_count)
                .map(|turn| unit(-TAU * (turn * lobes) as f64 / model.ring_roller_count as f64))
                .map(|turn| [turn.x as f32, turn.y as f32])
                .collect(),
            places_per_pass,
            scanned: crank_angles_rad(lobes, crank_angle_count).iter().map(nearest).collect(),
            acts: Acts::of(&slots, largest),
            slots,
        }
    }

    /// The same drive looked at at every so many-th place, without a common divisor with what repeats.
    #[must_use]
    pub fn densely(&self, most_count: usize) -> Self {
        let lobes = self.table.len() / self.places_per_pass;
        let least = self.place_count().div_ceil(most_count);
        let repeats = self.places_per_pass * lobes * self.turns.len();
        let step = (least..).find(|step| greatest_common_divisor(*step, repeats) == 1).unwrap_or(least);
        Self { scanned: (0..self.place_count()).step_by(step).collect(), ..self.clone() }
    }

    /// Places over a whole output turn.
    #[must_use]
    pub fn place_count(&self) -> usize {
        self.table.len() * self.turns.len()
    }

    /// Places of one pass of a lobe over a roller.
    pub(super) fn places_per_pass(&self) -> usize {
        self.places_per_pass
    }

    /// Places of one turn of the crank in the disc.
    pub(super) fn places_per_turn_in_disc(&self) -> usize {
        self.table.len()
    }

    /// Crank angles at which every assembly is looked at.
    #[must_use]
    pub fn crank_angles_rad(&self) -> Vec<f64> {
        let lobes = self.slots.lobe_count as f64;
        let step_rad = TAU * lobes / self.place_count() as f64;
        self.scanned.iter().map(|place| *place as f64 * step_rad).collect()
    }

    /// Contacts that are looked at in a turn of the crank in the disc, of all that there are.
    #[must_use]
    pub fn row_count(&self) -> usize {
        let senses = self.table.iter().flat_map(|p| &p.discs).flat_map(|disc| &disc.senses);
        senses.map(|rows| rows.flanks.len() + rows.tips.len() + rows.pins.len()).sum()
    }

    /// Backlash, transmission error and tip gaps of a block at the crank angles of [`Self::crank_angles_rad`] alone; deviations stand by slot, then assembly.
    #[must_use]
    pub fn scan<const L: usize>(&self, deviations: &[Lane<L>]) -> Outcome<L> {
        self.extremes(deviations).outcome()
    }

    /// Extremes over the scan, by the widest instructions that the machine has. Each of them rounds every sum and product by itself, so the bits are the same.
    pub(super) fn extremes<const L: usize>(&self, deviations: &[Lane<L>]) -> Extremes<L> {
        pulp::Arch::new().dispatch(
            #[inline(always)]
            || {
                let mut seen = Extremes::default();
                for place in &self.scanned {
                    seen.add(*place, &self.plate_limits(*place, deviations));
                    seen.tips = self.tip_gaps(*place, deviations, seen.tips);
                }
                seen
            },
        )
    }

    /// Rotation of the plate at every crank angle, turning anticlockwise and clockwise, for one assembly of a block.
    #[must_use]
    pub fn rotations_rad(&self, deviations: &[Lane], lane: usize) -> Vec<[f32; 2]> {
        let at = |place: &usize| self.plate_limits(*place, deviations).plate_rad.map(|angles| angles[lane]);
        self.scanned.iter().map(at).collect()
    }

    /// Where plates can stand at a place of the output turn.
    #[inline(always)]
    pub(super) fn plate_limits<const L: usize>(&self, place: usize, deviations: &[Lane<L>]) -> Limits<L> {
        let (position, seen) = self.seen(place, deviations);
        let mut plate_rad = [[f32::INFINITY; L]; 2];
        for (disc, rows) in position.discs.iter().enumerate() {
            let body = seen.body(position, disc, rows);
            for (rows, plate) in rows.senses.iter().zip(&mut plate_rad) {
                let disc_turn = seen.rollers(disc, &rows.flanks, &body.on_rollers, [f32::INFINITY; L]);
                seen.plate_turn(disc, rows, &body.on_pins, &disc_turn, plate);
            }
        }
        plate_rad[1].iter_mut().for_each(|angle| *angle = -*angle);
        Limits { plate_rad }
    }

    /// The least of some gaps and those at tips and roots at a place of the output turn.
    #[inline(always)]
    fn tip_gaps<const L: usize>(&self, place: usize, deviations: &[Lane<L>], mut least: Lane<L>) -> Lane<L> {
        let (position, seen) = self.seen(place, deviations);
        for (disc, rows) in position.discs.iter().enumerate() {
            let body = seen.body(position, disc, rows);
            for rows in &rows.senses {
                least = seen.rollers(disc, &rows.tips, &body.on_rollers, least);
            }
        }
        least
    }

    #[inline(always)]
    fn seen<'a, const L: usize>(
        &'a self,
        place: usize,
        deviations: &'a [Lane<L>],
    ) -> (&'a PositionRows, Seen<'a, L>) {
        let turn = place / self.table.len();
        (&self.table[place % self.table.len()], Seen { drive: self, deviations, turn })
    }
}

impl Acts {
    fn of(slots: &Slots, largest: &[f32]) -> Self {
        let any = |range: std::ops::Range<usize>| largest[range].iter().any(|value| *value > 0.0);
        let in_discs = |range: &dyn Fn(usize) -> std::ops::Range<usize>| {
            (0..slots.disc_count).any(|disc| any(range(disc)))
        };
        Self {
            form: in_discs(&|disc| slots.disc(disc).form..slots.disc(disc).form + 2 * FORM_ORDERS),
            pitch: in_discs(&|disc| slots.disc(disc).pitch..slots.disc(disc).pitch + slots.lobe_count),
            temperature: any(slots.ring_temperature()..slots.count()),
        }
    }
}

/// Assemblies at a turn of the crank in the disc, as the rows of the first one see them.
struct Seen<'a, const L: usize> {
    drive: &'a LinearDrive,
    deviations: &'a [Lane<L>],
    turn: usize,
}

struct Body<const L: usize> {
    on_rollers: [Lane<L>; 2],
    on_pins: [Lane<L>; 2],
}

impl<const L: usize> Seen<'_, L> {
    /// How far the bodies stand off: what moves rollers away from the disc, and pins.
    #[inline(always)]
    fn body(&self, position: &PositionRows, disc: usize, rows: &DiscRows) -> Body<L> {
        let all = &self.drive.slots;
        let slots = all.disc(disc);
        let at = |slot: usize| &self.deviations[slot];
        let (throw, round) = (at(slots.throw), at(slots.throw_round));
        let shift = [at(slots.lobe_shift), at(slots.lobe_shift + 1)];
        let ring = [at(all.ring_shift()), at(all.ring_shift() + 1)];
        let plate = [at(all.plate_shift()), at(all.plate_shift() + 1)];
        let mut body = Body { on_rollers: [[0.0; L]; 2], on_pins: [[0.0; L]; 2] };
        let ([ux, uy], [c, s], [pc, ps]) = (rows.throw, rows.turn, position.plate);
        let [rc, rs] = self.drive.turns[self.turn];
        for lane in 0..L {
            let off_x = throw[lane] * ux - round[lane] * uy;
            let off_y = throw[lane] * uy + round[lane] * ux;
            let ring_x = rc * ring[0][lane] - rs * ring[1][lane];
            let ring_y = rs * ring[0][lane] + rc * ring[1][lane];
            body.on_rollers[0][lane] = ring_x - off_x - (c * shift[0][lane] - s * shift[1][lane]);
            body.on_rollers[1][lane] = ring_y - off_y - (s * shift[0][lane] + c * shift[1][lane]);
            body.on_pins[0][lane] = off_x - (pc * plate[0][lane] - ps * plate[1][lane]);
            body.on_pins[1][lane] = off_y - (ps * plate[0][lane] + pc * plate[1][lane]);
        }
        body
    }

    /// The ring's roller that stands where one stood in the first turn.
    #[inline(always)]
    fn roller(&self, roller: usize) -> usize {
        let count = self.drive.turns.len();
        let moved = roller + count - self.turn;
        if moved >= count { moved - count } else { moved }
    }

    /// The least of some limits and those of rollers.
    #[inline(always)]
    fn rollers(&self, disc: usize, rows: &[RollerRow], body: &[Lane<L>; 2], mut least: Lane<L>) -> Lane<L> {
        for row in rows {
            lower(&mut least, &self.roller_limit(disc, row, body));
        }
        least
    }

    #[inline(always)]
    fn roller_limit(&self, disc: usize, row: &RollerRow, body: &[Lane<L>; 2]) -> Lane<L> {
        let (drive, deviations) = (self.drive, self.deviations);
        let slots = drive.slots.disc(disc);
        let roller = drive.slots.roller(self.roller(row.roller));
        let (radial, tangential) = (&deviations[roller.radial], &deviations[roller.tangential]);
        let (size, surplus) = (&deviations[roller.radius], &deviations[slots.surplus]);
        let mut value = [0.0; L];
        for lane in 0..L {
            value[lane] = row.base
                + row.radial * radial[lane]
                + row.tangential * tangential[lane]
                + row.body[0] * body[0][lane]
                + row.body[1] * body[1][lane]
                - row.size * (size[lane] + surplus[lane]);
        }
        if drive.acts.form {
            let form = &deviations[slots.form..slots.form + 2 * FORM_ORDERS];
            for (share, amplitude) in row.form.iter().zip(form) {
                add(&mut value, *share, amplitude);
            }
        }
        if drive.acts.pitch {
            add(&mut value, row.pitch, &deviations[slots.pitch + row.lobe]);
        }
        if drive.acts.temperature {
            add(&mut value, row.ring_growth, &deviations[drive.slots.ring_temperature()]);
            add(&mut value, row.disc_growth, &deviations[drive.slots.disc_temperature()]);
        }
        value
    }

    #[inline(always)]
    fn plate_turn(
        &self,
        disc: usize,
        rows: &SenseRows,
        body: &[Lane<L>; 2],
        disc_turn: &Lane<L>,
        plate: &mut Lane<L>,
    ) {
        let slots = &self.drive.slots;
        let at = |slot: usize| &self.deviations[slot];
        let growth = at(slots.disc_temperature());
        for row in &rows.pins {
            let (pin, hole) = (slots.pin(row.pin), slots.hole(disc, row.pin));
            let (pin_r, pin_t, pin_size) = (at(pin.radial), at(pin.tangential), at(pin.radius));
            let (hole_r, hole_t, hole_size) = (at(hole.radial), at(hole.tangential), at(hole.radius));
            let mut value = [0.0; L];
            for lane in 0..L {
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

#[inline(always)]
fn add<const L: usize>(value: &mut Lane<L>, share: f32, of: &Lane<L>) {
    for lane in 0..L {
        value[lane] += share * of[lane];
    }
}

#[inline(always)]
fn lower<const L: usize>(least: &mut Lane<L>, value: &Lane<L>) {
    for lane in 0..L {
        least[lane] = if value[lane] < least[lane] { value[lane] } else { least[lane] };
    }
}

/// What is followed over the turn, each counted so that the greatest is wanted: stands either way and play, each with both signs.
pub(super) const FOLLOWED: usize = 6;

impl<const L: usize> Limits<L> {
    /// Where the plate stands turning either way, at the limit or half-way between limits that parts press across, and the play; each with both signs.
    #[inline(always)]
    pub(super) fn followed(&self) -> [Lane<L>; FOLLOWED] {
        let [ahead, behind] = &self.plate_rad;
        let mut followed = [[0.0; L]; FOLLOWED];
        for lane in 0..L {
            let middle = 0.5 * (ahead[lane] + behind[lane]);
            followed[0][lane] = if ahead[lane] > middle { ahead[lane] } else { middle };
            followed[2][lane] = if behind[lane] < middle { behind[lane] } else { middle };
            followed[4][lane] = ahead[lane] - behind[lane];
            for value in [0, 2, 4] {
                followed[value + 1][lane] = -followed[value][lane];
            }
        }
        followed
    }
}

/// Extremes over the places of a turn, and where they are.
pub(super) struct Extremes<const L: usize> {
    pub(super) most: [Lane<L>; FOLLOWED],
    pub(super) place: [[u32; L]; FOLLOWED],
    tips: Lane<L>,
}

impl<const L: usize> Default for Extremes<L> {
    fn default() -> Self {
        Self { most: [[f32::NEG_INFINITY; L]; FOLLOWED], place: [[0; L]; FOLLOWED], tips: [f32::INFINITY; L] }
    }
}

impl<const L: usize> Extremes<L> {
    #[inline(always)]
    fn add(&mut self, place: usize, limits: &Limits<L>) {
        let followed = limits.followed();
        for ((most, at), value) in self.most.iter_mut().zip(&mut self.place).zip(&followed) {
            for lane in 0..L {
                let is_more = value[lane] > most[lane];
                most[lane] = if is_more { value[lane] } else { most[lane] };
                at[lane] = if is_more { place as u32 } else { at[lane] };
            }
        }
    }

    pub(super) fn outcome(&self) -> Outcome<L> {
        let spread = |first: usize| {
            let mut spread = [0.0; L];
            for (lane, value) in spread.iter_mut().enumerate() {
                *value = self.most[first][lane] + self.most[first + 1][lane];
            }
            spread
        };
        Outcome {
            error_rad: [spread(0), spread(2)],
            greatest_backlash_rad: self.most[4],
            least_backlash_rad: self.most[5].map(|value| -value),
            tip_gap_mm: self.tips,
        }
    }
}
