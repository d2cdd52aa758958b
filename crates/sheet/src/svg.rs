//! Figures as SVG: the same text for the same figure on every machine.
//!
//! User units are millimetres on paper; a figure is [`WIDTH_PAPER_MM`] wide. Numbers have at most
//! three decimals and no −0; ids are the figure's id and a name. Looks come from classes, so a
//! theme is only a table of colours: fixed ones for paper, light and dark, custom properties
//! (`--fig-ink` …) with the light ones as fallback for the page.

mod bars;
mod chart;
mod colour_scale;
mod drawing;
mod field;
mod histogram;
mod label_row;
mod map;
mod paired_bars;
mod paper;
mod polar;
mod round;
mod stems;

use crate::figure::{Body, Figure};
use paper::Paper;

pub use colour_scale::colours as level_colours;
pub use drawing::contour_data_mm;

/// Where the panels of a figure with values under the pointer lie on paper: left, top, width and height in millimetres, of a
/// round frame those of the square about its rim; after the frames of a polar plot those of their enlarged circles; empty for
/// other figures.
#[must_use]
pub fn fields_paper_mm(body: &Body) -> Vec<[f64; 4]> {
    match body {
        Body::Map(map) => map::fields(map).iter().map(field::Field::sides).collect(),
        Body::Histogram(histogram) => vec![histogram::field_of(histogram).sides()],
        Body::Stems(stems) => stems::fields(stems).iter().map(stems::Field::sides).collect(),
        Body::Polar(polar) => {
            let frames = polar::frames(polar);
            let details = frames.iter().filter_map(polar::Frame::detail_square);
            frames.iter().map(polar::Frame::square).chain(details).collect()
        }
        Body::Round(chart) => round::frames(chart).iter().map(round::Frame::square).collect(),
        Body::Chart(_) | Body::Drawing(_) | Body::Bars(_) | Body::PairedBars(_) => Vec::new(),
    }
}

/// The square about a circle: left, top, width, height.
fn square_round([x, y]: [f64; 2], radius: f64) -> [f64; 4] {
    [x - radius, y - radius, 2.0 * radius, 2.0 * radius]
}

/// Width of every figure on paper.
pub const WIDTH_PAPER_MM: f64 = 165.0;

/// Which colours a figure is drawn in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Dark ink without a background, for paper.
    Print,
    /// Dark ink on a light sheet.
    Light,
    /// Light ink on a dark sheet.
    Dark,
    /// Custom properties of the surrounding page, also for the sheet below.
    Page,
}

/// The colours of a theme.
///
/// Series differ in lightness as well as in hue (blue, burnt orange, violet), so that they stay apart
/// for every kind of colour blindness and in grey print; each also has its own dashes, and each
/// standing its own shape. All reach a contrast of 3:1 against their sheet, text 4.5:1 (tested).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Lines and text.
    pub ink: &'static str,
    /// Text and lines that stand back.
    pub quiet: &'static str,
    /// Grid of charts.
    pub grid: &'static str,
    /// The sheet itself.
    pub sheet: &'static str,
    /// Light tint of areas.
    pub tint: &'static str,
    /// Darker tint of areas.
    pub deep_tint: &'static str,
    /// First series, forces at ring rollers.
    pub first: &'static str,
    /// Second series, forces at output pins.
    pub second: &'static str,
    /// Third series, forces of bearings.
    pub third: &'static str,
    /// Checks that hold.
    pub holds: &'static str,
    /// Doubtful checks.
    pub doubtful: &'static str,
    /// Failing checks and limits.
    pub fails: &'static str,
}

const LIGHT: Palette = Palette {
    ink: "#1b2430",
    quiet: "#5a6572",
    grid: "#dde1e6",
    sheet: "#ffffff",
    tint: "#eef1f4",
    deep_tint: "#d3dae1",
    first: "#0f4c7d",
    second: "#c2640f",
    third: "#7d55b8",
    holds: "#3c7d68",
    doubtful: "#a67a00",
    fails: "#a80f3c",
};

