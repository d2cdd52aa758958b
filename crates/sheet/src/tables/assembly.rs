//! What a study of assemblies came to: distributions, yield, and what each tolerance has to do with them.

use super::number_cell;
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::assembly::draw::Acts;
use reducer::assembly::loaded::LoadedAngleCheck;
use reducer::assembly::proposal::{Proposal, ProposedTolerance};
use reducer::assembly::shares::VarianceShare;
use reducer::assembly::summary::{
    AngleCheck, Distribution, LEAST_SAMPLE, ToleranceEffect, YieldChange, YieldResult, YieldStanding,
};
use reducer::assembly::tally::ShareWithBounds;
use reducer::registry::{self, format_number};

/// The quantities of a study: mean, spread, percentiles, limit and yield.
#[must_use]
pub fn distribution_table(result: &YieldResult) -> Table {
    let numbers = |head: &str| Column::new(head, Align::Decimal);
    Table {
        title: format!(
            "Assemblies: {} without load{}",
            grouped(result.computed_count),
            result.loaded_count().map_or_else(String::new, |count| format!(", {} loaded", grouped(count)))
        ),
        columns: vec![
            Column::new("quantity", Align::Left),
            Column::new("unit", Align::Left),
            numbers("mean"),
            numbers("std. dev."),
            numbers("5 %"),
            numbers("median"),
            numbers("95 %"),
            numbers("99 %"),
            numbers("limit"),
            Column::new("within", Align::Right),
        ],
        rows: result.distributions.iter().map(distribution_row).collect(),
    }
}

fn distribution_row(each: &Distribution) -> Vec<Markup> {
    let number = |value: f64| number_cell(&each.quantity, value);
    let [_, low, median, high, highest] = each.percentiles;
    let unit = registry::quantity(&each.quantity).map_or("", |quantity| quantity.unit.as_str());
    vec![
        Markup::words(each.title.as_str()),
        Markup::words(unit),
        number(each.mean),
        number(each.standard_deviation),
        number(low),
        number(median),
        number(high),
        number(highest),
        each.limit.map_or_else(|| Markup::words("–"), number),
        each.within.as_ref().map_or_else(|| Markup::words("–"), |share| Markup::words(share_in_words(share))),
    ]
}

/// A share with its bounds: `97.31 % (97.25 to 97.37)`.
#[must_use]
pub fn share_in_words(share: &ShareWithBounds) -> String {
    let percent = |value: f64| format_number(100.0 * value, 2);
    format!("{} % ({} to {})", percent(share.share), percent(share.lower), percent(share.upper))
}

/// What each tolerance has to do with the spread and the yield, the weightiest first.
#[must_use]
pub fn tolerance_table(result: &YieldResult) -> Table {
    let percent = |head: &str| Column { unit: "%".to_owned(), ..Column::new(head, Align::Right) };
    let shares = if result.has_shares() {
        format!("shares of variance from {} rows", grouped(result.share_row_count))
    } else {
        format!("shares of variance not computed from fewer than {LEAST_SAMPLE} rows")
    };
    let changes = match (result.has_changes(), result.required.is_some()) {
        (true, _) => format!("changes of yield from {} assemblies", grouped(result.grade_assembly_count)),
        (false, true) => format!("changes of yield not computed from fewer than {LEAST_SAMPLE} assemblies"),
        (false, false) => "changes of yield not computed without a requirement".to_owned(),
    };
    Table {
        title: format!("Tolerances: {shares}, {changes}"),
        columns: vec![
            Column::new("tolerance", Align::Left),
            Column::new("limits", Align::Right),
            percent("backlash: alone"),
            percent("in all"),
            percent("error: alone"),
            percent("in all"),
            percent("yield: grade tighter"),
            percent("grade looser"),
        ],
        rows: result.tolerances.iter().map(|effect| tolerance_row(result, effect)).collect(),
    }
}

