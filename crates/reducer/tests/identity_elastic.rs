//! Laws that elastic discs and rollers must keep, and closed forms that they must meet.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use curves::point::{Point, turned_left, unit};
use curves::{ClosedCurve, CurvePoint, math};
use nalgebra::{DMatrix, Vector3};
use proptest::prelude::*;
use reducer::contact::equilibrium::{Contact, DiscContacts, Problem, Workspace};
use reducer::contact::flank::LightGive;
use reducer::contact::support::{BearingLaw, CentreSupport, DiscSupport, RollerBearing};
use reducer::contact::{ContactModel, RollerLaw};
use reducer::elastic::disc::{BoreSupport, DiscShape, InfluenceTable};
use reducer::elastic::plane::{PlaneMaterial, PlaneState};
use reducer::elastic::resolution::{ComplianceError, Resolution};
use reducer::elastic::roller::RollerSeat;
use reducer::elastic::{ComplianceData, DiscCompliance};
use reducer::hertz::Elastic;
use reducer::line_contact::LineContact;
use reducer::profile::{LobeProfile, Trochoid};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

const STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
const PLA: Elastic = Elastic { elastic_modulus_mpa: 2_600.0, poisson_ratio: 0.36 };

/// A round outline, as a disc with lobes of no height.
#[derive(Debug)]
struct Round {
    radius_mm: f64,
}

impl ClosedCurve for Round {
    fn period(&self) -> f64 {
        TAU
    }

    fn at(&self, parameter: f64) -> CurvePoint {
        CurvePoint {
            position_mm: Point::from(unit(parameter) * self.radius_mm),
            tangent: turned_left(unit(parameter)),
            speed_mm: self.radius_mm,
            curvature_per_mm: 1.0 / self.radius_mm,
        }
    }

    fn natural_breaks(&self) -> Vec<f64> {
        vec![0.0]
    }
}

fn ring(outside_mm: f64, bore_mm: f64, material: &Elastic, bore_points: usize) -> InfluenceTable {
    let shape = DiscShape {
        lobe_count: 8,
        roller_radius_mm: outside_mm,
        hole_count: 0,
        hole_circle_radius_mm: 0.0,
        hole_radius_mm: 1.0,
        hole_phase_rad: 0.0,
        bore_radius_mm: bore_mm,
        valley_crowding: 0.0,
        lobe_depth_mm: outside_mm,
        hole_depth_mm: 1.0,
    };
    let plane = PlaneMaterial::of(material, PlaneState::Strain);
    let resolution = Resolution { lobe_points: 12, lobe_nodes: 12, hole_points: 20, bore_points };
    InfluenceTable::of(&Round { radius_mm: outside_mm }, &shape, &plane, BoreSupport::Bearing, resolution)
        .unwrap()
}

/// Thick ring under pressure in its bore, Lamé in plane strain.
#[test]
fn independent_thick_ring_under_pressure() {
    for material in [STEEL, PLA] {
        let (a, b) = (18.0, 40.0);
        let table = ring(b, a, &material, 48);
        let (e, nu) = (material.elastic_modulus_mpa, material.poisson_ratio);
        let pressure = 1.0 / (PI * a);
        let at_bore = pressure * a * (1.0 + nu) * ((1.0 - 2.0 * nu) * a * a + b * b) / (e * (b * b - a * a));
        let outside = pressure * 2.0 * a * a * b * (1.0 - nu * nu) / (e * (b * b - a * a));
        let even = table.first_wave();
        let found = table.coefficients[(even, even)];
        // The pattern's work is its pressure times the displacement all round.
        assert!((found / (2.0 * at_bore) - 1.0).abs() < 1e-6, "{found} {at_bore}");
        for node in 0..table.first_wave() {
            let found = -table.coefficients[(node, even)];
            assert!((found / outside - 1.0).abs() < 1e-6, "{node}: {found} {outside}");
        }
    }
}

/// A solid cylinder pressed by two opposite line loads gives `2P(1 − ν²)/(πE) (2 ln(4R/b) − 1)` in all (Johnson §5.6, from
/// memory); less both contacts down to the axis, `2 ln 2 − 1 + ν/(1 − ν)` of it is left to the body.
#[test]
fn independent_cylinder_between_two_line_loads() {
    for material in [STEEL, PLA] {
        let radius = 10.0;
        let table = ring(radius, 0.02, &material, 40);
        let opposite = table.first_wave() / 2;
        for node in 0..table.first_wave() / 8 {
            let c = |row: usize, column: usize| table.coefficients[(row, column)];
            let other = node + opposite;
            let found = c(node, node) + c(other, other) + 2.0 * c(node, other);
            let nu = material.poisson_ratio;
            let unit = 2.0 * (1.0 - nu * nu) / (PI * material.elastic_modulus_mpa);
            let expected = unit * (2.0 * math::ln(2.0) - 1.0 + nu / (1.0 - nu));
            assert!((found - expected).abs() < 1e-4 * unit, "{} {}", found / unit, expected / unit);
        }
    }
}

