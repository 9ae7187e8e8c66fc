//! Natural logarithm and power of e from `+ − × ÷` alone.
//!
//! The machine's own `ln` and `exp` may differ in the last digit from one system or script to the next; these do not,
//! because each step is one that the standard for machine numbers (IEEE 754) fixes to the last bit.
//! A page's script that takes the same steps in the same order lands on the same digits.

/// ln 2 in two parts whose sum is right to 30 digits; the first has its last 21 bits clear, so a small whole
/// multiple of it is exact. Source: the decimals of ln 2, 0.693147180559945309417232121458…
const LN_2_HIGH: f64 = 0.693_147_180_369_123_8;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// The natural logarithm of `x`. Relative error below 4e-16. `x` is above zero and finite; else not a number.
///
/// Form: halve or double `x` until it lies between √½ and √2, `k` times; with `z = (m − 1) ÷ (m + 1)` the sum
/// `2z (1 + z²/3 + z⁴/5 + … + z²⁶/27)` is the logarithm of what is left (Gregory's series).
#[must_use]
pub fn ln(x: f64) -> f64 {
    if !(x > 0.0 && x < f64::INFINITY) {
        return f64::NAN;
    }
    let (mut m, mut k) = (x, 0.0);
    while m > std::f64::consts::SQRT_2 {
        m *= 0.5;
        k += 1.0;
    }
    while m < std::f64::consts::FRAC_1_SQRT_2 {
        m *= 2.0;
        k -= 1.0;
    }
    let z = (m - 1.0) / (m + 1.0);
    let square = z * z;
    let mut sum = 1.0 / 27.0;
    let mut odd = 25.0;
    while odd > 0.0 {
        sum = sum * square + 1.0 / odd;
        odd -= 2.0;
    }
    k * LN_2_HIGH + (k * LN_2_LOW + 2.0 * z * sum)
}

/// e to the power `x`. Relative error below 6e-16 for `x` from −700 to 700; beyond, 0 or infinity.
///
/// Form: `k` is the whole number nearest to `x ÷ ln 2`, `r` what is left, at most 0.347 either way; the series
/// `1 + r (1 + r/2 (1 + r/3 (… (1 + r/14))))`, doubled or halved `k` times.
#[must_use]
pub fn exp(x: f64) -> f64 {
    if !(-700.0..=700.0).contains(&x) {
        return if x > 700.0 {
            f64::INFINITY
        } else if x < -700.0 {
            0.0
        } else {
            f64::NAN
        };
    }
    let k = (x / std::f64::consts::LN_2 + 0.5).floor();
    let r = (x - k * LN_2_HIGH) - k * LN_2_LOW;
    let mut sum = 1.0;
    let mut n = 14.0;
    while n > 0.0 {
        sum = 1.0 + r / n * sum;
        n -= 1.0;
    }
    let mut left = k;
    while left > 0.0 {
        sum *= 2.0;
        left -= 1.0;
    }
    while left < 0.0 {
        sum *= 0.5;
        left += 1.0;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_agree_with_the_machine_to_the_last_digits() {
        let mut x = 1e-6;
        while x < 1e8 {
            let (ours, theirs) = (ln(x), f64::ln(x));
            assert!((ours - theirs).abs() <= 4e-16 * theirs.abs().max(1e-3), "ln {x}: {ours} {theirs}");
            x *= 1.0137;
        }
        let mut x = -60.0;
        while x < 60.0 {
            let (ours, theirs) = (exp(x), f64::exp(x));
            assert!((ours / theirs - 1.0).abs() <= 6e-16, "exp {x}: {ours} {theirs}");
            x += 0.0137;
        }
    }

    #[test]
    fn each_undoes_the_other() {
        for x in [0.0, 1.0, -1.0, 9.21034, -20.0] {
            assert!((ln(exp(x)) - x).abs() < 4e-15, "{x}");
        }
        assert_eq!((ln(1.0), exp(0.0)), (0.0, 1.0));
        assert!(ln(0.0).is_nan() && ln(-1.0).is_nan() && ln(f64::INFINITY).is_nan());
    }
}
