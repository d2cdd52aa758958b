//! The verbs of the command line, one file each.

pub mod accuracy;
pub mod assemblies;
pub mod check;
pub mod deliver;
pub mod explain;
pub mod figure;
pub mod fit;
pub mod loads;
pub mod make;
pub mod modification;
pub mod new;
pub mod report;
pub mod schema;
pub mod serve;
mod shards;
