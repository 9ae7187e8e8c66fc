//! A complex number, just what phasors need: a steady alternating volt or amp as length and angle.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A phasor: RMS volts or amps, or an impedance in ohms, as two right-angled parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// In step with 0°.
    pub re: f64,
    /// A quarter turn ahead of 0°.
    pub im: f64,
}

impl Complex {
    /// Nothing.
    pub const ZERO: Self = Self { re: 0.0, im: 0.0 };

    /// Both parts given.
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// Mirrored: the same length, the angle the other way.
    #[must_use]
    pub fn conjugate(self) -> Self {
        Self::new(self.re, -self.im)
    }

    /// Length and angle in degrees. 0° and 180° come out exactly real, so that a one-phase supply stays real.
    pub fn polar(length: f64, degrees: f64) -> Self {
        if degrees == 0.0 {
            return Self::new(length, 0.0);
        }
        if degrees.abs() == 180.0 {
            return Self::new(-length, 0.0);
        }
        let angle = degrees.to_radians();
        Self::new(length * angle.cos(), length * angle.sin())
    }

    /// The length: what an RMS meter shows.
    pub fn abs(self) -> f64 {
        // Volts, amps and ohms are far from where their squares would run over or vanish.
        if self.im == 0.0 { self.re.abs() } else { (self.re * self.re + self.im * self.im).sqrt() }
    }

    /// One over this number.
    pub fn inverse(self) -> Self {
        if self.im == 0.0 {
            return Self::new(1.0 / self.re, 0.0);
        }
        let square = self.re * self.re + self.im * self.im;
        Self::new(self.re / square, -self.im / square)
    }
}

impl From<f64> for Complex {
    fn from(re: f64) -> Self {
        Self::new(re, 0.0)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl AddAssign for Complex {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl SubAssign for Complex {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

impl Mul<f64> for Complex {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.re * by, self.im * by)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        if other.im == 0.0 {
            return Self::new(self.re / other.re, self.im / other.re);
        }
        self * other.inverse()
    }
}

#[cfg(test)]
mod tests {
    use super::Complex;

    #[test]
    fn arithmetic_of_phasors() {
        let a = Complex::polar(120.0, 0.0);
        let b = Complex::polar(120.0, -120.0);
        // Two legs of 120 V to neutral, a third of a turn apart, are 207.846 V apart (120 × √3).
        assert!(((a - b).abs() - 120.0 * 3f64.sqrt()).abs() < 1e-12);
        let z = Complex::new(3.0, 4.0);
        assert_eq!(z.abs(), 5.0);
        let one = z * z.inverse();
        assert!((one.re - 1.0).abs() < 1e-15 && one.im.abs() < 1e-15);
        assert!(((a / z).abs() - 24.0).abs() < 1e-12);
        assert_eq!(Complex::polar(120.0, 180.0), Complex::new(-120.0, 0.0));
    }
}
