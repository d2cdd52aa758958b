//! The drive as its designer states it: requirement, geometry, materials, bearings, choices.
//!
//! Every struct here is a table of the drive file, in core units and range-checked, nothing more:
//! what follows from the values (lobe count, hole radius, whether it meshes) belongs to later modules.
//! Order of the tables is the order in which people are shown them.

pub mod describe;
pub mod record;

use crate::units::Dimension as D;
use record::Kind::{self, Choice as OneOf, Count, Flag, List, Quantity, Text};
use record::Presence::{Default as Or, Optional, Required};
use record::{Tabled, choice, record};
use std::f64::consts::TAU;

/// Number of the drive-file format that this program reads and writes.
pub const DRIVE_FILE_FORMAT: usize = 1;

/// For values without a numeric range.
const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
/// Lengths of parts: from a hundredth of a millimetre to five metres.
const PART: (f64, f64) = (0.01, 5_000.0);
/// Lengths that may be nothing.
const PART_OR_ZERO: (f64, f64) = (0.0, 5_000.0);
/// Corrections and clearances, either sign.
const SMALL_SIGNED: (f64, f64) = (-2.0, 2.0);
/// Clearances and tolerances, never negative.
const SMALL: (f64, f64) = (0.0, 2.0);
/// Forces on a drive.
const FORCE: (f64, f64) = (0.0, 1e8);
/// Torques on a drive, in N·mm.
const TORQUE: (f64, f64) = (0.0, 1e11);
/// Shaft speeds: up to 30,000 rpm in rad/s.
const SPEED: (f64, f64) = (0.0, 3_141.6);
/// Half widths of temperature bands, as differences in K.
const TEMPERATURE_BAND: (f64, f64) = (0.0, 150.0);
/// Temperatures a drive may see: −80 °C to 250 °C in K.
const TEMPERATURE: (f64, f64) = (193.15, 523.15);
/// Coefficients of friction: from a good rolling bearing to dry plastic.
const FRICTION: (f64, f64) = (0.0, 1.5);
/// Places along the axis, either side of the middle of the discs.
const AXIAL_PLACE: (f64, f64) = (-5_000.0, 5_000.0);
/// A share of a whole.
const SHARE: (f64, f64) = (0.0, 1.0);
/// Times from a millisecond to a century.
const TIME: (f64, f64) = (1e-3, 3.2e9);

const fn section<T: Tabled>() -> Kind {
    Kind::Section(&const { T::SECTION })
}

const fn list<T: Tabled>() -> Kind {
    List(&const { T::SECTION })
}

choice! {
    /// Which of the two slow members stands still.
    HeldMember {
        "ring" => Ring "The ring is held and the output plate turns, against the crank.",
        "plate" => Plate "The output plate is held and the ring turns, with the crank.",
    }
}

choice! {
    /// How the axis of the drive stands.
    AxisDirection {
        "horizontal" => Horizontal "The axis lies level.",
        "output-up" => OutputUp "The axis is vertical, output on top.",
        "output-down" => OutputDown "The axis is vertical, output below.",
    }
}

choice! {
    /// How the lobes of the discs are made; it decides what can be held.
    Production {
        "ground" => Ground "Hardened and profile-ground.",
        "milled" => Milled "Milled on a machining centre.",
        "wire-cut" => WireCut "Cut by wire electrical discharge.",
        "printed" => Printed "3D-printed.",
    }
}

choice! {
    /// What holds a ring roller.
    RollerSupport {
        "seat" => Seat "It lies in a round seat in the ring along its whole length.",
        "pin" => Pin "It turns on a pin that is held at both ends.",
    }
}

choice! {
    /// Where a ring roller gives way to the sliding of the lobes.
    RollerTurning {
        "auto" => Auto "In its seat, or on its pin where `roller_pin_radius` is given; fixed otherwise.",
        "fixed" => Fixed "It does not turn: the lobe slides on it.",
        "in-seat" => InSeat "It rolls on the lobe and slides in its seat.",
        "on-pin" => OnPin "It rolls on the lobe and turns on its pin or pin bearing.",
    }
}

choice! {
    /// What holds an output pin.
    PinSupport {
        "cantilever" => Cantilever "It is pressed into one plate and free at the other end.",
        "both-ends" => BothEnds "It is held in a plate on either side of the discs.",
    }
}

choice! {
    /// How the rolling elements of a bearing look; it decides the rating formula.
    BearingKind {
        "cylindrical-roller" => CylindricalRoller "Cylindrical rollers, machined rings.",
        "needle" => Needle "Needle rollers, machined rings or straight on hardened shaft and bore.",
        "drawn-cup-needle" => DrawnCupNeedle "Needle rollers in a drawn cup.",
        "deep-groove-ball" => DeepGrooveBall "Deep-groove ball bearing.",
        "angular-contact-pair" => AngularContactPair "Two rows of angular-contact balls, back to back: carries force from all sides and tilting.",
        "tapered-roller-pair" => TaperedRollerPair "Two rows of tapered rollers, back to back: carries force from all sides and tilting.",
        "crossed-roller" => CrossedRoller "Ring of rollers that stand crosswise by turns: carries force from all sides and tilting.",
    }
}

choice! {
    /// The lubricant's form.
    LubricantKind {
        "grease" => Grease "Grease filling.",
        "oil" => Oil "Oil bath.",
        "dry" => Dry "No lubricant but the material itself.",
    }
}

