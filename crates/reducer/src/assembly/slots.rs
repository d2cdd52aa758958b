//! The numbered deviations of one assembled drive, and the parts that they make.

use crate::deviation::{Deviations, DiscDeviation, RoundFeature};
use crate::model::Geometry;

/// Orders of common lobe form that are drawn.
pub const FORM_ORDERS: usize = 3;

/// Where each deviation stands in the list; all are lengths, but for two temperatures at its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slots {
    /// z_r.
    pub roller_count: usize,
    /// w.
    pub pin_count: usize,
    /// n_d.
    pub disc_count: usize,
    /// z_l.
    pub lobe_count: usize,
}

/// The three deviations of a round feature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FeatureSlots {
    /// Outwards.
    pub radial: usize,
    /// Round.
    pub tangential: usize,
    /// Radius.
    pub radius: usize,
}

/// The deviations of one disc beside those of its holes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DiscSlots {
    /// Crank throw.
    pub throw: usize,
    /// Eccentric round the crank, as a length at the throw.
    pub throw_round: usize,
    /// Centre of the lobes from the bore: x, then y.
    pub lobe_shift: usize,
    /// Surplus all round.
    pub surplus: usize,
    /// Form: cosine and sine of each order.
    pub form: usize,
    /// First lobe's pitch error.
    pub pitch: usize,
    /// Diametral clearance of the eccentric bearing.
    pub clearance: usize,
    /// First hole.
    holes: usize,
}

impl Slots {
    /// The list of a drive.
    #[must_use]
    pub fn of(geometry: &Geometry) -> Self {
        Self {
            roller_count: geometry.ring_roller_count,
            pin_count: geometry.pin_count,
            disc_count: geometry.disc_count,
            lobe_count: geometry.ring_roller_count - geometry.tooth_difference,
        }
    }

    /// A ring roller.
    #[must_use]
    pub fn roller(&self, roller: usize) -> FeatureSlots {
        feature(3 * roller)
    }

    /// Centre of the ring: x, then y.
    #[must_use]
    pub fn ring_shift(&self) -> usize {
        3 * self.roller_count
    }

    /// Centre of the circle of pins: x, then y.
    #[must_use]
    pub fn plate_shift(&self) -> usize {
        self.ring_shift() + 2
    }

    /// An output pin.
    #[must_use]
    pub fn pin(&self, pin: usize) -> FeatureSlots {
        feature(self.plate_shift() + 2 + 3 * pin)
    }

    /// A disc.
    #[must_use]
    pub fn disc(&self, disc: usize) -> DiscSlots {
        let first = self.plate_shift() + 2 + 3 * self.pin_count + disc * self.disc_length();
        let form = first + 5;
        let pitch = form + 2 * FORM_ORDERS;
        DiscSlots {
            throw: first,
            throw_round: first + 1,
            lobe_shift: first + 2,
            surplus: first + 4,
            form,
            pitch,
            clearance: pitch + self.lobe_count,
            holes: pitch + self.lobe_count + 1,
        }
    }

    fn disc_length(&self) -> usize {
        5 + 2 * FORM_ORDERS + self.lobe_count + 1 + 3 * self.pin_count
    }

    /// An output hole of a disc.
    #[must_use]
    pub fn hole(&self, disc: usize, hole: usize) -> FeatureSlots {
        feature(self.disc(disc).holes + 3 * hole)
    }

    /// Temperature of the ring above its stated one, in K; that of the discs follows.
    #[must_use]
    pub fn ring_temperature(&self) -> usize {
        self.disc(self.disc_count).throw
    }

    /// Temperature of the discs above their stated one, in K.
    #[must_use]
    pub fn disc_temperature(&self) -> usize {
        self.ring_temperature() + 1
    }

    /// Length of the list.
    #[must_use]
    pub fn count(&self) -> usize {
        self.disc_temperature() + 1
    }

    /// The parts that a list of deviations makes.
    #[must_use]
    pub fn deviations(&self, values: &[f64], eccentricity_mm: f64) -> Deviations {
        let round = |slots: FeatureSlots| RoundFeature {
            radial_mm: values[slots.radial],
            tangential_mm: values[slots.tangential],
            radius_mm: values[slots.radius],
        };
        let pair = |first: usize| [values[first], values[first + 1]];
        let disc = |index: usize| {
            let slots = self.disc(index);
            DiscDeviation {
                throw_mm: values[slots.throw],
                throw_angle_rad: values[slots.throw_round] / eccentricity_mm,
                lobe_shift_mm: pair(slots.lobe_shift),
                surplus_mm: values[slots.surplus],
                lobe_form_mm: (0..FORM_ORDERS).map(|order| pair(slots.form + 2 * order)).collect(),
                lobe_pitch_mm: values[slots.pitch..slots.pitch + self.lobe_count].to_vec(),
                holes: (0..self.pin_count).map(|hole| round(self.hole(index, hole))).collect(),
            }
        };
        Deviations {
            rollers: (0..self.roller_count).map(|roller| round(self.roller(roller))).collect(),
            ring_shift_mm: pair(self.ring_shift()),
            plate_shift_mm: pair(self.plate_shift()),
            pins: (0..self.pin_count).map(|pin| round(self.pin(pin))).collect(),
            discs: (0..self.disc_count).map(disc).collect(),
            bearing_clearance_mm: (0..self.disc_count)
                .map(|disc| values[self.disc(disc).clearance])
                .collect(),
        }
    }
}

fn feature(first: usize) -> FeatureSlots {
    FeatureSlots { radial: first, tangential: first + 1, radius: first + 2 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_every_slot_has_one_use() {
        let slots = Slots { roller_count: 12, pin_count: 5, disc_count: 2, lobe_count: 11 };
        let values: Vec<f64> = (0..slots.count()).map(|slot| slot as f64 + 1.0).collect();
        let made = slots.deviations(&values, 1.0);
        let round = |feature: &RoundFeature| [feature.radial_mm, feature.tangential_mm, feature.radius_mm];
        let mut used: Vec<f64> = made.rollers.iter().chain(&made.pins).flat_map(round).collect();
        used.extend(made.ring_shift_mm.iter().chain(&made.plate_shift_mm));
        for disc in &made.discs {
            used.extend([disc.throw_mm, disc.throw_angle_rad, disc.surplus_mm]);
            used.extend(disc.lobe_shift_mm.iter().chain(disc.lobe_form_mm.iter().flatten()));
            used.extend(&disc.lobe_pitch_mm);
            used.extend(disc.holes.iter().flat_map(round));
        }
        used.extend(&made.bearing_clearance_mm);
        used.extend([values[slots.ring_temperature()], values[slots.disc_temperature()]]);
        used.sort_by(f64::total_cmp);
        assert_eq!(used, values);
    }
}
