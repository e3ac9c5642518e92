//! Rounding for replies, and towards caution.
//!
//! Decimal rounding scales by exact powers of ten, so that a figure comes out as the double nearest to its decimal.

/// Digits to which noise of double arithmetic is snapped before an end is rounded outwards.
const SNAP: u32 = 12;
/// Significant digits of a figure in a reply.
pub const DIGITS: i32 = 4;
/// Significant digits of a figure to act on.
pub const ACT_DIGITS: i32 = 2;

/// The decimal exponents of the first and last of [`POWERS`].
const FURTHEST: i32 = 22;

/// Powers of ten from 1e-22 to 1e22: from one on exact doubles, with which scaling rounds once; below, the nearest doubles.
const POWERS: [f64; 45] = [
    1e-22, 1e-21, 1e-20, 1e-19, 1e-18, 1e-17, 1e-16, 1e-15, 1e-14, 1e-13, 1e-12, 1e-11, 1e-10, 1e-9, 1e-8,
    1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 1e-1, 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// The double nearest to a power of ten from 1e-22 to 1e22; a division costs more than the rest of what asks for it.
fn power_of_ten(exponent: i32) -> f64 {
    let place = usize::try_from(exponent + FURTHEST).unwrap_or(0);
    POWERS.get(place).copied().unwrap_or(1e22)
}

/// `x` with so many significant digits; the same on every platform, and the double nearest to the decimal figure.
#[must_use]
pub fn significant(x: f64, digits: u32) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return if x == 0.0 { 0.0 } else { x };
    }
    let place = i32::try_from(digits).unwrap_or(17) - 1 - exponent(x);
    if place.abs() <= FURTHEST {
        return at_place(x, place, Towards::Nearest);
    }
    let places = digits.saturating_sub(1) as usize;
    format!("{x:.places$e}").parse().unwrap_or(x)
}

/// The decimal exponent of the first significant digit: 2 for 123, -1 for 0.5.
fn exponent(x: f64) -> i32 {
    let x = x.abs();
    if !(1e-20..1e20).contains(&x) {
        let text = format!("{x:e}");
        return text.split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0);
    }
    // From the binary exponent (a logarithm costs more), at most one too low or too high; settled by comparison.
    let binary = i32::from(u16::try_from((x.to_bits() >> 52) & 0x7ff).unwrap_or(0)) - 1023;
    let near = (binary * 1233) >> 12;
    if x >= power_of_ten(near + 1) {
        near + 1
    } else if x < power_of_ten(near) {
        near - 1
    } else {
        near
    }
}

/// A whole number times a power of ten, from 1e-22 to 1e22: the double nearest to that decimal figure.
#[must_use]
pub fn decimal(whole: f64, exponent: i32) -> f64 {
    let scale = power_of_ten(exponent.abs());
    if exponent >= 0 { whole * scale } else { whole / scale }
}

/// How an end is rounded.
#[derive(Clone, Copy)]
enum Towards {
    Nearest,
    Down,
    Up,
}

/// `x` at a decimal place: 1 is tenths, -1 is tens.
fn at_place(x: f64, place: i32, towards: Towards) -> f64 {
    let scale = power_of_ten(place.abs());
    let scaled = if place >= 0 { x * scale } else { x / scale };
    let whole = match towards {
        Towards::Nearest => scaled.round(),
        Towards::Down => significant(scaled, SNAP).floor(),
        Towards::Up => significant(scaled, SNAP).ceil(),
    };
    let back = if place >= 0 { whole / scale } else { whole * scale };
    if back == 0.0 { 0.0 } else { back }
}

/// How an estimate is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The value to 4 significant digits, its ends outwards at the same place.
    FourDigits,
    /// The value to tenths, its ends outwards to tenths: temperatures and their differences.
    Tenths,
}