choice! {
    /// How clean the lubricant stays, in the classes of ISO 281; it decides how far a bearing's life is cut by dents.
    Cleanliness {
        "extreme" => Extreme "Particles no larger than the lubricant film: laboratory conditions.",
        "high" => High "Finely filtered oil, or a bearing sealed and greased for life; oil code -/13/10.",
        "normal" => Normal "Filtered oil, or a shielded greased bearing; oil code -/15/12.",
        "slight" => Slight "A little dirt in the lubricant; oil code -/17/14.",
        "typical" => Typical "Wear particles of other parts, coarse filter or none; oil code -/19/16.",
        "severe" => Severe "Dirty surroundings and poor seals; oil code -/21/18.",
        "very-severe" => VerySevere "So dirty that the method gives no life.",
    }
}

choice! {
    /// The law between force and approach of a line contact.
    ContactLaw {
        "auto" => Auto "Palmgren where both bodies are steel, two cylinders otherwise.",
        "palmgren" => Palmgren "Palmgren's line-contact law, steel on steel.",
        "brandlein" => Brandlein "Brändlein's line-contact law, steel on steel: under working loads a tenth softer than Palmgren's.",
        "two-cylinders" => TwoCylinders "Plane-strain approach of two cylinders, any material.",
        "linear" => Linear "A constant stiffness per contact, to compare with other calculations.",
    }
}

choice! {
    /// What gives beside the contacts.
    DiscModel {
        "auto" => Auto "Elastic, but rigid with a law fitted to rollers, which holds their give already, or a constant one.",
        "elastic" => Elastic "Lobes, webs and seated rollers give; contacts follow the two-cylinder law.",
        "rigid" => Rigid "Nothing gives but the contacts and the bending pins.",
    }
}

choice! {
    /// What the eccentric bearings give in the load model.
    BearingModel {
        "auto" => Auto "By their `stiffness` where that is given, by their rollers where what is inside is known, rigid otherwise.",
        "rigid" => Rigid "Nothing: they hold the discs' centres on the crank, without clearance.",
        "stiffness" => Stiffness "By their `stiffness`, once their clearance is used up.",
        "rollers" => Rollers "By their own rollers between their races, with their clearance.",
    }
}

choice! {
    /// How the gaps follow the small displacements under load.
    GapModel {
        "linear" => Linear "Gaps linear in the displacements: fast; the largest roller force within about one per cent, no force off by more than three per cent of the largest.",
        "re-evaluated" => ReEvaluated "Gaps taken anew at the displaced position until nothing moves.",
    }
}

choice! {
    /// What can come out other than drawn.
    DeviationKind {
        "ring-radius" => RingRadius "Radius of the circle of roller centres.",
        "ring-run-out" => RingRunOut "Centre of the ring against the axis of the crank.",
        "roller-position" => RollerPosition "Place of a ring roller, outwards and round.",
        "roller-radius" => RollerRadius "Radius of a ring roller.",
        "eccentricity" => Eccentricity "Crank throw.",
        "eccentric-angle" => EccentricAngle "Place of an eccentric round the crank, as a length at the throw.",
        "profile-size" => ProfileSize "Material beyond the lobe outline, the same all round.",
        "profile-form" => ProfileForm "Waviness that all lobes of a disc have alike.",
        "lobe-pitch" => LobePitch "Place of a lobe round the disc, as a length at the ring radius.",
        "profile-run-out" => ProfileRunOut "Centre of the lobes against the bore of the disc.",
        "hole-position" => HolePosition "Place of an output hole, outwards and round.",
        "hole-pattern" => HolePattern "All output holes of a disc against its lobes, as a length on the pin circle.",
        "hole-radius" => HoleRadius "Radius of an output hole.",
        "pin-position" => PinPosition "Place of an output pin, outwards and round.",
        "pin-radius" => PinRadius "Radius of an output pin or its sleeve.",
        "plate-run-out" => PlateRunOut "Centre of the pin circle against the axis of the crank.",
        "bearing-clearance" => BearingClearance "Diametral clearance of an eccentric bearing.",
    }
}

choice! {
    /// How a deviation spreads.
    DistributionKind {
        "normal" => Normal "Normal, not sorted: a few parts lie beyond the limits.",
        "truncated-normal" => TruncatedNormal "Normal, and parts beyond the limits are rejected.",
        "uniform" => Uniform "Every value between the limits is as likely; the capability does not act.",
    }
}

choice! {
    /// What comes out of one set-up with the same deviation.
    Alike {
        "none" => Nothing "Every feature has its own deviation.",
        "part" => Part "All features of a part: the rollers of one batch, the holes of one disc, the eccentrics of one crank.",
        "discs" => Discs "All features of a part, and all discs of a drive: they are cut together.",
    }
}

record! {
    /// Who the drive is and which issue of its file this is.
    Identity {
        "name" name: String = Text, Required, ANY, "Short name, used in file names: lower-case letters, digits, hyphen.";
        "title" title: Option<String> = Text, Optional, ANY, "What the drive is for, in a few words.";
        "revision" revision: Option<String> = Text, Optional, ANY, "Revision of the drive file, as the drawing office counts.";
        "date" date: Option<String> = Text, Optional, ANY, "Date of the revision; the only date that reaches any output.";
        "designer" designer: Option<String> = Text, Optional, ANY, "Who is responsible for the design.";
        "note" note: Option<String> = Text, Optional, ANY, "Anything a reader of the report should know.";
    }
}

record! {
    /// One step of the duty cycle.
    DutyStep {
        "torque" torque_n_mm: f64 = Quantity(D::Torque), Required, TORQUE, "Torque on the output during the step.";
        "input_speed" input_speed_rad_per_s: f64 = Quantity(D::AngularSpeed), Required, SPEED, "Speed of the crank during the step.";
        "time_share" time_share: f64 = Quantity(D::Plain), Required, SHARE, "Share of the running time that the step takes.";
    }
}

