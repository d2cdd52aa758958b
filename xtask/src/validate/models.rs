//! The parts of the program that cases can name, and how a case's inputs reach them.
//!
//! A model is a function from the named inputs of a row to named outputs. New ones are a function
//! and a line in [`MODELS`].

pub mod bearings;
pub mod contact;
pub mod drive;
pub mod dynamics;
pub mod fits;
pub mod kinematic_error;
pub mod losses;
pub mod lubricant;
pub mod modified_life;
pub mod pins;
pub mod point_contact;
pub mod twist_loop;

use reducer::units::{self, Dimension};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// A part of the program that cases can name.
pub struct Model {
    /// Name in case files.
    pub name: &'static str,
    /// What it computes, in words.
    pub title: &'static str,
    /// From inputs to outputs.
    pub run: fn(&Inputs) -> Result<Outputs, ModelError>,
}

/// Every model, in the order of the page.
pub const MODELS: &[Model] = &[
    Model {
        name: "profile",
        title: "lobe profile: points, area, length, curvature, undercut",
        run: drive::profile,
    },
    Model { name: "gap", title: "exact gap of a modified profile", run: drive::gap },
    Model {
        name: "touched-gap",
        title: "gap left after the disc has been turned to its first contact, linear in the rotation",
        run: drive::touched_gap,
    },
    Model { name: "backlash", title: "geometric backlash of a modified profile", run: drive::backlash },
    Model {
        name: "play-first-order",
        title: "gap, play and zero-play combination of a modified profile, closed forms",
        run: kinematic_error::closed_forms,
    },
    Model {
        name: "kinematic-error",
        title: "kinematic error of a modified profile without load",
        run: kinematic_error::unloaded,
    },
    Model {
        name: "loaded-kinematic-error",
        title: "rotation of a disc under load over a roller pitch, one stiffness",
        run: kinematic_error::loaded,
    },
    Model {
        name: "roller-forces",
        title: "roller forces of the ideal profile, and their pressure",
        run: drive::roller_forces,
    },
    Model {
        name: "clearance-forces",
        title: "roller forces with clearance, one stiffness",
        run: drive::clearance_forces,
    },
    Model { name: "pin-forces", title: "output-pin forces", run: drive::pin_forces },
    Model {
        name: "bearing-force",
        title: "force on the eccentric bearing of an ideal drive, mean over the turn",
        run: drive::bearing_force,
    },
    Model { name: "contact-modulus", title: "modulus of a contact", run: contact::modulus },
    Model {
        name: "line-pressure",
        title: "Hertz pressure, width and shear of a line contact",
        run: contact::pressure,
    },
    Model {
        name: "sliding-contact",
        title: "stresses of a line contact with friction",
        run: point_contact::sliding,
    },
    Model {
        name: "point-contact",
        title: "Hertz pressure, axes, approach and shear of a point contact",
        run: point_contact::pressure,
    },
    Model { name: "palmgren", title: "approach after Palmgren", run: contact::palmgren },
    Model { name: "brandlein", title: "approach after Brändlein", run: contact::brandlein },
    Model {
        name: "two-cylinders",
        title: "approach of two cylinders in plane strain",
        run: contact::two_cylinders,
    },
    Model { name: "pin-shear", title: "mean shear stress of pins", run: pins::pin },
    Model { name: "pin", title: "bending, peak shear and deflection of pins", run: pins::pin },
    Model { name: "roller-bearing", title: "ratings of radial roller bearings", run: bearings::roller },
    Model {
        name: "roller-load-distribution",
        title: "most loaded roller of a bearing in the load model",
        run: bearings::load_distribution,
    },
    Model { name: "ball-bearing", title: "ratings of deep-groove ball bearings", run: bearings::ball },
    Model { name: "rating-life", title: "basic rating life", run: bearings::life },
    Model { name: "viscosity", title: "kinematic viscosity over temperature", run: lubricant::viscosity },
    Model { name: "mean-load", title: "equivalent load over a duty cycle", run: bearings::mean_load },
    Model { name: "bearing-friction", title: "friction of rolling bearings", run: losses::bearing_friction },
    Model {
        name: "ideal-losses",
        title: "closed forms of the losses of an ideal drive",
        run: losses::ideal_losses,
    },
    Model {
        name: "roller-sliding",
        title: "force times sliding distance at the ring rollers",
        run: losses::roller_sliding,
    },
    Model { name: "heat-balance", title: "steady temperature of a housing", run: losses::heat_balance },
    Model { name: "shaking", title: "shaking of discs on a crank", run: dynamics::shaking },
    Model { name: "balance-grade", title: "permissible residual unbalance", run: dynamics::balance_grade },
    Model {
        name: "twist-loop",
        title: "twist, lost motion and width read off a torque–twist loop",
        run: twist_loop::reading,
    },
    Model {
        name: "reliability-factor",
        title: "reliability factor of the modified life",
        run: modified_life::reliability,
    },
    Model {
        name: "reference-viscosity",
        title: "reference viscosity of the modified life",
        run: modified_life::reference_viscosity,
    },
    Model { name: "life-factor", title: "life factor of the modified life", run: modified_life::life_factor },
    Model {
        name: "fatigue-limit",
        title: "fatigue load limit of rolling bearings",
        run: modified_life::fatigue_limit,
    },
    Model {
        name: "contamination-factor",
        title: "contamination factor of the modified life",
        run: modified_life::contamination,
    },
    Model { name: "modified-life", title: "modified rating life", run: modified_life::life },
    Model {
        name: "pair-load",
        title: "pairs and crossed rollers under force and tilting moment",
        run: modified_life::pair_load,
    },
    Model {
        name: "standard-tolerance",
        title: "standard tolerances of limits and fits",
        run: fits::standard_tolerances,
    },
    Model { name: "limits", title: "limits of tolerance classes of holes and shafts", run: fits::limits },
    Model {
        name: "bearing-limits",
        title: "limits of bore and outside diameter of rolling bearings, normal class",
        run: fits::bearing_limits,
    },
    Model { name: "fit", title: "greatest and least clearance of a fit", run: fits::fit },
    Model { name: "shaft-reactions", title: "shaft on two bearings", run: modified_life::shaft },
];

