//! scratch
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    let file = schema::read(&path, &bytes).map_err(|e| format!("{e:?}")).unwrap();
    let t = std::time::Instant::now();
    let a = reducer::assess::assess(&file.drive).unwrap();
    println!("{:?}", t.elapsed());
    for f in &a.findings {
        println!(
            "{:?} {} | {} | {} | limit {} | margin {:?} | {} | {}",
            f.standing,
            f.id,
            f.title,
            f.value_display,
            f.limit_display,
            f.margin.map(|m| (m * 1000.0).round() / 10.0),
            f.place,
            f.hint
        );
    }
    for c in &a.load_cases {
        let e = &c.extremes;
        println!(
            "{} T={} Q={:.1} p={:.0} P={:.1} pp={:.0} bend={:.1} Fb={:.0} carry={:?} share={:.3} windup={:?} Tin={:.1} res={:e} n={}",
            c.id,
            c.output_torque_n_mm,
            e.ring_roller_force.value,
            e.ring_roller_pressure.value,
            e.output_pin_force.value,
            e.output_pin_pressure.value,
            e.output_pin_bending.value,
            e.bearing_force.value,
            e.carrying_roller_count,
            e.disc_share.value,
            e.windup_rad,
            e.mean_holding_torque_n_mm,
            e.residual_ratio,
            c.poses.len()
        );
    }
    println!("{:?}", a.eccentric_bearing);
    println!("{:?}", a.model);
    println!("{:?}", reducer::results::GeometryResult { gap_curve: vec![], ..a.geometry.clone() });
}