const DARK: Palette = Palette {
    ink: "#e7ebf0",
    quiet: "#a5afba",
    grid: "#363f4a",
    sheet: "#151a20",
    tint: "#222a33",
    deep_tint: "#343e4a",
    first: "#8cc6f2",
    second: "#e58f45",
    third: "#ab86e6",
    holds: "#67bd9d",
    doubtful: "#d9b044",
    fails: "#ff7592",
};

impl Theme {
    /// The colours that the theme draws with; for the page, those it falls back on.
    #[must_use]
    pub fn palette(self) -> Palette {
        if self == Self::Dark { DARK } else { LIGHT }
    }

    fn colours(self) -> [(&'static str, &'static str); 12] {
        let palette = self.palette();
        [
            ("ink", palette.ink),
            ("quiet", palette.quiet),
            ("grid", palette.grid),
            ("sheet", palette.sheet),
            ("tint", palette.tint),
            ("deep-tint", palette.deep_tint),
            ("first", palette.first),
            ("second", palette.second),
            ("third", palette.third),
            ("holds", palette.holds),
            ("doubtful", palette.doubtful),
            ("fails", palette.fails),
        ]
    }

    /// What the surrounding page has to set for [`Theme::Page`] to look like this theme: names and values of custom properties.
    #[must_use]
    pub fn properties(self) -> Vec<(String, &'static str)> {
        let colours = self.colours().into_iter().map(|(name, colour)| (format!("--fig-{name}"), colour));
        let levels = colour_scale::colours(self).into_iter().enumerate();
        colours.chain(levels.map(|(level, colour)| (colour_scale::property(level), colour))).collect()
    }

    /// The style sheet: rules with `$name` replaced by the theme's colour of that name.
    fn style(self) -> String {
        let mut style = include_str!("svg/figure.css").to_owned();
        for (name, colour) in self.colours() {
            let value =
                if self == Self::Page { format!("var(--fig-{name},{colour})") } else { colour.to_owned() };
            style = style.replace(&format!("${name};"), &format!("{value};"));
        }
        style.lines().map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
    }
}

/// A figure as SVG.
#[must_use]
pub fn render(figure: &Figure, theme: Theme) -> String {
    let mut paper = Paper::new(&figure.id);
    match &figure.body {
        Body::Drawing(drawing) => drawing::draw(&mut paper, drawing),
        Body::Chart(chart) => chart::draw(&mut paper, chart),
        Body::Bars(bars) => bars::draw(&mut paper, bars),
        Body::Map(map) => map::draw(&mut paper, map),
        Body::Polar(polar) => polar::draw(&mut paper, polar),
        Body::Round(chart) => round::draw(&mut paper, chart),
        Body::Stems(stems) => stems::draw(&mut paper, stems),
        Body::Histogram(histogram) => histogram::draw(&mut paper, histogram),
        Body::PairedBars(bars) => paired_bars::draw(&mut paper, bars),
    }
    paper.finish(figure, theme)
}

#[cfg(test)]
mod tests {
    use super::*;
    use curves::math;

