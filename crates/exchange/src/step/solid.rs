//! The body: vertices, edges and faces of a plate with holes (ISO 10303-42 boundary representation).
//!
//! Each edge is made once and used by two faces in opposite senses. Seen from outside, the outer
//! bound of a face runs anticlockwise and the inner bounds clockwise.

use super::encode::{Entities, Id, list, real, text};
use curves::Point;
use curves::plate::{Plate, RoundHole};
use curves::spline::CubicSpline;

/// Writes the solid and returns its `MANIFOLD_SOLID_BREP`.
pub(super) fn write(entities: &mut Entities, plate: &Plate, splines: Vec<CubicSpline>) -> Id {
    let mut body = Body::new(entities, plate.thickness_mm);
    let flanks = body.flanks(splines);
    let holes: Vec<HoleEdges> = plate.holes.iter().map(|hole| body.hole(hole)).collect();
    let mut faces: Vec<Id> = flanks.iter().map(|flank| flank.face).collect();
    faces.extend(holes.iter().map(|hole| hole.face));
    faces.push(body.bottom(&flanks, &holes));
    faces.push(body.top(&flanks, &holes));
    let shell = entities.add(format_args!("CLOSED_SHELL('',{})", list(faces)));
    entities.add(format_args!("MANIFOLD_SOLID_BREP({},{shell})", text(&plate.name)))
}

/// An edge as a face uses it.
#[derive(Clone, Copy)]
enum Use {
    Forward(Id),
    Backward(Id),
}

/// Face of one piece of the outline and its two long edges.
struct Flank {
    face: Id,
    bottom: Id,
    top: Id,
}

/// Face of a hole and its two circles.
struct HoleEdges {
    face: Id,
    bottom: Id,
    top: Id,
}

/// A corner of the outline: its two vertices and the edge between them.
struct Corner {
    bottom: Id,
    top: Id,
    upright: Id,
}

struct Body<'a> {
    entities: &'a mut Entities,
    thickness_mm: f64,
    up: Id,
    x_axis: Id,
}

impl<'a> Body<'a> {
    fn new(entities: &'a mut Entities, thickness_mm: f64) -> Self {
        let up = entities.add("DIRECTION('',(0.,0.,1.))");
        let x_axis = entities.add("DIRECTION('',(1.,0.,0.))");
        Self { entities, thickness_mm, up, x_axis }
    }

    fn point(&mut self, place_mm: Point, height_mm: f64) -> Id {
        let coordinates = list([place_mm.x, place_mm.y, height_mm].map(real));
        self.entities.add(format_args!("CARTESIAN_POINT('',{coordinates})"))
    }

    fn placement(&mut self, place_mm: Point, height_mm: f64) -> Id {
        let origin = self.point(place_mm, height_mm);
        let (up, x_axis) = (self.up, self.x_axis);
        self.entities.add(format_args!("AXIS2_PLACEMENT_3D('',{origin},{up},{x_axis})"))
    }

    fn vertex(&mut self, place_mm: Point, height_mm: f64) -> Id {
        let point = self.point(place_mm, height_mm);
        self.entities.add(format_args!("VERTEX_POINT('',{point})"))
    }

    fn edge(&mut self, start: Id, end: Id, curve: Id) -> Id {
        self.entities.add(format_args!("EDGE_CURVE('',{start},{end},{curve},.T.)"))
    }

    /// The two vertices at a place and the straight edge up from one to the other.
    fn corner(&mut self, place_mm: Point) -> Corner {
        let bottom = self.vertex(place_mm, 0.0);
        let top = self.vertex(place_mm, self.thickness_mm);
        let foot = self.point(place_mm, 0.0);
        let up = self.up;
        let vector = self.entities.add(format_args!("VECTOR('',{up},1.)"));
        let line = self.entities.add(format_args!("LINE('',{foot},{vector})"));
        Corner { bottom, top, upright: self.edge(bottom, top, line) }
    }

    fn bound(&mut self, kind: &str, uses: impl IntoIterator<Item = Use>) -> Id {
        let oriented: Vec<Id> = uses
            .into_iter()
            .map(|edge_use| {
                let (edge, sense) = match edge_use {
                    Use::Forward(edge) => (edge, ".T."),
                    Use::Backward(edge) => (edge, ".F."),
                };
                self.entities.add(format_args!("ORIENTED_EDGE('',*,*,{edge},{sense})"))
            })
            .collect();
        let edge_loop = self.entities.add(format_args!("EDGE_LOOP('',{})", list(oriented)));
        self.entities.add(format_args!("{kind}('',{edge_loop},.T.)"))
    }

    fn face(&mut self, name: &str, bounds: &[Id], surface: Id, same_sense: &str) -> Id {
        self.entities.add(format_args!(
            "ADVANCED_FACE({},{},{surface},{same_sense})",
            text(name),
            list(bounds)
        ))
    }

    /// Faces round the outline; the last joins the first.
    fn flanks(&mut self, splines: Vec<CubicSpline>) -> Vec<Flank> {
        let corners: Vec<Corner> = splines.iter().map(|spline| self.corner(spline.controls_mm[0])).collect();
        let count = corners.len();
        let starts: Vec<Point> = splines.iter().map(|spline| spline.controls_mm[0]).collect();
        splines
            .into_iter()
            .enumerate()
            .map(|(index, mut spline)| {
                let next = (index + 1) % count;
                // The ends of neighbouring splines agree but for rounding; the shared corner wins.
                if let Some(end) = spline.controls_mm.last_mut() {
                    *end = starts[next];
                }
                self.flank(&in_millimetres(spline), &corners[index], &corners[next])
            })
            .collect()
    }

