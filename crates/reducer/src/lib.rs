//! The physics of cycloidal speed reducers, pure: no files, no clock, no network, no printing.
//!
//! Modules depend on each other in the order model → profile → kinematics → contact → rating →
//! assess, and never backwards. Units inside are mm, N, MPa, N·mm, rad, s, kg, K, W.

pub mod accuracy;
pub mod assembly;
pub mod assess;
pub mod bearing;
pub mod bearing_loads;
pub mod contact;
pub mod deviation;
pub mod dynamics;
pub mod elastic;
pub mod film;
pub mod finding;
pub mod fit;
pub mod hertz;
pub mod iso286;
pub mod kinematics;
pub mod line_contact;
pub mod loads;
pub mod losses;
pub mod mass;
pub mod materials;
pub mod model;
pub mod part;
pub mod phase;
pub mod pin;
pub mod profile;
pub mod registry;
pub mod requirement;
pub mod results;
pub mod shape;
pub mod strength;
pub mod thermal;
pub mod tolerance;
pub mod units;
pub mod viscosity;
pub mod watch;
pub mod web;
