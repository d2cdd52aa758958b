//! How exact a drive is: what its profile, its play and its parts do to the angle of the output.

pub mod fourier;
pub mod hysteresis;
pub mod modification;
pub mod spectrum;
pub mod summary;
pub mod turn;
