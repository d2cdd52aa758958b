//! Discs that the tests and the read-back checks share.
#![allow(dead_code, reason = "each test binary uses its own part of this")]

use curves::plate::{Plate, RoundHole};
use curves::point::{Point, polar};
use exchange::ExportOptions;
use reducer::model::Geometry;
use reducer::profile::{LobeProfile, Trochoid};

/// A disc by the numbers that an independent program needs to build it again.
#[derive(Clone, Copy, Debug)]
pub struct SampleDisc<'a> {
    pub name: &'a str,
    pub ring_roller_count: usize,
    pub ring_radius_mm: f64,
    pub roller_radius_mm: f64,
    pub eccentricity_mm: f64,
    /// δr: added to the radius of the generating roller.
    pub equidistant_offset_mm: f64,
    /// δR: added to the radius of the generating ring.
    pub ring_radius_shift_mm: f64,
    /// δα: angle between the two cuts that relieve the flanks.
    pub flank_rotation_rad: f64,
    pub thickness_mm: f64,
    pub bore_radius_mm: f64,
    pub hole_count: usize,
    pub hole_circle_radius_mm: f64,
    pub hole_radius_mm: f64,
    pub hole_phase_rad: f64,
}

const CASE_A: SampleDisc<'static> = SampleDisc {
    name: "case-a",
    ring_roller_count: 40,
    ring_radius_mm: 77.5,
    roller_radius_mm: 4.0,
    eccentricity_mm: 1.5,
    equidistant_offset_mm: 0.0,
    ring_radius_shift_mm: 0.0,
    flank_rotation_rad: 0.0,
    thickness_mm: 14.0,
    bore_radius_mm: 29.0,
    hole_count: 12,
    hole_circle_radius_mm: 50.0,
    hole_radius_mm: 8.5,
    hole_phase_rad: 0.0,
};

const CASE_C: SampleDisc<'static> = SampleDisc {
    name: "case-c",
    ring_roller_count: 12,
    ring_radius_mm: 40.0,
    roller_radius_mm: 5.0,
    eccentricity_mm: 2.0,
    thickness_mm: 8.0,
    bore_radius_mm: 11.0,
    hole_count: 6,
    hole_circle_radius_mm: 22.0,
    hole_radius_mm: 6.0,
    ..CASE_A
};

/// Nominal and modified discs over the range of lobe counts and shortening coefficients.
pub const SAMPLES: [SampleDisc<'static>; 10] = [
    CASE_A,
    SampleDisc {
        name: "case-b",
        ring_radius_mm: 64.0,
        roller_radius_mm: 3.0,
        eccentricity_mm: 1.3,
        thickness_mm: 10.0,
        bore_radius_mm: 24.0,
        hole_count: 8,
        hole_circle_radius_mm: 41.0,
        hole_radius_mm: 7.3,
        ..CASE_A
    },
    CASE_C,
    SampleDisc { name: "case-d", eccentricity_mm: 1.0, hole_radius_mm: 5.0, ..CASE_C },
    SampleDisc {
        name: "case-a-modified",
        equidistant_offset_mm: 0.015,
        ring_radius_shift_mm: -0.010,
        hole_phase_rad: 0.040_276_829_421_783_57,
        ..CASE_A
    },
    SampleDisc { name: "case-c-tight", equidistant_offset_mm: -0.02, ring_radius_shift_mm: -0.03, ..CASE_C },
    SampleDisc { name: "case-c-relieved", flank_rotation_rad: 0.002, ..CASE_C },
    SampleDisc {
        name: "reference-1",
        ring_radius_mm: 35.0,
        roller_radius_mm: 3.5,
        eccentricity_mm: 1.75,
        hole_count: 5,
        hole_circle_radius_mm: 21.0,
        hole_radius_mm: 5.25,
        ..CASE_C
    },
    SampleDisc {
        name: "reference-2",
        ring_roller_count: 20,
        ring_radius_mm: 50.0,
        roller_radius_mm: 3.5,
        eccentricity_mm: 1.75,
        equidistant_offset_mm: 0.02,
        ring_radius_shift_mm: -0.02,
        thickness_mm: 10.0,
        bore_radius_mm: 18.0,
        hole_count: 8,
        hole_circle_radius_mm: 31.0,
        hole_radius_mm: 6.25,
        ..CASE_A
    },
    SampleDisc {
        name: "near-undercut",
        roller_radius_mm: 11.5,
        bore_radius_mm: 8.0,
        hole_count: 4,
        hole_circle_radius_mm: 17.0,
        hole_radius_mm: 4.0,
        ..CASE_C
    },
];

