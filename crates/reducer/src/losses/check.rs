//! Findings of efficiency and heat.

use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::model::{Drive, LubricantKind};
use crate::registry;
use crate::results::{LossResult, OperatingPoint};

/// Efficiency, steady temperature and thermal torque; lines that say why where there are none.
#[must_use]
pub fn loss_findings(drive: &Drive, losses: Option<&LossResult>) -> Vec<Finding> {
    let Some(losses) = losses else {
        let reason = "the geometry does not mesh; mend the geometry findings first";
        return vec![heat_not_assessed(drive, reason)];
    };
    let mut findings: Vec<Finding> =
        losses.points.first().map(|point| efficiency(drive, losses, point)).into_iter().collect();
    findings.extend(heat(drive, losses));
    findings
}

/// A number that nothing limits, shown among the checks.
#[must_use]
pub fn told(
    id: &'static str,
    subject: Subject,
    title: &str,
    (quantity, value): (&'static str, f64),
    formula: &'static str,
    key: &'static str,
    place: String,
) -> Finding {
    Finding {
        id,
        standing: Standing::NoLimit,
        subject,
        title: title.to_owned(),
        quantity,
        value: Some(value),
        value_display: registry::display(quantity, value),
        limit: None,
        limit_display: String::new(),
        sense: Sense::AtMost,
        margin: None,
        place,
        formula,
        hint: String::new(),
        key,
    }
}

fn efficiency(drive: &Drive, losses: &LossResult, point: &OperatingPoint) -> Finding {
    let title = "efficiency under the rated torque at the mean speed";
    let largest = point.sources.iter().max_by(|a, b| a.loss_power_w.total_cmp(&b.loss_power_w));
    let place = largest.map_or_else(String::new, |source| {
        let share = 100.0 * source.loss_power_w / point.loss_power_w;
        let warm =
            registry::display("lubricant_temperature_k", losses.efficiency_map.lubricant_temperature_k);
        let is_dry = drive.lubrication.kind == LubricantKind::Dry;
        let lubricant = if is_dry { String::new() } else { format!("; lubricant at {warm}") };
        let (loss, total_w) = (&source.title, point.loss_power_w);
        format!("largest loss: {loss}, {share:.0} % of {total_w:.1} W{lubricant}")
    });
    let Some(limit) = drive.requirement.efficiency else {
        let quantity = ("efficiency", point.efficiency);
        return told("efficiency", Subject::Practice, title, quantity, "efficiency", "losses", place);
    };
    Check {
        id: "efficiency",
        subject: Subject::Requirement,
        title,
        quantity: "efficiency",
        value: point.efficiency,
        limit,
        sense: Sense::AtLeast,
        scale: 1.0 - limit.min(0.99),
        when_broken: Standing::Fails,
        place,
        formula: "efficiency",
        hint: "let rollers and pins turn (roller_turning, sleeve_radius), or take a larger eccentricity"
            .to_owned(),
        key: "requirement.efficiency",
    }
    .finding()
}

fn heat(drive: &Drive, losses: &LossResult) -> Vec<Finding> {
    let Some(heat) = &losses.heat else {
        let reason = "give housing_radius and housing_length, or cooling_area, for the heat that leaves";
        return vec![heat_not_assessed(drive, reason)];
    };
    let requirement = &drive.requirement;
    let temperature = Check {
        id: "steady-temperature",
        subject: Subject::Requirement,
        title: "steady temperature at the share of running time",
        quantity: "steady_temperature_k",
        value: heat.steady_temperature_k,
        limit: heat.temperature_limit_k,
        sense: Sense::AtMost,
        scale: (heat.temperature_limit_k - requirement.ambient_temperature_k).abs().max(1.0),
        when_broken: Standing::Fails,
        place: format!(
            "mean loss {} over the duty cycle and standstill",
            registry::display("mean_loss_power_w", heat.mean_loss_power_w)
        ),
        formula: "steady-temperature",
        hint: "cool better (cooling_area, heat_transfer), lower running_share, or lower the losses"
            .to_owned(),
        key: "requirement.running_share",
    };
    let torque = Check {
        id: "thermal-torque",
        subject: Subject::Requirement,
        title: "torque that heat allows at the mean speed",
        quantity: "thermal_torque_n_mm",
        value: heat.thermal_torque_n_mm.unwrap_or(heat.greatest_torque_n_mm),
        limit: requirement.rated_torque_n_mm,
        sense: Sense::AtLeast,
        scale: requirement.rated_torque_n_mm,
        when_broken: Standing::Doubtful,
        place: match heat.thermal_torque_n_mm {
            Some(_) => "at the share of running time, constant torque and speed".to_owned(),
            None => "heat limits no torque up to the greatest that the drive is asked for".to_owned(),
        },
        formula: "steady-temperature",
        hint: "cool better (cooling_area, heat_transfer), lower the mean speed or running_share".to_owned(),
        key: "requirement.running_share",
    };
    vec![temperature.finding(), torque.finding()]
}

fn heat_not_assessed(drive: &Drive, reason: &str) -> Finding {
    Finding::not_assessed(
        "steady-temperature",
        Subject::Requirement,
        "steady temperature at the share of running time",
        Some(("running_share", drive.requirement.running_share)),
        "requirement.running_share",
        reason,
    )
}
