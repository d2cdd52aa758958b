//! Tables of losses, efficiency and heat.

use super::{number_cell, quantity_column, value_row, value_table};
use crate::markup::Markup;
use crate::table::{Align, Column, Table};
use reducer::registry;
use reducer::results::{LossResult, OperatingPoint};

/// Power, torque and efficiency at every operating point.
#[must_use]
pub fn operating_points_table(losses: &LossResult) -> Table {
    let row = |point: &OperatingPoint| {
        vec![
            Markup::words(point.title.as_str()),
            number_cell("output_torque_n_mm", point.output_torque_n_mm),
            number_cell("input_speed_rad_per_s", point.input_speed_rad_per_s),
            number_cell("output_power_w", point.output_power_w),
            number_cell("loss_power_w", point.loss_power_w),
            number_cell("input_torque_n_mm", point.input_torque_n_mm),
            number_cell("efficiency", point.efficiency),
        ]
    };
    Table {
        title: "Power and efficiency".to_owned(),
        columns: vec![
            Column::new("operating point", Align::Left),
            quantity_column("output_torque_n_mm", "torque"),
            quantity_column("input_speed_rad_per_s", "crank speed"),
            quantity_column("output_power_w", "power out"),
            quantity_column("loss_power_w", "power lost"),
            quantity_column("input_torque_n_mm", "torque on the crank"),
            quantity_column("efficiency", "efficiency"),
        ],
        rows: losses.points.iter().map(row).collect(),
    }
}

/// Torques that start and turn the drive, and its heat balance.
#[must_use]
pub fn loss_table(losses: &LossResult) -> Table {
    let row = |quantity: &str, value: f64| {
        let words = registry::quantity(quantity).map_or(quantity, |entry| entry.words.as_str());
        value_row(quantity, words, value)
    };
    let mut rows = vec![
        row("no_load_torque_n_mm", losses.no_load_torque_n_mm),
        row("starting_torque_n_mm", losses.starting_torque_n_mm),
        row("loaded_starting_torque_n_mm", losses.loaded_starting_torque_n_mm),
        losses.back_driving_torque_n_mm.and_then(|torque| row("back_driving_torque_n_mm", torque)),
        row("back_driving_efficiency", losses.back_driving_efficiency),
    ];
    if let Some(heat) = &losses.heat {
        rows.extend([
            row("cooling_area_mm2", heat.cooling_area_mm2),
            row("mean_loss_power_w", heat.mean_loss_power_w),
            row("steady_temperature_k", heat.steady_temperature_k),
            heat.viscosity_mm2_per_s.and_then(|viscosity| row("viscosity_mm2_per_s", viscosity)),
            heat.thermal_torque_n_mm.and_then(|torque| row("thermal_torque_n_mm", torque)),
            heat.thermal_torque_at_max_speed_n_mm
                .and_then(|torque| row("thermal_torque_at_max_speed_n_mm", torque)),
        ]);
    }
    value_table("Torques without and against load, heat", rows)
}
