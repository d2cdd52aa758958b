//! Many assembled drives from the tolerances of one drawing: what they do to backlash, transmission error and load sharing.

pub mod angles;
pub mod draw;
pub mod linear;
pub mod random;
pub mod slots;
pub mod study;
pub mod tally;
