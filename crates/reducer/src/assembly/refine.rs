//! The extremes of every assembly followed from the crank angles of the scan to the places where they are.
//!
//! A scan of some hundred angles meets each phase of the mesh, each roller and each pin, but seldom all that make an extreme at once. From the best angle
//! of the scan one climbs: along the pass of the lobe, to the next roller, the next lobe and the next pin. Source: Derivation 14, §4.

use super::linear::{Extremes, FOLLOWED, Lane, LinearDrive, Outcome};

impl LinearDrive {
    /// Backlash, transmission error and tip gaps of a block; deviations stand by slot, then assembly.
    ///
    /// **Source** Derivation 14, §4.
    #[must_use]
    pub fn outcome<const L: usize>(&self, deviations: &[Lane<L>]) -> Outcome<L> {
        let mut extremes = self.extremes(deviations);
        let mut alone = vec![[0.0_f32; 1]; deviations.len()];
        let moves = self.moves();
        for lane in 0..L {
            for (alone, all) in alone.iter_mut().zip(deviations) {
                alone[0] = all[lane];
            }
            self.climb_from(&alone, lane, &moves, &mut extremes);
        }
        extremes.outcome()
    }

    /// Climbs from the best place of each value that is followed.
    fn climb_from<const L: usize>(
        &self,
        alone: &[Lane<1>],
        lane: usize,
        moves: &[usize],
        extremes: &mut Extremes<L>,
    ) {
        for value in 0..FOLLOWED {
            let place = extremes.place[value][lane] as usize;
            let most = extremes.most[value][lane];
            extremes.most[value][lane] = self.climb(alone, value, place, most, moves);
        }
    }

    /// Goes on as long as a move finds more, each as often as it does.
    fn climb(&self, alone: &[Lane<1>], value: usize, from: usize, most: f32, moves: &[usize]) -> f32 {
        let (mut place, mut most) = (from, most);
        let (mut next, mut in_vain) = (0, 0);
        while in_vain < moves.len() {
            let other = (place + moves[next]) % self.place_count();
            let there = self.plate_limits(other, alone).followed()[value][0];
            if there > most {
                (place, most) = (other, there);
                in_vain = 0;
            } else {
                next = (next + 1) % moves.len();
                in_vain += 1;
            }
        }
        most
    }

    /// Steps along the pass; to the same phase one pass, some turns of the crank in the ring and some in the disc on; and their opposites.
    fn moves(&self) -> Vec<usize> {
        let pass = self.places_per_pass();
        let (in_disc, in_ring) = (self.places_per_turn_in_disc(), self.places_per_turn_in_disc() + pass);
        let along = [pass / 6, 1, pass];
        let across = TURNS.into_iter().flat_map(|turns| [turns * in_ring, turns * in_disc]);
        along.into_iter().chain(across).flat_map(|step| [step, self.place_count() - step]).collect()
    }
}

/// Turns of the crank that are tried from a place: errors of neighbouring rollers have nothing to do with each other, so the neighbour is no better a guess than
/// one further on.
const TURNS: [usize; 5] = [1, 2, 3, 5, 8];
