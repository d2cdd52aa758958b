//! What gives beside the contacts: the bodies of the discs and the ring rollers in their seats.
//!
//! A [`DiscCompliance`] is prepared once per drive and then asked, crank angle by crank angle, how far each contact of a
//! disc moves under a unit force at each other. The contacts' own approach, down to a stated depth, stays with
//! the contact law. Source: Derivation 7.

pub mod bore;
pub mod boundary;
pub mod crowded;
pub mod dense;
pub mod disc;
pub mod kernel;
pub mod outline;
pub mod plane;
pub mod point_load;
pub mod resolution;
pub mod roller;

use crate::hertz::Elastic;
use curves::ClosedCurve;
use curves::math;
use disc::{BoreSupport, DiscShape, InfluenceTable};
use nalgebra::DMatrix;
use plane::{PlaneMaterial, PlaneState};
use resolution::{ComplianceError, Resolution};
use roller::RollerSeat;
use std::f64::consts::TAU;
use std::sync::Arc;

/// What the compliance of discs and rollers is computed from.
#[derive(Clone, Copy, Debug)]
pub struct ComplianceData {
    /// Shape of the first disc.
    pub shape: DiscShape,
    /// n_d.
    pub disc_count: usize,
    /// Thickness of a disc.
    pub width_mm: f64,
    /// Length over which a roller carries.
    pub roller_length_mm: f64,
    /// Material of the discs.
    pub disc: Elastic,
    /// Material of the ring rollers.
    pub roller: Elastic,
    /// Half the angle that the seat wraps a roller; rigid rollers, or rollers on pins, where absent.
    pub seat_half_wrap_rad: Option<f64>,
    /// Plane stress or strain.
    pub state: PlaneState,
    /// What holds the bore.
    pub support: BoreSupport,
}

/// Compliance of all discs and rollers of a drive.
#[derive(Clone, Debug)]
pub struct DiscCompliance {
    discs: Vec<PlacedTable>,
    seat: Option<RollerSeat>,
    data: ComplianceData,
}

/// The table of a disc, and how the disc is turned against the one it was computed for.
#[derive(Clone, Debug)]
struct PlacedTable {
    table: Arc<InfluenceTable>,
    /// Lobes that the disc is turned back by.
    lobe_shift: usize,
    /// Holes that this brings its first hole forward by.
    hole_shift: usize,
}

/// Where a contact presses on a disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Site {
    /// On the lobes, at a parameter of the profile (rad).
    Lobe {
        /// Parameter of the profile.
        parameter: f64,
        /// Angle between the force on the roller and the middle of its seat.
        seat_angle_rad: f64,
    },
    /// On the wall of a hole.
    Hole {
        /// Index of the hole, from the disc's first one.
        hole: usize,
        /// Angle on the wall from the direction of the hole's centre.
        angle_rad: f64,
    },
    /// On the wall of the bore, pushed outward. All sites there come last.
    Bore {
        /// Angle on the wall from a lobe valley.
        angle_rad: f64,
        /// Share of the bore's radius at which the force's own displacement is taken, see [`own_reach`].
        reach: f64,
    },
}

/// Share of the bore's radius that stands for a line contact whose law counts its approach to a depth.
///
/// The surface at a distance s from a line load lies as deep as the law leaves to the body when
/// `ln s = ln d − (1 + k)/2`, `k = ν/(1 − ν)`.
///
/// **Source** Derivation 7, §5.
#[must_use]
pub fn own_reach(depth_mm: f64, bore_radius_mm: f64, material: &PlaneMaterial) -> f64 {
    depth_mm / bore_radius_mm * math::exp(-0.5 * (1.0 + material.lateral()))
}

/// Share of the bore's radius that stands for one of many even pads of a smooth pressure.
///
/// With it the sum over the pads takes a constant pressure exactly, since `Π 2 sin(πj/N) = N` over j = 1 … N − 1.
#[must_use]
pub fn pad_reach(pad_count: usize) -> f64 {
    1.0 / pad_count as f64
}

/// Nodes on both sides that a value between nodes is interpolated from.
const STENCIL: usize = 6;

struct Stencil {
    nodes: [usize; STENCIL],
    weights: [f64; STENCIL],
}

