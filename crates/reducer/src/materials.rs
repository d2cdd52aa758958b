//! The materials of the parts: those that come with the program and those that a drive file states.
//!
//! The table is `materials.toml` at the root of the repository, built into the program; each number in it
//! says where it comes from and how that source is held.

use crate::hertz::Elastic;
use crate::model::CustomMaterial;
use serde::Deserialize;
use std::sync::LazyLock;

/// A material with its limits.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Name by which a drive file calls it.
    pub name: String,
    /// What it is, in words.
    pub words: String,
    /// Hardness as the trade writes it; empty where it is not given.
    pub hardness: String,
    /// Vickers hardness of the surface, at its softest; absent for plastics.
    #[serde(default)]
    pub surface_hardness: Option<f64>,
    /// Whether only a case is hard, and its depth must be looked after.
    #[serde(default)]
    pub is_case_hardened: bool,
    /// Whether laws fitted to steel, such as Palmgren's, apply.
    pub is_steel: bool,
    /// E: modulus of elasticity.
    pub elastic_modulus_mpa: f64,
    /// ν: Poisson's ratio.
    pub poisson_ratio: f64,
    /// ρ: density.
    pub density_kg_per_mm3: f64,
    /// α: coefficient of linear thermal expansion.
    pub thermal_expansion_per_k: f64,
    /// Greatest Hertz pressure in continuous duty, for nominal loads shared as designed.
    pub contact_pressure_limit_mpa: f64,
    /// Greatest Hertz pressure of a rare peak.
    pub static_contact_pressure_limit_mpa: f64,
    /// Yield or 0.2 % proof strength; for plastics the short-term tensile strength.
    pub yield_strength_mpa: f64,
    /// Fatigue strength of a small smooth specimen in reversed bending.
    pub bending_fatigue_strength_mpa: f64,
    /// Highest temperature in service under load, of the material or of what usually greases and seals it.
    pub temperature_limit_k: f64,
    /// Greatest product of pressure and sliding speed in long running, on steel; absent where heat and wear of the material itself
    /// do not limit it.
    #[serde(default)]
    pub pressure_speed_limit_mpa_mm_per_s: Option<f64>,
    /// What whoever uses the numbers must know.
    #[serde(default)]
    pub note: String,
    /// Where each number comes from.
    pub origin: Vec<Origin>,
}

/// Where some numbers of a material come from.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// Names of the fields that this is about.
    pub values: Vec<String>,
    /// Key in the table of sources; empty for a source that a drive file states in words.
    pub source: String,
    /// How the values are held: `read`, `read in an excerpt`, `from memory`, `common practice`, `stated`.
    pub held: String,
    /// The place within the source and how the number was chosen.
    pub words: String,
}

/// Why a part has no material.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MaterialError {
    /// Neither the program nor the drive file knows the name.
    #[error("no material is called `{name}`")]
    Unknown {
        /// The name as written.
        name: String,
        /// The known name that looks most like it, if any does.
        nearest: Option<String>,
    },
}

impl Material {
    /// How far it gives way.
    #[must_use]
    pub fn elastic(&self) -> Elastic {
        Elastic { elastic_modulus_mpa: self.elastic_modulus_mpa, poisson_ratio: self.poisson_ratio }
    }

    /// Yield in shear by the greatest distortion energy, Re/√3.
    ///
    /// **Source** von Mises' hypothesis, `[timoshenko1970]`.
    #[must_use]
    pub fn shear_yield_strength_mpa(&self) -> f64 {
        self.yield_strength_mpa / 3.0_f64.sqrt()
    }

    /// The origin of one of its numbers.
    #[must_use]
    pub fn origin_of(&self, value: &str) -> Option<&Origin> {
        self.origin.iter().find(|origin| origin.values.iter().any(|name| name == value))
    }
}

/// Modulus of elasticity above which a material counts as a metal.
const LEAST_METAL_MODULUS_MPA: f64 = 10_000.0;
/// Pressure at which a line contact starts to yield below the surface over the yield strength.
///
/// **Source** `[johnson1985]` §6.1, by the greatest shear, from memory.
const FIRST_YIELD_RATIO: f64 = 1.67;
/// Limits of temperature that a stated material has unless its file says otherwise.
///
/// **Source** common practice: greases and seals of metal parts last at 80 to 100 °C, the softest plastics lose their strength at 55 to 60 °C.
const USUAL_LIMITS_K: (f64, f64) = (363.15, 323.15);