fn steel_drive() -> ContactModel {
    let trochoid = Trochoid { ring_roller_count: 12, ring_radius_mm: 35.0, eccentricity_mm: 1.75 };
    let law = LineContact::linear(2e5);
    ContactModel {
        profile: LobeProfile::new(trochoid, 3.5, 0.0),
        ring_roller_count: 12,
        ring_radius_mm: 35.0,
        roller_radius_mm: 3.5,
        eccentricity_mm: 1.75,
        disc_count: 2,
        pin_count: 5,
        pin_circle_radius_mm: 21.0,
        pin_phase_rad: 0.2,
        pin_play_radius_mm: 1.75,
        roller_law: RollerLaw::Uniform(law),
        roller_compliance_mm_per_n: vec![0.0; 2],
        pin_laws: vec![law; 2],
        support: CentreSupport::default(),
        re_evaluates_gaps: false,
        compliance: None,
        deviations: None,
        light_give: LightGive::default(),
    }
}

fn data(material: Elastic) -> ComplianceData {
    ComplianceData {
        shape: DiscShape {
            lobe_count: 11,
            roller_radius_mm: 3.5,
            hole_count: 5,
            hole_circle_radius_mm: 21.0,
            hole_radius_mm: 5.25,
            hole_phase_rad: 0.2,
            bore_radius_mm: 11.0,
            valley_crowding: 0.0,
            lobe_depth_mm: 3.5,
            hole_depth_mm: 3.5,
        },
        disc_count: 2,
        width_mm: 8.0,
        roller_length_mm: 8.0,
        disc: material,
        roller: material,
        seat_half_wrap_rad: Some(0.5 * PI),
        state: PlaneState::Strain,
        support: BoreSupport::Bearing,
    }
}

fn elastic_drive(material: Elastic) -> ContactModel {
    let model = steel_drive();
    let compliance = DiscCompliance::of(&model.profile, data(material)).unwrap();
    assert!(compliance.asymmetry() < 5e-3, "{}", compliance.asymmetry());
    ContactModel { compliance: Some(Arc::new(compliance)), ..model }
}

/// Matrices are symmetric and positive definite at every crank angle, and scale with the modulus.
#[test]
fn identity_compliance_is_symmetric_and_positive() {
    let models = [elastic_drive(STEEL), elastic_drive(PLA)];
    for step in 0..25 {
        for sense in [1.0, -1.0] {
            for model in &models {
                let position = model.position(f64::from(step) * 0.11, sense);
                for disc in &position.contacts {
                    let count = disc.contacts.len();
                    let matrix = DMatrix::from_row_slice(count, count, &disc.bulk);
                    assert!((&matrix - matrix.transpose()).amax() <= 1e-15 * matrix.amax());
                    let least = matrix.clone().symmetric_eigenvalues().min();
                    assert!(least > 0.0, "{least:e} of {:e}", matrix.amax());
                }
            }
        }
    }
}

/// Bodies a million times stiffer leave the rigid solution; softer ones give more wind-up.
#[test]
fn identity_stiff_bodies_give_the_rigid_solution() {
    let rigid = steel_drive();
    let stiff = elastic_drive(Elastic { elastic_modulus_mpa: 2e14, ..STEEL });
    let steel = elastic_drive(STEEL);
    for step in 0..5 {
        let solve = |model: &ContactModel| {
            let position = model.position(f64::from(step) * 0.3, 1.0);
            model.solve(&position, 4e4, None).unwrap()
        };
        let (rigid, stiff, steel) = (solve(&rigid), solve(&stiff), solve(&steel));
        let scale = rigid.displacements.plate_rad;
        assert!((stiff.displacements.plate_rad - scale).abs() < 1e-6 * scale);
        for (a, b) in rigid.forces[0].roller_n.iter().zip(&stiff.forces[0].roller_n) {
            assert!((a - b).abs() < 1e-2, "{a} {b}");
        }
        assert!(steel.displacements.plate_rad > 1.1 * scale);
    }
}

/// A roller bearing with clearance, on a crank that yields.
fn roller_bearing(play_mm: f64, crank_compliance_mm_per_n: f64) -> CentreSupport {
    let bearing = BearingLaw::Rollers(RollerBearing {
        element_count: 14,
        row_count: 1,
        contact: LineContact::palmgren(7.0).between_races(1),
        race_depth_mm: 2.0,
        play_mm,
        diameter_ratio: 0.2,
        cage_phase_rad: 0.1,
    });
    CentreSupport { bearing, crank_compliance_mm_per_n }
}