impl<'a> SampleDisc<'a> {
    /// The small disc that snapshots show.
    pub const SMALL: SampleDisc<'static> = CASE_C;

    /// Disc `disc` of a drive by the plain numbers of its drive file.
    pub fn of_drive(name: &'a str, geometry: &Geometry, disc: usize) -> Self {
        let modification = &geometry.modification;
        let pin_outside_mm = geometry.sleeve_radius_mm.unwrap_or(geometry.pin_radius_mm);
        Self {
            name,
            ring_roller_count: geometry.ring_roller_count,
            ring_radius_mm: geometry.ring_radius_mm,
            roller_radius_mm: geometry.roller_radius_mm,
            eccentricity_mm: geometry.eccentricity_mm,
            equidistant_offset_mm: modification.equidistant_offset_mm,
            ring_radius_shift_mm: modification.ring_radius_shift_mm,
            flank_rotation_rad: modification.flank_rotation_rad,
            thickness_mm: geometry.disc_width_mm,
            bore_radius_mm: geometry.bore_radius_mm,
            hole_count: geometry.pin_count,
            hole_circle_radius_mm: geometry.pin_circle_radius_mm,
            hole_radius_mm: pin_outside_mm + geometry.eccentricity_mm + 0.5 * geometry.hole_clearance_mm,
            hole_phase_rad: reducer::phase::hole_phase_rad(geometry, disc),
        }
    }

    pub fn profile(&self) -> LobeProfile {
        let trochoid = Trochoid {
            ring_roller_count: self.ring_roller_count,
            ring_radius_mm: self.ring_radius_mm + self.ring_radius_shift_mm,
            eccentricity_mm: self.eccentricity_mm,
        };
        LobeProfile::new(
            trochoid,
            self.roller_radius_mm + self.equidistant_offset_mm,
            0.5 * self.flank_rotation_rad,
        )
    }

    pub fn plate(&self) -> Plate {
        let mut holes = vec![RoundHole {
            name: "bore".to_owned(),
            centre_mm: Point::origin(),
            radius_mm: self.bore_radius_mm,
        }];
        holes.extend((0..self.hole_count).map(|index| {
            let angle_rad =
                self.hole_phase_rad + std::f64::consts::TAU * index as f64 / self.hole_count as f64;
            RoundHole {
                name: format!("output hole {}", index + 1),
                centre_mm: polar(self.hole_circle_radius_mm, angle_rad),
                radius_mm: self.hole_radius_mm,
            }
        }));
        Plate {
            name: self.name.to_owned(),
            outline: Box::new(self.profile()),
            holes,
            thickness_mm: self.thickness_mm,
        }
    }

    pub fn options(&self) -> ExportOptions {
        ExportOptions {
            revision: "A".to_owned(),
            notes: vec![format!(
                "holes turned by {:.6}° from the valley of a lobe on the x axis",
                reducer::units::degrees(self.hole_phase_rad)
            )],
            ..ExportOptions::default()
        }
    }

    /// What an independent program is told, and no more: the numbers of the design.
    pub fn expected_json(&self) -> serde_json::Value {
        serde_json::json!({
            "name": self.name,
            "revision": "A",
            "tolerance_mm": self.options().tolerance_mm,
            "ring_roller_count": self.ring_roller_count,
            "ring_radius_mm": self.ring_radius_mm,
            "roller_radius_mm": self.roller_radius_mm,
            "eccentricity_mm": self.eccentricity_mm,
            "equidistant_offset_mm": self.equidistant_offset_mm,
            "ring_radius_shift_mm": self.ring_radius_shift_mm,
            "flank_rotation_rad": self.flank_rotation_rad,
            "thickness_mm": self.thickness_mm,
            "bore_radius_mm": self.bore_radius_mm,
            "hole_count": self.hole_count,
            "hole_circle_radius_mm": self.hole_circle_radius_mm,
            "hole_radius_mm": self.hole_radius_mm,
            "hole_phase_rad": self.hole_phase_rad,
        })
    }
}
