//! Points, vectors and the few rotations that plane geometry needs.

use crate::math;

/// A place in the plane (mm).
pub type Point = nalgebra::Point2<f64>;
/// A displacement, direction or force in the plane.
pub type Vector = nalgebra::Vector2<f64>;

/// Unit vector at an angle from the x axis, anticlockwise positive.
#[must_use]
pub fn unit(angle_rad: f64) -> Vector {
    let (sine, cosine) = math::sin_cos(angle_rad);
    Vector::new(cosine, sine)
}

/// Point at a polar radius and angle.
#[must_use]
pub fn polar(radius_mm: f64, angle_rad: f64) -> Point {
    Point::from(unit(angle_rad) * radius_mm)
}

/// Vector turned by +90°.
#[must_use]
pub fn turned_left(vector: Vector) -> Vector {
    Vector::new(-vector.y, vector.x)
}

/// Vector turned by −90°; maps the tangent of an anticlockwise outline to its outward normal.
#[must_use]
pub fn turned_right(vector: Vector) -> Vector {
    Vector::new(vector.y, -vector.x)
}

/// Vector turned by an angle, anticlockwise positive.
#[must_use]
pub fn rotated(vector: Vector, angle_rad: f64) -> Vector {
    Rotation::by(angle_rad).turn(vector)
}

/// A rotation that many vectors are turned by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rotation {
    sine: f64,
    cosine: f64,
}

impl Rotation {
    /// Rotation by an angle, anticlockwise positive.
    #[must_use]
    pub fn by(angle_rad: f64) -> Self {
        let (sine, cosine) = math::sin_cos(angle_rad);
        Self { sine, cosine }
    }

    /// The vector turned.
    #[must_use]
    pub fn turn(&self, vector: Vector) -> Vector {
        Vector::new(
            self.cosine * vector.x - self.sine * vector.y,
            self.sine * vector.x + self.cosine * vector.y,
        )
    }

    /// The vector turned the other way.
    #[must_use]
    pub fn turn_back(&self, vector: Vector) -> Vector {
        Self { sine: -self.sine, cosine: self.cosine }.turn(vector)
    }
}

/// Third component of the cross product of two plane vectors.
#[must_use]
pub fn cross(a: Vector, b: Vector) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Polar angle of a vector in (−π, π].
#[must_use]
pub fn angle_of(vector: Vector) -> f64 {
    math::atan2(vector.y, vector.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_turns_agree_with_rotation() {
        let vector = Vector::new(3.0, -2.0);
        let quarter = std::f64::consts::FRAC_PI_2;
        assert!((rotated(vector, quarter) - turned_left(vector)).norm() < 1e-15 * 8.0);
        assert!((rotated(vector, -quarter) - turned_right(vector)).norm() < 1e-15 * 8.0);
        assert_eq!(cross(vector, turned_left(vector)), vector.norm_squared());
        for angle in [-2.9, -0.4, 0.0, 1e-9, 0.7, 3.1] {
            assert_eq!(Rotation::by(angle).turn_back(vector), rotated(vector, -angle));
        }
    }
}
