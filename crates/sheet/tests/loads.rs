//! Maps and polar plots of loads: they show what was computed, over a whole turn of the crank.

use reducer::assess::{assess, model_of};
use reducer::kinematics;
use reducer::loads::pose_at;
use reducer::model::{BearingModel, DiscModel, Drive};
use reducer::results::Assessment;
use reducer::units::degrees;
use sheet::figure::{Body, Figure, Map, Polar};
use sheet::figures;
use std::f64::consts::TAU;

fn example(name: &str) -> (Drive, Assessment) {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(path).expect("shipped examples are there");
    let drive = schema::read(name, &text).expect("shipped examples can be read").drive;
    let assessment = assess(&drive).expect("shipped examples can be assessed");
    (drive, assessment)
}

fn map_of(figure: &Figure) -> &Map {
    let Body::Map(map) = &figure.body else { panic!("{} is no map", figure.id) };
    map
}

fn polar_of(figure: &Figure) -> &Polar {
    let Body::Polar(polar) = &figure.body else { panic!("{} is no polar plot", figure.id) };
    polar
}

#[test]
fn identity_maps_hold_the_greatest_load_and_as_many_contacts_as_carry() {
    for name in ["orchard-arm-shoulder", "wrist-printed"] {
        let (drive, assessment) = example(name);
        let case = &assessment.load_cases[0];
        let forces = figures::force_map(&drive, case);
        let pressures = figures::pressure_map(&drive, case);
        let greatest = |figure: &Figure, panel: usize| {
            map_of(figure).panels[panel].cells.iter().flatten().flatten().copied().fold(0.0, f64::max)
        };
        assert_eq!(greatest(&forces, 0), case.extremes.ring_roller_force.value);
        assert_eq!(greatest(&pressures, 0), case.extremes.ring_roller_pressure.value);
        let panel = &map_of(&forces).panels[0];
        assert_eq!(panel.cells.len(), drive.geometry.ring_roller_count);
        let (fewest, most) = case.extremes.carrying_roller_count;
        for column in 0..panel.x_edges.len() - 1 {
            let carrying = panel.cells.iter().filter(|row| row[column].is_some()).count();
            assert!((fewest..=most).contains(&carrying), "{name} column {column}: {carrying}");
        }
        assert!(panel.x_edges.is_sorted() && panel.x_edges[0] == 0.0);
    }
}

/// Beyond the computed period a map repeats it with the contacts moved on; a solution there says the same.
///
/// Bodies are rigid here: the coefficients of elastic ones are interpolated, which repeats to some 1e-5 only.
#[test]
fn identity_maps_go_on_beyond_the_period() {
    let (mut drive, _) = example("sluice-gate-lift");
    drive.model.disc = DiscModel::Rigid;
    drive.model.eccentric_bearing = BearingModel::Rigid;
    let assessment = assess(&drive).expect("the example can be assessed with rigid discs too");
    let case = &assessment.load_cases[0];
    let period = kinematics::roller_period_rad(&drive.geometry)
        * kinematics::roller_periods_in_pin_period(&drive.geometry) as f64;
    assert!(period < 0.5 * TAU, "the example was chosen for its short period");
    let figure = figures::force_map(&drive, case);
    let map = map_of(&figure);
    let (model, materials) = model_of(&drive).expect("the materials of the examples are known");
    let disc = case.extremes.ring_roller_force.disc;
    for (passed, pose) in [(1.0, &case.poses[7]), (2.0, &case.poses[31])] {
        let crank_angle = pose.crank_angle_rad + passed * period;
        let solved = pose_at(&drive, &model, &materials, case.output_torque_n_mm, crank_angle)
            .expect("every crank angle has an equilibrium");
        let state = &solved.discs[disc];
        for (panel, forces) in map.panels.iter().zip([&state.ring_roller_force_n, &state.output_pin_force_n])
        {
            let column = panel.x_edges.partition_point(|edge| *edge < degrees(crank_angle)) - 1;
            for (row, force) in forces.iter().enumerate() {
                let shown = panel.cells[row][column].unwrap_or(0.0);
                assert!((shown - force).abs() < 1e-6 * panel.scale.range[1], "{row}: {shown} {force}");
            }
        }
    }
}

/// Both frames show the same lengths, and in the frame of the ring the path follows the crank round.
#[test]
fn identity_bearing_forces_have_one_length_in_both_frames() {
    let (drive, assessment) = example("sluice-gate-lift");
    let case = &assessment.load_cases[0];
    let figure = figures::bearing_force(&drive, case);
    let [on_crank, in_ring] = &polar_of(&figure).panels[..] else { panic!("two frames") };
    assert_eq!(on_crank.series.len(), drive.geometry.disc_count);
    for (crank, ring) in on_crank.series.iter().zip(&in_ring.series) {
        let mut turned = 0.0;
        let (crank, ring) = (&crank.pieces[0], &ring.pieces[0]);
        for (a, b) in crank.iter().zip(ring) {
            assert!((curves::math::hypot(a[0], a[1]) - curves::math::hypot(b[0], b[1])).abs() < 1e-6);
        }
        for pair in ring.windows(2) {
            let cross = pair[0][0] * pair[1][1] - pair[0][1] * pair[1][0];
            let dot = pair[0][0] * pair[1][0] + pair[0][1] * pair[1][1];
            turned += curves::math::atan2(cross, dot);
        }
        assert!((turned - TAU).abs() < 0.1, "{turned}");
    }
}

/// The wind-up starts at nothing, rises with torque, and its stiffness is the one that the verdict uses.
#[test]
fn identity_twist_rises_with_torque() {
    for name in ["orchard-arm-shoulder", "wrist-printed"] {
        let (drive, assessment) = example(name);
        let dynamics = assessment.dynamics.as_ref().expect("the examples mesh");
        let points = &dynamics.torque_twist;
        assert_eq!((points[0].output_torque_n_mm, points[0].windup_rad), (0.0, 0.0));
        assert!(points.is_sorted_by(|a, b| {
            a.output_torque_n_mm < b.output_torque_n_mm && a.windup_rad < b.windup_rad
        }));
        let rated = drive.requirement.rated_torque_n_mm;
        let at = |share: f64| points.iter().find(|point| point.output_torque_n_mm == share * rated);
        let (half, full) = (at(0.5).expect("half is solved"), at(1.0).expect("rated is solved"));
        let slope = 0.5 * rated / (full.windup_rad - half.windup_rad);
        assert_eq!(Some(slope), dynamics.secant_stiffness_n_mm_per_rad);
        let twist_loop = assessment.torque_twist_loop.as_ref().expect("friction does not lock the examples");
        assert!(figures::torque_twist(&drive, twist_loop).is_some());
    }
}

#[test]
fn identity_efficiency_names_the_temperature_of_a_lubricant_that_is_there() {
    for (name, is_lubricated) in [("sorting-table-index", true), ("wrist-printed", false)] {
        let (drive, assessment) = example(name);
        let losses = assessment.losses.as_ref().expect("the examples mesh");
        for figure in [figures::efficiency(&drive, losses), figures::efficiency_map(&drive, losses)] {
            let caption: String = figure.caption.pieces.iter().map(|piece| piece.text.as_str()).collect();
            assert_eq!(caption.contains(", lubricant at"), is_lubricated, "{caption}");
        }
    }
}