impl DiscCompliance {
    /// Prepares discs and rollers; discs that are the same part share one table.
    ///
    /// # Errors
    /// [`ComplianceError`] where boundaries of the disc touch or cross.
    pub fn of(outline: &dyn ClosedCurve, data: ComplianceData) -> Result<Self, ComplianceError> {
        let material = PlaneMaterial::of(&data.disc, data.state);
        let mut tables: Vec<(f64, Arc<InfluenceTable>)> = Vec::new();
        let mut discs = Vec::with_capacity(data.disc_count);
        for disc in 0..data.disc_count {
            let phase = data.shape.hole_phase_rad + disc_phase(&data, disc);
            let known = tables.iter().find_map(|(built, table)| {
                same_part(&data.shape, phase - built).map(|(lobe_shift, hole_shift)| PlacedTable {
                    table: Arc::clone(table),
                    lobe_shift,
                    hole_shift,
                })
            });
            let placed = match known {
                Some(placed) => placed,
                None => {
                    let shape = DiscShape { hole_phase_rad: phase, ..data.shape };
                    let resolution = Resolution::of(outline, &shape, &material);
                    let table = InfluenceTable::of(outline, &shape, &material, data.support, resolution)?;
                    let table = Arc::new(table);
                    tables.push((phase, Arc::clone(&table)));
                    PlacedTable { table, lobe_shift: 0, hole_shift: 0 }
                }
            };
            discs.push(placed);
        }
        let roller = PlaneMaterial::of(&data.roller, data.state);
        let seat = data.seat_half_wrap_rad.map(|half| RollerSeat::of(&roller, half)).transpose()?;
        Ok(Self { discs, seat, data })
    }

    /// What it was prepared from.
    #[must_use]
    pub fn data(&self) -> &ComplianceData {
        &self.data
    }

    /// Largest difference between coefficients that must be equal, over all discs, against the largest coefficient.
    #[must_use]
    pub fn asymmetry(&self) -> f64 {
        self.discs.iter().map(|disc| disc.table.asymmetry).fold(0.0, f64::max)
    }

    /// Displacements of all contacts of a disc along their forces under unit forces (mm/N), row by row.
    ///
    /// The matrix is symmetric. Forces are balanced by the bearing's own pattern, force with the cosine and even shear;
    /// both drop out where the sites on the bore balance the others.
    #[must_use]
    pub fn coefficients_mm_per_n(&self, disc: usize, sites: &[Site]) -> Vec<f64> {
        let placed = &self.discs[disc];
        let stencils: Vec<_> = sites.iter().map_while(|site| placed.stencil(site)).collect();
        let table = &placed.table.coefficients;
        let width_mm = self.data.width_mm;
        let count = sites.len();
        let mut matrix = vec![0.0; count * count];
        for (row, own) in stencils.iter().enumerate() {
            for (column, other) in stencils[..row].iter().enumerate() {
                let value = between(table, own, other) / width_mm;
                matrix[row * count + column] = value;
                matrix[column * count + row] = value;
            }
            matrix[row * count + row] =
                own.sum(|node| table[(node, node)]) / width_mm + self.seat(&sites[row]);
        }
        self.add_bore(placed, &stencils, sites, &mut matrix);
        matrix
    }

    /// Fills the rows and columns of the sites on the bore.
    fn add_bore(&self, placed: &PlacedTable, stencils: &[Stencil], sites: &[Site], matrix: &mut [f64]) {
        let (count, outside) = (sites.len(), stencils.len());
        if outside == count {
            return;
        }
        let (table, width_mm) = (&placed.table, self.data.width_mm);
        let (first, waves) = (table.first_wave(), table.wave_count());
        let shares = placed.shares_of_waves(&sites[outside..]);
        let of_waves = DMatrix::from_fn(waves, outside, |wave, site| {
            let column = table.coefficients.column(first + wave);
            stencils[site].sum(|node| column[node])
        });
        let across = dense::product(&shares.transpose(), &of_waves);
        let rest = table.coefficients.view((first, first), (waves, waves)).into_owned();
        let within = dense::product(&shares.transpose(), &dense::product(&rest, &shares));
        for row in outside..count {
            for column in 0..outside {
                let value = across[(row - outside, column)] / width_mm;
                matrix[row * count + column] = value;
                matrix[column * count + row] = value;
            }
            for column in outside..=row {
                let endless = self.endless_mm2_per_n(&sites[row], &sites[column], row == column);
                let value = (endless + within[(row - outside, column - outside)]) / width_mm;
                matrix[row * count + column] = value;
                matrix[column * count + row] = value;
            }
        }
    }

