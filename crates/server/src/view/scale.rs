//! The stops of a slider for one value of the drive file, and the checks of geometry that break at each.

use crate::api::{Band, Everywhere, Scale};
use reducer::assess::shape_findings;
use reducer::finding::{Finding, Standing};
use reducer::model::record::{Field, Kind};
use reducer::units::{Dimension, Unit, find_unit, in_unit};
use schema::{DriveFile, field_of};
use sheet::figures::scale::{decimals_of, round_step};

/// Stops of a slider, about.
const STOP_COUNT: f64 = 60.0;
/// How far a slider reaches to either side of a value, as a share of it.
const REACH: f64 = 0.5;
/// How far the slider of a count reaches to either side, at least.
const COUNT_REACH: usize = 12;
/// Tables whose values the checks of geometry look at.
const OF_GEOMETRY: [&str; 4] = ["geometry.", "bearings.", "model.", "requirement."];

/// What a slider of a key begins at: a number as it is written, or its default; nothing where the key has no slider.
#[must_use]
pub fn scale_text(file: &DriveFile, path: &str, field: &Field) -> Option<String> {
    let is_number = matches!(field.kind, Kind::Quantity(_) | Kind::Count) && field.key != "format";
    let text = || file.written(path).or_else(|| field.default_text().map(str::to_owned));
    is_number.then(text).flatten()
}

/// The scale of a key; none where it is not a number, or is left out without a default.
#[must_use]
pub fn scale(file: &DriveFile, path: &str, generation: u64) -> Option<Scale> {
    let field = field_of(path)?;
    let text = scale_text(file, path, field)?;
    let mut stops = match field.kind {
        Kind::Count => count_stops(&text, field.range)?,
        Kind::Quantity(dimension) => quantity_stops(&text, dimension, field.range)?,
        _ => return None,
    };
    stops.dedup_by(|a, b| a.0 == b.0);
    let here = stops.iter().position(|(_, stop)| *stop == text)?;
    let texts: Vec<String> = stops.into_iter().map(|(_, stop)| stop).collect();
    let is_geometry = OF_GEOMETRY.iter().any(|table| path.starts_with(table));
    let broken: Vec<_> =
        if is_geometry { texts.iter().map(|text| broken(file, path, text)).collect() } else { Vec::new() };
    let (bands, everywhere) = (bands(&broken), everywhere(&broken));
    Some(Scale { generation, path: path.to_owned(), stops: texts, here, bands, everywhere })
}

/// Whole numbers round the present one.
fn count_stops(text: &str, (least, most): (f64, f64)) -> Option<Vec<(f64, String)>> {
    let here: usize = text.replace('_', "").parse().ok()?;
    let step = (here / 40).max(1);
    let reach = COUNT_REACH.max(here / 2 / step);
    let below = (1..=reach).rev().filter_map(|index| here.checked_sub(index * step));
    let above = (1..=reach).map(|index| here + index * step);
    let allowed = |count: &usize| (least..=most).contains(&(*count as f64));
    let others = |count: usize| (count as f64, count.to_string());
    let mut stops: Vec<_> = below.filter(allowed).map(others).collect();
    stops.push((here as f64, text.to_owned()));
    stops.extend(above.filter(allowed).map(others));
    Some(stops)
}

/// Round values in the unit that is written, round the present one.
fn quantity_stops(text: &str, dimension: Dimension, range: (f64, f64)) -> Option<Vec<(f64, String)>> {
    let (here, unit_text) = number_and_unit(text)?;
    let unit = match dimension {
        Dimension::Plain => None,
        _ => Some(find_unit(unit_text.trim(), dimension)?),
    };
    let in_written = |core: f64| match (unit, unit_text.trim()) {
        (Some(unit), _) => in_unit(core, unit),
        (None, "%") => 100.0 * core,
        (None, _) => core,
    };
    let (least, most) = (in_written(range.0), in_written(range.1));
    let reach = if here == 0.0 { reach_from_zero(dimension, unit) } else { REACH * here.abs() };
    let (first, last) = ((here - reach).max(least), (here + reach).min(most));
    let step = round_step((last - first) / STOP_COUNT);
    let decimals = decimals_of(step);
    let indices = (first / step - 1e-9).ceil() as i64..=(last / step + 1e-9).floor() as i64;
    let mut stops: Vec<(f64, String)> = indices
        .map(|index| index as f64 * step)
        .filter(|value| (value - here).abs() > 1e-9 * step)
        .map(|value| (value, format!("{:.decimals$}{unit_text}", value + 0.0)))
        .collect();
    let place = stops.partition_point(|(value, _)| *value < here);
    stops.insert(place, (here, text.to_owned()));
    Some(stops)
}

/// How far the slider of a value that is nothing reaches, in the written unit: what the trade would call much.
fn reach_from_zero(dimension: Dimension, unit: Option<&Unit>) -> f64 {
    let core = match dimension {
        Dimension::Length => 0.05,
        Dimension::Angle => 0.01,
        Dimension::Plain => 0.5,
        _ => return 10.0,
    };
    unit.map_or(core, |unit| core / unit.factor)
}

