//! Basic rating life, mean load over a duty cycle, equivalent loads, static safety.

use curves::math;
use std::f64::consts::TAU;

/// How steeply life falls with load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LifeExponent {
    /// p = 3, balls.
    Ball,
    /// p = 10/3, rollers.
    Roller,
}

impl LifeExponent {
    /// p.
    ///
    /// **Source** `[iso281-2007]`, from memory.
    #[must_use]
    pub fn value(self) -> f64 {
        match self {
            Self::Ball => 3.0,
            Self::Roller => 10.0 / 3.0,
        }
    }
}

/// One step of a duty cycle as a bearing feels it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DutyLoad {
    /// P: equivalent load during the step.
    pub load_n: f64,
    /// Speed between the rings, without sign.
    pub speed_rad_per_s: f64,
    /// Share of the running time.
    pub time_share: f64,
}

/// The one load and speed that stand for a duty cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanLoad {
    /// P_m: the constant load that gives the same life.
    pub load_n: f64,
    /// n_m: mean speed between the rings.
    pub speed_rad_per_s: f64,
}

/// P_m and n_m of a duty cycle; `None` if nothing turns or nothing loads.
///
/// ```text
/// P_m = ( Σ P^p n t / Σ n t )^(1/p),    n_m = Σ n t / Σ t
/// ```
/// **Source** `[iso281-2007]` life under varying load by adding damage, from memory.
/// **Checked by** `validation/jindal/18-9.toml`.
#[must_use]
pub fn mean_load(duty: &[DutyLoad], exponent: LifeExponent) -> Option<MeanLoad> {
    let time: f64 = duty.iter().map(|step| step.time_share).sum();
    let turns: f64 = duty.iter().map(|step| step.speed_rad_per_s * step.time_share).sum();
    let greatest_n = duty.iter().map(|step| step.load_n).fold(0.0, f64::max);
    if time <= 0.0 || turns <= 0.0 || greatest_n <= 0.0 {
        return None;
    }
    // Loads are divided by the greatest, so that their powers neither overflow nor vanish.
    let damage: f64 = duty
        .iter()
        .map(|step| {
            math::pow(step.load_n / greatest_n, exponent.value()) * step.speed_rad_per_s * step.time_share
        })
        .sum();
    Some(MeanLoad {
        load_n: greatest_n * math::pow(damage / turns, 1.0 / exponent.value()),
        speed_rad_per_s: turns / time,
    })
}

/// The constant load that stands for one that varies while the crank turns at constant speed.
///
/// ```text
/// P = ( mean of |F_b(φ)|^p )^(1/p)
/// ```
/// For the eccentric bearing the load turns with the crank; it stands nearly still against the inner ring. The standard's
/// rating is for a load that stands still against one ring, and is used for both cases; contact angle zero, so P is the radial force.
/// **Source** `[iso281-2007]` as for [`mean_load`]; that the mean goes over the crank angle is our convention.
#[must_use]
pub fn mean_over_turn_n(forces_n: impl IntoIterator<Item = f64>, exponent: LifeExponent) -> f64 {
    let loads: Vec<DutyLoad> = forces_n
        .into_iter()
        .map(|force_n| DutyLoad { load_n: force_n.abs(), speed_rad_per_s: 1.0, time_share: 1.0 })
        .collect();
    mean_load(&loads, exponent).map_or(0.0, |mean| mean.load_n)
}

/// L10 in millions of turns; infinite without load.
///
/// ```text
/// L10 = (C/P)^p
/// ```
/// **Source** `[iso281-2007]`, from memory. **Checked by** `validation/jindal/18-4.toml` and others.
#[must_use]
pub fn basic_rating_life_million_turns(dynamic_rating_n: f64, load_n: f64, exponent: LifeExponent) -> f64 {
    math::pow(dynamic_rating_n / load_n, exponent.value())
}

/// C that a life asks for under a load, the life formula turned round.
///
/// **Source** [`basic_rating_life_million_turns`].
#[must_use]
pub fn required_rating_n(life_million_turns: f64, load_n: f64, exponent: LifeExponent) -> f64 {
    load_n * math::pow(life_million_turns, 1.0 / exponent.value())
}

/// Running time of a number of turns at a speed; infinite at standstill.
///
/// **Source** definition of the speed of rotation.
#[must_use]
pub fn life_s(life_million_turns: f64, speed_rad_per_s: f64) -> f64 {
    life_million_turns * 1e6 * TAU / speed_rad_per_s
}

/// X and Y of a deep-groove ball bearing over f₀ F_a / C_0r: (f₀ F_a/C_0r, e, Y), X = 0.56.
///
/// **Source** `[iso281-2007]` table of X and Y, from memory.
const AXIAL_TABLE: [(f64, f64, f64); 9] = [
    (0.172, 0.19, 2.30),
    (0.345, 0.22, 1.99),
    (0.689, 0.26, 1.71),
    (1.03, 0.28, 1.55),
    (1.38, 0.30, 1.45),
    (2.07, 0.34, 1.31),
    (3.45, 0.38, 1.15),
    (5.17, 0.42, 1.04),
    (6.89, 0.44, 1.00),
];

