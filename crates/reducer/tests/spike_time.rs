#![allow(missing_docs, clippy::unwrap_used)]
use reducer::assess::model_of;
use reducer::loads::load_cases;
use reducer::model::DiscModel;
use std::time::Instant;
#[test]
fn timing() {
    for name in ["wrist-printed", "sorting-table-index", "orchard-arm-shoulder", "sluice-gate-lift"] {
        let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
        for (disc, law) in [
            (DiscModel::Rigid, reducer::model::ContactLaw::Auto),
            (DiscModel::Rigid, reducer::model::ContactLaw::TwoCylinders),
            (DiscModel::Elastic, reducer::model::ContactLaw::Auto),
        ] {
            drive.model.disc = disc;
            drive.model.contact_law = law;
            let t = Instant::now();
            let (model, materials) = model_of(&drive).unwrap();
            let prepared = t.elapsed().as_secs_f64();
            let asym = model.compliance.as_ref().map(|c| c.asymmetry());
            let t = Instant::now();
            let positions: Vec<_> = (0..40).map(|i| model.position(0.01 * i as f64, 1.0)).collect();
            let position = t.elapsed().as_secs_f64() / 40.0;
            let t = Instant::now();
            let torque = drive.requirement.rated_torque_n_mm;
            let mut start = None;
            let mut steps = 0;
            for p in &positions {
                let l = model.solve(p, torque, start.as_ref()).unwrap();
                steps += l.displacements.step_count;
                start = Some(l.displacements);
            }
            let mut solve = t.elapsed().as_secs_f64() / 40.0;
            for _ in 0..20 {
                let t = Instant::now();
                let mut start = None;
                for p in &positions {
                    let l = model.solve(p, torque, start.as_ref()).unwrap();
                    start = Some(l.displacements);
                }
                solve = solve.min(t.elapsed().as_secs_f64() / 40.0);
            }
            let t = Instant::now();
            let cases = load_cases(&drive, &model, &materials).unwrap();
            let e = &cases[0].extremes;
            println!(
                "{name} {disc:?} {law:?}: prepared {prepared:.2} s asym {asym:.4?}, position {:.0} µs, solve {:.1} µs ({} steps), cases {:.2} s; Qmax {:.1} Pmax {:.1} p {:.0} windup {:.1}..{:.1} µrad carrying {:?} residual {:.1e}",
                position * 1e6,
                solve * 1e6,
                steps,
                t.elapsed().as_secs_f64(),
                e.ring_roller_force.value,
                e.output_pin_force.value,
                e.ring_roller_pressure.value,
                e.windup_rad.0 * 1e6,
                e.windup_rad.1 * 1e6,
                e.carrying_roller_count,
                e.residual_ratio
            );
        }
    }
}
