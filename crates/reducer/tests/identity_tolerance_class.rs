//! Classes of ISO 286 in callouts: half of the deviation of the diameter, of the right part, or an error that helps.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use reducer::iso286::{Class, Limits};
use reducer::model::{Alike, DeviationKind, DistributionKind, Drive, ToleranceCallout};
use reducer::part::{hole_radius_mm, pin_outside_radius_mm};
use reducer::tolerance::callout::{Mistake, ToleranceError};
use reducer::tolerance::{GRADE_STEP, Quantile, Spread, Tolerance, tolerances};
use std::path::Path;

fn with_class(of: DeviationKind, class: &str) -> Drive {
    let name = "orchard-arm-shoulder.toml";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
    drive.tolerances.callout = vec![ToleranceCallout {
        of,
        label: None,
        upper_mm: None,
        lower_mm: None,
        class: Some(class.to_owned()),
        distribution: DistributionKind::Uniform,
        cp: 1.0,
        cpk: None,
        alike: Alike::Discs,
        class_count: 1,
        matched_to: None,
        cost_weight: 1.0,
    }];
    drive
}

fn spread(of: DeviationKind, class: &str) -> Result<Spread, ToleranceError> {
    tolerance(&with_class(of, class), of).map(|tolerance| tolerance.spread)
}

fn tolerance(drive: &Drive, of: DeviationKind) -> Result<Tolerance, ToleranceError> {
    Ok(tolerances(drive)?.into_iter().find(|tolerance| tolerance.kind == of).unwrap())
}

#[test]
fn identity_radii_deviate_by_half_of_the_class() {
    let drive = with_class(DeviationKind::HoleRadius, "H6");
    let cases = [
        (DeviationKind::HoleRadius, "H6", hole_radius_mm(&drive)),
        (DeviationKind::HoleRadius, "K7", hole_radius_mm(&drive)),
        (DeviationKind::PinRadius, "h5", pin_outside_radius_mm(&drive)),
        (DeviationKind::PinRadius, "k5", pin_outside_radius_mm(&drive)),
        (DeviationKind::RollerRadius, "h5", drive.geometry.roller_radius_mm),
        (DeviationKind::RingRadius, "JS6", drive.geometry.ring_radius_mm),
        (DeviationKind::RingRadius, "js6", drive.geometry.ring_radius_mm),
    ];
    for (of, class, radius_mm) in cases {
        let Limits { lower_mm, upper_mm } = class.parse::<Class>().unwrap().limits(2.0 * radius_mm).unwrap();
        let found = spread(of, class).unwrap();
        assert!((2.0 * found.lower_mm - lower_mm).abs() < 1e-15, "{class}");
        assert!((2.0 * found.upper_mm - upper_mm).abs() < 1e-15, "{class}");
    }
}

#[test]
fn identity_classes_of_the_other_part_are_refused() {
    for (of, class) in [
        (DeviationKind::HoleRadius, "h6"),
        (DeviationKind::HoleRadius, "k5"),
        (DeviationKind::PinRadius, "K7"),
        (DeviationKind::RollerRadius, "JS5"),
    ] {
        let error = spread(of, class).unwrap_err();
        assert!(matches!(error.mistake, Mistake::WrongPart { .. }), "{class}");
    }
    let error = spread(DeviationKind::HoleRadius, "h6").unwrap_err();
    assert_eq!(
        error.to_string(),
        "callout 1 (`hole-radius`): `h6` is a class of a shaft, and this is a hole"
    );
    assert_eq!(error.mistake.hint(), "holes are written in capitals, shafts in small letters: H6, h6");
}

#[test]
fn identity_classes_that_are_not_held_say_what_is() {
    let error = |class| spread(DeviationKind::PinRadius, class).unwrap_err();
    let unknown = error("q5");
    assert!(unknown.to_string().ends_with("no limits are held for the class `q5`"), "{unknown}");
    assert!(unknown.mistake.hint().starts_with("the nearest that is held is p5;"));
    assert!(error("zz").to_string().ends_with("`zz` is not a tolerance class"));
    assert!(!error("zz").mistake.hint().is_empty());
    let mut drive = with_class(DeviationKind::RingRadius, "h11");
    drive.geometry.ring_radius_mm = 130.0;
    let message = tolerances(&drive).unwrap_err().to_string();
    assert!(message.ends_with("at 260 mm: its table goes from 1 mm to 250 mm"), "{message}");
}

