//! Limits and fits: what the tables must satisfy whoever printed them, and what is refused.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use curves::math;
use reducer::iso286::callout::{Callout, CalloutError};
use reducer::iso286::{Class, Fit, FitKind, Letter, LimitsError, Part, standard_tolerance_mm};

/// Ends of the steps from 3 mm on, and the last one, in which only IT5 to IT7 are held.
const ENDS_MM: [f64; 11] = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0];
/// Ends of the steps in which fundamental deviations are held.
const WITH_DEVIATIONS_MM: [f64; 9] = [6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0];

fn class(text: &str) -> Class {
    text.parse().unwrap()
}

fn um(value_mm: f64) -> f64 {
    1e3 * value_mm
}

/// IT5 to IT11 are 7, 10, 16, 25, 40, 64 and 100 units i = 0.45 ∛D + 0.001 D, but for the rounding of the table.
///
/// Up to 3 mm the printed tolerances are larger than the formula, so that step is left out.
#[test]
fn identity_tolerances_are_multiples_of_the_unit() {
    let mut greatest_um: f64 = 0.0;
    for step in ENDS_MM.windows(2) {
        let mean_mm = (step[0] * step[1]).sqrt();
        let unit_um = 0.45 * math::cbrt(mean_mm) + 0.001 * mean_mm;
        for (grade, units) in (5..).zip([7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0]) {
            let Ok(tolerance_mm) = standard_tolerance_mm(grade, step[1]) else {
                assert!(step[1] == 315.0 && grade > 7);
                continue;
            };
            let off_um = um(tolerance_mm) - units * unit_um;
            greatest_um = greatest_um.max(off_um.abs());
            assert!(
                off_um.abs() <= f64::max(0.75, 0.026 * units * unit_um),
                "IT{grade} {} {off_um}",
                step[1]
            );
        }
    }
    println!("{greatest_um} µm at most");
}

/// g, k and n follow the powers of the size that the system was made from, m is IT7 − IT6, p is IT7 and up to 5 µm.
#[test]
fn identity_fundamental_deviations_follow_the_formulas() {
    for (step, size_mm) in ENDS_MM.windows(2).zip(WITH_DEVIATIONS_MM) {
        let mean_mm = (step[0] * step[1]).sqrt();
        let lower_um = |text: &str| um(class(text).limits(size_mm).unwrap().lower_mm);
        let tolerance_um = |grade| um(standard_tolerance_mm(grade, size_mm).unwrap());
        let g_um = um(class("g6").limits(size_mm).unwrap().upper_mm);
        let power = math::pow(mean_mm, 0.34);
        assert!((g_um + 2.5 * power).abs() < 0.6, "{size_mm}");
        assert!((lower_um("k6") - 0.6 * math::cbrt(mean_mm)).abs() < 0.6, "{size_mm}");
        assert!((lower_um("n6") - 5.0 * power).abs() < 0.9, "{size_mm}");
        assert!((lower_um("m6") - (tolerance_um(7) - tolerance_um(6))).abs() < 1e-9, "{size_mm}");
        let over_um = lower_um("p6") - tolerance_um(7);
        assert!((-1e-9..=5.0).contains(&over_um), "{size_mm}: {over_um}");
    }
}

/// What Δ is for: a hole of grade n on a shaft h of grade n − 1 fits as the mirrored pair does, P7/h6 as H7/p6.
#[test]
fn identity_mirrored_fits_are_the_same() {
    for size_mm in WITH_DEVIATIONS_MM {
        for letter in [Letter::K, Letter::M, Letter::N, Letter::P] {
            for grade in 5..=7 {
                let of = |part, letter, grade| Class { part, letter, grade };
                let by_hole =
                    Fit::of(of(Part::Hole, Letter::H, grade), of(Part::Shaft, letter, grade - 1), size_mm)
                        .unwrap();
                let by_shaft =
                    Fit::of(of(Part::Hole, letter, grade), of(Part::Shaft, Letter::H, grade - 1), size_mm)
                        .unwrap();
                let apart = by_hole.greatest_clearance_mm() - by_shaft.greatest_clearance_mm();
                assert!(apart.abs() < 1e-12, "{letter:?}{grade} at {size_mm}: {apart}");
                let apart = by_hole.least_clearance_mm() - by_shaft.least_clearance_mm();
                assert!(apart.abs() < 1e-12, "{letter:?}{grade} at {size_mm}: {apart}");
            }
        }
    }
}

/// Every class is one standard tolerance wide at every size, and its finer and coarser neighbours are its own.
#[test]
fn identity_every_class_is_as_wide_as_its_grade() {
    let mut count = 0;
    for part in [Part::Hole, Part::Shaft] {
        for letter in Letter::ALL {
            for grade in 4..=11 {
                let class = Class { part, letter, grade };
                let mut size_mm = 0.5;
                while size_mm < 330.0 {
                    if let Ok(limits) = class.limits(size_mm) {
                        let tolerance_mm = standard_tolerance_mm(grade, size_mm).unwrap();
                        assert!((limits.width_mm() - tolerance_mm).abs() < 1e-12, "{class} {size_mm}");
                        assert!(limits.lower_mm.to_bits() != (-0.0_f64).to_bits());
                        if let Some(finer) = class.finer(size_mm) {
                            assert_eq!(finer.coarser(size_mm), Some(class));
                            assert!(finer.limits(size_mm).unwrap().width_mm() < limits.width_mm());
                        }
                        assert_eq!(class.to_string().parse::<Class>(), Ok(class));
                        count += 1;
                    }
                    size_mm += 0.5;
                }
            }
        }
    }
    assert!(count > 20_000, "{count}");
}

