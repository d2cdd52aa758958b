//! From uniform numbers to deviations: which number decides what, and for how many features.

use super::random::Source;
use super::slots::{FORM_ORDERS, FeatureSlots, Slots};
use crate::model::{Alike, DeviationKind, DistributionKind, Drive};
use crate::tolerance::{Quantile, Spread, Tolerance};
use schemars::JsonSchema;
use serde::Serialize;

/// How the uniform numbers of an assembly become its deviations.
#[derive(Clone, Debug)]
pub struct DrawPlan {
    /// Where deviations stand.
    pub slots: Slots,
    /// One for each tolerance, in their order.
    pub groups: Vec<Group>,
    /// Uniform numbers of one assembly.
    pub number_count: usize,
}

/// The numbers of one tolerance, or of a temperature: what variance shares and changes of grade are told for.
#[derive(Clone, Debug)]
pub struct Group {
    /// Name for people: that of the tolerance with its callout.
    pub name: String,
    /// The tolerance; none for a temperature.
    pub tolerance: Option<Tolerance>,
    /// First of its numbers.
    pub first: usize,
    /// How many it has.
    pub count: usize,
    quantile: Quantile,
    class_count: usize,
    /// Group whose class decides this one's.
    matched_to: Option<usize>,
    features: Vec<Vec<Target>>,
}

/// A deviation that a drawn value adds to, and its share of the value.
#[derive(Clone, Copy, Debug)]
struct Target {
    slot: usize,
    share: f32,
}

/// Where a tolerance shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Acts {
    /// In backlash and transmission error, without load and at 20 °C.
    WithoutLoad,
    /// Only where loads press parts together.
    UnderLoad,
    /// Only at the temperatures in operation.
    InOperation,
    /// Nowhere: the model leaves out what it would change.
    Nowhere,
}

impl Acts {
    /// What to say of a tolerance that backlash and transmission error as drawn do not show; nothing of one that they do.
    #[must_use]
    pub fn words(self) -> Option<&'static str> {
        match self {
            Self::WithoutLoad => None,
            Self::UnderLoad => Some("acts under load only"),
            Self::InOperation => Some("acts in operation only"),
            Self::Nowhere => Some("acts on nothing: eccentric bearings are rigid in the model"),
        }
    }
}

impl Group {
    /// Where it shows, in a model whose bearings give.
    #[must_use]
    pub fn acts(&self) -> Acts {
        match self.tolerance.as_ref().map(|tolerance| tolerance.kind) {
            None => Acts::InOperation,
            Some(DeviationKind::BearingClearance) => Acts::UnderLoad,
            Some(_) => Acts::WithoutLoad,
        }
    }

    /// How its deviations spread.
    #[must_use]
    pub fn spread(&self) -> &Spread {
        &self.quantile.spread
    }

    /// Class of the parts of an assembly, by the group's own numbers among all.
    fn class(&self, numbers: &[f32]) -> usize {
        let own = &numbers[self.first..self.first + self.count];
        self.quantile.class_of(f64::from(own[1]), side(own), self.class_count)
    }
}

/// Numbers ahead of a group's features: the side of the process and the class.
const LEADING_NUMBERS: usize = 2;

impl DrawPlan {
    /// The plan of a drive for its tolerances.
    #[must_use]
    pub fn new(drive: &Drive, tolerances: &[Tolerance]) -> Self {
        let slots = Slots::of(&drive.geometry);
        let mut plan = Self { slots, groups: Vec::new(), number_count: 0 };
        for tolerance in tolerances {
            let is_partner = |other: &Tolerance| Some(other.kind) == tolerance.matched_to;
            let matched_to = tolerances.iter().position(is_partner);
            let group = Group {
                name: name(tolerance),
                quantile: Quantile::of(&tolerance.spread),
                class_count: tolerance.class_count,
                matched_to,
                features: features(&slots, tolerance),
                tolerance: Some(tolerance.clone()),
                first: 0,
                count: 0,
            };
            plan.push(group);
        }
        let temperatures = [
            ("ring temperature", drive.tolerances.ring_temperature_k, slots.ring_temperature()),
            ("disc temperature", drive.tolerances.disc_temperature_k, slots.disc_temperature()),
        ];
        for (name, band, slot) in temperatures {
            if let Some(half_width) = band.filter(|band| *band > 0.0) {
                plan.push(temperature(name, half_width, slot));
            }
        }
        plan
    }

