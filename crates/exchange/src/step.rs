//! STEP AP242 solid of a flat part: smooth flanks as B-spline surfaces, bore and holes as true cylinders.
//!
//! The outline becomes one face per piece between its breaks (half a lobe of a disc), each a cubic
//! spline within the tolerance of the exact profile, drawn up by the thickness. Every hole is one
//! cylindrical face. The file carries a fixed time, as the same part is to give the same bytes.
//!
//! Source: entity definitions of `[iso10303-242]` and encoding of `[iso10303-21]`, from memory.

mod encode;
mod product;
mod solid;

use crate::soundness::check_plate;
use crate::{Export, ExportError, ExportOptions};
use curves::plate::Plate;
use curves::spline::fit_splines;
use encode::{Entities, text};

/// The STEP writer.
pub struct Step;

impl Export for Step {
    fn format(&self) -> &'static str {
        "STEP"
    }

    fn extension(&self) -> &'static str {
        "step"
    }

    fn write(&self, plate: &Plate, options: &ExportOptions) -> Result<Vec<u8>, ExportError> {
        check_plate(plate)?;
        let flanks = fit_splines(plate.outline.as_ref(), FIT_SHARE * options.tolerance_mm)
            .map_err(|source| ExportError::Fit { part: plate.name.clone(), source })?;
        let worst_mm = flanks.iter().map(|fit| fit.worst_deviation_mm).fold(0.0, f64::max);
        let splines = flanks.into_iter().map(|fit| fit.spline).collect();
        let mut entities = Entities::default();
        let solid = solid::write(&mut entities, plate, splines);
        product::write(&mut entities, plate, options, solid);
        Ok(file(plate, options, worst_mm, &entities).into_bytes())
    }
}

/// Share of the tolerance that the splines use. Half as many knots again buy a five times closer fit,
/// and mass and volume of the solid then agree with the exact part to a few millionths.
const FIT_SHARE: f64 = 0.2;
/// Schema name and number of the application protocol, edition 2.
const SCHEMA: &str = "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }";
/// The standard asks for a time; a fixed one keeps the bytes the same.
const FIXED_TIME: &str = "2000-01-01T00:00:00";

fn file(plate: &Plate, options: &ExportOptions, worst_mm: f64, entities: &Entities) -> String {
    let description = format!(
        "{}, outline within {} mm of the exact profile, largest distance found {worst_mm:.6} mm",
        plate.name, options.tolerance_mm
    );
    format!(
        "ISO-10303-21;\nHEADER;\n\
         FILE_DESCRIPTION(({}),'2;1');\n\
         FILE_NAME({},'{FIXED_TIME}',(''),(''),'lobewright','lobewright','');\n\
         FILE_SCHEMA(('{SCHEMA}'));\n\
         ENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
        text(&description),
        text(&format!("{}.step", plate.name)),
        entities.as_str()
    )
}
