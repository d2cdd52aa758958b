//! The numbers of a figure as comma-separated values: one row a point, cell or bar.

use crate::loads::number;
use crate::{ExportError, csv};
use sheet::figure::{Axis, Bars, Body, Chart, Figure, Map, Polar};

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