impl From<&CustomMaterial> for Material {
    /// A material as a drive file states it. Where it gives no limit for rare peaks, that is where yield starts.
    fn from(custom: &CustomMaterial) -> Self {
        let first_yield_mpa = FIRST_YIELD_RATIO * custom.yield_strength_mpa;
        let is_metal = custom.elastic_modulus_mpa >= LEAST_METAL_MODULUS_MPA;
        let usual_limit_k = if is_metal { USUAL_LIMITS_K.0 } else { USUAL_LIMITS_K.1 };
        Self {
            name: custom.name.clone(),
            words: custom.name.clone(),
            hardness: String::new(),
            surface_hardness: custom.surface_hardness,
            is_case_hardened: false,
            is_steel: custom.is_steel,
            elastic_modulus_mpa: custom.elastic_modulus_mpa,
            poisson_ratio: custom.poisson_ratio,
            density_kg_per_mm3: custom.density_kg_per_mm3,
            thermal_expansion_per_k: custom.thermal_expansion_per_k,
            contact_pressure_limit_mpa: custom.contact_pressure_limit_mpa,
            static_contact_pressure_limit_mpa: custom
                .static_contact_pressure_limit_mpa
                .unwrap_or_else(|| first_yield_mpa.max(custom.contact_pressure_limit_mpa)),
            yield_strength_mpa: custom.yield_strength_mpa,
            bending_fatigue_strength_mpa: custom.bending_fatigue_strength_mpa,
            temperature_limit_k: custom.temperature_limit_k.unwrap_or(usual_limit_k),
            pressure_speed_limit_mpa_mm_per_s: custom.pressure_speed_limit_mpa_mm_per_s,
            note: "Stated in the drive file. A limit for rare peaks that it leaves out is where a line contact starts to yield, 1.67 times the yield strength."
                .to_owned(),
            origin: vec![Origin {
                values: VALUES.iter().chain(&[OPTIONAL_VALUE]).map(|&value| value.to_owned()).collect(),
                source: String::new(),
                held: "stated".to_owned(),
                words: custom.source.clone(),
            }],
        }
    }
}

/// Names of the fields that need an origin.
const VALUES: [&str; 10] = [
    "hardness",
    "elastic_modulus_mpa",
    "poisson_ratio",
    "density_kg_per_mm3",
    "thermal_expansion_per_k",
    "contact_pressure_limit_mpa",
    "static_contact_pressure_limit_mpa",
    "yield_strength_mpa",
    "bending_fatigue_strength_mpa",
    "temperature_limit_k",
];
/// Name of a field that needs an origin where it is given.
const OPTIONAL_VALUE: &str = "pressure_speed_limit_mpa_mm_per_s";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialTable {
    material: Vec<Material>,
}

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let text = include_str!("../../../materials.toml");
    let table: MaterialTable = toml::from_str(text)
        .unwrap_or_else(|error| panic!("built-in table materials.toml does not parse: {error}"));
    table.material
});

/// All materials that come with the program, in the order of the table.
#[must_use]
pub fn built_in() -> &'static [Material] {
    &MATERIALS
}