fn tolerance_row(result: &YieldResult, effect: &ToleranceEffect) -> Vec<Markup> {
    let dash = || Markup::words("–");
    let share = |share: &VarianceShare| {
        if effect.acts != Acts::WithoutLoad || !result.has_shares() {
            return [dash(), dash()];
        }
        let cell = |value: f64, error: f64| {
            Markup::tagged(Tag::Value, format_number(100.0 * value, 1))
                .and(Tag::Aside, format!(" ±{}", format_number(196.0 * error, 1)))
        };
        [cell(share.first_order, share.first_order_error), cell(share.total, share.total_error)]
    };
    let change = |change: &YieldChange| {
        if effect.acts != Acts::WithoutLoad || !result.has_changes() {
            return dash();
        }
        let sign = if change.change > 0.0 { "+" } else { "" };
        Markup::tagged(Tag::Value, format!("{sign}{}", format_number(100.0 * change.change, 2)))
            .and(Tag::Aside, format!(" ±{}", format_number(100.0 * change.bound, 2)))
    };
    let [backlash_alone, backlash_all] = share(&effect.of_backlash);
    let [error_alone, error_all] = share(&effect.of_transmission_error);
    vec![
        Markup::words(match effect.acts.words() {
            Some(words) => format!("{}: {words}", effect.name),
            None => effect.name.clone(),
        }),
        Markup::words(limits_in_words(effect)),
        backlash_alone,
        backlash_all,
        error_alone,
        error_all,
        change(&effect.one_grade_tighter),
        change(&effect.one_grade_looser),
    ]
}

/// The limits of a tolerance: `±4.0 µm`, `−8.0 to 0.0 µm`.
#[must_use]
pub fn limits_in_words(effect: &ToleranceEffect) -> String {
    let (scale, unit) = if effect.name.ends_with("temperature") { (1.0, "K") } else { (1e3, "µm") };
    band_in_words(effect.lower_mm, effect.upper_mm, scale, unit)
}

fn band_in_words(lower: f64, upper: f64, scale: f64, unit: &str) -> String {
    let number = |value: f64| format_number(scale * value, 1);
    if lower == -upper {
        format!("±{} {unit}", number(upper))
    } else {
        format!("{} to {} {unit}", number(lower), number(upper))
    }
}

/// The loosest tolerances that were found, beside those stated.
#[must_use]
pub fn proposal_table(proposal: &Proposal) -> Table {
    let limits = |[lower, upper]: [f64; 2]| Markup::words(band_in_words(lower, upper, 1e3, "µm"));
    let row = |tolerance: &ProposedTolerance| {
        let moved = match tolerance.grades_looser {
            0 => "as stated".to_owned(),
            grades if grades < 0 => format!("{} tighter", -grades),
            grades => format!("{grades} looser"),
        };
        vec![
            Markup::words(tolerance.name.as_str()),
            limits(tolerance.stated_mm),
            limits(tolerance.proposed_mm),
            Markup::words(moved),
            Markup::tagged(Tag::Value, format_number(tolerance.cost_weight, 2)),
            Markup::tagged(Tag::Value, format_number(tolerance.cost_ratio, 2)),
        ]
    };
    let instead = |[stated, proposed]: [f64; 2]| {
        format!("{} % instead of {} %", format_number(100.0 * proposed, 1), format_number(100.0 * stated, 1))
    };
    let under_load = proposal.yields_under_load.map_or_else(String::new, |[stated, proposed]| {
        format!(", with lost motion {} instead of {}", share_in_words(&proposed), share_in_words(&stated))
    });
    let reached = if proposal.is_reached { "" } else { "; the wanted yield is not reached" };
    Table {
        title: format!(
            "Proposed tolerances: yield without load {} instead of {}{under_load}; nothing presses in {}, tips and roots have room in {}; cost {} times that as stated{reached}",
            share_in_words(&proposal.proposed_yield),
            share_in_words(&proposal.stated_yield),
            instead(proposal.free_shares),
            instead(proposal.tips_free_shares),
            format_number(proposal.cost_ratio, 2)
        ),
        columns: vec![
            Column::new("tolerance", Align::Left),
            Column::new("stated", Align::Right),
            Column::new("proposed", Align::Right),
            Column::new("grades", Align::Left),
            Column::new("cost weight", Align::Decimal),
            Column::new("cost", Align::Decimal),
        ],
        rows: proposal.tolerances.iter().map(row).collect(),
    }
}

/// What a study says in sentences: the yield, the crank angles, and what it takes for granted.
#[must_use]
pub fn yield_sentences(result: &YieldResult) -> Vec<String> {
    let mut lines = Vec::new();
    if result.is_partial {
        lines.push(format!(
            "Partial: interrupted after {} of {} assemblies.",
            grouped(result.computed_count),
            grouped(result.assembly_count)
        ));
    }
    lines.extend(yields_in_words(result));
    lines.push(angles_in_words(&result.angle_check));
    lines.extend(result.loaded_angle_check.as_ref().map(loaded_angles_in_words));
    lines.extend(pressing(result));
    if result.loaded_count().is_none() {
        lines.push(
            "No assembly was loaded: what tolerances do to lost motion, load sharing and pressure is not in this study.".to_owned(),
        );
    }
    if result.unsolved_count > 0 {
        lines.push(format!("{} loaded assemblies have no equilibrium.", grouped(result.unsolved_count)));
    }
    lines
}

