//! Laws that losses, heat and dynamics of whole drives must keep.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::assess;
use reducer::finding::{Finding, Standing};
use reducer::model::{BearingKind, Drive};
use reducer::results::{Assessment, LossResult, OperatingPoint};

fn text(name: &str) -> String {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

fn drive(text: &str) -> Drive {
    schema::read("test.toml", text.as_bytes()).unwrap_or_else(|wrong| panic!("\n{wrong}")).drive
}

/// The indexing drive with changes; it has one disc, bare pins and fewest contacts, so it is quick.
fn table(changes: &[(&str, &str)]) -> Assessment {
    let mut file: toml::Table = text("sorting-table-index").parse().unwrap();
    for (path, value) in changes {
        let (section, key) = path.split_once('.').unwrap();
        if *value == "ideal" {
            file["geometry"].as_table_mut().unwrap().remove(key);
            continue;
        }
        let section = file.entry(section).or_insert_with(|| toml::Table::new().into());
        let value = match value.parse::<bool>() {
            Ok(flag) => toml::Value::from(flag),
            Err(_) => toml::Value::from(*value),
        };
        section.as_table_mut().unwrap().insert((*key).to_owned(), value);
    }
    assess(&drive(&toml::to_string(&file).unwrap())).unwrap()
}

fn losses(assessment: &Assessment) -> &LossResult {
    assessment.losses.as_ref().unwrap()
}

fn rated(assessment: &Assessment) -> &OperatingPoint {
    &losses(assessment).points[0]
}

fn source_w(point: &OperatingPoint, title: &str) -> f64 {
    point.sources.iter().find(|source| source.title == title).unwrap().loss_power_w
}

fn finding<'a>(assessment: &'a Assessment, id: &str) -> &'a Finding {
    assessment.findings.iter().find(|finding| finding.id == id).unwrap()
}

#[test]
fn identity_power_in_is_power_out_and_the_sum_of_the_losses() {
    let assessment = table(&[]);
    for point in &losses(&assessment).points {
        let input_w = 1e-3 * point.input_torque_n_mm * point.input_speed_rad_per_s;
        assert!((input_w - point.output_power_w - point.loss_power_w).abs() < 1e-9 * input_w);
        let sum: f64 = point.sources.iter().map(|source| source.loss_power_w).sum();
        assert!((sum - point.loss_power_w).abs() < 1e-9 * point.loss_power_w);
        assert!((point.efficiency - point.output_power_w / input_w).abs() < 1e-12);
        assert!(
            (0.7..0.95).contains(&point.efficiency),
            "the plausible band of the trade: {}",
            point.efficiency
        );
    }
}

/// Friction changes the forces by a part of itself, and no work is lost on the way.
#[test]
fn identity_friction_in_the_equilibrium_changes_little_and_loses_no_work() {
    // The cage of a bearing does not come round with the pins, so a few angles would not have the mean of many.
    let assessment = table(&[("model.eccentric_bearing", "rigid")]);
    let feedback = losses(&assessment).friction_feedback.unwrap();
    assert!(feedback.work_balance_ratio.abs() < 2e-3, "{}", feedback.work_balance_ratio);
    assert!(feedback.loss_error_ratio.abs() < 0.06, "{}", feedback.loss_error_ratio);
    let point = rated(&assessment);
    let under_load = ["ring rollers", "output pins", "eccentric bearings under load"];
    let loss: f64 = under_load.iter().map(|title| source_w(point, title)).sum();
    let efficiency = point.output_power_w / (point.output_power_w + loss);
    assert!(
        (efficiency - feedback.efficiency_estimate).abs() < 2e-3,
        "{efficiency} {}",
        feedback.efficiency_estimate
    );
}

#[test]
fn identity_efficiency_rises_with_torque_and_falls_with_speed() {
    let assessment = table(&[]);
    let map = &losses(&assessment).efficiency_map.efficiency;
    for speed in 0..map[0].len() {
        assert!(map.windows(2).all(|rows| rows[1][speed] > rows[0][speed] - 1e-3));
    }
    assert!(map.iter().all(|row| row.windows(2).all(|pair| pair[1] < pair[0])));
}

