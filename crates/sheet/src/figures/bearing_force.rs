//! The force on the eccentric bearings as a vector: against the crank, and in the frame of the ring.

use super::contact_load::Turn;
use super::curvature::bounds;
use super::scale::{axis_over, decimals_of, round_step, shown};
use crate::figure::{
    Body, Figure, KeyNumber, Polar, PolarArrow, PolarDetail, PolarPanel, Series, SeriesStyle, Tick,
};
use crate::markup::Markup;
use curves::math::{hypot, sin_cos};
use reducer::model::Drive;
use reducer::registry;
use reducer::results::LoadCase;
use reducer::units::degrees;
use std::f64::consts::TAU;

const QUANTITY: &str = "bearing_force_n";
/// Radius of the enlarged circle over that of the paths in it.
const DETAIL_ROOM: f64 = 1.2;
/// Paths that fill more than this share of the rim need no enlarging.
const LARGEST_DETAIL: f64 = 0.15;
/// More discs than this are not drawn: their curves could not be told apart.
const STYLES: [SeriesStyle; 3] = [SeriesStyle::First, SeriesStyle::Second, SeriesStyle::Third];

/// Path of the force of each eccentric bearing over a turn of the crank, in the frames of crank and ring.
#[must_use]
pub fn bearing_force(drive: &Drive, case: &LoadCase) -> Figure {
    let turn = Turn::of(drive, case);
    let count = drive.geometry.disc_count.min(STYLES.len());
    let in_ring: Vec<Vec<[f64; 2]>> = (0..count).map(|disc| forces(&turn, disc, |_| 0.0)).collect();
    let disc_rad = |disc: usize| TAU * disc as f64 / drive.geometry.disc_count as f64;
    let on_crank: Vec<Vec<[f64; 2]>> =
        (0..count).map(|disc| forces(&turn, disc, |crank_angle| -(crank_angle + disc_rad(disc)))).collect();
    let lengths = || in_ring.iter().flatten().map(|force| hypot(force[0], force[1]));
    let (least, greatest) = bounds(lengths());
    let mean = mean_of(&on_crank);
    let mean_n = case_mean_n(case);
    let angle_deg = degrees(curves::math::atan2(mean[1], mean[0]));
    let radius = axis_over(QUANTITY, "force", (0.0, greatest.max(1e-9)), 4);
    let detail = detail(&on_crank, mean, radius.range[1]);
    let panel = |name: &str, title: &str, paths: Vec<Vec<[f64; 2]>>| PolarPanel {
        name: name.to_owned(),
        title: Markup::words(title),
        radius: radius.clone(),
        series: paths.into_iter().enumerate().map(|(disc, path)| series(name, disc, path)).collect(),
        arrows: Vec::new(),
        detail: None,
    };
    let arrow = PolarArrow { tip: mean, label: Markup::words("mean") };
    Figure {
        id: format!("bearing-force-{}", case.id),
        title: format!("Force of the eccentric bearings, {}", case.title),
        caption: Markup::words(format!(
            "Force of the eccentric bearing on its disc over one turn of the crank, {}, in N: path of the tip of the vector against the \
             crank (left, and larger in the small circle) and in the frame of the ring (right). Across the eccentricity the torque fixes it; along it, it \
             varies with the sharing of the load. Inertia is not in it; the crank feels the opposite force.",
            case.title,
        )),
        description: format!(
            "Against the crank the force stays between {} and {} and leans {:.0}° from the eccentricity on average; against \
             the ring it goes round.",
            registry::display(QUANTITY, least),
            registry::display(QUANTITY, greatest),
            angle_deg,
        ),
        key_numbers: vec![
            KeyNumber::new(QUANTITY, "greatest force", case.extremes.bearing_force.value),
            KeyNumber::new("mean_force_n", "mean over the turn", mean_n),
        ],
        body: Body::Polar(Polar {
            panels: vec![
                PolarPanel {
                    arrows: vec![arrow],
                    detail,
                    ..panel("on-crank", "against the crank, 0° along the eccentricity", on_crank)
                },
                panel("in-ring", "in the frame of the ring, 0° through the first roller", in_ring),
            ],
        }),
    }
}

fn series(name: &str, disc: usize, path: Vec<[f64; 2]>) -> Series {
    Series {
        name: format!("{name}-{}", disc + 1),
        label: Markup::words(format!("disc {}", disc + 1)),
        style: STYLES[disc],
        pieces: vec![path],
    }
}

/// Force on a disc at every moment of a turn, turned by an angle that may hang on the crank's, in the unit shown.
fn forces(turn: &Turn<'_>, disc: usize, turned_rad: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    let at = |moment: &super::contact_load::Moment<'_>| {
        let [x, y] = moment.pose.discs.get(disc)?.bearing_force_n;
        let (sine, cosine) = sin_cos(moment.turned_rad + turned_rad(moment.crank_angle_rad));
        Some([shown(QUANTITY, x * cosine - y * sine), shown(QUANTITY, x * sine + y * cosine)])
    };
    turn.moments.iter().filter_map(at).collect()
}

fn mean_of(paths: &[Vec<[f64; 2]>]) -> [f64; 2] {
    let count = paths.iter().map(Vec::len).sum::<usize>().max(1) as f64;
    paths
        .iter()
        .flatten()
        .fold([0.0, 0.0], |sum, point| [sum[0] + point[0] / count, sum[1] + point[1] / count])
}

/// Mean of the magnitude over the period and all discs.
fn case_mean_n(case: &LoadCase) -> f64 {
    let forces = || case.poses.iter().flat_map(|pose| &pose.discs).map(|disc| disc.bearing_force_n);
    forces().map(|[x, y]| hypot(x, y)).sum::<f64>() / forces().count().max(1) as f64
}

/// The paths once more where they all lie close together, seen from the rim of the plot.
fn detail(paths: &[Vec<[f64; 2]>], centre: [f64; 2], rim: f64) -> Option<PolarDetail> {
    let distance = |point: &[f64; 2]| hypot(point[0] - centre[0], point[1] - centre[1]);
    let radius = DETAIL_ROOM * paths.iter().flatten().map(distance).fold(0.0, f64::max);
    let length = round_step(0.5 * radius);
    let is_small = radius > 1e-6 * rim && radius < LARGEST_DETAIL * rim;
    let label = format!("{} N", registry::format_number(length, decimals_of(length)));
    is_small.then_some(PolarDetail { centre, radius, bar: Tick { value: length, label } })
}
