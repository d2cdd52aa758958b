//! Free rotations of discs and plate from the ideal position to where the first parts touch, bearing centres held.

use super::{ContactModel, DiscGeometry, MAX_ROUNDS, SETTLED_RAD};
use crate::profile::LobeOutline;
use nalgebra::Vector3;

/// Free rotations from the ideal position to the first contact.
#[derive(Clone, Debug, PartialEq)]
pub struct Touch {
    /// Rotation of each disc.
    pub disc_rad: Vec<f64>,
    /// Rotation of the plate.
    pub plate_rad: f64,
}

impl Touch {
    /// The plate is stopped by the disc that blocks it first.
    pub(super) fn of(discs: impl Iterator<Item = (f64, f64)>, sense: f64) -> Self {
        let (disc_rad, plates): (Vec<f64>, Vec<f64>) = discs.unzip();
        let plate_rad = sense * plates.iter().map(|plate| sense * plate).fold(f64::INFINITY, f64::min);
        Self { disc_rad, plate_rad }
    }
}

/// One disc turned to its first contact, and the geometry last evaluated on the way.
#[derive(Clone)]
pub(super) struct DiscTouch {
    pub(super) is_preloaded: bool,
    pub(super) rotation_rad: f64,
    pub(super) plate_rad: f64,
    pub(super) geometry: DiscGeometry,
    pub(super) geometry_rotation_rad: f64,
    pub(super) geometry_plate_rad: f64,
}

/// Levers shorter than this carry no torque worth the name.
const LEAST_LEVER_MM: f64 = 1e-6;
/// Overlap that is more than rounding.
const LEAST_INTERFERENCE_MM: f64 = 1e-9;

impl<P: LobeOutline> ContactModel<P> {
    /// Where discs and plate come to rest as a torque of this sign goes to nothing, bearing centres held.
    ///
    /// Gaps are taken anew at each position until nothing moves, so the result is exact whatever the play.
    /// Each disc turns until its first roller touches; the plate then turns until a pin of the first disc
    /// that blocks it touches. Entries are infinite where no contact resists. A disc that overlaps its ring or
    /// its pins in the ideal position has no play: it stays there.
    #[must_use]
    pub fn touch(&self, crank_angle_rad: f64, sense: f64) -> Touch {
        let discs = (0..self.disc_count).map(|disc| self.disc_touch(crank_angle_rad, disc, sense));
        Touch::of(discs.map(|touch| (touch.rotation_rad, touch.plate_rad)), sense)
    }

    /// [`Self::touch`] ahead (sense 1) and back (sense −1), of which the play is the difference.
    #[must_use]
    pub fn touch_both_ways(&self, crank_angle_rad: f64) -> [Touch; 2] {
        let at_rest: Vec<_> =
            (0..self.disc_count).map(|disc| self.in_ideal_position(crank_angle_rad, disc)).collect();
        [1.0, -1.0].map(|sense| {
            let turned = at_rest.iter().enumerate().map(|(disc, at_rest)| {
                let touch = self.turned_to_touch(at_rest.clone(), crank_angle_rad, disc, sense);
                (touch.rotation_rad, touch.plate_rad)
            });
            Touch::of(turned, sense)
        })
    }

    pub(super) fn disc_touch(&self, crank_angle_rad: f64, disc: usize, sense: f64) -> DiscTouch {
        self.turned_to_touch(self.in_ideal_position(crank_angle_rad, disc), crank_angle_rad, disc, sense)
    }

    /// A disc in its ideal position.
    fn in_ideal_position(&self, crank_angle_rad: f64, disc: usize) -> DiscTouch {
        let geometry = self.disc_geometry(crank_angle_rad, disc, &turned_by(0.0), 0.0, None);
        DiscTouch {
            rotation_rad: 0.0,
            plate_rad: 0.0,
            is_preloaded: interferes(&geometry) && !turns_free(&geometry),
            geometry,
            geometry_rotation_rad: 0.0,
            geometry_plate_rad: 0.0,
        }
    }

    /// The disc turned from its ideal position until it and the plate are stopped; it stays there where it has no play.
    fn turned_to_touch(
        &self,
        at_rest: DiscTouch,
        crank_angle_rad: f64,
        disc: usize,
        sense: f64,
    ) -> DiscTouch {
        let mut touch = at_rest;
        if touch.is_preloaded {
            return touch;
        }
        for _ in 0..MAX_ROUNDS {
            let turn = self.reach_of_rollers(&touch, crank_angle_rad, disc, sense);
            let free = first_reach(pins_of(&touch.geometry), sense);
            touch.rotation_rad = touch.geometry_rotation_rad + sense * turn;
            touch.plate_rad = touch.geometry_plate_rad + sense * (turn + free);
            if turn.abs() + free.abs() < SETTLED_RAD || !(turn + free).is_finite() {
                break;
            }
            touch.geometry_rotation_rad = touch.rotation_rad;
            let moved = turned_by(touch.rotation_rad);
            touch.plate_rad = self.plate_at(&mut touch, crank_angle_rad, disc, sense);
            touch.geometry_plate_rad = touch.plate_rad;
            touch.geometry =
                self.disc_geometry(crank_angle_rad, disc, &moved, touch.plate_rad, Some(&touch.geometry));
        }
        touch
    }

