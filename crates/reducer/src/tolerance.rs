//! Tolerances of the drawing as distributions: what a callout says, and the deviation that a uniform number stands for.

pub mod callout;

use crate::iso286::Class;
use crate::model::{Alike, DeviationKind, DistributionKind, Drive};
use callout::{FeatureRadii, ToleranceError};
use curves::math;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// A tolerance as the Monte Carlo takes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerance {
    /// What deviates.
    pub kind: DeviationKind,
    /// Callout of the drawing, where it has one.
    pub label: Option<String>,
    /// How it spreads.
    pub spread: Spread,
    /// Class that its limits are of, where they are not stated themselves.
    pub class: Option<SizedClass>,
    /// What comes out alike.
    pub alike: Alike,
    /// Classes into which the parts are sorted; one where they are not.
    pub class_count: usize,
    /// Deviation whose class decides this one's.
    pub matched_to: Option<DeviationKind>,
    /// Cost against others of the same width.
    pub cost_weight: f64,
}

/// A tolerance class of ISO 286 with the size that it is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizedClass {
    /// The class.
    pub class: Class,
    /// Diameter of the feature.
    pub diameter_mm: f64,
}

/// Width of a tolerance over that of one grade finer, rounded as the series of standard tolerances is: five grades make a tenfold.
///
/// **Source** R5 series behind the standard tolerances from IT6 up, `[iso286-1-2010]`, from memory.
pub const GRADE_STEP: f64 = 1.6;

impl Tolerance {
    /// Its spread with limits so many grades looser, or tighter where negative.
    ///
    /// Limits of a class become those of the same letters in the other grade, by the tables of the standard. Plain limits get wider or narrower about
    /// their middle by [`GRADE_STEP`] a grade, and so does a class beyond the last grade that is held.
    ///
    /// **Source** `[iso286-1-2010]` for classes; [`GRADE_STEP`] for plain limits.
    #[must_use]
    pub fn graded(&self, grades: i32) -> Spread {
        let (spread, left) = match &self.class {
            Some(stated) => stated.graded(&self.spread, grades),
            None => (self.spread, grades),
        };
        let step = math::power(GRADE_STEP, left.unsigned_abs());
        spread.widened(if left < 0 { 1.0 / step } else { step })
    }
}

impl SizedClass {
    /// The spread with the limits of the class so many grades on, and the grades that are left where no more classes are held.
    fn graded(&self, stated: &Spread, grades: i32) -> (Spread, i32) {
        let next = |class: Class| {
            if grades < 0 { class.finer(self.diameter_mm) } else { class.coarser(self.diameter_mm) }
        };
        let (mut class, mut left) = (self.class, grades);
        while left != 0
            && let Some(further) = next(class)
        {
            (class, left) = (further, left - left.signum());
        }
        // A class is held at the size by which it was found.
        let limits = class.limits(self.diameter_mm).ok().filter(|_| left != grades);
        let spread = limits.map_or(*stated, |limits| Spread {
            lower_mm: 0.5 * limits.lower_mm,
            upper_mm: 0.5 * limits.upper_mm,
            ..*stated
        });
        (spread, left)
    }
}

/// A distribution between two limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Lower limit.
    pub lower_mm: f64,
    /// Upper limit.
    pub upper_mm: f64,
    /// Shape.
    pub shape: DistributionKind,
    /// C_p.
    pub cp: f64,
    /// C_pk; equal to C_p where the process is centred.
    pub cpk: f64,
}

/// Share of the band of the lobe profile that size, form and pitch each get: three equal ones add up to it by their squares.
///
/// Own choice; a callout for each says it better.
const PROFILE_SHARE: f64 = 0.577_350_269_189_625_8;