/// Rollers that press on stiff bodies are those that hold a rigid disc, with play, preload and a crank that yields.
#[test]
fn identity_rollers_in_the_bore_of_stiff_bodies() {
    for (play_mm, crank) in [(0.0, 0.0), (0.004, 0.0), (-0.002, 0.0), (0.004, 3e-6)] {
        let support = roller_bearing(play_mm, crank);
        let rigid = ContactModel { support, ..steel_drive() };
        let stiff = ContactModel { support, ..elastic_drive(Elastic { elastic_modulus_mpa: 2e14, ..STEEL }) };
        let steel = ContactModel { support, ..elastic_drive(STEEL) };
        for step in 0..5 {
            let solve = |model: &ContactModel| {
                let position = model.position(f64::from(step) * 0.3, 1.0);
                let (position, unloaded) = model.at_rest(position, 4e4, None).unwrap();
                (model.solve(&position, 4e4, None).unwrap(), unloaded.plate_rad)
            };
            let ((rigid, rigid_free), (stiff, stiff_free), (steel, _)) =
                (solve(&rigid), solve(&stiff), solve(&steel));
            let scale = rigid.displacements.plate_rad;
            assert!((stiff.displacements.plate_rad - scale).abs() < 1e-5 * scale, "{play_mm} {crank}");
            assert!((stiff_free - rigid_free).abs() < 1e-5 * scale, "{stiff_free} {rigid_free}");
            for (a, b) in rigid.forces[0].bore_n.iter().zip(&stiff.forces[0].bore_n) {
                assert!((a - b).abs() < 1e-3 * rigid.forces[0].bearing_n.norm(), "{a} {b}");
            }
            assert!(steel.displacements.plate_rad > 1.03 * scale);
        }
    }
}

/// Elastic discs on rollers with play settle from a cold start at any crank angle, either sense, from small torques to large.
#[test]
fn identity_elastic_discs_on_rollers_settle_from_a_cold_start() {
    let elastic = elastic_drive(STEEL);
    let mut most_steps = 0;
    for index in 0_i32..300 {
        let play_mm = 0.001 * f64::from(index % 21) - 0.004;
        let crank = if index % 4 == 0 { 2e-6 } else { 0.0 };
        let model = ContactModel { support: roller_bearing(play_mm, crank), ..elastic.clone() };
        let size = math::pow(10.0, 2.5 + 0.01 * f64::from(index));
        let torque = if index % 2 == 0 { size } else { -size };
        let position = model.position(0.37 * f64::from(index), torque);
        let (position, _) = model
            .at_rest(position, torque, None)
            .unwrap_or_else(|error| panic!("{index} without load: {error}"));
        let loaded = model.solve(&position, torque, None).unwrap_or_else(|error| panic!("{index}: {error}"));
        most_steps = most_steps.max(loaded.displacements.step_count);
    }
    println!("{most_steps} steps at most");
    assert!(most_steps < 120, "{most_steps}");
}

/// Without gaps and with linear laws the drive is linear: the torque's work is twice the stored energy.
#[test]
fn identity_work_of_the_torque_is_stored() {
    let model = elastic_drive(STEEL);
    for step in 0..8 {
        let position = model.position(f64::from(step) * 0.17, 1.0);
        let torque = 4e4;
        let loaded = model.solve(&position, torque, None).unwrap();
        let mut energy = 0.0;
        for (disc, contacts) in position.contacts.iter().enumerate() {
            let forces = &loaded.displacements.elastic_forces_n[disc];
            let count = forces.len();
            for row in 0..count {
                let bulk: f64 = (0..count).map(|k| contacts.bulk[row * count + k] * forces[k]).sum();
                let own = contacts.contacts[row].law.approach_mm(forces[row]);
                energy += 0.5 * forces[row] * (bulk + own);
            }
        }
        let work = 0.5 * torque * (loaded.displacements.plate_rad - position.touch.plate_rad);
        assert!((work / energy - 1.0).abs() < 1e-6, "{work} {energy}");
    }
}

/// Both discs are the same part where their phase is a whole number of lobes and holes; one wall must be left.
#[test]
fn identity_crossing_boundaries_are_refused() {
    let mut crossing = data(STEEL);
    crossing.shape.bore_radius_mm = 16.5;
    let error = DiscCompliance::of(&steel_drive().profile, crossing).unwrap_err();
    assert!(matches!(error, ComplianceError::NoWall { wall_mm } if wall_mm < 0.0));
}