/// P_r of a deep-groove ball bearing under radial and axial force; `relative_axial` is f₀ F_a / C_0r.
///
/// ```text
/// F_a/F_r ≤ e: P = F_r,   else P = 0.56 F_r + Y F_a
/// ```
/// Between entries e and Y go by straight lines; outside the table its ends hold.
/// **Source** `[iso281-2007]`, from memory.
#[must_use]
pub fn equivalent_load_ball_n(radial_n: f64, axial_n: f64, relative_axial: f64) -> f64 {
    let at = relative_axial.clamp(AXIAL_TABLE[0].0, AXIAL_TABLE[AXIAL_TABLE.len() - 1].0);
    let column = |pick: fn(&(f64, f64, f64)) -> f64| {
        let table = AXIAL_TABLE.map(|entry| (entry.0, pick(&entry)));
        super::interpolate(&table, at).unwrap_or(table[0].1)
    };
    let limit = column(|entry| entry.1);
    if axial_n.abs() <= limit * radial_n {
        radial_n
    } else {
        0.56 * radial_n + column(|entry| entry.2) * axial_n.abs()
    }
}

/// P_0 of a deep-groove ball bearing.
///
/// ```text
/// P₀ = max(F_r, 0.6 F_r + 0.5 F_a)
/// ```
/// **Source** `[iso76-2006]`, from memory.
#[must_use]
pub fn static_equivalent_load_ball_n(radial_n: f64, axial_n: f64) -> f64 {
    radial_n.max(0.6 * radial_n + 0.5 * axial_n.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn identity_one_step_is_its_own_mean() {
        let step = DutyLoad { load_n: 4321.0, speed_rad_per_s: 99.0, time_share: 0.3 };
        let mean = mean_load(&[step], LifeExponent::Roller).unwrap();
        assert!((mean.load_n - 4321.0).abs() < 1e-9 && (mean.speed_rad_per_s - 99.0).abs() < 1e-12);
    }

    #[test]
    fn identity_standstill_and_no_load_have_no_mean() {
        let step = |load_n, speed_rad_per_s| DutyLoad { load_n, speed_rad_per_s, time_share: 1.0 };
        assert_eq!(mean_load(&[step(10.0, 0.0)], LifeExponent::Ball), None);
        assert_eq!(mean_load(&[step(0.0, 10.0)], LifeExponent::Ball), None);
        assert_eq!(mean_load(&[], LifeExponent::Ball), None);
    }

    #[test]
    fn identity_axial_force_below_the_limit_does_not_count() {
        assert_eq!(equivalent_load_ball_n(1000.0, 190.0, 0.1), 1000.0);
        assert!((equivalent_load_ball_n(1000.0, 500.0, 0.689) - (560.0 + 1.71 * 500.0)).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn identity_mean_lies_between_least_and_greatest(
            loads in proptest::collection::vec((1.0_f64..1e5, 0.1_f64..500.0, 0.01_f64..1.0), 1..8),
        ) {
            let duty: Vec<DutyLoad> = loads
                .iter()
                .map(|&(load_n, speed_rad_per_s, time_share)| DutyLoad { load_n, speed_rad_per_s, time_share })
                .collect();
            let mean = mean_load(&duty, LifeExponent::Roller).unwrap().load_n;
            let least = duty.iter().map(|step| step.load_n).fold(f64::INFINITY, f64::min);
            let greatest = duty.iter().map(|step| step.load_n).fold(0.0, f64::max);
            prop_assert!(mean >= least * (1.0 - 1e-12) && mean <= greatest * (1.0 + 1e-12));
        }

        #[test]
        fn identity_damage_of_the_mean_is_the_damage_of_the_steps(
            loads in proptest::collection::vec((1.0_f64..1e4, 0.1_f64..500.0, 0.01_f64..1.0), 1..8),
        ) {
            let duty: Vec<DutyLoad> = loads
                .iter()
                .map(|&(load_n, speed_rad_per_s, time_share)| DutyLoad { load_n, speed_rad_per_s, time_share })
                .collect();
            let mean = mean_load(&duty, LifeExponent::Ball).unwrap();
            let rating = 2e4;
            let damage_per_s: f64 = duty
                .iter()
                .map(|step| {
                    let life = basic_rating_life_million_turns(rating, step.load_n, LifeExponent::Ball);
                    step.time_share / life_s(life, step.speed_rad_per_s)
                })
                .sum();
            let time: f64 = duty.iter().map(|step| step.time_share).sum();
            let life = basic_rating_life_million_turns(rating, mean.load_n, LifeExponent::Ball);
            let expected = life_s(life, mean.speed_rad_per_s);
            prop_assert!((time / damage_per_s / expected - 1.0).abs() < 1e-10);
        }
    }
}