/// Why a model did not run.
#[derive(Debug, thiserror::Error)]
pub enum ModelError {
    /// An input is missing.
    #[error("input `{name}` is missing")]
    Missing {
        /// Its name.
        name: String,
    },
    /// An input is not what the model takes.
    #[error("input `{name}`: {message}")]
    Bad {
        /// Its name.
        name: String,
        /// What is wrong.
        message: String,
    },
    /// Inputs that the model does not know.
    #[error("inputs that the model does not take: {names}")]
    Unused {
        /// Their names.
        names: String,
    },
    /// The program refused.
    #[error("{0}")]
    Refused(String),
}

/// The inputs of one row, as printed.
pub struct Inputs<'a> {
    values: &'a BTreeMap<String, toml::Value>,
    used: RefCell<BTreeSet<String>>,
}

impl<'a> Inputs<'a> {
    /// The inputs of a row.
    #[must_use]
    pub fn new(values: &'a BTreeMap<String, toml::Value>) -> Self {
        Self { values, used: RefCell::default() }
    }

    /// A quantity in core units.
    ///
    /// # Errors
    /// If it is missing or does not read.
    pub fn quantity(&self, name: &str, dimension: Dimension) -> Result<f64, ModelError> {
        self.optional(name, dimension)?.ok_or_else(|| ModelError::Missing { name: name.to_owned() })
    }

    /// A quantity that need not be there.
    ///
    /// # Errors
    /// If it does not read.
    pub fn optional(&self, name: &str, dimension: Dimension) -> Result<Option<f64>, ModelError> {
        self.take(name).map(|value| read(name, value, dimension)).transpose()
    }

    /// A list of quantities.
    ///
    /// # Errors
    /// If it is missing or does not read.
    pub fn list(&self, name: &str, dimension: Dimension) -> Result<Vec<f64>, ModelError> {
        let value = self.take(name).ok_or_else(|| ModelError::Missing { name: name.to_owned() })?;
        let bad = || ModelError::Bad { name: name.to_owned(), message: "is not a list".to_owned() };
        value.as_array().ok_or_else(bad)?.iter().map(|value| read(name, value, dimension)).collect()
    }

    /// A whole number.
    ///
    /// # Errors
    /// If it is missing or no count.
    pub fn count(&self, name: &str) -> Result<usize, ModelError> {
        let value = self.take(name).ok_or_else(|| ModelError::Missing { name: name.to_owned() })?;
        let count = value.as_integer().and_then(|number| usize::try_from(number).ok());
        count.ok_or_else(|| ModelError::Bad { name: name.to_owned(), message: "is not a count".to_owned() })
    }

    /// A word.
    ///
    /// # Errors
    /// If it is missing or no text.
    pub fn word(&self, name: &str) -> Result<&'a str, ModelError> {
        let value = self.take(name).ok_or_else(|| ModelError::Missing { name: name.to_owned() })?;
        value
            .as_str()
            .ok_or_else(|| ModelError::Bad { name: name.to_owned(), message: "is not text".to_owned() })
    }

    /// Whether every input was asked for; one that was not is a slip in the case file.
    ///
    /// # Errors
    /// The names of those that were not.
    pub fn all_used(&self) -> Result<(), ModelError> {
        let used = self.used.borrow();
        let names: Vec<&str> =
            self.values.keys().filter(|name| !used.contains(*name)).map(String::as_str).collect();
        if names.is_empty() { Ok(()) } else { Err(ModelError::Unused { names: names.join(", ") }) }
    }

    fn take(&self, name: &str) -> Option<&'a toml::Value> {
        self.used.borrow_mut().insert(name.to_owned());
        self.values.get(name)
    }
}

/// A quantity written as text, or a plain number.
fn read(name: &str, value: &toml::Value, dimension: Dimension) -> Result<f64, ModelError> {
    let text = match value {
        toml::Value::String(text) => text.clone(),
        toml::Value::Integer(number) => number.to_string(),
        toml::Value::Float(number) => number.to_string(),
        _ => String::new(),
    };
    let bad =
        |error: units::QuantityError| ModelError::Bad { name: name.to_owned(), message: error.to_string() };
    units::parse_quantity(&text, dimension).map_err(bad)
}

/// What a model gives: name, value in core units, and what kind of quantity it is.
#[derive(Default)]
pub struct Outputs(BTreeMap<&'static str, (f64, Dimension)>);

impl Outputs {
    /// Adds an output.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: f64, dimension: Dimension) -> Self {
        self.0.insert(name, (value, dimension));
        self
    }

    /// An output by name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<(f64, Dimension)> {
        self.0.get(name).copied()
    }

    /// The names of all outputs.
    #[must_use]
    pub fn names(&self) -> String {
        self.0.keys().copied().collect::<Vec<_>>().join(", ")
    }
}
