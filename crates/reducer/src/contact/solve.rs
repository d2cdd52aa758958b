//! The drive at one crank angle under a torque, and without: rounds of re-evaluated gaps round the equilibrium.

use super::equilibrium::{DiscContacts, Displacements, EquilibriumError, Problem, Workspace};
use super::{ContactModel, DiscForces, DiscGeometry, LoadedPosition, MAX_ROUNDS, Position};
use crate::profile::LobeOutline;
use curves::point::cross;
use std::sync::Arc;

/// The mesh without load: where the plate stands, and the forces of a preload or of the vanishing torque that found it.
#[derive(Clone, Debug)]
pub struct Unloaded {
    /// Rotation of the plate.
    pub plate_rad: f64,
    /// The equilibrium under a vanishing torque; absent where the discs just touch with their centres held.
    pub at: Option<LoadedPosition>,
    /// Displacements under the torque that it was reached from, to start from at a near crank angle.
    pub under_torque: Option<Displacements>,
    /// Whether gaps taken anew never settled there, so that they are linear from where the discs touch with their centres held.
    pub fell_back_to_linear_gaps: bool,
}

/// Share of a torque that stands for none where both flanks press, or bearings have play.
pub const VANISHING_LOAD: f64 = 1e-6;
/// Factor from one torque to the next on the way to none.
///
/// A disc slides along the edge of its play in steps that shrink with the root of its load, and by distances that shrink with the load: so
/// the way down takes few steps, and the direct one to next to none would take thousands. Larger factors need more steps each, smaller ones more
/// solutions. Own choice.
const RUNG: f64 = 0.1;

/// When rounds of re-evaluated gaps end.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Rounds {
    /// With the first one: gaps stay linear.
    None,
    /// When nothing moves any more.
    AllSettled,
    /// When the plate stands.
    PlateSettled,
}

/// Change of the displacements, as a share of the ring radius, at which re-evaluated gaps have settled: some fifty
/// times the rounding of a gap, which is a difference of places on the ring.
const SETTLED_RATIO: f64 = 1e-14;
/// Rounds after which places swing between two: from then on gaps are taken half way.
const ROUNDS_BEFORE_HALVES: usize = 12;
/// Change of the plate's free rotation, as a length, at which it has settled: a nanometre.
const SETTLED_PLATE_MM: f64 = 1e-6;

impl<P: LobeOutline> ContactModel<P> {
    /// Equilibrium under a torque on the plate, from the displacements of a near position if there are any.
    ///
    /// # Errors
    /// [`EquilibriumError`] where nothing carries, or the iteration does not settle.
    pub fn solve(
        &self,
        position: &Position,
        plate_torque_n_mm: f64,
        start: Option<&Displacements>,
    ) -> Result<LoadedPosition, EquilibriumError> {
        let rounds = if self.re_evaluates_gaps { Rounds::AllSettled } else { Rounds::None };
        self.settle(position, plate_torque_n_mm, start, rounds).map(|(loaded, _)| loaded)
    }

    /// A position with the play of its bearings used up, and where the plate stands there as a torque goes to nothing.
    ///
    /// Gaps that are linear in the displacements are linear from there. Without play, and without interference, a position is at rest
    /// where its discs touch with their centres held; otherwise the equilibrium under a millionth of the torque is taken.
    ///
    /// Play leaves discs that next to nothing presses nearly free along the surfaces they touch. The plate stands at the end
    /// of its own play there, and what moves discs along the surfaces moves it in the second order only: so gaps are
    /// taken anew until the plate stands. A disc that carries nothing stays where the search leaves it. Parts that give by tenths of a
    /// millimetre may swing for ever between two places; there gaps stay linear from where the discs touch with their centres held, and
    /// the result says so.
    ///
    /// # Errors
    /// As [`Self::solve`].
    pub fn at_rest(
        &self,
        position: Position,
        plate_torque_n_mm: f64,
        start: Option<&Displacements>,
    ) -> Result<(Position, Unloaded), EquilibriumError> {
        let has_play = self.support.play_mm() > 0.0;
        if !position.is_preloaded && !has_play {
            let plate_rad = position.touch.plate_rad;
            return Ok((
                position,
                Unloaded { plate_rad, at: None, under_torque: None, fell_back_to_linear_gaps: false },
            ));
        }
        let rounds = match (has_play, self.re_evaluates_gaps) {
            (true, _) => Rounds::PlateSettled,
            (false, true) => Rounds::AllSettled,
            (false, false) => Rounds::None,
        };
        let solve = |share: f64, start: Option<&Displacements>, rounds: Rounds| {
            self.settle(&position, share * plate_torque_n_mm, start, rounds)
        };
        let top = solve(1.0, start, Rounds::None)?.0.displacements;
        let mut known = top.clone();
        let mut share = RUNG;
        while share > 1.5 * VANISHING_LOAD {
            known = solve(share, Some(&known), Rounds::None)?.0.displacements;
            share *= RUNG;
        }
        let settled = solve(VANISHING_LOAD, Some(&known), rounds);
        let fell_back_to_linear_gaps = settled.is_err() && rounds == Rounds::PlateSettled;
        let (at, contacts) = if fell_back_to_linear_gaps {
            solve(VANISHING_LOAD, Some(&known), Rounds::None)?
        } else {
            settled?
        };
        let plate_rad = at.displacements.plate_rad;
        let position = match contacts {
            Some(contacts) if has_play => Position { discs: at.discs.clone(), contacts, ..position },
            _ => position,
        };
        Ok((
            position,
            Unloaded { plate_rad, at: Some(at), under_torque: Some(top), fell_back_to_linear_gaps },
        ))
    }

