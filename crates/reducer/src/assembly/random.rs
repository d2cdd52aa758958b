//! Uniform numbers for every assembly: each from its seed and number alone, whatever was drawn before.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// How the uniform numbers of assemblies are spread.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Sampling {
    /// Independent: the usual statistics of chance hold.
    #[default]
    Random,
    /// Scrambled Sobol points in the first dimensions, independent numbers in the others: means settle sooner.
    Quasi,
}

impl Sampling {
    /// Even over the tolerances, or by chance.
    #[must_use]
    pub fn of(is_even: bool) -> Self {
        if is_even { Self::Quasi } else { Self::Random }
    }
}

/// A source of uniform numbers that any assembly can be asked of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Seed of the study.
    pub seed: u64,
    /// How the numbers are spread.
    pub sampling: Sampling,
    /// Which of several independent samples of the same seed.
    pub sample: u32,
}

/// Dimensions of the Sobol points at hand.
const SOBOL_DIMENSIONS: usize = 256;
/// Points of one scrambling; the next ones get another, so that long studies are means of independent ones.
const SOBOL_POINTS: u64 = 1 << 16;

impl Source {
    /// Uniform numbers strictly between nothing and one for an assembly.
    ///
    /// **Source** ChaCha with eight rounds as a counter-based generator, `[bernstein2008]`; Sobol points with Owen's scrambling,
    /// `[owen1998]`, both from memory and by the libraries that ARCHITECTURE.md names.
    pub fn fill(&self, assembly: u64, numbers: &mut [f32]) {
        let mut generator = self.generator(assembly);
        for number in &mut *numbers {
            *number = open_unit(generator.next_u32());
        }
        if self.sampling == Sampling::Quasi {
            let (point, scrambling) = (assembly % SOBOL_POINTS, assembly / SOBOL_POINTS);
            let seed = self.generator(u64::MAX - scrambling).next_u32();
            for (dimension, number) in numbers.iter_mut().take(SOBOL_DIMENSIONS).enumerate() {
                let value = sobol_burley::sample(point as u32, dimension as u32, seed);
                // Its 24 bits never make one; half a step stands for nothing.
                *number = value.max(0.5 / 16_777_216.0);
            }
        }
    }

    fn generator(&self, stream: u64) -> ChaCha8Rng {
        let mut seed = [0_u8; 32];
        seed[..8].copy_from_slice(&self.seed.to_le_bytes());
        seed[8..12].copy_from_slice(&self.sample.to_le_bytes());
        let mut generator = ChaCha8Rng::from_seed(seed);
        generator.set_stream(stream);
        generator
    }
}

/// The top 23 bits and a half: as many as leave the sum with a half exact, so that neither nothing nor one comes up.
fn open_unit(bits: u32) -> f32 {
    ((bits >> 9) as f32 + 0.5) / 8_388_608.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_numbers_are_open_and_depend_on_seed_and_assembly_only() {
        for sampling in [Sampling::Random, Sampling::Quasi] {
            let source = Source { seed: 7, sampling, sample: 0 };
            let drawn = |source: Source, assembly: u64| {
                let mut numbers = vec![0.0; 300];
                source.fill(assembly, &mut numbers);
                numbers
            };
            let first = drawn(source, 3);
            assert!(first.iter().all(|number| *number > 0.0 && *number < 1.0));
            assert_eq!(first, drawn(source, 3));
            assert_ne!(first, drawn(source, 4));
            assert_ne!(first, drawn(Source { seed: 8, ..source }, 3));
            assert_ne!(first, drawn(Source { sample: 1, ..source }, 3));
        }
    }

    #[test]
    fn identity_extremes_of_the_bits_stay_inside() {
        assert!(open_unit(0) > 0.0);
        assert!(open_unit(u32::MAX) < 1.0);
    }
}
