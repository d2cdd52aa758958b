//! The search for the modification of a family that shares the load best at a wanted backlash and clearance.

use super::closed_form::ClosedForm;
use super::trial::Trial;
use crate::model::Modification;
use crate::registry;
use crate::results::ModificationFamily;

/// What is sought, and the drive it is sought on.
pub(super) struct Search<'a> {
    pub(super) trial: Trial<'a>,
    pub(super) form: ClosedForm,
    /// Wanted backlash of the output.
    pub(super) backlash_rad: f64,
    /// What of it is left for the profile.
    pub(super) profile_play_rad: f64,
    /// Wanted least clearance at tip and root.
    pub(super) clearance_mm: f64,
}

/// A modification, where it stands among those of its family, and its greatest roller force.
#[derive(Clone, Debug)]
pub(super) struct Best {
    /// Clearance at tip and root, and shift of the ring radius.
    pub(super) place_mm: [f64; 2],
    pub(super) modification: Modification,
    force_n: f64,
}

/// Largest shift of the ring radius, as a share of the roller radius; beyond it lies another drive. Own choice.
const MOST_SHIFT_RATIO: f64 = 0.02;
/// Largest rotation of the flanks, that of the drive file.
const MOST_ROTATION_RAD: f64 = 0.1;
/// Interference that is rounding.
pub(super) const LEAST_INTERFERENCE_MM: f64 = 1e-8;
/// Play by which a solved backlash may differ from the wanted one: far below a thousandth of an arcsecond.
const SETTLED_PLAY_RAD: f64 = 1e-12;
/// Change of an offset after which the next one, smaller by the growth of the parts, is nothing.
const SETTLED_OFFSET_MM: f64 = 1e-9;
/// Half width of the first bracket: of a shift, and of a rotation.
const FIRST_SHIFT_BRACKET_MM: f64 = 5e-4;
const FIRST_ROTATION_BRACKET_RAD: f64 = 1e-5;
/// Rounds in which the crank angle of the greatest play is looked for again.
const MAX_ROUNDS: usize = 6;
/// Points of the first look along clearance, and along the shift.
const CLEARANCE_POINTS: usize = 5;
const SHIFT_POINTS: usize = 7;
/// Step of the local refinement at its begin and end, as a share of the range.
const FIRST_STEP: f64 = 0.25;
const LAST_STEP: f64 = 0.02;
/// Gain in force below which a place is no better.
const LEAST_GAIN: f64 = 1e-6;