/// Value, low end and high end of an estimate, rounded: the value to nearest, the ends outwards.
#[must_use]
pub fn estimate(value: f64, low: f64, high: f64, place: Place) -> (f64, f64, f64) {
    let place = match place {
        Place::Tenths => 1,
        Place::FourDigits if value == 0.0 => DIGITS - 1,
        Place::FourDigits => DIGITS - 1 - exponent(value),
    };
    let rounded = at_place(value, place, Towards::Nearest);
    (
        rounded,
        at_place(low, place, Towards::Down).min(rounded),
        at_place(high, place, Towards::Up).max(rounded),
    )
}

/// `x` to 4 significant digits.
#[must_use]
pub fn four_digits(x: f64) -> f64 {
    significant(x, DIGITS.unsigned_abs())
}

/// `x` to tenths.
#[must_use]
pub fn tenths(x: f64) -> f64 {
    at_place(x, 1, Towards::Nearest)
}

/// The largest number of 2 significant digits that is at most `x`.
#[must_use]
pub fn cautious_down(x: f64) -> f64 {
    cautious(x, Towards::Down)
}

/// The smallest number of 2 significant digits that is at least `x`.
#[must_use]
pub fn cautious_up(x: f64) -> f64 {
    cautious(x, Towards::Up)
}

fn cautious(x: f64, towards: Towards) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    let place = ACT_DIGITS - 1 - exponent(x);
    let rounded = at_place(x, place, towards);
    // The snap may have lifted a figure just below a round one onto it: one step back is still cautious.
    let step = 1.0 / power_of_ten(place.abs());
    let step = if place >= 0 { step } else { 1.0 / step };
    match towards {
        Towards::Down if rounded > x => at_place(rounded - step, place, Towards::Nearest),
        Towards::Up if rounded < x => at_place(rounded + step, place, Towards::Nearest),
        _ => rounded,
    }
}

/// A ratio rounded up to 4 significant digits, so that it never looks better than it is.
#[must_use]
pub fn ratio_up(x: f64) -> f64 {
    if x <= 0.0 || !x.is_finite() {
        return x;
    }
    at_place(x, DIGITS - 1 - exponent(x), Towards::Up)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_rounded_outwards_at_the_place_of_the_value() {
        assert_eq!(estimate(5.8671, 5.7501, 5.9799, Place::FourDigits), (5.867, 5.75, 5.98));
        assert_eq!(estimate(12.04, 9.04, 15.04, Place::Tenths), (12.0, 9.0, 15.1));
        assert_eq!(estimate(9.000000000001, 9.000000000001, 9.000000000001, Place::Tenths), (9.0, 9.0, 9.0));
        assert_eq!(estimate(123456.0, 123440.0, 123460.0, Place::FourDigits), (123500.0, 123400.0, 123500.0));
        assert_eq!(estimate(-0.01, -0.04, 0.01, Place::Tenths), (0.0, -0.1, 0.1));
    }

    #[test]
    fn a_figure_to_act_on_never_passes_what_it_was_rounded_from() {
        assert_eq!(cautious_down(8.3333), 8.3);
        assert_eq!(cautious_down(9.999999999999998), 9.9);
        assert_eq!(cautious_down(50.0), 50.0);
        assert_eq!(cautious_down(1234.0), 1200.0);
        assert_eq!(cautious_up(0.10001), 0.11);
        assert_eq!(cautious_down(-12.34), -13.0);
        for i in 1..2000 {
            let x = f64::from(i) * 0.137;
            assert!(cautious_down(x) <= x && cautious_up(x) >= x, "{x}");
        }
    }

    #[test]
    fn the_decimal_exponent_is_that_of_the_shortest_decimal() {
        for power in -19..=19 {
            for digits in ["1", "1.0000000000000002", "1.5", "2", "4.999", "8", "9.5", "9.999999999999998"] {
                let x: f64 = format!("{digits}e{power}").parse().unwrap();
                assert_eq!(exponent(x), power, "{x:e}");
            }
        }
    }

    #[test]
    fn significant_digits_print_short() {
        assert_eq!(significant(20.000000000000057, 12), 20.0);
        assert_eq!(significant(0.1 + 0.2, 12), 0.3);
        assert_eq!(four_digits(0.000123456), 0.0001235);
        assert_eq!(ratio_up(0.90001), 0.9001);
    }
}