record! {
    /// What the axis needs from the drive.
    Requirement {
        "ratio" ratio: f64 = Quantity(D::Plain), Required, (1.5, 1_000.0), "Turns of the crank for one turn of the output, without sign.";
        "rated_torque" rated_torque_n_mm: f64 = Quantity(D::Torque), Required, (0.1, 1e11), "Torque that the output carries in continuous duty.";
        "peak_torque" peak_torque_n_mm: Option<f64> = Quantity(D::Torque), Optional, TORQUE, "Greatest torque in regular operation, such as starts and stops.";
        "emergency_torque" emergency_torque_n_mm: Option<f64> = Quantity(D::Torque), Optional, TORQUE, "Greatest torque in a collision or emergency stop, a few times in the drive's life.";
        "max_input_speed" max_input_speed_rad_per_s: f64 = Quantity(D::AngularSpeed), Required, SPEED, "Greatest speed of the crank.";
        "mean_input_speed" mean_input_speed_rad_per_s: f64 = Quantity(D::AngularSpeed), Required, SPEED, "Mean speed of the crank while the drive runs.";
        "duty" duty: Vec<DutyStep> = list::<DutyStep>(), Optional, ANY, "Steps of the duty cycle; without them the rated torque acts all the time at the mean speed.";
        "running_share" running_share: f64 = Quantity(D::Plain), Or("100 %"), (0.001, 1.0), "Share of the time that the drive runs (S1: 100 %; S3 40 %: 40 %).";
        "life" life_s: Option<f64> = Quantity(D::Time), Optional, TIME, "Running time that the share of drives named by reliability must reach.";
        "reliability" reliability: f64 = Quantity(D::Plain), Or("90 %"), (0.9, 0.9995), "Share of bearings that must reach the life; it acts on the modified life.";
        "geometric_backlash" geometric_backlash_rad: Option<f64> = Quantity(D::Angle), Optional, SHARE, "Most play of the output with the crank held and the bearing centre fixed.";
        "lost_motion" lost_motion_rad: Option<f64> = Quantity(D::Angle), Optional, SHARE, "Most width of the torque-twist loop between ±3 % of the rated torque.";
        "transmission_error" transmission_error_rad: Option<f64> = Quantity(D::Angle), Optional, SHARE, "Most peak-to-peak error of the output angle over an output turn.";
        "torsional_stiffness" torsional_stiffness_n_mm_per_rad: Option<f64> = Quantity(D::TorsionalStiffness), Optional, (0.0, 1e15), "Least slope of torque over twist between half and full rated torque.";
        "efficiency" efficiency: Option<f64> = Quantity(D::Plain), Optional, SHARE, "Least efficiency under the rated torque at the mean speed.";
        "output_radial_force" output_radial_force_n: Option<f64> = Quantity(D::Force), Optional, FORCE, "Radial force on the output flange.";
        "output_axial_force" output_axial_force_n: Option<f64> = Quantity(D::Force), Optional, FORCE, "Axial force on the output flange.";
        "output_tilting_moment" output_tilting_moment_n_mm: Option<f64> = Quantity(D::Torque), Optional, TORQUE, "Moment that tilts the output flange, beside that of the radial force.";
        "output_force_distance" output_force_distance_mm: f64 = Quantity(D::Length), Or("0 mm"), PART_OR_ZERO, "Axial distance of the radial force from the middle of the output bearing.";
        "load_inertia" load_inertia_kg_mm2: Option<f64> = Quantity(D::Inertia), Optional, (0.0, 1e15), "Moment of inertia of what the output moves.";
        "oscillation_angle" oscillation_angle_rad: Option<f64> = Quantity(D::Angle), Optional, (0.0, 1e4), "Angle between the ends of the output's motion, if it swings.";
        "index_angle" index_angle_rad: Option<f64> = Quantity(D::Angle), Optional, (0.0, 1e4), "Output angle of one indexing move.";
        "index_time" index_time_s: Option<f64> = Quantity(D::Time), Optional, TIME, "Time of one indexing move.";
        "index_rate" index_rate_per_s: Option<f64> = Quantity(D::Rate), Optional, (0.0, 1e3), "Indexing moves per unit of time.";
        "ambient_temperature" ambient_temperature_k: f64 = Quantity(D::Temperature), Or("20 °C"), TEMPERATURE, "Temperature of the surroundings.";
        "ring_temperature" ring_temperature_k: f64 = Quantity(D::Temperature), Or("20 °C"), TEMPERATURE, "Temperature of the ring in operation.";
        "disc_temperature" disc_temperature_k: f64 = Quantity(D::Temperature), Or("20 °C"), TEMPERATURE, "Temperature of the discs in operation.";
        "housing_temperature" housing_temperature_k: f64 = Quantity(D::Temperature), Or("20 °C"), TEMPERATURE, "Temperature of the housing in operation.";
        "axis_direction" axis_direction: AxisDirection = OneOf(AxisDirection::CHOICES), Or("horizontal"), ANY, "How the axis of the drive stands.";
        "holds_load" holds_load: bool = Flag, Or("false"), ANY, "Whether the load would move or fall if the crank were let go.";
        "outside_diameter" outside_diameter_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Most outside diameter.";
        "length" length_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Most length along the axis.";
        "mass" mass_kg: Option<f64> = Quantity(D::Mass), Optional, (0.0, 1e6), "Most mass.";
        "production" production: Production = OneOf(Production::CHOICES), Required, ANY, "How the lobes of the discs are made.";
        "quantity" quantity: usize = Count, Or("1"), (1.0, 1e9), "How many drives are wanted.";
    }
}