    fn push(&mut self, group: Group) {
        let count = LEADING_NUMBERS + group.features.len();
        self.groups.push(Group { first: self.number_count, count, ..group });
        self.number_count += count;
    }

    /// Deviations of one assembly, from its own numbers of the source. **Source** Derivation 14, §5.
    #[must_use]
    pub fn deviations_mm(&self, source: &Source, assembly: u64) -> Vec<f64> {
        let mut numbers = vec![0.0; self.number_count];
        let mut deviations = vec![0.0; self.slots.count()];
        source.fill(assembly, &mut numbers);
        self.add(&numbers, &mut deviations, 1, 0);
        deviations.into_iter().map(f64::from).collect()
    }

    /// Largest size of every deviation that can be drawn.
    #[must_use]
    pub fn largest_mm(&self) -> Vec<f32> {
        let mut largest = vec![0.0; self.slots.count()];
        for group in &self.groups {
            let size = super::study::largest_mm(group.spread()) as f32;
            for target in group.features.iter().flatten() {
                largest[target.slot] += target.share * size;
            }
        }
        largest
    }

    /// The same plan with one tolerance so many grades looser, or tighter where negative; temperatures stay.
    #[must_use]
    pub fn graded(&self, group: usize, grades: i32) -> Self {
        let mut plan = self.clone();
        plan.grade(group, grades);
        plan
    }

    /// Makes one tolerance so many grades looser than it is stated.
    pub fn grade(&mut self, group: usize, grades: i32) {
        let group = &mut self.groups[group];
        if let Some(tolerance) = &group.tolerance {
            group.quantile = Quantile::of(&tolerance.graded(grades));
        }
    }

    /// Adds the deviations that uniform numbers stand for; `slot` tells where one is kept.
    pub fn add(&self, numbers: &[f32], deviations: &mut [f32], stride: usize, offset: usize) {
        for group in &self.groups {
            let own = &numbers[group.first..group.first + group.count];
            let in_class;
            let mut quantile = &group.quantile;
            if group.class_count > 1 {
                // Partners have classes of their own, so their numbers decide wherever they stand.
                let decides = group.matched_to.map_or(group, |to| &self.groups[to]);
                in_class = quantile.class(decides.class(numbers), group.class_count);
                quantile = &in_class;
            }
            let (side, numbers) = (side(own), own);
            for (feature, number) in group.features.iter().zip(&numbers[LEADING_NUMBERS..]) {
                let value = quantile.at(f64::from(*number), side) as f32;
                for target in feature {
                    deviations[target.slot * stride + offset] += target.share * value;
                }
            }
        }
    }
}

/// The side to which a process stands off the middle, from the first number of its group.
fn side(numbers: &[f32]) -> f64 {
    if numbers[0] < 0.5 { -1.0 } else { 1.0 }
}

fn name(tolerance: &Tolerance) -> String {
    let words = tolerance.kind.word().replace('-', " ");
    match &tolerance.label {
        Some(label) => format!("{words} ({label})"),
        None => words,
    }
}

fn temperature(name: &str, half_width: f64, slot: usize) -> Group {
    let spread = Spread {
        lower_mm: -half_width,
        upper_mm: half_width,
        shape: DistributionKind::Uniform,
        cp: 1.0,
        cpk: 1.0,
    };
    Group {
        name: name.to_owned(),
        tolerance: None,
        first: 0,
        count: 0,
        quantile: Quantile::of(&spread),
        class_count: 1,
        matched_to: None,
        features: vec![vec![Target { slot, share: 1.0 }]],
    }
}