    /// The surface runs along the outline and then up, so that its normal points out of the material.
    fn flank(&mut self, spline: &CubicSpline, from: &Corner, to: &Corner) -> Flank {
        let bottom_points: Vec<Id> =
            spline.controls_mm.iter().map(|&control| self.point(control, 0.0)).collect();
        let height_mm = self.thickness_mm;
        let top_points: Vec<Id> =
            spline.controls_mm.iter().map(|&control| self.point(control, height_mm)).collect();
        let knots = KnotText::of(spline);
        let bottom_curve = self.spline_curve(&bottom_points, &knots);
        let top_curve = self.spline_curve(&top_points, &knots);
        let bottom = self.edge(from.bottom, to.bottom, bottom_curve);
        let top = self.edge(from.top, to.top, top_curve);
        let rows = list(bottom_points.iter().zip(&top_points).map(|(low, high)| list([low, high])));
        let surface = self.entities.add(format_args!(
            "B_SPLINE_SURFACE_WITH_KNOTS('',3,1,{rows},.UNSPECIFIED.,.F.,.F.,.F.,{},(2,2),{},(0.,{}),.UNSPECIFIED.)",
            knots.multiplicities,
            knots.values,
            real(height_mm)
        ));
        let bound = self.bound(
            "FACE_OUTER_BOUND",
            [Use::Forward(bottom), Use::Forward(to.upright), Use::Backward(top), Use::Backward(from.upright)],
        );
        Flank { face: self.face("flank", &[bound], surface, ".T."), bottom, top }
    }

    fn spline_curve(&mut self, points: &[Id], knots: &KnotText) -> Id {
        self.entities.add(format_args!(
            "B_SPLINE_CURVE_WITH_KNOTS('',3,{},.UNSPECIFIED.,.F.,.F.,{},{},.UNSPECIFIED.)",
            list(points),
            knots.multiplicities,
            knots.values
        ))
    }

    /// One face bounded by two circles and a seam that is used twice; its normal points to the axis.
    fn hole(&mut self, hole: &RoundHole) -> HoleEdges {
        let seam = self.corner(hole.centre_mm + curves::Vector::x() * hole.radius_mm);
        let bottom = self.circle_edge(hole, 0.0, seam.bottom);
        let top = self.circle_edge(hole, self.thickness_mm, seam.top);
        let placement = self.placement(hole.centre_mm, 0.0);
        let radius = real(hole.radius_mm);
        let surface = self.entities.add(format_args!("CYLINDRICAL_SURFACE('',{placement},{radius})"));
        let bound = self.bound(
            "FACE_OUTER_BOUND",
            [
                Use::Backward(bottom),
                Use::Forward(seam.upright),
                Use::Forward(top),
                Use::Backward(seam.upright),
            ],
        );
        HoleEdges { face: self.face(&hole.name, &[bound], surface, ".F."), bottom, top }
    }

    fn circle_edge(&mut self, hole: &RoundHole, height_mm: f64, vertex: Id) -> Id {
        let placement = self.placement(hole.centre_mm, height_mm);
        let circle = self.entities.add(format_args!("CIRCLE('',{placement},{})", real(hole.radius_mm)));
        self.edge(vertex, vertex, circle)
    }

    /// The plane through the origin, whose material lies above it.
    fn bottom(&mut self, flanks: &[Flank], holes: &[HoleEdges]) -> Id {
        let outer = flanks.iter().rev().map(|flank| Use::Backward(flank.bottom));
        let mut bounds = vec![self.bound("FACE_OUTER_BOUND", outer)];
        bounds.extend(holes.iter().map(|hole| self.bound("FACE_BOUND", [Use::Forward(hole.bottom)])));
        let placement = self.placement(Point::origin(), 0.0);
        let plane = self.entities.add(format_args!("PLANE('',{placement})"));
        self.face("bottom", &bounds, plane, ".F.")
    }

    fn top(&mut self, flanks: &[Flank], holes: &[HoleEdges]) -> Id {
        let outer = flanks.iter().map(|flank| Use::Forward(flank.top));
        let mut bounds = vec![self.bound("FACE_OUTER_BOUND", outer)];
        bounds.extend(holes.iter().map(|hole| self.bound("FACE_BOUND", [Use::Backward(hole.top)])));
        let placement = self.placement(Point::origin(), self.thickness_mm);
        let plane = self.entities.add(format_args!("PLANE('',{placement})"));
        self.face("top", &bounds, plane, ".T.")
    }
}

/// The spline with a parameter about as long as the curve, which suits readers' own tolerances.
fn in_millimetres(spline: CubicSpline) -> CubicSpline {
    let length_mm: f64 = spline.controls_mm.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
    spline.with_parameter_from_zero_to(length_mm)
}

/// Knots as the format lists them: distinct values and how often each counts.
struct KnotText {
    multiplicities: String,
    values: String,
}

impl KnotText {
    fn of(spline: &CubicSpline) -> Self {
        let last = spline.knots.len() - 1;
        let multiplicity = |index: usize| if index == 0 || index == last { 4 } else { 1 };
        Self {
            multiplicities: list((0..=last).map(multiplicity)),
            values: list(spline.knots.iter().map(|&knot| real(knot))),
        }
    }
}
