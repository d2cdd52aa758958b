//! Many assembled drives from the tolerances of one drawing: what they do to backlash, transmission error and load sharing.

pub mod angles;
pub mod draw;
pub mod grades;
pub mod linear;
pub mod loaded;
pub mod proposal;
pub mod random;
mod refine;
mod rows;
pub mod shard;
pub mod shares;
pub mod slots;
pub mod study;
pub mod summary;
pub mod tally;
pub mod work;
