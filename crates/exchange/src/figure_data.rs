//! The numbers of a figure as comma-separated values: one row a point, cell or bar.

use crate::loads::number;
use crate::{ExportError, csv};
use sheet::figure::{Axis, Bars, Body, Chart, Figure, Histogram, Map, PairedBars, Polar, RoundChart, Stems};

/// The numbers of a figure in the units that it shows, with nine significant digits; `None` for a drawing, which has none.
///
/// # Errors
/// [`ExportError::Writer`], which is a defect.
pub fn figure_csv(figure: &Figure) -> Option<Result<Vec<u8>, ExportError>> {
    let rows = match &figure.body {
        Body::Drawing(_) => return None,
        Body::Chart(chart) => chart_rows(chart),
        Body::Bars(bars) => bar_rows(bars),
        Body::Map(map) => map_rows(map),
        Body::Polar(polar) => polar_rows(polar),
        Body::Round(chart) => round_rows(chart),
        Body::Stems(stems) => stem_rows(stems),
        Body::Histogram(histogram) => histogram_rows(histogram),
        Body::PairedBars(bars) => paired_rows(bars),
    };
    Some(written(figure, &rows))
}

fn written(figure: &Figure, rows: &[Vec<String>]) -> Result<Vec<u8>, ExportError> {
    let heading =
        format!("# {}\n# {}\n", csv::one_line(&figure.title), csv::one_line(&figure.caption.plain()));
    let mut writer = ::csv::Writer::from_writer(heading.into_bytes());
    for row in rows {
        writer.write_record(row).map_err(csv::writer_error)?;
    }
    writer.into_inner().map_err(|error| csv::writer_error(error.into_error().into()))
}

/// Head of a column: what the axis shows, with its unit.
fn head(axis: &Axis) -> String {
    axis.label.plain()
}

/// Points of all curves; each panel has its own quantity, which stands in its rows.
fn chart_rows(chart: &Chart) -> Vec<Vec<String>> {
    let mut rows = vec![vec!["quantity".to_owned(), "curve".to_owned(), head(&chart.x), "value".to_owned()]];
    // A detail shows points that stand in the panel above it already.
    for panel in chart.panels.iter().filter(|panel| panel.detail_x.is_none()) {
        for series in &panel.series {
            for [x, y] in series.pieces.iter().flatten() {
                rows.push(vec![head(&panel.y), series.label.plain(), number(*x), number(*y)]);
            }
        }
    }
    rows
}

fn bar_rows(bars: &Bars) -> Vec<Vec<String>> {
    let mut rows = vec![vec!["bar".to_owned(), head(&bars.axis)]];
    rows.extend(bars.rows.iter().map(|bar| vec![bar.label.clone(), number(bar.value)]));
    rows
}

/// Cells that hold something, by what their column and row stand for.
fn map_rows(map: &Map) -> Vec<Vec<String>> {
    let head_of_rows = map.panels.first().map_or_else(String::new, |panel| head(&panel.y));
    let mixed = map.panels.iter().any(|panel| head(&panel.y) != head_of_rows);
    let y = if mixed { "number".to_owned() } else { head_of_rows };
    let mut rows = vec![vec!["quantity".to_owned(), head(&map.x), y, "value".to_owned()]];
    for panel in &map.panels {
        for (cells, row) in panel.cells.iter().zip(&panel.rows) {
            let filled =
                cells.iter().zip(&panel.columns).filter_map(|(cell, column)| Some((column, (*cell)?)));
            rows.extend(filled.map(|(column, value)| {
                vec![head(&panel.scale), number(*column), number(*row), number(value)]
            }));
        }
    }
    rows
}

/// Tips of the vectors on their paths, in each frame.
fn polar_rows(polar: &Polar) -> Vec<Vec<String>> {
    let mut rows = vec![["frame", "path", "x", "y"].map(str::to_owned).to_vec()];
    for panel in &polar.panels {
        for series in &panel.series {
            rows.extend(
                series
                    .pieces
                    .iter()
                    .flatten()
                    .map(|[x, y]| vec![panel.title.plain(), series.label.plain(), number(*x), number(*y)]),
            );
        }
    }
    rows
}

/// Angle, least and greatest value of every point of the curves.
fn round_rows(chart: &RoundChart) -> Vec<Vec<String>> {
    let value = head(&chart.radius);
    let angle = format!("{}, °", head(&chart.angle));
    let mut rows =
        vec![vec!["curve".to_owned(), angle, format!("least {value}"), format!("greatest {value}")]];
    for curve in &chart.curves {
        rows.extend(curve.points.iter().map(|[angle, least, greatest]| {
            vec![curve.label.plain(), number(*angle), number(*least), number(*greatest)]
        }));
    }
    rows
}

fn stem_rows(stems: &Stems) -> Vec<Vec<String>> {
    let y = stems.panels.first().map_or_else(String::new, |panel| head(&panel.y));
    let mut rows = vec![vec!["panel".to_owned(), head(&stems.x), y]];
    for panel in &stems.panels {
        rows.extend(
            panel.stems.iter().map(|stem| vec![panel.title.plain(), number(stem.x), number(stem.value)]),
        );
    }
    rows
}

/// Both ends of every bin and the share in it.
fn histogram_rows(histogram: &Histogram) -> Vec<Vec<String>> {
    let value = head(&histogram.x);
    let mut rows = vec![vec![format!("from {value}"), format!("to {value}"), head(&histogram.y)]];
    let edge = |index: usize| number(histogram.first_edge + index as f64 * histogram.bin_width);
    let bins = histogram.shares.iter().enumerate();
    rows.extend(bins.map(|(index, share)| vec![edge(index), edge(index + 1), number(*share)]));
    rows
}

fn paired_rows(bars: &PairedBars) -> Vec<Vec<String>> {
    let parts = [&bars.part_label, &bars.whole_label, &bars.bound_label];
    let heads = bars.columns.iter().flat_map(|column| {
        parts.map(|part| format!("{}: {}, {}", column.title.plain(), part.plain(), head(&column.axis)))
    });
    let mut rows = vec![std::iter::once("bar".to_owned()).chain(heads).collect::<Vec<_>>()];
    rows.extend(bars.rows.iter().map(|row| {
        let numbers = row.bars.iter().flat_map(|bar| [bar.part, bar.whole, bar.whole_bound].map(number));
        std::iter::once(row.label.clone()).chain(numbers).collect()
    }));
    rows
}
