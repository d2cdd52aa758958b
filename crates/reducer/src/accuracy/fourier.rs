//! The discrete Fourier transform of a record of any length, by the factors of its length.

use curves::math;
use nalgebra::Complex;
use std::f64::consts::TAU;

/// Sums of a signal with all its waves, from order zero to the length less one.
///
/// ```text
/// X_k = Σ_j x_j exp(−2πi k j/N)
/// ```
/// A record of p·m values falls into p interleaved ones of m, whose sums are put together by p turns each; so it goes on down to primes. The work is N
/// times the sum of the prime factors. Angles come from the same functions on every machine, and the order of the sums is fixed.
///
/// **Source** decimation in time for mixed radices, `[cooley1965]`, from memory. **Checked by** the sums as defined, and an independent program on the same
/// signal.
#[must_use]
pub fn transform(signal: &[f64]) -> Vec<Complex<f64>> {
    let count = signal.len();
    let wave = |step: usize| {
        let (sine, cosine) = math::sin_cos(TAU * step as f64 / count as f64);
        Complex::new(cosine, -sine)
    };
    let waves: Vec<_> = (0..count).map(wave).collect();
    let mut sums = vec![Complex::new(0.0, 0.0); count];
    interleaved(signal, 1, &waves, &mut sums);
    sums
}

/// The transform of every value a stride apart.
fn interleaved(signal: &[f64], stride: usize, waves: &[Complex<f64>], sums: &mut [Complex<f64>]) {
    let count = sums.len();
    if count <= 1 {
        sums.iter_mut().zip(signal).for_each(|(sum, value)| *sum = Complex::new(*value, 0.0));
        return;
    }
    let radix = least_factor(count);
    let part_count = count / radix;
    for (part, own) in sums.chunks_exact_mut(part_count).enumerate() {
        interleaved(&signal[part * stride..], stride * radix, waves, own);
    }
    let mut parts = vec![Complex::new(0.0, 0.0); radix];
    for order in 0..part_count {
        for (part, value) in parts.iter_mut().enumerate() {
            *value = sums[part * part_count + order];
        }
        for turn in 0..radix {
            let place = order + turn * part_count;
            sums[place] = put_together(&parts, place * stride, waves);
        }
    }
}

/// The sum of parts, each turned further by the same step.
fn put_together(parts: &[Complex<f64>], step: usize, waves: &[Complex<f64>]) -> Complex<f64> {
    let (mut sum, mut place) = (Complex::new(0.0, 0.0), 0);
    for part in parts {
        sum += part * waves[place];
        place += step;
        if place >= waves.len() {
            place -= waves.len();
        }
    }
    sum
}

fn least_factor(count: usize) -> usize {
    let is_factor = |factor: &usize| count.is_multiple_of(*factor);
    (2..).take_while(|factor| factor * factor <= count).find(is_factor).unwrap_or(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sums as they are defined, for records of even, odd, square, prime and mixed lengths.
    #[test]
    fn identity_the_sums_are_those_of_the_definition() {
        for count in [1, 2, 3, 4, 7, 8, 9, 25, 30, 97, 210, 390, 468] {
            // A record without symmetry: the fractional parts of multiples of an irrational number.
            let signal: Vec<f64> = (0..count).map(|j| (f64::from(j) * 0.754_877_666).fract() - 0.3).collect();
            let found = transform(&signal);
            assert_eq!(found.len(), signal.len());
            for (order, sum) in found.iter().enumerate() {
                let mut expected = Complex::new(0.0, 0.0);
                for (place, value) in signal.iter().enumerate() {
                    let turns = (order * place % signal.len()) as f64 / signal.len() as f64;
                    let (sine, cosine) = math::sin_cos(TAU * turns);
                    expected += Complex::new(value * cosine, -value * sine);
                }
                assert!((sum - expected).norm() < 1e-11, "{order} of {count}: {sum} {expected}");
            }
        }
        assert!(transform(&[]).is_empty());
    }
}
