//! The solver asks for no memory once its workspace has served a problem of the same size.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::model_of;
use reducer::contact::equilibrium::{Problem, Workspace};

#[test]
fn identity_warm_solutions_allocate_nothing() {
    let name = "orchard-arm-shoulder";
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
    let (model, _) = model_of(&drive).unwrap();
    let positions: Vec<_> = (0..8).map(|step| model.position(f64::from(step) * 0.01, 1.0)).collect();
    let problem = |index: usize| Problem {
        discs: &positions[index].contacts,
        plate_torque_n_mm: 1.8e5,
        lever_scale_mm: model.lever_scale_mm(),
    };
    let mut workspace = Workspace::default();
    let mut displacements = problem(0).solve(None, &mut workspace).unwrap();
    let used = allocation_counter::measure(|| {
        for index in 1..positions.len() {
            problem(index).descend(&mut displacements, &mut workspace).unwrap();
        }
    });
    assert_eq!(used.count_total, 0);
}