/// The drawn values of a tolerance and what each adds to, as alike as it says.
fn features(slots: &Slots, tolerance: &Tolerance) -> Vec<Vec<Target>> {
    let whole = |slot: usize| vec![Target { slot, share: 1.0 }];
    let discs = 0..slots.disc_count;
    let radial = |feature: FeatureSlots| whole(feature.radial);
    let tangential = |feature: FeatureSlots| whole(feature.tangential);
    let radius = |feature: FeatureSlots| whole(feature.radius);
    let rollers = || (0..slots.roller_count).map(|roller| slots.roller(roller));
    let pins = || (0..slots.pin_count).map(|pin| slots.pin(pin));
    let holes = |disc: usize| (0..slots.pin_count).map(move |hole| slots.hole(disc, hole));
    let per_disc = |slot: &dyn Fn(usize) -> usize| vec![discs.clone().map(|d| whole(slot(d))).collect()];
    // Parts, each a list of features, each a list of targets.
    let parts: Vec<Vec<Vec<Target>>> = match tolerance.kind {
        DeviationKind::RingRadius => vec![vec![rollers().flat_map(radial).collect()]],
        DeviationKind::RingRunOut => vec![vec![whole(slots.ring_shift()), whole(slots.ring_shift() + 1)]],
        DeviationKind::RollerPosition => vec![rollers().flat_map(|f| [radial(f), tangential(f)]).collect()],
        DeviationKind::RollerRadius => vec![rollers().map(radius).collect()],
        DeviationKind::Eccentricity => per_disc(&|disc| slots.disc(disc).throw),
        DeviationKind::EccentricAngle => per_disc(&|disc| slots.disc(disc).throw_round),
        DeviationKind::ProfileSize => discs.map(|disc| vec![whole(slots.disc(disc).surplus)]).collect(),
        DeviationKind::ProfileForm => discs.map(|disc| form(slots.disc(disc).form)).collect(),
        DeviationKind::LobePitch => discs
            .map(|disc| (0..slots.lobe_count).map(|lobe| whole(slots.disc(disc).pitch + lobe)).collect())
            .collect(),
        DeviationKind::ProfileRunOut => {
            discs.map(|disc| [0, 1].map(|axis| whole(slots.disc(disc).lobe_shift + axis)).to_vec()).collect()
        }
        DeviationKind::HolePosition => {
            discs.map(|disc| holes(disc).flat_map(|f| [radial(f), tangential(f)]).collect()).collect()
        }
        DeviationKind::HolePattern => {
            discs.map(|disc| vec![holes(disc).flat_map(tangential).collect()]).collect()
        }
        DeviationKind::HoleRadius => discs.map(|disc| holes(disc).map(radius).collect()).collect(),
        DeviationKind::PinPosition => vec![pins().flat_map(|f| [radial(f), tangential(f)]).collect()],
        DeviationKind::PinRadius => vec![pins().map(radius).collect()],
        DeviationKind::PlateRunOut => vec![vec![whole(slots.plate_shift()), whole(slots.plate_shift() + 1)]],
        DeviationKind::BearingClearance => per_disc(&|disc| slots.disc(disc).clearance),
    };
    as_alike(parts, tolerance)
}

/// Cosine and sine of each order of lobe form, smaller the higher; their squares add up to one.
fn form(first: usize) -> Vec<Vec<Target>> {
    let total: f64 = (1..=FORM_ORDERS).map(|order| 1.0 / (order * order) as f64).sum();
    (0..2 * FORM_ORDERS)
        .map(|index| {
            let share = (1.0 / (index / 2 + 1) as f64 / total.sqrt()) as f32;
            vec![Target { slot: first + index, share }]
        })
        .collect()
}

/// Features drawn together: the values of a vector, an order of form or a lobe's place stay apart from each other.
fn as_alike(parts: Vec<Vec<Vec<Target>>>, tolerance: &Tolerance) -> Vec<Vec<Target>> {
    let kinds_of_value = match tolerance.kind {
        DeviationKind::RollerPosition | DeviationKind::HolePosition | DeviationKind::PinPosition => 2,
        DeviationKind::RingRunOut | DeviationKind::PlateRunOut | DeviationKind::ProfileRunOut => 2,
        DeviationKind::ProfileForm => 2 * FORM_ORDERS,
        _ => 1,
    };
    // The lobes of a disc never have one pitch error: only discs cut together share theirs.
    let within_part = !matches!(tolerance.kind, DeviationKind::LobePitch);
    let in_part = |part: Vec<Vec<Target>>| -> Vec<Vec<Target>> {
        if tolerance.alike == Alike::Nothing || !within_part {
            return part;
        }
        let mut alike = vec![Vec::new(); kinds_of_value];
        for (index, targets) in part.into_iter().enumerate() {
            alike[index % kinds_of_value].extend(targets);
        }
        alike
    };
    let mut parts = parts.into_iter().map(in_part);
    if tolerance.alike != Alike::Discs {
        return parts.flatten().collect();
    }
    let Some(mut together) = parts.next() else { return Vec::new() };
    for part in parts {
        for (targets, more) in together.iter_mut().zip(part) {
            targets.extend(more);
        }
    }
    together
}