/// A roller is softer the less its seat wraps it, and the same to both sides.
#[test]
fn identity_seats_that_wrap_more_are_stiffer() {
    for state in [PlaneState::Strain, PlaneState::Stress] {
        let material = PlaneMaterial::of(&STEEL, state);
        let seats: Vec<_> =
            [0.7, 1.0, 1.3, 1.6].iter().map(|&half| RollerSeat::of(&material, half).unwrap()).collect();
        for angle in [0.0, 0.2, 0.5, 0.8, 1.1] {
            let values: Vec<f64> = seats.iter().map(|seat| seat.compliance_mm2_per_n(angle)).collect();
            assert!(values.windows(2).all(|pair| pair[0] > pair[1]), "{values:?}");
            assert!((seats[0].compliance_mm2_per_n(-angle) - values[0]).abs() < 1e-18);
        }
    }
}

/// The coefficients settle as the points grow: those of the chosen resolution are within 1 % of the largest.
#[test]
fn identity_coefficients_converge() {
    let profile = steel_drive().profile;
    let plane = PlaneMaterial::of(&STEEL, PlaneState::Strain);
    let shape = data(STEEL).shape;
    let table =
        |resolution| InfluenceTable::of(&profile, &shape, &plane, BoreSupport::Bearing, resolution).unwrap();
    let chosen = Resolution::of(&profile, &shape, &plane);
    let finer =
        Resolution { lobe_points: 2 * chosen.lobe_points, bore_points: 2 * chosen.bore_points, ..chosen };
    let (chosen, finer) = (table(chosen), table(finer));
    let places = chosen.first_wave();
    let among = |table: &InfluenceTable| table.coefficients.view((0, 0), (places, places)).into_owned();
    let largest = finer.coefficients.amax();
    let worst = (among(&chosen) - among(&finer)).amax() / largest;
    assert!(worst < 1e-2, "{worst}");
    assert!(finer.asymmetry < chosen.asymmetry);
}

/// A disc of contacts with random places, gaps and bodies, one pin that couples it to the plate.
fn random_disc() -> impl Strategy<Value = DiscContacts> {
    let contact = (-0.5..3.0_f64, -30.0..30.0_f64, 0.0..0.02_f64, any::<bool>());
    let seeds = proptest::collection::vec(-1.0..1.0_f64, 400);
    (proptest::collection::vec(contact, 2..19), seeds, 1e-7..1e-4_f64).prop_map(|(places, seeds, size)| {
        let mut contacts: Vec<Contact> = places
            .into_iter()
            .map(|(direction, lever, gap_mm, is_linear)| {
                let law = if is_linear { LineContact::linear(2e5) } else { LineContact::palmgren(10.0) };
                let (sine, cosine) = math::sin_cos(direction);
                Contact { disc_row: Vector3::new(cosine, sine, lever), plate_row_mm: 0.0, gap_mm, law }
            })
            .collect();
        // The first contact resists the torque, so that an equilibrium exists.
        contacts[0].disc_row.z = 20.0;
        contacts.push(Contact {
            disc_row: Vector3::new(0.0, 0.0, -20.0),
            plate_row_mm: 20.0,
            gap_mm: 0.01,
            law: LineContact::palmgren(10.0),
        });
        let count = contacts.len();
        let factor = DMatrix::from_fn(count, count, |row, column| seeds[(row * 20 + column) % seeds.len()]);
        let bodies = (&factor * factor.transpose() + DMatrix::identity(count, count) * 2.0) * size;
        let centre = DiscSupport { law: CentreSupport::spring(1e5), ..DiscSupport::default() };
        DiscContacts { contacts, centre, given: Vector3::zeros(), bulk: bodies.as_slice().to_vec().into() }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// From a cold start every random problem settles, forces push, gaps stay open, and approaches add up.
    #[test]
    fn identity_elastic_equilibrium_from_a_cold_start(
        discs in proptest::collection::vec(random_disc(), 1..3),
        torque in 1e2..1e6_f64,
    ) {
        let problem = Problem { discs: &discs, plate_torque_n_mm: torque, lever_scale_mm: 20.0 };
        let solved = problem.solve(None, &mut Workspace::default()).unwrap();
        prop_assert!(solved.residual_ratio <= 1e-9);
        for (index, disc) in discs.iter().enumerate() {
            let forces = &solved.elastic_forces_n[index];
            let count = forces.len();
            for row in 0..count {
                let contact = &disc.contacts[row];
                let bulk: f64 = (0..count).map(|k| disc.bulk[row * count + k] * forces[k]).sum();
                let approach = contact.approach_mm(&solved.discs[index], solved.plate_rad);
                let left = approach - bulk - contact.law.approach_mm(forces[row]);
                let scale = approach.abs() + bulk.abs() + 1e-6;
                prop_assert!(forces[row] >= 0.0);
                if forces[row] > 0.0 {
                    prop_assert!(left.abs() < 1e-8 * scale, "{left} of {scale}");
                } else {
                    prop_assert!(left < 1e-8 * scale, "{left} of {scale}");
                }
            }
        }
    }
}
