//! Bore and outside diameter of rolling bearings of the normal class, as limits for fits on shafts and in housings.
//!
//! **Source** `[iso492-2014]`, from memory throughout: deviations of the mean diameter in a single plane.

use super::{Limits, LimitsError, Part};

/// Where the steps of the bore begin; each ends with its upper size.
const BORE_FIRST_MM: f64 = 2.5;
/// Ends of the steps of the bore, and how far below the nominal size it may be, in micrometres.
const BORES: [(f64, i32); 7] =
    [(18.0, 8), (30.0, 10), (50.0, 12), (80.0, 15), (120.0, 20), (180.0, 25), (250.0, 30)];
/// Where the steps of the outside diameter begin.
const OUTSIDE_FIRST_MM: f64 = 6.0;
/// Ends of the steps of the outside diameter, and how far below the nominal size it may be, in micrometres.
const OUTSIDES: [(f64, i32); 8] =
    [(18.0, 8), (30.0, 9), (50.0, 11), (80.0, 13), (120.0, 15), (150.0, 18), (180.0, 25), (250.0, 30)];

/// Limits of the mean diameter of a bearing of the normal class: of its bore, the hole, or of its outside, the shaft.
///
/// **Valid for** radial bearings but tapered ones, bores over 2.5 mm and outside diameters over 6 mm, both to 250 mm.
/// **Source** `[iso492-2014]`, from memory. **Checked by** `validation/iso492/`.
///
/// # Errors
/// [`LimitsError::SizeOutside`] with the range of sizes that is held.
pub fn limits_normal_class_iso492(part: Part, size_mm: f64) -> Result<Limits, LimitsError> {
    let (what, first_mm, steps) = match part {
        Part::Hole => ("the bore of a bearing", BORE_FIRST_MM, &BORES[..]),
        Part::Shaft => ("the outside of a bearing", OUTSIDE_FIRST_MM, &OUTSIDES[..]),
    };
    let below_um = steps.iter().find(|(end_mm, _)| size_mm <= *end_mm).map(|(_, below_um)| *below_um);
    below_um.filter(|_| size_mm > first_mm).map(|below_um| Limits::of_half_um(-2 * below_um, 0)).ok_or_else(
        || LimitsError::SizeOutside {
            what: what.to_owned(),
            size_mm,
            first_mm,
            includes_first: false,
            last_mm: steps.last().map_or(first_mm, |(end_mm, _)| *end_mm),
        },
    )
}