record! {
    /// Corrections of the lobe profile against the nominal one; positive offset and negative shift give clearance.
    Modification {
        "equidistant_offset" equidistant_offset_mm: f64 = Quantity(D::Length), Or("0 mm"), SMALL_SIGNED, "δr: generating-roller radius beyond the roller's own; positive makes the disc smaller.";
        "ring_radius_shift" ring_radius_shift_mm: f64 = Quantity(D::Length), Or("0 mm"), SMALL_SIGNED, "δR: generating ring radius beyond the ring's own; negative makes the disc smaller.";
        "flank_rotation" flank_rotation_rad: f64 = Quantity(D::Angle), Or("0 rad"), (0.0, 0.1), "δα: angle between two cuts that relieve both flanks and leave tip and root.";
    }
}

record! {
    /// Shape of the drive.
    Geometry {
        "held_member" held_member: HeldMember = OneOf(HeldMember::CHOICES), Or("ring"), ANY, "Which slow member stands still.";
        "ring_roller_count" ring_roller_count: usize = Count, Required, (4.0, 400.0), "z_r: rollers on the ring.";
        "tooth_difference" tooth_difference: usize = Count, Or("1"), (1.0, 4.0), "Δ: ring rollers less lobes of the disc.";
        "ring_radius" ring_radius_mm: f64 = Quantity(D::Length), Required, (1.0, 5_000.0), "R: radius of the circle of roller centres.";
        "roller_radius" roller_radius_mm: f64 = Quantity(D::Length), Required, PART, "r_r: outside radius of a ring roller.";
        "roller_pin_radius" roller_pin_radius_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Radius of the pin that a ring roller or its bearing turns on.";
        "roller_turning" roller_turning: RollerTurning = OneOf(RollerTurning::CHOICES), Or("auto"), ANY, "Where a ring roller gives way to the sliding of the lobes; it decides the loss there.";
        "roller_support" roller_support: RollerSupport = OneOf(RollerSupport::CHOICES), Or("seat"), ANY, "What holds a ring roller.";
        "roller_pin_span" roller_pin_span_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Free length of a ring pin between its two supports.";
        "seat_wrap_angle" seat_wrap_angle_rad: f64 = Quantity(D::Angle), Or("180 deg"), (0.0, TAU), "Angle over which the ring's seat wraps a roller.";
        "seat_wall_radius" seat_wall_radius_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Inside radius of the ring wall between the seats; the ring radius unless given.";
        "eccentricity" eccentricity_mm: f64 = Quantity(D::Length), Required, (0.001, 500.0), "e: crank throw, distance of the disc's centre from the ring's.";
        "disc_width" disc_width_mm: f64 = Quantity(D::Length), Required, PART, "B: face width of one disc.";
        "contact_length" contact_length_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Length of the roller contact after chamfers; the disc's width unless given.";
        "pin_contact_length" pin_contact_length_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Length of the contact of an output pin in its hole; the disc's width unless given.";
        "disc_count" disc_count: usize = Count, Required, (1.0, 6.0), "n_d: discs on one shaft, spread evenly around it.";
        "disc_gap" disc_gap_mm: f64 = Quantity(D::Length), Or("1 mm"), PART_OR_ZERO, "Axial gap between neighbouring discs.";
        "bore_radius" bore_radius_mm: f64 = Quantity(D::Length), Required, PART, "Radius of the disc's bore for the eccentric bearing.";
        "pin_count" pin_count: usize = Count, Required, (3.0, 60.0), "w: output pins.";
        "pin_circle_radius" pin_circle_radius_mm: f64 = Quantity(D::Length), Required, PART, "R_w: radius of the circle of output pins.";
        "pin_radius" pin_radius_mm: f64 = Quantity(D::Length), Required, PART, "Radius of the bare output pin.";
        "sleeve_radius" sleeve_radius_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Outside radius of the sleeve that turns on an output pin.";
        "hole_clearance" hole_clearance_mm: f64 = Quantity(D::Length), Or("0 mm"), SMALL_SIGNED, "Diameter of an output hole beyond pin (or sleeve) diameter plus twice the eccentricity.";
        "hole_phase" hole_phase_rad: f64 = Quantity(D::Angle), Or("0 deg"), (-TAU, TAU), "Angle from the valley of a lobe to the nearest output hole of the disc.";
        "pin_support" pin_support: PinSupport = OneOf(PinSupport::CHOICES), Or("cantilever"), ANY, "What holds an output pin.";
        "pin_free_length" pin_free_length_mm: f64 = Quantity(D::Length), Or("1 mm"), PART_OR_ZERO, "Axial gap between the output plate and the nearest disc.";
        "crank_radius" crank_radius_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Outside radius of the eccentric on the crank.";
        "housing_radius" housing_radius_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Outside radius of the ring or housing.";
        "housing_length" housing_length_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Length of the whole drive along its axis.";
        "modification" modification: Modification = section::<Modification>(), Or(""), ANY, "Corrections of the lobe profile.";
    }
}