/// All tolerances of a drive, plain keys and callouts, in a fixed order of what deviates.
///
/// # Errors
/// [`ToleranceError`] at the first callout that makes no sense.
pub fn tolerances(drive: &Drive) -> Result<Vec<Tolerance>, ToleranceError> {
    let callouts = &drive.tolerances.callout;
    let radii = FeatureRadii::of(drive);
    let mut all = Vec::new();
    for kind in DeviationKind::ALL.iter().copied() {
        let stated: Vec<_> = callouts.iter().enumerate().filter(|(_, callout)| callout.of == kind).collect();
        if stated.is_empty() {
            all.extend(plain(drive, kind));
        }
        for (index, callout) in stated {
            all.extend(callout::tolerance(&radii, index + 1, callout)?);
        }
    }
    let every: Vec<_> = callouts.iter().collect();
    match callout::unmatched(&every).into_iter().chain(callout::twice(&every)).next() {
        Some(error) => Err(error),
        None => Ok(all),
    }
}

/// The tolerance of a plain key: limits either side of nothing, parts beyond them rejected, a process that just fits between.
fn plain(drive: &Drive, kind: DeviationKind) -> Option<Tolerance> {
    let half_width_mm = half_width_mm(drive, kind).filter(|half| *half > 0.0)?;
    let spread = Spread {
        lower_mm: -half_width_mm,
        upper_mm: half_width_mm,
        shape: DistributionKind::TruncatedNormal,
        cp: 1.0,
        cpk: 1.0,
    };
    let alike = Alike::Nothing;
    Some(Tolerance {
        kind,
        label: None,
        spread,
        class: None,
        alike,
        class_count: 1,
        matched_to: None,
        cost_weight: 1.0,
    })
}

/// Half width that a plain key gives, as a length where the key is an angle.
fn half_width_mm(drive: &Drive, kind: DeviationKind) -> Option<f64> {
    let keys = &drive.tolerances;
    match kind {
        DeviationKind::RingRadius => keys.ring_radius_mm,
        DeviationKind::RingRunOut => keys.ring_run_out_mm,
        DeviationKind::RollerPosition => keys.roller_position_mm,
        DeviationKind::RollerRadius => keys.roller_radius_mm,
        DeviationKind::Eccentricity => keys.eccentricity_mm,
        DeviationKind::EccentricAngle => {
            keys.eccentric_angle_rad.map(|angle| angle * drive.geometry.eccentricity_mm)
        }
        DeviationKind::ProfileSize | DeviationKind::ProfileForm | DeviationKind::LobePitch => {
            keys.profile_mm.map(|band| PROFILE_SHARE * band)
        }
        DeviationKind::ProfileRunOut => keys.profile_run_out_mm,
        DeviationKind::HolePosition => keys.hole_position_mm,
        DeviationKind::HolePattern => keys.hole_pattern_mm,
        DeviationKind::HoleRadius => keys.hole_radius_mm,
        DeviationKind::PinPosition => keys.pin_position_mm,
        DeviationKind::PinRadius => keys.pin_radius_mm,
        DeviationKind::PlateRunOut => keys.plate_run_out_mm,
        DeviationKind::BearingClearance => keys.bearing_clearance_mm,
    }
}

impl Spread {
    /// Standard deviation of the process, before parts are sorted out: the width over 6 C_p. **Source** `[iso22514-2-2017]`, from memory.
    #[must_use]
    pub fn process_deviation_mm(&self) -> f64 {
        match self.shape {
            DistributionKind::Uniform => (self.upper_mm - self.lower_mm) / 12.0_f64.sqrt(),
            _ => (self.upper_mm - self.lower_mm) / (6.0 * self.cp),
        }
    }

    /// How far the process stands off the middle: 3 σ (C_p − C_pk). **Source** `[iso22514-2-2017]`, from memory.
    #[must_use]
    pub fn off_centre_mm(&self) -> f64 {
        match self.shape {
            DistributionKind::Uniform => 0.0,
            _ => 3.0 * (self.cp - self.cpk) * self.process_deviation_mm(),
        }
    }