impl Search<'_> {
    /// The best modification of a family; others may start it. None where the family has no modification for the wish.
    ///
    /// **Source** grid and pattern search, in at most two parameters; Derivation 12, §7.
    pub(super) fn best_of(&mut self, family: ModificationFamily, known: &[Best]) -> Option<Best> {
        let mut best: Option<Best> = None;
        let mut starts: Vec<[f64; 2]> = self.grid(family);
        if family == ModificationFamily::All {
            starts.extend(known.iter().map(|other| other.place_mm));
        }
        for place in starts {
            self.keep_better(&mut best, family, place);
        }
        self.refine(&mut best, family);
        let best = best?;
        let [clearance, shift] = best.place_mm;
        let modification = self.settled(family, clearance, shift, Thorough::AllAngles)?;
        Some(Best { modification, ..best })
    }

    /// Half the play that the profile is left, as a gap on the longest lever.
    fn play_gap_mm(&self) -> f64 {
        0.5 * self.profile_play_rad * self.form.longest_lever_mm
    }

    /// Clearances from the wanted one to where the play is all used up by it.
    fn clearance_range_mm(&self) -> (f64, f64) {
        (self.clearance_mm, self.play_gap_mm().max(2.0 * self.clearance_mm))
    }

    fn most_shift_mm(&self) -> f64 {
        MOST_SHIFT_RATIO * self.trial.roller_radius_mm()
    }

    /// Shifts at a clearance, from one that makes the whole clearance to the one that leaves no flank rotation.
    pub(super) fn shift_range_mm(&self, clearance_mm: f64) -> (f64, f64) {
        let limit = self.most_shift_mm();
        let top = self.form.shift_for_mm(clearance_mm, self.profile_play_rad);
        let top = if top.is_finite() { top.clamp(-limit, limit) } else { 0.0 };
        ((top.min(0.0) - clearance_mm).max(-limit), top)
    }

    /// Places of the first look.
    fn grid(&self, family: ModificationFamily) -> Vec<[f64; 2]> {
        let (low, high) = self.clearance_range_mm();
        let along = |count: usize, low: f64, high: f64| {
            (0..count).map(move |index| low + (high - low) * index as f64 / (count - 1) as f64)
        };
        let clearances = along(CLEARANCE_POINTS, low, high);
        match family {
            ModificationFamily::OffsetAndShift | ModificationFamily::OffsetAndRotation => {
                clearances.map(|clearance| [clearance, 0.0]).collect()
            }
            ModificationFamily::All => clearances
                .step_by(2)
                .flat_map(|clearance| {
                    let (low, high) = self.shift_range_mm(clearance);
                    along(SHIFT_POINTS, low, high).map(move |shift| [clearance, shift])
                })
                .collect(),
        }
    }

    /// Pattern search from the best place: steps along each parameter, halved where none of them is better.
    fn refine(&mut self, best: &mut Option<Best>, family: ModificationFamily) {
        let (low, high) = self.clearance_range_mm();
        let mut step = FIRST_STEP;
        while step > LAST_STEP {
            let Some(start) = best.as_ref().map(|best| best.place_mm) else { return };
            let (bottom, top) = self.shift_range_mm(start[0]);
            let (across, along) = (step * (high - low), step * (top - bottom));
            let mut better = false;
            for clearance in [start[0] - across, start[0] + across] {
                let place = [clearance.clamp(low, high), start[1]];
                better |= place != start && self.keep_better(best, family, place);
            }
            if family == ModificationFamily::All {
                for shift in [start[1] - along, start[1] + along] {
                    better |= self.keep_better(best, family, [start[0], shift.clamp(bottom, top)]);
                }
            }
            if !better {
                step *= 0.5;
            }
        }
    }

    /// Tries a place, and keeps it where its force is smaller.
    fn keep_better(
        &mut self,
        best: &mut Option<Best>,
        family: ModificationFamily,
        [clearance, shift]: [f64; 2],
    ) -> bool {
        let Some(modification) = self.settled(family, clearance, shift, Thorough::WidestAngles) else {
            return false;
        };
        let force_n = self.trial.greatest_force_n(&modification);
        let limit = best.as_ref().map_or(f64::MAX, |best| best.force_n * (1.0 - LEAST_GAIN));
        if force_n >= limit {
            return false;
        }
        let place_mm = [clearance, modification.ring_radius_shift_mm];
        *best = Some(Best { place_mm, modification, force_n });
        true
    }

    /// The offset that leaves a clearance at tip and root; exact but for the growth of the parts, which a few rounds take in.
    fn with_clearance(&mut self, clearance_mm: f64, shift_mm: f64, rotation_rad: f64) -> Modification {
        let mut made = Modification {
            equidistant_offset_mm: clearance_mm + shift_mm,
            ring_radius_shift_mm: shift_mm,
            flank_rotation_rad: rotation_rad,
        };
        for _ in 0..MAX_ROUNDS {
            let missing = clearance_mm - self.trial.clearance_mm(&made);
            made.equidistant_offset_mm += missing;
            if missing.abs() < SETTLED_OFFSET_MM {
                break;
            }
        }
        made
    }

    /// The modification of a family at a clearance (and, where all are free, a shift) that has the wanted backlash and lets nothing interfere.
    pub(super) fn settled(
        &mut self,
        family: ModificationFamily,
        clearance_mm: f64,
        shift_mm: f64,
        thorough: Thorough,
    ) -> Option<Modification> {
        for _ in 0..MAX_ROUNDS {
            let made = match family {
                ModificationFamily::OffsetAndShift => self.shifted(clearance_mm, thorough)?,
                ModificationFamily::OffsetAndRotation => self.turned(clearance_mm, 0.0, thorough)?,
                ModificationFamily::All => self.turned(clearance_mm, shift_mm, thorough)?,
            };
            let is_there = thorough == Thorough::WidestAngles
                || (self.trial.play_rad(&made) - self.backlash_rad).abs() < 10.0 * SETTLED_PLAY_RAD;
            if is_there {
                return (self.trial.least_gap_mm(&made) >= -LEAST_INTERFERENCE_MM).then_some(made);
            }
        }
        None
    }

    /// Offset and shift alone.
    fn shifted(&mut self, clearance_mm: f64, thorough: Thorough) -> Option<Modification> {
        let limit = self.most_shift_mm();
        let guess = self.form.shift_for_mm(clearance_mm, self.profile_play_rad);
        if !guess.is_finite() || guess.abs() > limit {
            return None;
        }
        let excess = |shift: f64| self.excess_rad(clearance_mm, shift, 0.0);
        let shift =
            root_near(excess, guess, (FIRST_SHIFT_BRACKET_MM, thorough.tolerance()), (-limit, limit))?;
        Some(self.with_clearance(clearance_mm, shift, 0.0))
    }

    /// Offset and rotation at a shift.
    fn turned(&mut self, clearance_mm: f64, shift_mm: f64, thorough: Thorough) -> Option<Modification> {
        let without = self.excess_rad(clearance_mm, shift_mm, 0.0);
        if without.abs() <= SETTLED_PLAY_RAD {
            return Some(self.with_clearance(clearance_mm, shift_mm, 0.0));
        }
        if without.is_nan() || without > 0.0 {
            return None;
        }
        let excess = |rotation: f64| self.excess_rad(clearance_mm, shift_mm, rotation);
        let first = (FIRST_ROTATION_BRACKET_RAD, thorough.tolerance());
        let rotation = root_near(excess, -without, first, (0.0, MOST_ROTATION_RAD))?;
        Some(self.with_clearance(clearance_mm, shift_mm, rotation))
    }

    /// Backlash beyond the wanted one; not a number where the profile does not mesh.
    fn excess_rad(&mut self, clearance_mm: f64, shift_mm: f64, rotation_rad: f64) -> f64 {
        let made = self.with_clearance(clearance_mm, shift_mm, rotation_rad);
        if self.trial.meshes(&made) { self.trial.quick_play_rad(&made) - self.backlash_rad } else { f64::NAN }
    }

    /// Why a family has nothing for the wish, and what would be possible.
    pub(super) fn obstacle(&mut self, family: ModificationFamily) -> String {
        let (clearance, lever) = (self.clearance_mm, self.form.longest_lever_mm);
        let length = |value: f64| registry::display("wanted_clearance_mm", value);
        let angle = |value: f64| registry::display("wanted_backlash_rad", value);
        if family == ModificationFamily::OffsetAndShift {
            let shift = self.form.shift_for_mm(clearance, self.profile_play_rad);
            if !shift.is_finite() || shift.abs() > self.most_shift_mm() {
                let room = self.most_shift_mm() * (1.0 - self.form.flank_share());
                let (possible, less) = if shift < 0.0 {
                    (
                        self.play_gap_mm() + room,
                        angle(self.backlash_rad + 2.0 * (clearance - room - self.play_gap_mm()) / lever),
                    )
                } else {
                    (
                        self.play_gap_mm() - room,
                        angle(self.backlash_rad - 2.0 * (self.play_gap_mm() - room - clearance) / lever),
                    )
                };
                let (most, allow) = if shift < 0.0 { ("at most", "allow") } else { ("at least", "ask for") };
                return format!(
                    "needs a ring_radius_shift of {}, more than a fiftieth of the roller radius: {allow} {less} of backlash, or a clearance of {} {most}",
                    registry::display("ring_radius_shift_mm", shift),
                    length(possible)
                );
            }
        } else {
            let excess = self.excess_rad(clearance, 0.0, 0.0);
            if excess > 0.0 {
                let possible = clearance - 0.5 * excess * lever;
                let also = if possible > 0.0 {
                    format!(", or a clearance of {} at most", length(possible))
                } else {
                    String::new()
                };
                return format!(
                    "an offset for {} at tip and root makes too much backlash by itself: allow {}{also}",
                    length(clearance),
                    angle(self.backlash_rad + excess)
                );
            }
        }
        let made = match family {
            ModificationFamily::OffsetAndShift => self.shifted(clearance, Thorough::WidestAngles),
            ModificationFamily::OffsetAndRotation | ModificationFamily::All => {
                self.turned(clearance, 0.0, Thorough::WidestAngles)
            }
        };
        let gap = made.map_or(0.0, |made| self.trial.least_gap_mm(&made));
        if gap < 0.0 {
            return format!(
                "rollers interfere by {} in operation: allow about {}, or bring the temperatures nearer to each other",
                length(-gap),
                angle(self.backlash_rad - 2.0 * gap / lever)
            );
        }
        "no modification was found that meshes and carries".to_owned()
    }
}

