//! The mathematics that physics stands on: the only place where `f64` crosses function boundaries.
//!
//! Replies are promised to the byte on every platform; the `exp` and `ln` of the standard library differ in their
//! last bits between platforms, those of `libm` do not.

/// e^x.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Decimal logarithm.
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// x^y.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Most steps that [`root`] takes; bisection alone would need about 50.
const MOST_STEPS: u32 = 100;

/// The argument in `[low, high]` at which `f` is zero, to `tolerance`, by the method of Brent (Algorithms for
/// Minimization without Derivatives, 1973, chapter 4; from memory).
///
/// `None` if `f` has the same sign at both ends, or is not a number somewhere.
pub fn root(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || fa.signum() == fb.signum() {
        return None;
    }
    // c is the older estimate on the other side of the root; d the last step, e the one before it.
    let (mut c, mut fc) = (a, fa);
    let mut d = b - a;
    let mut e = d;
    for _ in 0..MOST_STEPS {
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            d = b - a;
            e = d;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let near = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= near || fb == 0.0 {
            return Some(b);
        }
        if e.abs() < near || fa.abs() <= fb.abs() {
            d = half;
            e = half;
        } else {
            let (p, q) = interpolated(a, b, c, fa, fb, fc);
            if 2.0 * p < (3.0 * half * q - (near * q).abs()).min((e * q).abs()) {
                e = d;
                d = p / q;
            } else {
                d = half;
                e = half;
            }
        }
        (a, fa) = (b, fb);
        b += if d.abs() > near { d } else { near.copysign(half) };
        fb = f(b);
        if fb.is_nan() {
            return None;
        }
    }
    None
}

/// The step p/q that inverse interpolation proposes: secant where two points coincide, else quadratic.
fn interpolated(a: f64, b: f64, c: f64, fa: f64, fb: f64, fc: f64) -> (f64, f64) {
    let s = fb / fa;
    let (p, q) = if a == c {
        ((c - b) * s, 1.0 - s)
    } else {
        let (q, r) = (fa / fc, fb / fc);
        (s * ((c - b) * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
    };
    if p > 0.0 { (p, -q) } else { (-p, q) }
}

#[cfg(test)]
mod tests {
    use super::root;

    #[test]
    fn a_root_is_found_where_the_sign_changes_and_nowhere_else() {
        let found = root(|x| x * x - 2.0, 0.0, 2.0, 1e-12).unwrap();
        assert!((found - std::f64::consts::SQRT_2).abs() < 1e-11);
        assert_eq!(root(|x| x * x + 1.0, -1.0, 1.0, 1e-12), None);
        assert_eq!(root(|x| if x > 0.5 { f64::NAN } else { -1.0 }, 0.0, 1.0, 1e-12), None);
        let steep = root(|x| super::exp(x) - 1e-9, -100.0, 100.0, 1e-12).unwrap();
        assert!((steep - super::ln(1e-9)).abs() < 1e-9);
    }
}