    /// Relative luminance of a colour `#rrggbb` by the definition of the web's contrast rule (from memory).
    pub(super) fn luminance(colour: &str) -> f64 {
        let channel = |start: usize| {
            let value = f64::from(u8::from_str_radix(&colour[start..start + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { math::pow((value + 0.055) / 1.055, 2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    pub(super) fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn identity_colours_stand_out_from_their_sheet() {
        for palette in [LIGHT, DARK] {
            for text in [palette.ink, palette.quiet] {
                assert!(contrast(text, palette.sheet) > 4.5, "{text}");
            }
            let marks = [
                palette.first,
                palette.second,
                palette.third,
                palette.holds,
                palette.doubtful,
                palette.fails,
            ];
            for mark in marks {
                assert!(contrast(mark, palette.sheet) > 3.0, "{mark} {}", contrast(mark, palette.sheet));
            }
        }
    }

    #[test]
    fn identity_series_differ_in_lightness_and_not_in_hue_alone() {
        for palette in [LIGHT, DARK] {
            assert!(contrast(palette.first, palette.second) > 1.3);
            assert!(contrast(palette.first, palette.third) > 1.3);
        }
    }

    #[test]
    fn identity_fields_of_round_figures_are_the_squares_about_their_rims() {
        use crate::figure::{Axis, Polar, PolarDetail, PolarPanel, RoundChart, RoundCurve, Tick};
        use crate::markup::Markup;
        let axis = |range| Axis {
            quantity: "bearing_force_n".to_owned(),
            label: Markup::default(),
            range,
            ticks: Vec::new(),
        };
        let detail = PolarDetail {
            centre: [30.0, 0.0],
            radius: 1.0,
            bar: Tick { value: 1.0, label: "1 N".to_owned() },
        };
        let panel = |name: &str, detail| PolarPanel {
            name: name.to_owned(),
            title: Markup::default(),
            radius: axis([0.0, 100.0]),
            series: Vec::new(),
            arrows: Vec::new(),
            detail,
        };
        let curve = |name: &str| RoundCurve {
            name: name.to_owned(),
            label: Markup::default(),
            points: vec![[0.0, 1.0, 1.0]],
        };
        let polar = Body::Polar(Polar { panels: vec![panel("a", Some(detail)), panel("b", None)] });
        let round = Body::Round(RoundChart {
            angle: axis([0.0, 360.0]),
            radius: axis([0.0, 1.0]),
            scale: Markup::default(),
            curves: vec![curve("ahead"), curve("behind")],
        });
        for (body, count) in [(polar, 3), (round, 2)] {
            let fields = fields_paper_mm(&body);
            assert_eq!(fields.len(), count);
            let figure = Figure {
                id: "a".to_owned(),
                title: String::new(),
                caption: Markup::default(),
                description: String::new(),
                key_numbers: Vec::new(),
                body,
            };
            let svg = render(&figure, Theme::Light);
            for [left, top, width, height] in fields {
                assert_eq!(width, height);
                let [x, y, radius] = [left + 0.5 * width, top + 0.5 * height, 0.5 * width].map(paper::number);
                // Of these figures nothing but rims and spokes is drawn; the spoke to the right ends at the rim.
                let end = paper::pair([left + width, top + 0.5 * height]);
                let circle = format!("cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"");
                assert!(svg.contains(&circle) || svg.contains(&format!("L{end}\"")), "{circle} in {svg}");
            }
        }
    }

    #[test]
    fn identity_every_colour_of_the_style_sheet_is_known() {
        for theme in [Theme::Print, Theme::Light, Theme::Dark, Theme::Page] {
            assert!(!theme.style().contains('$'), "{}", theme.style());
        }
        assert!(Theme::Page.style().contains("var(--fig-ink,#1b2430)"));
    }

    #[test]
    fn identity_a_page_that_sets_all_properties_has_all_colours_of_its_theme() {
        let used = |style: &str| -> std::collections::BTreeSet<String> {
            let after = style.split("var(").skip(1);
            after.filter_map(|text| text.split_once(',')).map(|(name, _)| name.to_owned()).collect()
        };
        let style = Theme::Page.style() + &colour_scale::style(Theme::Page);
        for theme in [Theme::Light, Theme::Dark] {
            let set = theme.properties().into_iter().map(|(name, _)| name).collect();
            assert!(used(&style).is_subset(&set), "{:?}", used(&style).difference(&set));
        }
        assert_eq!(Theme::Dark.properties().last(), Some(&("--fig-level-t".to_owned(), "#f9f0ba")));
    }
}