/// The material of a name; a drive file's own materials come before those of the program.
///
/// # Errors
/// [`MaterialError::Unknown`] with the nearest known name.
pub fn find(name: &str, custom: &[CustomMaterial]) -> Result<Material, MaterialError> {
    if let Some(stated) = custom.iter().find(|material| material.name == name) {
        return Ok(Material::from(stated));
    }
    if let Some(known) = built_in().iter().find(|material| material.name == name) {
        return Ok(known.clone());
    }
    let known =
        custom.iter().map(|material| &material.name).chain(built_in().iter().map(|material| &material.name));
    let nearest = known
        .map(|candidate| (strsim::levenshtein(name, candidate), candidate))
        .min()
        .filter(|&(changes, candidate)| changes * 2 <= name.chars().count().max(candidate.chars().count()))
        .map(|(_, candidate)| candidate.clone());
    Err(MaterialError::Unknown { name: name.to_owned(), nearest })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::registry;

    #[test]
    fn identity_every_number_has_exactly_one_origin_with_a_known_source() {
        for material in built_in() {
            for value in VALUES {
                let count =
                    material.origin.iter().flat_map(|origin| &origin.values).filter(|name| *name == value);
                assert_eq!(count.count(), 1, "{}: {value}", material.name);
            }
            let named: usize = material.origin.iter().map(|origin| origin.values.len()).sum();
            let slides = material.pressure_speed_limit_mpa_mm_per_s.is_some();
            assert_eq!(named, VALUES.len() + usize::from(slides), "{}", material.name);
            assert_eq!(material.origin_of(OPTIONAL_VALUE).is_some(), slides, "{}", material.name);
            for origin in &material.origin {
                assert!(registry::source(&origin.source).is_some(), "{}: {}", material.name, origin.source);
            }
        }
    }

    #[test]
    fn identity_limits_are_in_order() {
        for material in built_in() {
            assert!(material.contact_pressure_limit_mpa < material.static_contact_pressure_limit_mpa);
            assert!(material.bending_fatigue_strength_mpa < material.yield_strength_mpa);
            assert!(material.poisson_ratio < 0.5 && material.density_kg_per_mm3 < 1e-5);
        }
    }

    #[test]
    fn identity_plastics_say_that_their_limits_are_short_term() {
        for material in built_in().iter().filter(|material| material.elastic_modulus_mpa < 10_000.0) {
            assert!(!material.is_steel && material.surface_hardness.is_none(), "{}", material.name);
            assert!(material.pressure_speed_limit_mpa_mm_per_s.is_some(), "{}", material.name);
            assert!(material.temperature_limit_k < USUAL_LIMITS_K.0, "{}", material.name);
            assert!(material.note.contains("Short-term values at room temperature"), "{}", material.name);
        }
    }

    #[test]
    fn identity_unknown_names_get_the_nearest_known_one() {
        let error = find("bearing-stel", &[]).unwrap_err();
        let nearest = Some("bearing-steel".to_owned());
        assert_eq!(error, MaterialError::Unknown { name: "bearing-stel".to_owned(), nearest });
        let error = find("cheese", &[]).unwrap_err();
        assert_eq!(error, MaterialError::Unknown { name: "cheese".to_owned(), nearest: None });
    }

    #[test]
    fn identity_a_stated_material_comes_before_the_built_in_one() {
        let stated = CustomMaterial {
            name: "bearing-steel".to_owned(),
            elastic_modulus_mpa: 210_000.0,
            poisson_ratio: 0.29,
            density_kg_per_mm3: 7.8e-6,
            thermal_expansion_per_k: 12e-6,
            contact_pressure_limit_mpa: 900.0,
            yield_strength_mpa: 1000.0,
            bending_fatigue_strength_mpa: 400.0,
            is_steel: true,
            static_contact_pressure_limit_mpa: None,
            temperature_limit_k: None,
            pressure_speed_limit_mpa_mm_per_s: None,
            surface_hardness: None,
            source: "test certificate of the batch".to_owned(),
        };
        let found = find("bearing-steel", std::slice::from_ref(&stated)).unwrap();
        assert_eq!(found.elastic_modulus_mpa, 210_000.0);
        // Yield starts at 1670 MPa, and what lasts can not be more than what a rare peak may reach.
        assert_eq!(found.static_contact_pressure_limit_mpa, 1670.0);
        let brittle = CustomMaterial { yield_strength_mpa: 400.0, ..stated.clone() };
        assert_eq!(Material::from(&brittle).static_contact_pressure_limit_mpa, 900.0);
        let told = CustomMaterial { static_contact_pressure_limit_mpa: Some(2500.0), ..stated.clone() };
        assert_eq!(Material::from(&told).static_contact_pressure_limit_mpa, 2500.0);
        assert_eq!(found.temperature_limit_k, 363.15);
        assert_eq!(found.origin_of("poisson_ratio").unwrap().words, stated.source);
    }
}