    /// Equilibrium after rounds of re-evaluated gaps, and the contacts of the last one if there were any.
    fn settle(
        &self,
        position: &Position,
        plate_torque_n_mm: f64,
        start: Option<&Displacements>,
        rounds: Rounds,
    ) -> Result<(LoadedPosition, Option<Vec<DiscContacts>>), EquilibriumError> {
        let lever_scale_mm = self.lever_scale_mm();
        let problem = |discs: &[DiscContacts], start: Option<&Displacements>, memory: &mut Workspace| {
            Problem { discs, plate_torque_n_mm, lever_scale_mm }.solve(start, memory)
        };
        let mut memory = Workspace::default();
        let mut displacements = problem(&position.contacts, start, &mut memory)?;
        let mut discs = position.discs.clone();
        let mut renewed = None;
        let most_rounds = if rounds == Rounds::None { 0 } else { MAX_ROUNDS + 1 };
        for round in 0..most_rounds {
            let contacts;
            (discs, contacts) = self.renewed(position, &discs, &displacements);
            let mut next = problem(&contacts, Some(&displacements), &mut memory)?;
            let (change_mm, settled_mm) = match rounds {
                Rounds::PlateSettled => {
                    ((displacements.plate_rad - next.plate_rad).abs() * lever_scale_mm, SETTLED_PLATE_MM)
                }
                Rounds::AllSettled | Rounds::None => {
                    let change_mm = largest_change_mm(&displacements, &next, lever_scale_mm);
                    (change_mm, SETTLED_RATIO * self.ring_radius_mm)
                }
            };
            renewed = Some(contacts);
            if change_mm <= settled_mm {
                displacements = next;
                break;
            }
            if round >= ROUNDS_BEFORE_HALVES {
                next.go_half_back_to(&displacements);
            }
            displacements = next;
            if round == MAX_ROUNDS {
                return Err(EquilibriumError::NotConverged {
                    step_count: round,
                    residual_ratio: change_mm / lever_scale_mm,
                });
            }
        }
        let contacts = renewed.as_deref().unwrap_or(&position.contacts);
        let loaded = self.loaded(contacts, discs, displacements, plate_torque_n_mm);
        Ok((loaded, renewed))
    }

    /// Geometry and contacts of all discs taken anew at given displacements.
    fn renewed(
        &self,
        position: &Position,
        known: &[DiscGeometry],
        displacements: &Displacements,
    ) -> (Vec<DiscGeometry>, Vec<DiscContacts>) {
        (0..self.disc_count)
            .map(|disc| {
                let (moved, plate_rad) = (&displacements.discs[disc], displacements.plate_rad);
                let angle = position.crank_angle_rad;
                let geometry = self.disc_geometry(angle, disc, moved, plate_rad, Some(&known[disc]));
                let before = &position.contacts[disc];
                let held = (before.centre.clone(), Arc::clone(&before.bulk));
                let contacts = self.contacts(disc, &geometry, moved, plate_rad, held);
                (geometry, DiscContacts { given: before.given, ..contacts })
            })
            .unzip()
    }

    /// Forces at solved displacements.
    fn loaded(
        &self,
        contacts: &[DiscContacts],
        discs: Vec<DiscGeometry>,
        displacements: Displacements,
        plate_torque_n_mm: f64,
    ) -> LoadedPosition {
        let forces: Vec<_> = (0..self.disc_count)
            .map(|disc| {
                let all = displacements.forces_n(disc, &contacts[disc]);
                let place = displacements.discs[disc].xy();
                let in_bore = &all[self.ring_roller_count + self.pin_count..];
                let bore_n = contacts[disc].centre.bore_forces_n(place, in_bore);
                DiscForces { bore_n, ..self.forces(&discs[disc], &all) }
            })
            .collect();
        let holding_torque_n_mm = discs
            .iter()
            .zip(&forces)
            .flat_map(|(geometry, force)| geometry.rollers.iter().zip(&force.roller_n))
            .map(|(contact, force)| force * cross(contact.place_mm.coords, contact.normal))
            .sum::<f64>()
            - plate_torque_n_mm;
        LoadedPosition { displacements, discs, forces, holding_torque_n_mm }
    }
}

/// Largest difference between two sets of displacements, rotations taken at the lever scale.
fn largest_change_mm(before: &Displacements, after: &Displacements, lever_scale_mm: f64) -> f64 {
    before.discs.iter().zip(&after.discs).fold(
        (before.plate_rad - after.plate_rad).abs() * lever_scale_mm,
        |worst, (old, new)| {
            let change = new - old;
            worst.max(change.x.abs()).max(change.y.abs()).max(change.z.abs() * lever_scale_mm)
        },
    )
}
