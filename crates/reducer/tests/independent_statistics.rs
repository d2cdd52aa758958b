//! Distributions and variance shares against general statistics packages.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use curves::math;
use reducer::assembly::shares::{Function, OUTPUT_COUNT, SharesCounted, add_rows};
use reducer::model::DistributionKind;
use reducer::tolerance::{Quantile, Spread, normal_quantile};
use serde_json::Value;
use std::f64::consts::PI;
use std::ops::Range;
use std::path::Path;

fn independent(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/independent").join(name);
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn pairs(value: &Value) -> Vec<(f64, f64)> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|pair| (pair[0].as_f64().unwrap(), pair[1].as_f64().unwrap()))
        .collect()
}

#[test]
fn independent_quantiles_of_the_normal_distribution() {
    for (probability, expected) in pairs(&independent("normal_quantile.json")["points"]) {
        let found = normal_quantile(probability);
        assert!(
            (found - expected).abs() < 1e-14 * expected.abs().max(1.0),
            "{probability}: {found} {expected}"
        );
    }
}

#[test]
fn independent_distribution_cut_at_its_limits() {
    let data = independent("normal_quantile.json");
    let cut = |lower_mm: f64, upper_mm: f64, cpk: f64| {
        let shape = DistributionKind::TruncatedNormal;
        Spread { lower_mm, upper_mm, shape, cp: 1.0, cpk }
    };
    let centred = cut(-3.0, 3.0, 1.0);
    for (probability, expected) in pairs(&data["cut_at_three_deviations"]) {
        let found = Quantile::of(&centred).at(probability, 1.0);
        assert!((found - expected).abs() < 1e-12, "{probability}: {found} {expected}");
    }
    let variance = data["variance_cut_at_three_deviations"].as_f64().unwrap();
    assert!((centred.moments_mm().1 - variance).abs() < 1e-12);
    // The process stands one deviation above the middle: the limits lie four below and two above it.
    let off = cut(-3.0, 3.0, 2.0 / 3.0);
    let variance = data["variance_cut_at_minus_two_and_four"].as_f64().unwrap();
    let mean = data["mean_cut_at_minus_two_and_four"].as_f64().unwrap();
    // To either side by equal chance: the distance of the mean from the middle adds its square.
    let expected = variance + math::square(1.0 - mean);
    assert!((off.moments_mm().1 - expected).abs() < 1e-12, "{} {expected}", off.moments_mm().1);
}

/// The two functions of the script that made the file, scaled to the size of angles.
struct Textbook;

impl Function for Textbook {
    fn number_count(&self) -> usize {
        3
    }

    fn groups(&self) -> Vec<Range<usize>> {
        vec![0..1, 1..2, 2..3]
    }

    fn outputs(&self, numbers: &[Vec<f32>]) -> Vec<[f64; OUTPUT_COUNT]> {
        let value = |numbers: &Vec<f32>| {
            let x: Vec<f64> = numbers.iter().map(|number| f64::from(*number)).collect();
            let angle: Vec<f64> = x.iter().map(|x| PI * (2.0 * x - 1.0)).collect();
            let first = math::sin(angle[0]);
            let ishigami =
                first + 7.0 * math::square(math::sin(angle[1])) + 0.1 * math::power(angle[2], 4) * first;
            let factor = |x: f64, weight: f64| ((4.0 * x - 2.0).abs() + weight) / (1.0 + weight);
            let product = factor(x[0], 0.0) * factor(x[1], 1.0) * factor(x[2], 9.0);
            [1e-4 * ishigami, 1e-3 * product]
        };
        numbers.iter().map(value).collect()
    }
}

#[test]
fn independent_variance_shares_of_two_textbook_functions() {
    let mut counted = SharesCounted::new(3);
    add_rows(&Textbook, 11, 0..32_768, [3.5e-4, 1e-3], &mut counted);
    let data = independent("variance_shares.json");
    for (output, name) in ["ishigami", "product"].into_iter().enumerate() {
        for (index, share) in counted.shares(output).iter().enumerate() {
            let number = |key: &str| data[name][index][key].as_f64().unwrap();
            // Bounds of the package are half widths at 95 %, ours are standard errors.
            let first = number("first_order_bound") + 3.0 * share.first_order_error;
            let total = number("total_bound") + 3.0 * share.total_error;
            assert!((share.first_order - number("first_order")).abs() < first, "{name} {index}: {share:?}");
            assert!((share.total - number("total")).abs() < total, "{name} {index}: {share:?}");
            assert!(share.first_order_error < 0.02 && share.total_error < 0.01, "{name} {index}: {share:?}");
        }
    }
}

/// Closed forms of the first function, `[saltelli2010]` and before, from memory: 0.3139, 0.4424, 0; 0.5576, 0.4424, 0.2437.
#[test]
fn published_variance_shares_of_the_first_function() {
    let mut counted = SharesCounted::new(3);
    add_rows(&Textbook, 3, 0..32_768, [3.5e-4, 1e-3], &mut counted);
    let closed = [(0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437)];
    for (share, (first, total)) in counted.shares(0).iter().zip(closed) {
        assert!((share.first_order - first).abs() < 4.0 * share.first_order_error + 1e-3);
        assert!((share.total - total).abs() < 4.0 * share.total_error + 1e-3);
    }
}
