//! The table of points, and what every writer refuses.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod support;

use curves::ClosedCurve;
use curves::point::{Point, Vector};
use exchange::{Csv, Export, ExportError, ExportOptions, PointSpacing, formats};
use support::SampleDisc;

/// What all writers say about a part; they have to agree.
fn refusal(sample: &SampleDisc<'_>) -> String {
    let messages: Vec<String> = formats()
        .iter()
        .map(|format| format.write(&sample.plate(), &sample.options()).unwrap_err().to_string())
        .collect();
    assert!(messages.windows(2).all(|pair| pair[0] == pair[1]), "{messages:?}");
    messages[0].clone()
}

#[test]
fn identity_table_repeats_the_curve() {
    let sample = SampleDisc::SMALL;
    let bytes = Csv.write(&sample.plate(), &sample.options()).unwrap();
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(bytes.as_slice());
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), exchange::csv::COLUMNS);
    let profile = sample.profile();
    let mut row_count = 0;
    for row in reader.records() {
        let numbers: Vec<f64> = row.unwrap().iter().map(|field| field.parse().unwrap()).collect();
        let at = profile.at(numbers[0]);
        assert!((Point::new(numbers[1], numbers[2]) - at.position_mm).norm() < 1e-8);
        assert!((Vector::new(numbers[3], numbers[4]) - at.outward_normal()).norm() < 1e-8);
        assert!((numbers[5] * at.curvature_per_mm - 1.0).abs() < 1e-6);
        row_count += 1;
    }
    assert!(row_count > 500);
}

#[test]
fn identity_a_counted_table_has_that_many_points() {
    let sample = SampleDisc::SMALL;
    let options = ExportOptions { spacing: PointSpacing::Count(360), ..sample.options() };
    let text = String::from_utf8(Csv.write(&sample.plate(), &options).unwrap()).unwrap();
    assert_eq!(text.lines().filter(|line| !line.starts_with('#')).count(), 361);
    let too_few = ExportOptions { spacing: PointSpacing::Count(2), ..sample.options() };
    let error = Csv.write(&sample.plate(), &too_few).unwrap_err();
    assert!(matches!(error, ExportError::TooFewPoints { point_count: 2 }));
}

#[test]
fn identity_line_ends_in_a_name_stay_in_the_comment() {
    let mut plate = SampleDisc::SMALL.plate();
    plate.name = "disc\n1,2,3".to_owned();
    let text = String::from_utf8(Csv.write(&plate, &SampleDisc::SMALL.options()).unwrap()).unwrap();
    assert!(text.starts_with("# part: disc 1,2,3\n"));
}

#[test]
fn locked_head_of_a_table() {
    let sample = SampleDisc::SMALL;
    let text = String::from_utf8(Csv.write(&sample.plate(), &sample.options()).unwrap()).unwrap();
    insta::assert_snapshot!(text.lines().take(10).collect::<Vec<_>>().join("\n"));
}

#[test]
fn identity_undercut_is_refused() {
    insta::assert_snapshot!(refusal(&SampleDisc { roller_radius_mm: 11.77, ..SampleDisc::SMALL }));
}

#[test]
fn identity_a_looped_curve_is_refused() {
    insta::assert_snapshot!(refusal(&SampleDisc { eccentricity_mm: 4.5, ..SampleDisc::SMALL }));
}

#[test]
fn identity_holes_through_the_outline_are_refused() {
    insta::assert_snapshot!(refusal(&SampleDisc { hole_circle_radius_mm: 28.0, ..SampleDisc::SMALL }));
}

#[test]
fn identity_holes_into_the_bore_are_refused() {
    insta::assert_snapshot!(refusal(&SampleDisc { bore_radius_mm: 17.0, ..SampleDisc::SMALL }));
}

#[test]
fn identity_a_thickness_that_is_no_length_is_refused() {
    insta::assert_snapshot!(refusal(&SampleDisc { thickness_mm: f64::NAN, ..SampleDisc::SMALL }));
}