record! {
    /// A material that the designer states, beside those that come with the program.
    CustomMaterial {
        "name" name: String = Text, Required, ANY, "Name by which the parts call it.";
        "elastic_modulus" elastic_modulus_mpa: f64 = Quantity(D::Stress), Required, (1.0, 2e6), "Modulus of elasticity.";
        "poisson_ratio" poisson_ratio: f64 = Quantity(D::Plain), Required, (0.0, 0.499), "Poisson's ratio.";
        "density" density_kg_per_mm3: f64 = Quantity(D::Density), Required, (1e-8, 3e-5), "Density.";
        "thermal_expansion" thermal_expansion_per_k: f64 = Quantity(D::Expansion), Required, (0.0, 1e-3), "Coefficient of thermal expansion.";
        "contact_pressure_limit" contact_pressure_limit_mpa: f64 = Quantity(D::Stress), Required, (0.1, 1e4), "Greatest Hertz pressure in continuous duty.";
        "static_contact_pressure_limit" static_contact_pressure_limit_mpa: Option<f64> = Quantity(D::Stress), Optional, (0.1, 1e4), "Greatest Hertz pressure of a rare peak; 1.67 times the yield strength unless given, where that is more than in continuous duty.";
        "yield_strength" yield_strength_mpa: f64 = Quantity(D::Stress), Required, (0.1, 1e4), "Yield or 0.2 % proof strength.";
        "bending_fatigue_strength" bending_fatigue_strength_mpa: f64 = Quantity(D::Stress), Required, (0.1, 1e4), "Fatigue strength in reversed bending.";
        "is_steel" is_steel: bool = Flag, Or("false"), ANY, "Whether laws fitted to steel apply.";
        "temperature_limit" temperature_limit_k: Option<f64> = Quantity(D::Temperature), Optional, TEMPERATURE, "Highest temperature in service under load; 90 °C for a metal and 50 °C for a plastic unless given.";
        "pressure_speed_limit" pressure_speed_limit_mpa_mm_per_s: Option<f64> = Quantity(D::PressureSpeed), Optional, (1e-3, 1e6), "Greatest pressure times sliding speed in long running, as its maker gives it for the lubrication at hand.";
        "surface_hardness" surface_hardness: Option<f64> = Quantity(D::Plain), Optional, (10.0, 2_000.0), "Vickers hardness of the surface.";
        "source" source: String = Text, Required, ANY, "Where the values come from.";
    }
}

record! {
    /// What the parts are made of.
    Materials {
        "disc" disc: String = Text, Required, ANY, "Material of the discs.";
        "ring_roller" ring_roller: String = Text, Required, ANY, "Material of the ring rollers.";
        "output_pin" output_pin: String = Text, Required, ANY, "Material of the output pins.";
        "sleeve" sleeve: Option<String> = Text, Optional, ANY, "Material of the sleeves on the output pins.";
        "ring" ring: Option<String> = Text, Optional, ANY, "Material of the ring that seats the rollers.";
        "ring_pin" ring_pin: Option<String> = Text, Optional, ANY, "Material of the pins that ring rollers turn on; that of the rollers unless given.";
        "disc_case_depth" disc_case_depth_mm: Option<f64> = Quantity(D::Length), Optional, (0.01, 20.0), "Depth of the hard case of the discs after grinding, down to 550 HV.";
        "roller_case_depth" roller_case_depth_mm: Option<f64> = Quantity(D::Length), Optional, (0.01, 20.0), "Depth of the hard case of the ring rollers after grinding, down to 550 HV.";
        "disc_roughness" disc_roughness_mm: Option<f64> = Quantity(D::Length), Optional, (1e-6, 0.1), "Mean roughness Ra of lobes and holes; 0.4 µm ground, 0.8 µm wire-cut, 1.6 µm milled unless given.";
        "roller_roughness" roller_roughness_mm: f64 = Quantity(D::Length), Or("0.2 µm"), (1e-6, 0.1), "Mean roughness Ra of ring rollers, output pins and sleeves.";
        "custom" custom: Vec<CustomMaterial> = list::<CustomMaterial>(), Optional, ANY, "Materials that do not come with the program.";
    }
}

record! {
    /// A rolling bearing, by its ratings or by what is inside.
    Bearing {
        "kind" kind: BearingKind = OneOf(BearingKind::CHOICES), Required, ANY, "How the rolling elements look.";
        "designation" designation: Option<String> = Text, Optional, ANY, "What the parts list calls it.";
        "dynamic_rating" dynamic_rating_n: Option<f64> = Quantity(D::Force), Optional, (1.0, 1e8), "Basic dynamic load rating C, if the maker gives it.";
        "static_rating" static_rating_n: Option<f64> = Quantity(D::Force), Optional, (1.0, 1e8), "Basic static load rating C0, if the maker gives it.";
        "element_count" element_count: Option<usize> = Count, Optional, (3.0, 400.0), "Rolling elements in one row.";
        "row_count" row_count: usize = Count, Or("1"), (1.0, 4.0), "Rows of rolling elements.";
        "element_diameter" element_diameter_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Diameter of a rolling element.";
        "element_length" element_length_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Effective length of a roller.";
        "pitch_diameter" pitch_diameter_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Diameter of the circle of element centres.";
        "contact_angle" contact_angle_rad: Option<f64> = Quantity(D::Angle), Optional, (0.05, 1.5), "Angle of the element's force to the plane of the bearing; 45° for crossed rollers unless given.";
        "row_distance" row_distance_mm: f64 = Quantity(D::Length), Or("0 mm"), PART_OR_ZERO, "Axial distance between the middles of the two rows of a pair.";
        "bore_diameter" bore_diameter_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Bore of the inner ring, or the raceway on the shaft.";
        "outside_diameter" outside_diameter_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Outside of the outer ring, or the raceway in the bore.";
        "width" width_mm: Option<f64> = Quantity(D::Length), Optional, PART, "Width of the rings.";
        "radial_clearance" radial_clearance_mm: f64 = Quantity(D::Length), Or("0 mm"), SMALL, "Diametral internal clearance when fitted; in the load model it acts with the eccentric bearing's stiffness or rollers.";
        "stiffness" stiffness_n_per_mm: Option<f64> = Quantity(D::LinearStiffness), Optional, (1.0, 1e10), "Radial stiffness of one bearing with its clearance used up; only that of the eccentric bearing acts in the load model.";
        "speed_limit" speed_limit_rad_per_s: Option<f64> = Quantity(D::AngularSpeed), Optional, SPEED, "Greatest speed that its maker allows.";
    }
}

