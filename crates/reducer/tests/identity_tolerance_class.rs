//! Classes of ISO 286 in callouts: half of the deviation of the diameter, of the right part, or an error that helps.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use reducer::iso286::{Class, Limits};
use reducer::model::{Alike, DeviationKind, DistributionKind, Drive, ToleranceCallout};
use reducer::part::{hole_radius_mm, pin_outside_radius_mm};
use reducer::tolerance::{Spread, ToleranceError, tolerances};
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
    let all = tolerances(&with_class(of, class))?;
    Ok(all.into_iter().find(|tolerance| tolerance.kind == of).unwrap().spread)
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
        assert!(matches!(spread(of, class), Err(ToleranceError::WrongPart { .. })), "{class}");
    }
    let message = spread(DeviationKind::HoleRadius, "h6").unwrap_err().to_string();
    let expected = "callout 1 (`hole-radius`): `h6` is a class of a shaft, and this is a hole\n\n\
                    hint: holes are written in capitals, shafts in small letters: H6, h6";
    assert_eq!(message, expected);
}

#[test]
fn identity_classes_that_are_not_held_say_what_is() {
    let message = |class| spread(DeviationKind::PinRadius, class).unwrap_err().to_string();
    assert!(message("q5").ends_with(
        "no limits are held for the class `q5`\n\nhint: the nearest that is held is p5; shafts have g h js k m n p, holes G H JS K M N P, in the grades 4 to 11 at most"
    ));
    assert!(message("zz").contains("`zz` is not a tolerance class\n\nhint: "));
    let mut drive = with_class(DeviationKind::RingRadius, "h11");
    drive.geometry.ring_radius_mm = 130.0;
    let message = tolerances(&drive).unwrap_err().to_string();
    assert!(message.ends_with("at 260 mm: its table goes from 1 mm to 250 mm"), "{message}");
}