    /// How far a disc turns from where its geometry was taken until a roller touches; infinite where none does.
    ///
    /// Always the roller that would be first by what is known has its gap taken anew there, until the first one has settled: a
    /// small part of the work of taking all anew. Whether one that was never looked at is in the way then is for the caller to see.
    fn reach_of_rollers(&self, touch: &DiscTouch, crank_angle_rad: f64, disc: usize, sense: f64) -> f64 {
        let mut reaches: Vec<_> = rollers_of(&touch.geometry).map(|contact| reach(contact, sense)).collect();
        let mut parameters: Vec<_> = touch.geometry.rollers.iter().map(|contact| contact.parameter).collect();
        let Some((_, linear)) = first_of(&reaches) else { return f64::INFINITY };
        if linear.abs() < SETTLED_RAD {
            return linear;
        }
        for _ in 0..self.ring_roller_count + MAX_ROUNDS {
            let Some((roller, turn)) = first_of(&reaches) else { break };
            let moved = turned_by(touch.geometry_rotation_rad + sense * turn);
            let stand = self.stand(crank_angle_rad, disc, &moved);
            let contact = self.roller_contact(&stand, roller, parameters[roller]);
            parameters[roller] = contact.parameter;
            let more = reach((contact.gap_mm, stand.lever_mm(&contact)), sense);
            reaches[roller] = turn + more;
            if more.abs() < SETTLED_RAD {
                return turn;
            }
        }
        linear
    }

    /// Rotation of the plate at which a pin touches the disc as it is turned now; pins are taken anew until it settles.
    fn plate_at(&self, touch: &mut DiscTouch, crank_angle_rad: f64, disc: usize, sense: f64) -> f64 {
        let stand = self.stand(crank_angle_rad, disc, &turned_by(touch.rotation_rad));
        let mut plate_rad = touch.plate_rad;
        for _ in 0..MAX_ROUNDS {
            self.place_pins(&mut touch.geometry, &stand, plate_rad);
            let free = first_reach(pins_of(&touch.geometry), sense);
            if !free.is_finite() {
                break;
            }
            plate_rad += sense * free;
            if free.abs() < SETTLED_RAD {
                break;
            }
        }
        plate_rad
    }
}

fn turned_by(rotation_rad: f64) -> Vector3<f64> {
    Vector3::new(0.0, 0.0, rotation_rad)
}

/// Gaps and levers of a disc's rollers.
fn rollers_of(disc: &DiscGeometry) -> impl Iterator<Item = (f64, f64)> {
    disc.rollers.iter().map(|contact| contact.gap_mm).zip(disc.roller_lever_mm.iter().copied())
}

/// Gaps and levers of a disc's pins.
fn pins_of(disc: &DiscGeometry) -> impl Iterator<Item = (f64, f64)> {
    disc.pin_gap_mm.iter().copied().zip(disc.pin_lever_mm.iter().copied())
}

/// Rotation in a sense that closes a gap, by its lever; infinite where that does not point this way.
fn reach((gap_mm, lever_mm): (f64, f64), sense: f64) -> f64 {
    if sense * lever_mm > LEAST_LEVER_MM { gap_mm / (sense * lever_mm) } else { f64::INFINITY }
}

/// Smallest rotation in a sense that closes a gap; infinite where no lever points that way.
fn first_reach(gaps_and_levers: impl Iterator<Item = (f64, f64)>, sense: f64) -> f64 {
    gaps_and_levers.map(|contact| reach(contact, sense)).fold(f64::INFINITY, f64::min)
}

/// Smallest of finite reaches, and whose it is.
fn first_of(reaches: &[f64]) -> Option<(usize, f64)> {
    let finite = reaches.iter().copied().enumerate().filter(|(_, reach)| reach.is_finite());
    finite.min_by(|one, other| one.1.total_cmp(&other.1))
}

/// Whether a disc in its ideal position overlaps its ring or its pins, and so has no play.
fn interferes(disc: &DiscGeometry) -> bool {
    let gaps = rollers_of(disc).chain(pins_of(disc)).map(|(gap, _)| gap);
    gaps.fold(f64::INFINITY, f64::min) < -LEAST_INTERFERENCE_MM
}

/// Whether a disc that overlaps its ring or its pins in the ideal position comes free when disc and plate turn a little, as parts
/// as made may have to.
fn turns_free(disc: &DiscGeometry) -> bool {
    let free = |gaps: &mut dyn Iterator<Item = (f64, f64)>| {
        let (mut ahead, mut behind) = (f64::INFINITY, f64::INFINITY);
        for (gap, lever) in gaps {
            if lever > LEAST_LEVER_MM {
                ahead = ahead.min(gap / lever);
            } else if lever < -LEAST_LEVER_MM {
                behind = behind.min(gap / -lever);
            } else if gap < -LEAST_INTERFERENCE_MM {
                return false;
            }
        }
        ahead + behind >= 0.0
    };
    free(&mut rollers_of(disc)) && free(&mut pins_of(disc))
}