/// Without gaps and with equal stiffnesses the sums over the contacts are the closed forms but for their
/// finite number; with gaps and rigid discs fewer rollers carry, those with the longest levers, and lose less.
#[test]
fn identity_sums_over_contacts_without_gaps_are_the_closed_forms() {
    use reducer::losses::closed_form;
    let ideal = table(&[
        ("model.contact_law", "linear"),
        ("model.eccentric_bearing", "rigid"),
        ("model.roller_stiffness", "200 N/µm"),
        ("model.pin_stiffness", "200 N/µm"),
        ("geometry.hole_clearance", "0 µm"),
        ("geometry.modification", "ideal"),
    ]);
    let rollers = closed_form::roller_loss_ratio(0.05, 48.0, 4.0, 1.7 * 19.0);
    let pins = closed_form::pin_loss_ratio(0.05, 1.7 * 20.0, 27.0);
    let ratio = |point: &OperatingPoint, title| source_w(point, title) / point.output_power_w;
    let of_rollers = ratio(rated(&ideal), "ring rollers") / rollers;
    let of_pins = ratio(rated(&ideal), "output pins") / pins;
    assert!((of_rollers - 1.0).abs() < 0.003, "{of_rollers}");
    assert!((of_pins - 1.0).abs() < 0.02, "{of_pins}");
    let real = ratio(
        rated(&table(&[("model.disc", "rigid"), ("model.eccentric_bearing", "rigid")])),
        "ring rollers",
    ) / rollers;
    assert!((0.5..0.9).contains(&real), "{real}");
}

#[test]
fn identity_turning_rollers_lose_the_share_of_their_pin() {
    let pins = [
        ("geometry.roller_support", "pin"),
        ("geometry.roller_pin_span", "20 mm"),
        ("geometry.roller_pin_radius", "2 mm"),
    ];
    let with = |turning: &'static str| {
        let mut changes = pins.to_vec();
        changes.push(("geometry.roller_turning", turning));
        source_w(rated(&table(&changes)), "ring rollers")
    };
    assert!((with("on-pin") / with("fixed") - 0.5).abs() < 1e-12);
    assert_eq!(with("auto"), with("on-pin"));
    // A seat that wraps the roller resists more than a line: the roller stays and the lobe slides.
    assert_eq!(with("in-seat"), with("fixed"));
}

/// A pair's factors count both its rows, so it must not count twice.
#[test]
fn identity_a_pair_or_ring_that_carries_the_output_counts_once() {
    let source = |change: &dyn Fn(&mut Drive)| {
        let mut shoulder = drive(&text("orchard-arm-shoulder"));
        change(&mut shoulder);
        source_w(rated(&assess(&shoulder).unwrap()), "output bearings")
    };
    let counted = |count: usize| source(&|drive| drive.losses.output_bearing_count = Some(count));
    let (usual, one, two) = (source(&|_| {}), counted(1), counted(2));
    assert_eq!(usual, one);
    // The load is there once, whatever the count.
    let free = two - one;
    assert!(free > 0.0 && (counted(3) - two - free).abs() < 1e-9 * two);
    let single = |drive: &mut Drive| {
        drive.bearings.output.as_mut().unwrap().kind = BearingKind::CylindricalRoller;
    };
    let usual = source(&single);
    let two = source(&|drive| {
        single(drive);
        drive.losses.output_bearing_count = Some(2);
    });
    assert_eq!(usual, two);
}