    /// Distance between the limits.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.upper_mm - self.lower_mm
    }

    /// Wider or narrower about its middle.
    fn widened(&self, factor: f64) -> Self {
        let middle = 0.5 * (self.lower_mm + self.upper_mm);
        let half = 0.5 * factor * (self.upper_mm - self.lower_mm);
        Self { lower_mm: middle - half, upper_mm: middle + half, ..*self }
    }

    /// Mean and variance of the distribution, with the process to either side by equal chance.
    ///
    /// **Source** moments of the truncated normal distribution, `[johnson1994]`, from memory.
    #[must_use]
    pub fn moments_mm(&self) -> (f64, f64) {
        let middle = 0.5 * (self.lower_mm + self.upper_mm);
        let sigma = self.process_deviation_mm();
        let off = self.off_centre_mm();
        let variance = match self.shape {
            _ if sigma <= 0.0 => 0.0,
            DistributionKind::Uniform => sigma * sigma,
            DistributionKind::Normal => sigma * sigma + off * off,
            DistributionKind::TruncatedNormal => {
                let mean = middle + off;
                let (a, b) = ((self.lower_mm - mean) / sigma, (self.upper_mm - mean) / sigma);
                let within = normal_probability(b) - normal_probability(a);
                let shift = (normal_density(a) - normal_density(b)) / within;
                let tails = (a * normal_density(a) - b * normal_density(b)) / within;
                let own = sigma * sigma * (1.0 + tails - shift * shift);
                own + math::square(off + sigma * shift)
            }
        };
        (middle, variance)
    }
}

/// A spread with all that does not change from draw to draw worked out.
#[derive(Clone, Copy, Debug)]
pub struct Quantile {
    /// The spread.
    pub spread: Spread,
    sigma: f64,
    off_centre: f64,
    /// Limits that the parts are sorted to: those of the spread, or of a class.
    limits_mm: [f64; 2],
    /// Probability below the lower of them and between both, for the process to either side.
    below_and_within: [(f64, f64); 2],
}

/// Share of the process in a class below which next to nothing is known of the parts there, and they count as spread evenly.
const LEAST_IN_CLASS: f64 = 1e-9;

impl Quantile {
    /// Of a spread.
    #[must_use]
    pub fn of(spread: &Spread) -> Self {
        Self::sorted(spread, [spread.lower_mm, spread.upper_mm])
    }

    fn sorted(spread: &Spread, limits_mm: [f64; 2]) -> Self {
        let sigma = spread.process_deviation_mm();
        let off_centre = spread.off_centre_mm();
        let middle = 0.5 * (spread.lower_mm + spread.upper_mm);
        let share = |side: f64| {
            let [below, upper] =
                limits_mm.map(|limit| normal_probability((limit - middle - side * off_centre) / sigma));
            (below, upper - below)
        };
        Self { spread: *spread, sigma, off_centre, limits_mm, below_and_within: [share(-1.0), share(1.0)] }
    }

    /// The deviation that a uniform number between nothing and one stands for, by the inverse of the distribution.
    ///
    /// `side` is −1 or +1, the side to which the process stands off the middle.
    ///
    /// **Source** inverse-transform sampling; C_p and C_pk as in `[iso22514-2-2017]`, from memory.
    #[must_use]
    pub fn at(&self, uniform: f64, side: f64) -> f64 {
        let spread = &self.spread;
        let middle = 0.5 * (spread.lower_mm + spread.upper_mm);
        if self.sigma <= 0.0 {
            return middle;
        }
        match spread.shape {
            DistributionKind::Uniform => self.evenly(uniform),
            DistributionKind::Normal => {
                middle + side * self.off_centre + self.sigma * normal_quantile(uniform)
            }
            DistributionKind::TruncatedNormal => {
                let (below, within) = self.below_and_within[usize::from(side > 0.0)];
                if within < LEAST_IN_CLASS {
                    return self.evenly(uniform);
                }
                let z = normal_quantile(below + uniform * within);
                (middle + side * self.off_centre + self.sigma * z).clamp(self.limits_mm[0], self.limits_mm[1])
            }
        }
    }

    fn evenly(&self, uniform: f64) -> f64 {
        let [lower, upper] = self.limits_mm;
        lower + uniform * (upper - lower)
    }