    /// What a bore in an endless plate gives at one site under a unit force at another.
    fn endless_mm2_per_n(&self, row: &Site, column: &Site, is_own: bool) -> f64 {
        let (Site::Bore { angle_rad, reach }, Site::Bore { angle_rad: other_rad, .. }) = (row, column) else {
            return 0.0;
        };
        let material = PlaneMaterial::of(&self.data.disc, self.data.state);
        let apart_rad = (angle_rad - other_rad).rem_euclid(TAU);
        let chord = if is_own { *reach } else { 2.0 * math::sin(0.5 * apart_rad) };
        bore::endless_sum_mm2_per_n(apart_rad, chord, &material)
    }

    fn seat(&self, site: &Site) -> f64 {
        match (site, &self.seat) {
            (Site::Lobe { seat_angle_rad, .. }, Some(seat)) => {
                seat.compliance_mm2_per_n(*seat_angle_rad) / self.data.roller_length_mm
            }
            _ => 0.0,
        }
    }
}

/// Angle by which the lobes of a disc are turned back against the common holes, from the first disc's.
fn disc_phase(data: &ComplianceData, disc: usize) -> f64 {
    TAU * disc as f64 / (data.disc_count as f64 * data.shape.lobe_count as f64)
}

/// Lobes and holes by which a disc is turned against another whose hole phase is less by `difference_rad`, if it is the
/// same part.
fn same_part(shape: &DiscShape, difference_rad: f64) -> Option<(usize, usize)> {
    let lobe = TAU / shape.lobe_count as f64;
    if shape.hole_count == 0 {
        return Some((0, 0));
    }
    let hole = TAU / shape.hole_count as f64;
    (0..shape.lobe_count).find_map(|lobes| {
        let holes = (difference_rad - lobes as f64 * lobe) / hole;
        let is_whole = (holes - holes.round()).abs() < SAME_PART;
        is_whole.then(|| (lobes, (holes.round() as i64).rem_euclid(shape.hole_count as i64) as usize))
    })
}

/// Share of a hole pitch below which two phases are the same.
const SAME_PART: f64 = 1e-6;

/// Weights of the polynomial through N even points at 0, 1, … for a place among them.
#[must_use]
pub fn lagrange_weights<const N: usize>(place: f64) -> [f64; N] {
    std::array::from_fn(|own| {
        (0..N)
            .filter(|&other| other != own)
            .map(|other| (place - other as f64) / (own as f64 - other as f64))
            .product()
    })
}

impl Stencil {
    /// Nodes round a place counted in steps of the nodes.
    fn at(place: f64, node: impl Fn(i64) -> usize) -> Self {
        let first = place.floor() as i64 - (STENCIL as i64 / 2 - 1);
        Self {
            nodes: std::array::from_fn(|step| node(first + step as i64)),
            weights: lagrange_weights(place - first as f64),
        }
    }

    fn sum(&self, value: impl Fn(usize) -> f64) -> f64 {
        self.nodes.iter().zip(self.weights).map(|(&node, weight)| weight * value(node)).sum()
    }
}

/// Interpolated coefficient of two places; columns of the table lie together in memory.
fn between(table: &DMatrix<f64>, row: &Stencil, column: &Stencil) -> f64 {
    column.sum(|node| {
        let values = table.column(node);
        row.sum(|node| values[node])
    })
}

impl PlacedTable {
    /// Place of a site in the table; none on the bore.
    fn stencil(&self, site: &Site) -> Option<Stencil> {
        let table = &self.table;
        match *site {
            Site::Lobe { parameter, .. } => {
                let lobes = parameter / TAU * table.lobe_count as f64 - self.lobe_shift as f64;
                let place = crowded::crowded_place(lobes, table.valley_crowding) * table.lobe_nodes as f64;
                Some(Stencil::at(place, |index| table.lobe_node(index)))
            }
            Site::Hole { hole, angle_rad } => {
                let hole = (hole + self.hole_shift) % table.hole_count;
                let place = angle_rad / TAU * table.hole_nodes as f64;
                Some(Stencil::at(place, |index| table.hole_node(hole, index)))
            }
            Site::Bore { .. } => None,
        }
    }

    /// Shares of the waves of bore pressure (rows) in unit forces at sites on the bore (columns).
    fn shares_of_waves(&self, sites: &[Site]) -> DMatrix<f64> {
        let turn = TAU * self.lobe_shift as f64 / self.table.lobe_count as f64;
        let mut shares = DMatrix::zeros(self.table.wave_count(), sites.len());
        for (column, site) in sites.iter().enumerate() {
            if let Site::Bore { angle_rad, .. } = site {
                let values = bore::wave_values(angle_rad - turn, self.table.highest_wave);
                shares.column_mut(column).copy_from_slice(&values);
            }
        }
        shares
    }
}