/// Sleeves of plastic on steel pins have the limit of their material, on pins of plastic half of it; pressure times speed grows with speed.
#[test]
fn identity_pressure_times_speed_of_plastic_sleeves() {
    let with = |pin: &str, speed_factor: f64| {
        let mut wrist = drive(&text("wrist-printed"));
        wrist.geometry.sleeve_radius_mm = Some(3.5);
        wrist.materials.sleeve = Some("pom-machined".to_owned());
        wrist.materials.output_pin = pin.to_owned();
        wrist.requirement.mean_input_speed_rad_per_s *= speed_factor;
        let assessment = assess(&wrist).unwrap();
        let found = finding(&assessment, "pressure-speed-pins");
        (found.value.unwrap(), found.limit.unwrap())
    };
    let (on_steel, limit) = with("bearing-steel", 1.0);
    assert_eq!(limit, 100.0);
    assert_eq!(with("nylon-machined", 1.0).1, 45.0);
    assert!((with("bearing-steel", 2.0).0 / on_steel - 2.0).abs() < 1e-9);
    // Hardened steel on hardened steel has no such limit, and no line.
    let shoulder = assess(&drive(&text("orchard-arm-shoulder"))).unwrap();
    assert!(shoulder.findings.iter().all(|finding| !finding.id.starts_with("pressure-speed")));
}

#[test]
fn identity_a_sleeve_loses_the_share_of_its_pin() {
    let bare = table(&[("geometry.pin_radius", "5 mm")]);
    let sleeved = table(&[
        ("geometry.pin_radius", "3 mm"),
        ("geometry.sleeve_radius", "5 mm"),
        ("materials.sleeve", "bearing-steel"),
        ("model.pin_bending", "false"),
    ]);
    let bare = source_w(rated(&bare), "output pins");
    let stiff = source_w(rated(&table(&[("model.pin_bending", "false")])), "output pins");
    let with_sleeve = source_w(rated(&sleeved), "output pins");
    assert!(with_sleeve < bare);
    assert!((with_sleeve / stiff - 0.6).abs() < 1e-9, "{}", with_sleeve / stiff);
}

#[test]
fn identity_steady_temperature_balances_the_heat() {
    let assessment = table(&[("requirement.running_share", "100 %")]);
    let heat = losses(&assessment).heat.as_ref().unwrap();
    let given_off =
        heat.heat_transfer_w_per_mm2_k * heat.cooling_area_mm2 * (heat.steady_temperature_k - 281.15);
    assert!((given_off / heat.mean_loss_power_w - 1.0).abs() < 1e-8);
    assert!(heat.viscosity_mm2_per_s.unwrap() > 68.0, "colder than 40 °C");
}

#[test]
fn identity_losses_tell_the_temperature_of_the_lubricant_where_there_is_one() {
    let told = |assessment: &Assessment| {
        let lines = &losses(assessment).assumptions;
        let line = lines.iter().find(|line| line.starts_with("Losses are those")).cloned();
        (line, finding(assessment, "efficiency").place.contains("lubricant"))
    };
    let (line, is_placed) = told(&table(&[]));
    assert!(line.unwrap().ends_with(
        "where heat comes to rest; films and modified lives take the stated operating_temperature, 40 °C."
    ));
    assert!(is_placed);
    let without = |line: &str| assess(&drive(&text("sorting-table-index").replace(line, ""))).unwrap();
    let (line, _) = told(&without("operating_temperature = \"40 °C\""));
    assert!(line.unwrap().ends_with("where heat comes to rest."));
    // Without a surface no heat is computed, and none comes to rest.
    let (line, _) = told(&without("housing_length = \"70 mm\""));
    assert!(line.unwrap().contains("25 °C, that of the housing"));
    let (line, is_placed) = told(&assess(&drive(&text("wrist-printed"))).unwrap());
    assert!(line.is_none() && !is_placed, "it runs dry");
}