    /// Class of the deviation that a uniform number stands for, among equally wide ones from the lower limit up.
    #[must_use]
    pub fn class_of(&self, uniform: f64, side: f64, class_count: usize) -> usize {
        let width = self.spread.upper_mm - self.spread.lower_mm;
        if width <= 0.0 {
            return 0;
        }
        let place = (self.at(uniform, side) - self.spread.lower_mm) / width * class_count as f64;
        (place.max(0.0) as usize).min(class_count - 1)
    }

    /// The same process, parts sorted to one of equally wide classes between the limits, counted from the lower one.
    #[must_use]
    pub fn class(&self, class: usize, class_count: usize) -> Self {
        let width = self.spread.width_mm() / class_count as f64;
        let lower_mm = self.spread.lower_mm + class as f64 * width;
        let shape = match self.spread.shape {
            DistributionKind::Uniform => DistributionKind::Uniform,
            // Sorting leaves nothing beyond the limits of a class.
            DistributionKind::Normal | DistributionKind::TruncatedNormal => DistributionKind::TruncatedNormal,
        };
        Self::sorted(&Spread { shape, ..self.spread }, [lower_mm, lower_mm + width])
    }
}

/// Density of the standard normal distribution.
fn normal_density(value: f64) -> f64 {
    math::exp(-0.5 * value * value) / (2.0 * PI).sqrt()
}

/// Probability that a standard normal number is below a value, ½ erfc(−z/√2).
///
/// **Source** definition; the error function is the mathematics library's.
#[must_use]
pub fn normal_probability(value: f64) -> f64 {
    0.5 * math::erfc(-value * FRAC_1_SQRT_2)
}

/// Value below which a standard normal number lies with a probability, by Wichura's algorithm AS 241 (PPND16).
///
/// Relative accuracy about 1e-16; 0 and 1 give the infinities' place in the tails by their nearest numbers.
///
/// **Source** `[wichura1988]`, algorithm AS 241, coefficients from memory and checked against an independent program.
#[must_use]
pub fn normal_quantile(probability: f64) -> f64 {
    let probability = probability.clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON / 2.0);
    let from_middle = probability - 0.5;
    if from_middle.abs() <= 0.425 {
        let r = 0.180_625 - from_middle * from_middle;
        return from_middle * ratio(&CENTRE, r);
    }
    let tail = if from_middle < 0.0 { probability } else { 1.0 - probability };
    let r = (-math::ln(tail)).sqrt();
    let value = if r <= 5.0 { ratio(&SHOULDER, r - 1.6) } else { ratio(&TAIL, r - 5.0) };
    value.copysign(from_middle)
}

/// A rational function: coefficients of the numerator, then of the denominator, from the constant up.
fn ratio(coefficients: &[[f64; 8]; 2], x: f64) -> f64 {
    let polynomial = |terms: &[f64; 8]| terms.iter().rev().fold(0.0, |sum, term| sum * x + term);
    polynomial(&coefficients[0]) / polynomial(&coefficients[1])
}

const CENTRE: [[f64; 8]; 2] = [
    [
        3.387_132_872_796_366_5,
        133.141_667_891_784_38,
        1_971.590_950_306_551_3,
        13_731.693_765_509_46,
        45_921.953_931_549_87,
        67_265.770_927_008_7,
        33_430.575_583_588_13,
        2_509.080_928_730_122_7,
    ],
    [
        1.0,
        42.313_330_701_600_91,
        687.187_007_492_057_9,
        5_394.196_021_424_751,
        21_213.794_301_586_597,
        39_307.895_800_092_71,
        28_729.085_735_721_943,
        5_226.495_278_852_545,
    ],
];
const SHOULDER: [[f64; 8]; 2] = [
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        0.241_780_725_177_450_6,
        0.022_723_844_989_269_184,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        0.689_767_334_985_1,
        0.148_103_976_427_480_08,
        0.015_198_666_563_616_457,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
];
const TAIL: [[f64; 8]; 2] = [
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        0.296_560_571_828_504_87,
        0.026_532_189_526_576_124,
        0.001_242_660_947_388_078_4,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        0.599_832_206_555_888,
        0.136_929_880_922_735_8,
        0.014_875_361_290_850_615,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
];