/// A step holds its upper end and not its lower one; the first begins with 1 mm.
#[test]
fn identity_steps_hold_their_upper_end() {
    let upper_um = |text: &str, size_mm: f64| um(class(text).limits(size_mm).unwrap().upper_mm);
    for (size_mm, expected) in
        [(1.0, 10.0), (3.0, 10.0), (3.000_001, 12.0), (30.0, 21.0), (30.5, 25.0), (250.0, 46.0)]
    {
        assert!((upper_um("H7", size_mm) - expected).abs() < 1e-9, "{size_mm}");
    }
    let range = |text: &str, size_mm: f64| match class(text).limits(size_mm) {
        Err(LimitsError::SizeOutside { first_mm, includes_first, last_mm, .. }) => {
            (first_mm, includes_first, last_mm)
        }
        other => panic!("{text} at {size_mm}: {other:?}"),
    };
    for size_mm in [0.99, 0.0, -5.0, 315.01, f64::NAN, f64::INFINITY] {
        assert_eq!(range("H7", size_mm), (1.0, true, 315.0));
    }
    assert_eq!(range("H8", 260.0), (1.0, true, 250.0));
    assert_eq!(range("h4", 260.0), (1.0, true, 250.0));
    assert_eq!(range("k5", 260.0), (1.0, true, 250.0));
    assert_eq!(range("K6", 3.0), (3.0, false, 250.0));
}

/// What is not held is refused with the nearest class that is.
#[test]
fn identity_unknown_classes_name_the_nearest() {
    let nearest = |text: &str| match text.parse::<Class>() {
        Err(LimitsError::UnknownClass { nearest, .. }) => nearest.to_string(),
        other => panic!("{text}: {other:?}"),
    };
    for (text, expected) in [
        ("q5", "p5"),
        ("f7", "g7"),
        ("j6", "js6"),
        ("Js7", "JS7"),
        ("k8", "k7"),
        ("P8", "P7"),
        ("K4", "K5"),
        ("h12", "h11"),
        ("H3", "H4"),
        ("zc8", "p7"),
    ] {
        assert_eq!(nearest(text), expected, "{text}");
    }
    for text in ["", "H", "7", "h-7", "HHH7", "k5x", "k 5", "kkk5", "µ5", "h999"] {
        assert!(matches!(text.parse::<Class>(), Err(LimitsError::NotAClass { .. })), "{text}");
    }
    assert_eq!(standard_tolerance_mm(3, 25.0), Err(LimitsError::UnknownGrade { grade: 3 }));
}

/// Clearance that just vanishes is a clearance fit, interference that just vanishes an interference fit.
#[test]
fn identity_kinds_of_fits() {
    let kind = |text: &str| Callout::read(text).unwrap().fit().unwrap().kind();
    assert_eq!(kind("25H7/g6"), FitKind::Clearance);
    assert_eq!(kind("25H7/h6"), FitKind::Clearance);
    assert_eq!(kind("25H7/k6"), FitKind::Transition);
    assert_eq!(kind("25H7/p6"), FitKind::Interference);
    // The largest K7 is as large as the smallest k5.
    let vanishing = Callout::read("2.5K7/k5").unwrap().fit().unwrap();
    assert_eq!((vanishing.greatest_clearance_mm(), vanishing.kind()), (0.0, FitKind::Interference));
    assert_eq!(kind("25M7/h6"), FitKind::Transition);
}

/// Random text never makes the reader panic, and what it reads is written back the same.
#[test]
fn identity_callouts_are_read_back() {
    for text in ["25k5", "8H7/m6", "12.5JS7", "62K7/bearing", "25bearing/k5"] {
        assert_eq!(Callout::read(text).unwrap().to_string(), text);
    }
    let letters = ["", "2", "25", ".", "H7", "k5", "/", "bearing", "µ", "-", " ", "js", "11"];
    for a in letters {
        for b in letters {
            for c in letters {
                for d in letters {
                    let text = [a, b, c, d].concat();
                    if let Ok(callout) = Callout::read(&text) {
                        assert_eq!(Callout::read(&callout.to_string()), Ok(callout));
                    }
                }
            }
        }
    }
    assert!(matches!(Callout::read("8m6/H7"), Err(CalloutError::NotAPair { .. })));
    assert!(matches!(Callout::read("8bearing/bearing"), Err(CalloutError::NotAPair { .. })));
    assert!(matches!(Callout::read("25bearing"), Err(CalloutError::BearingAlone { .. })));
}

#[test]
fn identity_a_callout_without_size_has_that_of_the_one_before() {
    let read = |texts: &[&str]| Callout::read_all(texts.iter().copied());
    let row = read(&["25k5", "H7/m6", "js7", "62K7/bearing", "H7/bearing"]).unwrap();
    let alone = ["25k5", "25H7/m6", "25js7", "62K7/bearing", "62H7/bearing"];
    assert_eq!(row, alone.map(|text| Callout::read(text).unwrap()));
    let error = read(&["H7/m6", "25k5"]).unwrap_err();
    assert_eq!(error, CalloutError::NoSize { text: "H7/m6".to_owned() });
    assert_eq!(error.to_string(), "`H7/m6` has no size, and no callout before it has one");
    assert!(error.hint().contains("25H7/m6"));
    assert!(matches!(read(&["25k5", "bearing"]), Err(CalloutError::BearingAlone { size_mm: 25.0, .. })));
    assert!(matches!(read(&["25k5", "/m6"]), Err(CalloutError::NotACallout { .. })));
    assert!(matches!(read(&["25k5", ""]), Err(CalloutError::NotACallout { .. })));
}