#[test]
fn identity_thermal_torque_runs_at_the_limit() {
    let limit = ("losses.temperature_limit", "14 °C");
    let assessment = table(&[("requirement.running_share", "100 %"), limit]);
    let torque = losses(&assessment).heat.as_ref().unwrap().thermal_torque_n_mm.unwrap();
    assert_eq!(finding(&assessment, "thermal-torque").standing, Standing::Doubtful);
    assert_eq!(finding(&assessment, "steady-temperature").standing, Standing::Fails);
    // The same drive with that torque as its only duty gets as warm as the limit allows.
    let written = format!("{torque:.6} N·mm");
    let duty = text("sorting-table-index")
        .replace("torque = \"35 N·m\"\ninput_speed", &format!("torque = \"{written}\"\ninput_speed"));
    let duty =
        duty.replace("torque = \"27 N·m\"\ninput_speed", &format!("torque = \"{written}\"\ninput_speed"));
    let duty = duty.replace("running_share = \"30 %\"", "running_share = \"100 %\"");
    let again = assess(&drive(&duty)).unwrap();
    let steady = losses(&again).heat.as_ref().unwrap().steady_temperature_k;
    // Losses are interpolated between solved torques, which costs a hundredth of the rise.
    assert!((steady - 287.15).abs() < 0.06, "{steady}");
}

#[test]
fn identity_a_load_that_friction_holds_has_no_back_driving_torque() {
    let rough: Vec<(&str, &str)> = vec![
        ("losses.roller_friction", "0.5"),
        ("losses.pin_friction", "0.5"),
        ("losses.roller_support_friction", "0.5"),
    ];
    let assessment = table(&rough);
    assert_eq!(losses(&assessment).back_driving_torque_n_mm, None);
    assert!(losses(&assessment).back_driving_efficiency < 0.0);
    let smooth = table(&[]);
    let back = losses(&smooth).back_driving_torque_n_mm.unwrap();
    assert!(back > 19.0 * losses(&smooth).starting_torque_n_mm);
}

#[test]
fn identity_counterweights_in_two_planes_take_the_shaking_away() {
    let bare = table(&[("dynamics.balance_grade", "6.3 mm/s")]);
    let dynamics = bare.dynamics.as_ref().unwrap();
    assert_eq!(dynamics.unbalanced.unbalance_kg_mm, dynamics.mass.disc_unbalance_kg_mm);
    let weighted =
        table(&[("dynamics.counterweight_plane_1", "-14 mm"), ("dynamics.counterweight_plane_2", "20 mm")]);
    let balanced = weighted.dynamics.as_ref().unwrap();
    assert!(balanced.balanced.shaking_force_n < 1e-12 && balanced.balanced.shaking_couple_n_mm < 1e-10);
    assert_eq!(balanced.counterweights.len(), 2);
    assert_eq!(finding(&weighted, "balance").standing, Standing::Holds);
    let light = table(&[
        ("dynamics.counterweight_plane_1", "-14 mm"),
        ("dynamics.counterweight_plane_2", "20 mm"),
        ("dynamics.counterweight_1", "0 g·mm"),
    ]);
    assert_eq!(finding(&light, "balance").standing, Standing::Doubtful);
}

#[test]
fn identity_inertia_shortens_the_life_of_a_fast_bearing() {
    let life = |speed: &'static str| {
        let duty = text("sorting-table-index")
            .replace("\"317 rpm\"", &format!("\"{speed}\""))
            .replace("\"640 rpm\"", "\"9000 rpm\"");
        assess(&drive(&duty)).unwrap().eccentric_bearing.unwrap().equivalent_load_n
    };
    let (slow, fast) = (life("100 rpm"), life("6000 rpm"));
    // m e ω² is 328 N beside about 1.7 kN of mesh force that leans away from the crank.
    assert!(fast != slow && (fast / slow - 1.0).abs() < 0.2, "{slow} {fast}");
}

#[test]
fn identity_a_drive_that_cannot_mesh_says_so() {
    let assessment = table(&[("geometry.eccentricity", "2.6 mm")]);
    assert!(assessment.losses.is_none() && assessment.dynamics.is_none());
    for id in ["steady-temperature", "torsional-frequency"] {
        assert_eq!(finding(&assessment, id).standing, Standing::NotAssessed);
    }
}