/// Printed standard tolerances of 24 mm: IT4 to IT8 are 6, 9, 13, 21 and 33 µm, `[it-grades-table2025]`.
#[test]
fn published_a_grade_of_a_class_is_the_next_in_the_table_of_the_standard() {
    let printed_um = [6.0, 9.0, 13.0, 21.0, 33.0];
    let mut drive = with_class(DeviationKind::RollerRadius, "h6");
    drive.geometry.roller_radius_mm = 12.0;
    let class = tolerance(&drive, DeviationKind::RollerRadius).unwrap();
    for (grades, width_um) in (-2..=2).zip(printed_um) {
        // The upper limit of h is the nominal size in every grade.
        let spread = class.graded(grades);
        assert_eq!(spread.upper_mm, 0.0);
        assert!((2e3 * spread.lower_mm + width_um).abs() < 1e-9, "{grades}: {spread:?}");
    }
    // js is even about it.
    drive.tolerances.callout[0].class = Some("js7".to_owned());
    let even = tolerance(&drive, DeviationKind::RollerRadius).unwrap().graded(1);
    assert!((4e3 * even.upper_mm - 33.0).abs() < 1e-9 && even.lower_mm == -even.upper_mm, "{even:?}");
}

/// IT12 is not held, IT3 neither: there, and for limits without a class, a grade is the step of the series behind the standard.
#[test]
fn identity_beyond_the_classes_that_are_held_a_grade_is_the_step_of_the_series() {
    let mut drive = with_class(DeviationKind::RollerRadius, "h10");
    drive.geometry.roller_radius_mm = 12.0;
    let class = tolerance(&drive, DeviationKind::RollerRadius).unwrap();
    let last = class.graded(1);
    assert!((2e3 * last.width_mm() - 130.0).abs() < 1e-9);
    let beyond = class.graded(3);
    assert!((beyond.width_mm() / last.width_mm() - GRADE_STEP * GRADE_STEP).abs() < 1e-12);
    drive.tolerances.callout[0].class = None;
    drive.tolerances.callout[0].upper_mm = Some(0.013);
    let plain = tolerance(&drive, DeviationKind::RollerRadius).unwrap();
    assert_eq!(plain.graded(0), plain.spread);
    for grades in [-3, -1, 1, 4] {
        let ratio = plain.graded(grades).width_mm() / plain.spread.width_mm();
        assert!(
            (ratio / curves::math::pow(GRADE_STEP, f64::from(grades)) - 1.0).abs() < 1e-12,
            "{grades}: {ratio}"
        );
    }
}

/// Parts of one class are those of the whole process that were sorted there: the shares of all classes give the process back.
#[test]
fn identity_classes_together_are_the_process_they_were_sorted_from() {
    let shape = DistributionKind::TruncatedNormal;
    let whole = Quantile::of(&Spread { lower_mm: -0.004, upper_mm: 0.008, shape, cp: 1.2, cpk: 0.9 });
    let count = 200_000;
    let uniform = |step: i32| (f64::from(step) + 0.5) / f64::from(count);
    for side in [-1.0, 1.0] {
        let mut in_class = [0_u32; 3];
        let mut sums = [0.0; 3];
        for step in 0..count {
            let class = whole.class_of(uniform(step), side, 3);
            in_class[class] += 1;
            sums[class] += whole.at(uniform(step), side);
        }
        for class in 0..3 {
            let sorted = whole.class(class, 3);
            let mean = (0..2_000).map(|step| sorted.at((f64::from(step) + 0.5) / 2_000.0, side)).sum::<f64>()
                / 2_000.0;
            let expected = sums[class] / f64::from(in_class[class]);
            assert!((mean - expected).abs() < 2e-6, "{class} {side}: {mean} {expected}");
        }
    }
    // A class that the process never reaches is spread evenly.
    let far = Quantile::of(&Spread { lower_mm: 0.0, upper_mm: 1.0, shape, cp: 10.0, cpk: 10.0 }).class(0, 4);
    assert!((far.at(0.25, 1.0) - 0.0625).abs() < 1e-12);
}