/// How far a solved backlash is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Thorough {
    /// At the crank angles where it was greatest so far.
    WidestAngles,
    /// Over the period.
    AllAngles,
}

impl Thorough {
    /// Tolerance of the parameter that the backlash is solved for, mm or rad.
    fn tolerance(self) -> f64 {
        match self {
            Self::WidestAngles => 1e-8,
            Self::AllAngles => SETTLED_PLAY_RAD,
        }
    }
}

/// Root of a function that grows, from a bracket round a guess that widens as far as a range.
fn root_near(
    mut function: impl FnMut(f64) -> f64,
    guess: f64,
    (first_half_width, tolerance): (f64, f64),
    (low, high): (f64, f64),
) -> Option<f64> {
    let mut half_width = first_half_width;
    loop {
        let (left, right) = ((guess - half_width).max(low), (guess + half_width).min(high));
        let ends = [(left, function(left)), (right, function(right))];
        if ends[0].1 <= 0.0 && ends[1].1 >= 0.0 {
            // The search begins with the ends, which are known.
            let known = |place: f64| ends.iter().find(|end| end.0 == place).map(|end| end.1);
            let found = |place: f64| known(place).unwrap_or_else(|| function(place));
            return curves::root::brent(found, left, right, tolerance).ok();
        }
        if (left <= low && right >= high) || ends.iter().any(|end| end.1.is_nan()) {
            return None;
        }
        half_width *= 5.0;
    }
}
