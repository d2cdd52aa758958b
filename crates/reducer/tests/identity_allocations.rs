//! The solver asks for no memory once its workspace has served a problem of the same size.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::model_of;
use reducer::contact::equilibrium::{Problem, Workspace};
use reducer::model::{BearingModel, Drive};

fn allocations(change: impl Fn(&mut Drive)) -> u64 {
    let name = "orchard-arm-shoulder";
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
    change(&mut drive);
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
    used.count_total
}

#[test]
fn identity_warm_solutions_allocate_nothing() {
    assert_eq!(allocations(|_| ()), 0);
}

#[test]
fn identity_warm_solutions_with_bearings_that_give_allocate_nothing() {
    let by_rollers = |drive: &mut Drive| drive.model.eccentric_bearing = BearingModel::Rollers;
    assert_eq!(allocations(by_rollers), 0);
    assert_eq!(allocations(|drive| drive.bearings.eccentric.stiffness_n_per_mm = Some(3e5)), 0);
    let on_a_crank = |drive: &mut Drive| {
        by_rollers(drive);
        drive.stiffness.crank_support_n_per_mm = Some(3e5);
    };
    assert_eq!(allocations(on_a_crank), 0);
}