/// The number that a text begins with, and the rest with the blank before the unit.
fn number_and_unit(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(index, letter)| {
            let is_exponent = matches!(letter, 'e' | 'E')
                && text[index + 1..].starts_with(|next: char| next.is_ascii_digit() || next == '-');
            !(letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+' | '−' | '_') || is_exponent)
        })
        .map_or(text.len(), |(index, _)| index);
    let number = text[..end].replace('−', "-").replace('_', "").parse().ok()?;
    Some((number, &text[end..]))
}

/// A broken check: how it stands, its id and its words.
type Broken = (Standing, &'static str, String);

/// Checks of geometry that a stop breaks; one without id where the drive file does not take the value at all.
fn broken(file: &DriveFile, path: &str, text: &str) -> Vec<Broken> {
    let changed = match file.with_value(path, text) {
        Ok(changed) => changed,
        Err(refused) => {
            let words = refused.items().first().map_or_else(String::new, |item| item.message.clone());
            return vec![(Standing::Fails, "", words)];
        }
    };
    let is_broken = |finding: &Finding| matches!(finding.standing, Standing::Fails | Standing::Doubtful);
    let findings = shape_findings(&changed.drive).unwrap_or_default();
    findings.into_iter().filter(is_broken).map(|each| (each.standing, each.id, each.title)).collect()
}

/// Whether a check is broken at every stop.
fn is_everywhere(stops: &[Vec<Broken>], id: &str) -> bool {
    !id.is_empty() && stops.iter().all(|stop| stop.iter().any(|each| each.1 == id))
}

/// The worst check that is broken at every stop.
fn everywhere(stops: &[Vec<Broken>]) -> Option<Everywhere> {
    let common = stops.first()?.iter().filter(|each| is_everywhere(stops, each.1));
    let (standing, title) = common.map(|each| (at_best(stops, each.1), &each.2)).min_by_key(|each| each.0)?;
    Some(Everywhere { standing, title: title.clone() })
}

/// How a broken check stands where it stands best.
fn at_best(stops: &[Vec<Broken>], id: &str) -> Standing {
    let of_check = stops.iter().flatten().filter(|each| each.1 == id);
    of_check.map(|each| each.0).max().unwrap_or(Standing::Doubtful)
}

/// Runs of stops with the same worst check; what is broken at every stop is told by itself.
fn bands(stops: &[Vec<Broken>]) -> Vec<Band> {
    let mut bands: Vec<Band> = Vec::new();
    for (index, stop) in stops.iter().enumerate() {
        let tells = |each: &&Broken| !is_everywhere(stops, each.1) || each.0 != at_best(stops, each.1);
        let telling = stop.iter().filter(tells);
        let Some((standing, _, title)) = telling.min_by_key(|each| each.0) else { continue };
        match bands.last_mut() {
            Some(band) if band.to + 1 == index && band.standing == *standing && band.title == *title => {
                band.to = index;
            }
            _ => bands.push(Band { from: index, to: index, standing: *standing, title: title.clone() }),
        }
    }
    bands
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_a_number_is_told_from_its_unit() {
        assert_eq!(number_and_unit("1.35 mm"), Some((1.35, " mm")));
        assert_eq!(number_and_unit("−8.9 µm"), Some((-8.9, " µm")));
        assert_eq!(number_and_unit("40 %"), Some((40.0, " %")));
        assert_eq!(number_and_unit("1e-3"), Some((1e-3, "")));
        assert_eq!(number_and_unit("h5"), None);
    }

    #[test]
    fn identity_stops_hold_the_present_text_and_stay_within_the_range() {
        let stops = quantity_stops("1.37 mm", Dimension::Length, (1.0, 2.0)).unwrap();
        assert!(stops.iter().any(|(_, text)| text == "1.37 mm"));
        assert!(stops.is_sorted_by(|a, b| a.0 < b.0));
        assert!(stops.iter().all(|(value, _)| (1.0..=2.0).contains(value)));
        assert!((30..=120).contains(&stops.len()), "{} stops", stops.len());
    }

    #[test]
    fn identity_counts_go_in_whole_steps() {
        let stops = count_stops("3", (3.0, 60.0)).unwrap();
        assert_eq!(stops.first().map(|stop| stop.1.as_str()), Some("3"));
        assert_eq!(stops.last().map(|stop| stop.1.as_str()), Some("15"));
    }

    #[test]
    fn identity_a_check_that_is_broken_everywhere_makes_no_band() {
        let always = || (Standing::Doubtful, "a", "a".to_owned());
        let once = || (Standing::Fails, "b", "b".to_owned());
        let stops = vec![vec![always()], vec![always(), once()], vec![always(), once()], vec![always()]];
        let expected = Band { from: 1, to: 2, standing: Standing::Fails, title: "b".to_owned() };
        assert_eq!(bands(&stops), vec![expected]);
        let told = Everywhere { standing: Standing::Doubtful, title: "a".to_owned() };
        assert_eq!(everywhere(&stops), Some(told));
        assert_eq!(everywhere(&[vec![once()], vec![]]), None);
    }
}
