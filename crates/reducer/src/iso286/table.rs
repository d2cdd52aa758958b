//! The tables of standard tolerances and of the fundamental deviations of shafts, as printed, in micrometres.
//!
//! **Source** `[iso286-2-2010]`, not read itself. Standard tolerances were read whole in `[it-grades-table2025]`, and IT5 to IT11 again in a second
//! one. Deviations of shafts up to 80 mm were read in an extract of `[jis-b0401-1999]`; g above that in the G7 of `[din-iso286-extract2025]`; k, m
//! and n above that are from memory and agree, by the rule for holes, with the limits of K6 to N7 that were read in `[hole-limits-table2025]`; p above
//! 80 mm is from memory.

/// Ends of the steps of nominal sizes; a step holds its upper end and not its lower one, but for the first, which begins with 1 mm.
pub const STEP_ENDS_MM: [f64; 12] = [1.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0];

/// Grade of the first column of [`STANDARD_TOLERANCES_UM`].
pub const FIRST_GRADE: u8 = 4;
/// Grade of its last column.
pub const LAST_GRADE: u8 = 11;

/// A standard tolerance that is not held.
pub const NOT_HELD: i32 = 0;

/// IT4 to IT11 by step.
pub const STANDARD_TOLERANCES_UM: [[i32; 8]; 11] = [
    [3, 4, 6, 10, 14, 25, 40, 60],
    [4, 5, 8, 12, 18, 30, 48, 75],
    [4, 6, 9, 15, 22, 36, 58, 90],
    [5, 8, 11, 18, 27, 43, 70, 110],
    [6, 9, 13, 21, 33, 52, 84, 130],
    [7, 11, 16, 25, 39, 62, 100, 160],
    [8, 13, 19, 30, 46, 74, 120, 190],
    [10, 15, 22, 35, 54, 87, 140, 220],
    [12, 18, 25, 40, 63, 100, 160, 250],
    [14, 20, 29, 46, 72, 115, 185, 290],
    [NOT_HELD, 23, 32, 52, NOT_HELD, NOT_HELD, NOT_HELD, NOT_HELD],
];

/// Fundamental deviations of shafts by step up to 250 mm: es of g, then ei of k, m, n and p.
pub const SHAFT_DEVIATIONS_UM: [[i32; 5]; 10] = [
    [-2, 0, 2, 4, 6],
    [-4, 1, 4, 8, 12],
    [-5, 1, 6, 10, 15],
    [-6, 1, 7, 12, 18],
    [-7, 2, 8, 15, 22],
    [-9, 2, 9, 17, 26],
    [-10, 2, 11, 20, 32],
    [-12, 3, 13, 23, 37],
    [-14, 3, 15, 27, 43],
    [-15, 4, 17, 31, 50],
];

/// The step that holds a size.
pub fn step(size_mm: f64) -> Option<usize> {
    let [first, ends @ ..] = &STEP_ENDS_MM;
    if size_mm >= *first { ends.iter().position(|end| size_mm <= *end) } else { None }
}

/// Standard tolerance of a grade in a step, where it is held.
pub fn standard_tolerance_um(grade: u8, step: usize) -> Option<i32> {
    let column = usize::from(grade.checked_sub(FIRST_GRADE)?);
    STANDARD_TOLERANCES_UM[step].get(column).copied().filter(|tolerance| *tolerance != NOT_HELD)
}