record! {
    /// The bearings of the drive.
    Bearings {
        "eccentric" eccentric: Bearing = section::<Bearing>(), Required, ANY, "Bearing between crank and disc, one per disc.";
        "input" input: Option<Bearing> = section::<Bearing>(), Optional, ANY, "Bearing that carries the crank, one at either end.";
        "output" output: Option<Bearing> = section::<Bearing>(), Optional, ANY, "Bearing that carries the output.";
    }
}

record! {
    /// What keeps the contacts apart.
    Lubrication {
        "kind" kind: LubricantKind = OneOf(LubricantKind::CHOICES), Required, ANY, "The lubricant's form.";
        "viscosity_40" viscosity_40_mm2_per_s: Option<f64> = Quantity(D::Viscosity), Optional, (0.1, 1e5), "Kinematic viscosity of the (base) oil at 40 °C.";
        "viscosity_100" viscosity_100_mm2_per_s: Option<f64> = Quantity(D::Viscosity), Optional, (0.1, 1e5), "Kinematic viscosity of the (base) oil at 100 °C.";
        "operating_temperature" operating_temperature_k: Option<f64> = Quantity(D::Temperature), Optional, TEMPERATURE, "Temperature of the lubricant in the bearings; the one to which the losses lead unless given.";
        "cleanliness" cleanliness: Option<Cleanliness> = OneOf(Cleanliness::CHOICES), Optional, ANY, "How clean the lubricant stays in operation; without it no modified bearing life is given.";
    }
}

record! {
    /// Friction, lubricant drag and cooling. Coefficients that are left out are usual values of the trade, for lubricated or dry contacts.
    Losses {
        "roller_friction" roller_friction: Option<f64> = Quantity(D::Plain), Optional, FRICTION, "Coefficient of friction of a lobe that slides on a ring roller; 0.05 unless given, 0.2 without lubricant.";
        "roller_support_friction" roller_support_friction: Option<f64> = Quantity(D::Plain), Optional, FRICTION, "Coefficient of friction of a ring roller in its seat or on its pin, about 0.002 for a rolling bearing; 0.05 unless given, 0.2 without lubricant.";
        "pin_friction" pin_friction: Option<f64> = Quantity(D::Plain), Optional, FRICTION, "Coefficient of friction of an output hole that slides on a bare pin; 0.05 unless given, 0.2 without lubricant.";
        "sleeve_friction" sleeve_friction: Option<f64> = Quantity(D::Plain), Optional, FRICTION, "Coefficient of friction of a sleeve on its output pin; 0.05 unless given, 0.2 without lubricant.";
        "eccentric_f0" eccentric_f0: Option<f64> = Quantity(D::Plain), Optional, (0.0, 50.0), "Factor f0 of the eccentric bearing's friction without load; that of its kind unless given.";
        "eccentric_f1" eccentric_f1: Option<f64> = Quantity(D::Plain), Optional, (0.0, 1.0), "Factor f1 of the eccentric bearing's friction under load, half its coefficient of friction; that of its kind unless given.";
        "input_f0" input_f0: Option<f64> = Quantity(D::Plain), Optional, (0.0, 50.0), "Factor f0 of the input bearings; that of their kind unless given.";
        "input_f1" input_f1: Option<f64> = Quantity(D::Plain), Optional, (0.0, 1.0), "Factor f1 of the input bearings; that of their kind unless given.";
        "input_bearing_count" input_bearing_count: usize = Count, Or("2"), (1.0, 8.0), "Bearings like that of [bearings.input] that carry the crank.";
        "output_f0" output_f0: Option<f64> = Quantity(D::Plain), Optional, (0.0, 50.0), "Factor f0 of the output bearings; that of their kind unless given.";
        "output_f1" output_f1: Option<f64> = Quantity(D::Plain), Optional, (0.0, 1.0), "Factor f1 of the output bearings; that of their kind unless given.";
        "output_bearing_count" output_bearing_count: Option<usize> = Count, Optional, (1.0, 8.0), "Bearings like that of [bearings.output] that carry the output; one pair or crossed-roller ring, two of any other kind unless given.";
        "input_seal_torque" input_seal_torque_n_mm: f64 = Quantity(D::Torque), Or("0 N·m"), TORQUE, "Friction torque of all seals on the crank, from their maker or a test.";
        "output_seal_torque" output_seal_torque_n_mm: f64 = Quantity(D::Torque), Or("0 N·m"), TORQUE, "Friction torque of all seals on the output, from their maker or a test.";
        "lubricant_drag_torque" lubricant_drag_torque_n_mm: f64 = Quantity(D::Torque), Or("0 N·m"), TORQUE, "Drag of the filling on the crank beyond that of the bearings, from a test; taken the same at every speed.";
        "static_friction_ratio" static_friction_ratio: f64 = Quantity(D::Plain), Or("1.5"), (1.0, 10.0), "Friction at the first movement over friction in motion.";
        "cooling_area" cooling_area_mm2: Option<f64> = Quantity(D::Area), Optional, (1.0, 1e9), "Surface that gives off heat; the outside of the housing unless given.";
        "heat_transfer" heat_transfer_w_per_mm2_k: f64 = Quantity(D::HeatTransfer), Or("15 W/m²/K"), (1e-7, 1e-2), "Heat given off per area and degree: 10 to 14 W/m²/K in a confined space, 15 to 20 indoors, 18 to 25 outdoors, 20 to 40 with a fan.";
        "temperature_limit" temperature_limit_k: Option<f64> = Quantity(D::Temperature), Optional, TEMPERATURE, "Highest temperature in service; that of the material that bears least unless given.";
    }
}

