//! Labels in one row above a field, moved aside where they would overlap, each led to the line that it names.

use super::paper::{Paper, SMALL_MM, Type, width_mm};
use crate::figure::Anchor;
use crate::markup::Markup;
use crate::metrics::STAND_IN_STRETCH;

/// Height of a row of labels with two lines, and of the slanted leaders under it.
pub const ROW_MM: f64 = 6.4;
pub const SLANT_MM: f64 = 4.0;
/// Distance between lines of a label.
const LINE_MM: f64 = 3.0;
/// Room between labels.
const GAP_MM: f64 = 1.8;

/// A label and what it belongs to.
pub struct Label<'a> {
    /// Where the line stands that it names.
    pub x: f64,
    /// Where the leader starts.
    pub from_y: f64,
    /// The lines of text.
    pub lines: &'a [Markup],
    /// Looks of the text.
    pub kind: Type,
    /// Class of the leader.
    pub class: &'static str,
    /// The heaviest labels stay where there is no room for all.
    pub weight: f64,
}

impl Label<'_> {
    fn width_mm(&self) -> f64 {
        let widths = self.lines.iter().map(|line| width_mm(line, SMALL_MM));
        STAND_IN_STRETCH * widths.fold(0.0, f64::max)
    }
}

/// Draws labels, given from left to right, between two ends; their row starts at a height.
pub fn draw(paper: &mut Paper, labels: &[Label<'_>], ends: [f64; 2], top: f64) {
    let kept = fitting(labels, ends[1] - ends[0]);
    let targets: Vec<f64> = kept.iter().map(|label| label.x).collect();
    let widths: Vec<f64> = kept.iter().map(|label| label.width_mm()).collect();
    for (label, middle) in kept.iter().zip(spread(&targets, &widths, ends)) {
        let elbow = top + ROW_MM + SLANT_MM;
        paper.polyline(
            label.class,
            &[[label.x, label.from_y.max(elbow)], [label.x, elbow], [middle, top + ROW_MM + 0.3]],
        );
        for (index, line) in label.lines.iter().enumerate() {
            // The last line stands on the leader.
            let above = (label.lines.len() - 1 - index) as f64;
            let at = [middle, top + ROW_MM - 0.6 - LINE_MM * above];
            paper.text(label.kind, at, Anchor::Middle, line);
        }
    }
}

/// The heaviest labels that one row has room for, from left to right.
fn fitting<'a, 'b>(labels: &'b [Label<'a>], room_mm: f64) -> Vec<&'b Label<'a>> {
    let mut by_weight: Vec<usize> = (0..labels.len()).collect();
    by_weight.sort_by(|&a, &b| labels[b].weight.total_cmp(&labels[a].weight).then(a.cmp(&b)));
    let mut taken_mm = -GAP_MM;
    let mut kept: Vec<usize> = by_weight
        .into_iter()
        .take_while(|&index| {
            taken_mm += labels[index].width_mm() + GAP_MM;
            taken_mm <= room_mm
        })
        .collect();
    kept.sort_unstable();
    kept.into_iter().map(|index| &labels[index]).collect()
}

/// Middles of labels in a row that are nearest to their targets, in least squares, without overlaps and between two ends.
///
/// With the widths before a label taken off, the order of labels asks for places that do not fall: neighbours that do are put
/// together at their mean until none is left.
fn spread(targets: &[f64], widths: &[f64], ends: [f64; 2]) -> Vec<f64> {
    let mut before = vec![0.0; targets.len()];
    for index in 1..targets.len() {
        before[index] = before[index - 1] + 0.5 * (widths[index - 1] + widths[index]) + GAP_MM;
    }
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    let mean = |block: &(f64, usize)| block.0 / block.1 as f64;
    for (target, before) in targets.iter().zip(&before) {
        blocks.push((target - before, 1));
        while let [.., first, second] = blocks[..]
            && mean(&first) > mean(&second)
        {
            blocks.truncate(blocks.len() - 2);
            blocks.push((first.0 + second.0, first.1 + second.1));
        }
    }
    let lowest = ends[0] + 0.5 * widths.first().copied().unwrap_or(0.0);
    let highest =
        ends[1] - 0.5 * widths.last().copied().unwrap_or(0.0) - before.last().copied().unwrap_or(0.0);
    let places = blocks.iter().flat_map(|block| std::iter::repeat_n(mean(block), block.1));
    places.zip(&before).map(|(place, before)| place.min(highest).max(lowest) + before).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_labels_keep_their_order_and_never_overlap() {
        let targets = [3.0, 40.0, 40.5, 41.0, 41.2, 90.0, 149.0];
        let widths = [12.0, 8.0, 10.0, 14.0, 6.0, 20.0, 16.0];
        let places = spread(&targets, &widths, [0.0, 150.0]);
        for index in 1..places.len() {
            let gap = places[index] - places[index - 1] - 0.5 * (widths[index] + widths[index - 1]);
            assert!(gap > GAP_MM - 1e-9, "{index}: {gap}");
        }
        assert!(places[0] >= 6.0 && places[6] <= 142.0);
        // What has room stays where it belongs.
        assert!((places[5] - 90.0).abs() < 1e-12, "{}", places[5]);
    }

    #[test]
    fn identity_a_lonely_label_stands_above_its_line() {
        assert_eq!(spread(&[50.0], &[10.0], [0.0, 150.0]), [50.0]);
        assert_eq!(spread(&[], &[], [0.0, 150.0]), Vec::<f64>::new());
    }

    #[test]
    fn identity_without_room_the_heaviest_labels_stay() {
        let text = [Markup::words("0000000000")];
        let label = |x: f64, weight: f64| Label {
            x,
            from_y: 0.0,
            lines: &text,
            kind: Type::Small,
            class: "f-construction",
            weight,
        };
        // Each is 16.44 mm wide where another face stands in.
        let labels = [label(1.0, 1.0), label(2.0, 3.0), label(3.0, 2.0)];
        let kept: Vec<f64> = fitting(&labels, 35.0).iter().map(|label| label.x).collect();
        assert_eq!(kept, [2.0, 3.0]);
    }
}
