#![allow(missing_docs, clippy::unwrap_used)]
#[test]
fn prof() {
    for name in ["sluice-gate-lift", "orchard-arm-shoulder"] {
        let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
        drive.model.disc = reducer::model::DiscModel::Elastic;
        let t = std::time::Instant::now();
        let _ = reducer::assess::model_of(&drive).unwrap();
        let cpu = std::fs::read_to_string("/proc/self/stat").unwrap();
        let f: Vec<&str> = cpu.split(' ').collect();
        println!(
            "{name}: wall {:.2} s, cpu so far user {} ms",
            t.elapsed().as_secs_f64(),
            f[13].parse::<u64>().unwrap() * 10
        );
    }
}