record! {
    /// Balance and vibration. Places along the axis are counted from the middle of the discs, positive towards the last disc.
    Dynamics {
        "balance_grade" balance_grade_mm_per_s: f64 = Quantity(D::Speed), Or("6.3 mm/s"), (0.1, 4_000.0), "Balance quality grade G of ISO 21940-11 for crank and discs at the greatest speed.";
        "rotor_mass" rotor_mass_kg: Option<f64> = Quantity(D::Mass), Optional, (1e-4, 1e6), "Mass of crank, counterweights and discs together; the computed masses unless given.";
        "counterweight_plane_1" counterweight_plane_1_mm: Option<f64> = Quantity(D::Length), Optional, AXIAL_PLACE, "Place along the axis of the first counterweight on the crank.";
        "counterweight_plane_2" counterweight_plane_2_mm: Option<f64> = Quantity(D::Length), Optional, AXIAL_PLACE, "Place along the axis of the second counterweight on the crank.";
        "counterweight_1" counterweight_1_kg_mm: Option<f64> = Quantity(D::Unbalance), Optional, (0.0, 1e9), "Mass times radius of the first counterweight as it is made; the computed one unless given.";
        "counterweight_2" counterweight_2_kg_mm: Option<f64> = Quantity(D::Unbalance), Optional, (0.0, 1e9), "Mass times radius of the second counterweight as it is made; the computed one unless given.";
        "input_bearing_plane_1" input_bearing_plane_1_mm: Option<f64> = Quantity(D::Length), Optional, AXIAL_PLACE, "Place along the axis of the first bearing of the crank.";
        "input_bearing_plane_2" input_bearing_plane_2_mm: Option<f64> = Quantity(D::Length), Optional, AXIAL_PLACE, "Place along the axis of the second bearing of the crank.";
        "motor_inertia" motor_inertia_kg_mm2: f64 = Quantity(D::Inertia), Or("0 kg·mm²"), (0.0, 1e15), "Moment of inertia of motor and coupling on the crank.";
    }
}

record! {
    /// Stiffness of what surrounds the mesh. What is left out is taken as rigid, and the result says so.
    Surroundings {
        "crank_support" crank_support_n_per_mm: Option<f64> = Quantity(D::LinearStiffness), Optional, (1.0, 1e10), "Radial stiffness of the crank with its bearings at a disc, under the force of that disc alone.";
        "crank_torsion" crank_torsion_n_mm_per_rad: Option<f64> = Quantity(D::TorsionalStiffness), Optional, (1.0, 1e15), "Torsional stiffness of the crank from where it is held to the discs.";
        "carrier" carrier_n_mm_per_rad: Option<f64> = Quantity(D::TorsionalStiffness), Optional, (1.0, 1e15), "Torsional stiffness of the plate that carries the output pins, as far as the flange.";
        "ring" ring_n_mm_per_rad: Option<f64> = Quantity(D::TorsionalStiffness), Optional, (1.0, 1e15), "Torsional stiffness of the ring with its housing, as far as the flange.";
        "output_bearing" output_bearing_n_per_mm: Option<f64> = Quantity(D::LinearStiffness), Optional, (1.0, 1e10), "Radial stiffness of the bearing between the plate of the output pins and the ring.";
    }
}

record! {
    /// One tolerance of the drawing as a distribution; it takes the place of the plain key for the same deviation. Two for one deviation must differ in `alike`, and their deviations add up: what a batch has in common, and what is left from part to part.
    ToleranceCallout {
        "of" of: DeviationKind = OneOf(DeviationKind::CHOICES), Required, ANY, "Which deviation it limits.";
        "label" label: Option<String> = Text, Optional, ANY, "Number or letter of the callout on the drawing.";
        "upper" upper_mm: Option<f64> = Quantity(D::Length), Optional, SMALL_SIGNED, "Upper limit of the deviation.";
        "lower" lower_mm: Option<f64> = Quantity(D::Length), Optional, SMALL_SIGNED, "Lower limit of the deviation; as far below nothing as the upper one is above unless given.";
        "class" class: Option<String> = Text, Optional, ANY, "Tolerance class of ISO 286 for the feature's diameter, in place of limits: h5, H6.";
        "distribution" distribution: DistributionKind = OneOf(DistributionKind::CHOICES), Or("truncated-normal"), ANY, "How the deviation spreads between its limits.";
        "cp" cp: f64 = Quantity(D::Plain), Or("1"), (0.1, 10.0), "Process capability: distance between the limits over six standard deviations.";
        "cpk" cpk: Option<f64> = Quantity(D::Plain), Optional, (0.0, 10.0), "Capability with the process off the middle, to either side with equal chance; that of a centred process unless given.";
        "alike" alike: Alike = OneOf(Alike::CHOICES), Or("none"), ANY, "What comes out with the same deviation.";
        "class_count" class_count: usize = Count, Or("1"), (1.0, 100.0), "Classes of equal width into which the parts are sorted; a drive gets parts of one class.";
        "matched_to" matched_to: Option<DeviationKind> = OneOf(DeviationKind::CHOICES), Optional, ANY, "Sorted deviation whose class decides that of this one: sleeves for the holes at hand.";
        "cost_weight" cost_weight: f64 = Quantity(D::Plain), Or("1"), (0.0, 1e6), "Cost of this tolerance against others of the same width, for the proposal of tolerances.";
    }
}