/// The yield without load and that of the loaded assemblies beside what is wanted, and how many assemblies press.
fn yields_in_words(result: &YieldResult) -> Vec<String> {
    let wanted = format_number(100.0 * result.wanted_yield, 1);
    let verdict = |share: &ShareWithBounds| match result.standing_of(share) {
        YieldStanding::Reached => "reached",
        YieldStanding::NotReached => "not reached",
        YieldStanding::Open => "within what these assemblies can tell",
    };
    let mut lines = Vec::new();
    if let Some(share) = &result.required {
        lines.push(format!(
            "Yield without load: {} of the assemblies meet every requirement; wanted are {wanted} %, {}.",
            share_in_words(share),
            verdict(share)
        ));
    }
    if let Some(share) = &result.required_under_load {
        lines.push(format!(
            "Yield with lost motion: {} of the loaded assemblies meet every requirement; wanted are {wanted} %, {}.",
            share_in_words(share),
            verdict(share)
        ));
    }
    match (&result.required, &result.required_under_load) {
        (None, None) if result.is_lost_motion_required => lines.push(
            "The only requirement is that of lost motion, which takes loaded assemblies; none were asked for.".to_owned(),
        ),
        (None, None) => lines.push(
            "No requirement of backlash, transmission error or lost motion is stated, so there is no yield.".to_owned(),
        ),
        (Some(_), None) if result.is_lost_motion_required => lines.push(
            "The requirement of lost motion takes loaded assemblies and is not in this yield; none were asked for.".to_owned(),
        ),
        _ => {}
    }
    if result.pressing.share > 0.0 {
        lines.push(format!(
            "Parts press on each other without load at some crank angle in {} of the assemblies, at every one in {}; these last count as meeting nothing.",
            share_in_words(&result.pressing),
            share_in_words(&result.blocked)
        ));
    }
    lines
}

/// At which crank angles assemblies are looked at, and what that misses of these very assemblies.
fn angles_in_words(check: &AngleCheck) -> String {
    let short = |value: f64| registry::display("transmission_error_rad", value);
    let percent = |share: f64| format_number(100.0 * share, 1);
    let advice = if check.error_shortfall_share > SHORTFALL_TOLD {
        " Yields are too high by what that carries across a limit; take more with --crank-angles."
    } else {
        ""
    };
    format!(
        "Every assembly is looked at at {} crank angles spread over a whole output turn, and its extremes are followed from there. Beside {} angles, tried for {} of these assemblies, the transmission error comes out {} % too small on the mean ({}) and {} % at most, the greatest backlash {} too small on the mean.{advice}",
        grouped(check.angle_count as u64),
        grouped(check.dense_angle_count as u64),
        check.assembly_count,
        percent(check.error_shortfall_share),
        short(check.mean_error_shortfall_rad),
        percent(check.largest_error_shortfall_share),
        short(check.mean_backlash_shortfall_rad),
    )
}

/// At which crank angles assemblies are loaded, and what that misses.
fn loaded_angles_in_words(check: &LoadedAngleCheck) -> String {
    format!(
        "Loaded assemblies are looked at at {} crank angles. Beside {} angles, tried for {} of them, the lost motion comes out {} % too small on the mean ({}).",
        check.loaded_angle_count,
        check.dense_angle_count,
        check.assembly_count,
        format_number(100.0 * check.lost_motion_shortfall_share, 1),
        registry::display("lost_motion_rad", check.mean_lost_motion_shortfall_rad),
    )
}

/// Share of the transmission error that crank angles miss from which on more are advised.
const SHORTFALL_TOLD: f64 = 0.03;

/// What to make of assemblies whose lobes have no room at tips and roots.
fn pressing(result: &YieldResult) -> Option<String> {
    let share = result.distributions.iter().find(|each| each.id == "tip-gap")?.within.as_ref()?;
    let pressed = 1.0 - share.share;
    (pressed > PRESSING_TOLD).then(|| {
        format!(
            "In {} % of the assemblies rollers press at tips or roots of lobes, where they push discs aside and carry no torque. Give tips room; the command modification proposes how.",
            format_number(100.0 * pressed, 0)
        )
    })
}

/// Share of assemblies that press at tips or roots from which on it is told.
const PRESSING_TOLD: f64 = 0.05;

fn grouped(count: u64) -> String {
    format_number(count as f64, 0)
}
