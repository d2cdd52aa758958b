//! Refuses parts that are no parts: open or crossing outlines, holes that break out or meet.

use crate::ExportError;
use curves::outline::{check_outline, winding_count};
use curves::plate::{Plate, RoundHole};
use curves::point::Point;

/// Checks that a plate can be made and drawn.
///
/// # Errors
/// The first fault found.
pub fn check_plate(plate: &Plate) -> Result<(), ExportError> {
    check_length(plate, "thickness", plate.thickness_mm)?;
    check_outline(plate.outline.as_ref())
        .map_err(|fault| ExportError::Outline { part: plate.name.clone(), fault })?;
    let outline: Vec<Point> = outline_points(plate);
    for (index, hole) in plate.holes.iter().enumerate() {
        check_hole_numbers(plate, hole)?;
        check_wall_to_outline(plate, hole, &outline)?;
        for other in &plate.holes[..index] {
            check_wall_between(plate, other, hole)?;
        }
    }
    Ok(())
}

const OUTLINE_POINT_COUNT: usize = 8192;

fn outline_points(plate: &Plate) -> Vec<Point> {
    let parameters = curves::sampling::by_count(plate.outline.as_ref(), OUTLINE_POINT_COUNT);
    parameters.into_iter().map(|parameter| plate.outline.at(parameter).position_mm).collect()
}

fn check_length(plate: &Plate, quantity: &str, value_mm: f64) -> Result<(), ExportError> {
    if value_mm > 0.0 && value_mm.is_finite() {
        Ok(())
    } else {
        Err(ExportError::Length { part: plate.name.clone(), quantity: quantity.to_owned(), value_mm })
    }
}

fn check_hole_numbers(plate: &Plate, hole: &RoundHole) -> Result<(), ExportError> {
    check_length(plate, &format!("radius of {}", hole.name), hole.radius_mm)?;
    for value_mm in [hole.centre_mm.x, hole.centre_mm.y] {
        if !value_mm.is_finite() {
            let quantity = format!("centre of {}", hole.name);
            return Err(ExportError::Length { part: plate.name.clone(), quantity, value_mm });
        }
    }
    Ok(())
}

fn check_wall_to_outline(plate: &Plate, hole: &RoundHole, outline: &[Point]) -> Result<(), ExportError> {
    let nearest_mm =
        outline.iter().map(|point| (point - hole.centre_mm).norm()).fold(f64::INFINITY, f64::min);
    let is_inside = winding_count(outline, hole.centre_mm) == 1;
    let wall_mm = if is_inside { nearest_mm } else { -nearest_mm } - hole.radius_mm;
    if wall_mm > 0.0 {
        Ok(())
    } else {
        Err(ExportError::HoleBreaksOut { part: plate.name.clone(), hole: hole.name.clone(), wall_mm })
    }
}

fn check_wall_between(plate: &Plate, first: &RoundHole, second: &RoundHole) -> Result<(), ExportError> {
    let wall_mm = (first.centre_mm - second.centre_mm).norm() - first.radius_mm - second.radius_mm;
    if wall_mm > 0.0 {
        Ok(())
    } else {
        Err(ExportError::HolesMeet {
            part: plate.name.clone(),
            first: first.name.clone(),
            second: second.name.clone(),
            wall_mm,
        })
    }
}