record! {
    /// Limits for the shop: each is the half width of a band round the nominal value. The temperature of the housing acts on no gap and has no band: where ring and housing are one part, state that of the ring.
    Tolerances {
        "profile" profile_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Lobe profile, normal to the outline: size, form and pitch of the lobes together.";
        "profile_run_out" profile_run_out_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Centre of the lobes against the bore of the disc, in each direction.";
        "ring_radius" ring_radius_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "t_R: radius of the circle of roller centres.";
        "ring_run_out" ring_run_out_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Centre of the ring against the axis of the crank, in each direction.";
        "roller_position" roller_position_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Place of each ring roller.";
        "roller_radius" roller_radius_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "t_rr: radius of a ring roller.";
        "eccentricity" eccentricity_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "t_e: crank throw.";
        "eccentric_angle" eccentric_angle_rad: Option<f64> = Quantity(D::Angle), Optional, (0.0, 0.1), "Angle of each eccentric on the crank.";
        "hole_position" hole_position_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Place of each output hole.";
        "hole_pattern" hole_pattern_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "All output holes of a disc further round against its lobes, as a length on the pin circle.";
        "hole_radius" hole_radius_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "t_rh: radius of an output hole.";
        "pin_position" pin_position_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Place of each output pin.";
        "pin_radius" pin_radius_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "t_rw: radius of an output pin or its sleeve.";
        "plate_run_out" plate_run_out_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Centre of the pin circle against the axis of the crank, in each direction.";
        "bearing_clearance" bearing_clearance_mm: Option<f64> = Quantity(D::Length), Optional, SMALL, "Diametral clearance of the eccentric bearings; at most `radial_clearance`, so that none is fitted with preload.";
        "ring_temperature" ring_temperature_k: Option<f64> = Quantity(D::TemperatureDifference), Optional, TEMPERATURE_BAND, "t_ϑR: temperature of the ring either side of its stated one in operation.";
        "disc_temperature" disc_temperature_k: Option<f64> = Quantity(D::TemperatureDifference), Optional, TEMPERATURE_BAND, "t_ϑd: temperature of the discs either side of their stated one in operation.";
        "wanted_yield" wanted_yield: f64 = Quantity(D::Plain), Or("95 %"), (0.01, 1.0), "Share of assembled drives that must meet every requirement of accuracy.";
        "callout" callout: Vec<ToleranceCallout> = list::<ToleranceCallout>(), Optional, ANY, "Tolerances of the drawing as distributions.";
    }
}

record! {
    /// Choices of the calculation and the limits that belong to them.
    ModelChoices {
        "contact_law" contact_law: ContactLaw = OneOf(ContactLaw::CHOICES), Or("auto"), ANY, "Law between force and approach.";
        "roller_stiffness" roller_stiffness_n_per_mm: Option<f64> = Quantity(D::LinearStiffness), Optional, (1.0, 1e10), "Stiffness of a roller contact for the linear law.";
        "pin_stiffness" pin_stiffness_n_per_mm: Option<f64> = Quantity(D::LinearStiffness), Optional, (1.0, 1e10), "Stiffness of a pin contact for the linear law.";
        "disc" disc: DiscModel = OneOf(DiscModel::CHOICES), Or("auto"), ANY, "Whether the bodies of discs and ring rollers give way in the load model.";
        "eccentric_bearing" eccentric_bearing: BearingModel = OneOf(BearingModel::CHOICES), Or("auto"), ANY, "What the eccentric bearings give in the load model.";
        "cage_phase" cage_phase_rad: f64 = Quantity(D::Angle), Or("0 deg"), (-TAU, TAU), "Angle from the eccentric to the first roller of its bearing at a crank angle of zero; the cage then rolls on.";
        "pin_bending" pin_bending: bool = Flag, Or("true"), ANY, "Whether the bending of output pins gives way in the load model.";
        "gaps" gaps: GapModel = OneOf(GapModel::CHOICES), Or("linear"), ANY, "How gaps follow the displacements.";
        "crank_angle_count" crank_angle_count: usize = Count, Or("120"), (12.0, 5_000.0), "Crank angles computed over the period of the pin and bearing forces.";
        "contact_pressure_limit" contact_pressure_limit_mpa: Option<f64> = Quantity(D::Stress), Optional, (0.1, 1e4), "Greatest Hertz pressure in continuous duty, in place of the material's.";
        "least_pin_safety" least_pin_safety: f64 = Quantity(D::Plain), Or("1.5"), (1.0, 20.0), "Least safety of pins and disc walls against fatigue and yield.";
        "least_wall" least_wall_mm: f64 = Quantity(D::Length), Or("1.5 mm"), PART_OR_ZERO, "Least wall between holes, bore, lobes and roller seats.";
    }
}

record! {
    /// A cycloidal drive: one file, one drive.
    Drive {
        "format" format: usize = Count, Required, (1.0, 1e6), "Number of the drive-file format.";
        "drive" identity: Identity = section::<Identity>(), Required, ANY, "Who the drive is.";
        "requirement" requirement: Requirement = section::<Requirement>(), Required, ANY, "What the axis needs.";
        "geometry" geometry: Geometry = section::<Geometry>(), Required, ANY, "Shape of the drive.";
        "materials" materials: Materials = section::<Materials>(), Required, ANY, "What the parts are made of.";
        "bearings" bearings: Bearings = section::<Bearings>(), Required, ANY, "The bearings.";
        "lubrication" lubrication: Lubrication = section::<Lubrication>(), Required, ANY, "What keeps the contacts apart.";
        "losses" losses: Losses = section::<Losses>(), Or(""), ANY, "Friction and cooling.";
        "dynamics" dynamics: Dynamics = section::<Dynamics>(), Or(""), ANY, "Balance and vibration.";
        "stiffness" stiffness: Surroundings = section::<Surroundings>(), Or(""), ANY, "Stiffness of what surrounds the mesh.";
        "tolerances" tolerances: Tolerances = section::<Tolerances>(), Or(""), ANY, "Limits for the shop.";
        "model" model: ModelChoices = section::<ModelChoices>(), Or(""), ANY, "Choices of the calculation.";
    }
}
