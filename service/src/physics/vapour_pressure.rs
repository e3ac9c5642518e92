//! How much vapour stands over a pure liquid?
//!
//! | form | equation, p in Pa, T in K, t = 1 - T/Tc |
//! |---|---|
//! | Antoine | log10 p = A - B/(T + C), or the same with ln |
//! | Antoine, extended | log10 p = A - B/(T + C) + 0.43429 x^n + E x^8 + F x^12, x = max((T - t0 - 273.15)/Tc, 0) |
//! | DIPPR 101 | ln p = C1 + C2/T + C3 ln T + C4 T^C5 |
//! | Wagner 2.5-5 | ln(p/Pc) = (a t + b t^1.5 + c t^2.5 + d t^5) Tc/T |
//! | Wagner 3-6 | ln(p/Pc) = (a t + b t^1.5 + c t^3 + d t^6) Tc/T |
//!
//! Source: each published set with its own printed coefficients (see the catalogue). Valid in each set's stated
//! range. Up to 10 K below every range the nearest set is used, marked `extrapolated` and widened by 25 %; further
//! below, and above every range, no figure is given.

use super::maths::{exp, ln, log10, pow, root};
use crate::quantity::{Estimate, interval};
use uom::si::f64::{Pressure, TemperatureInterval, ThermodynamicTemperature};
use uom::si::pressure::pascal;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

/// How far below every stated range a set is still used.
pub const EXTRAPOLATED_BELOW_K: f64 = 10.0;
/// By how much such a figure is widened at both ends: of 38 sets tried 5 missed 12 %, the worst 23 % low.
pub const EXTRAPOLATED_WIDENED: f64 = 0.25;

/// The factor of the extended form as it is printed: its coefficients were fitted with these five digits.
#[allow(clippy::approx_constant, reason = "the printed factor, not log10 e")]
const EXTENDED_FACTOR: f64 = 0.43429;

/// A published form with its coefficients, in pascals and kelvins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// log10 p = A - B/(T + C).
    AntoineLog10([f64; 3]),
    /// ln p = A - B/(T + C).
    AntoineLn([f64; 3]),
    /// Antoine with the terms of the extended form: A, B, C, t0, n, E, F and the critical temperature.
    AntoineExtended([f64; 7], ThermodynamicTemperature),
    /// ln p = C1 + C2/T + C3 ln T + C4 T^C5.
    Dippr101([f64; 5]),
    /// ln(p/Pc) with powers 1, 1.5, 2.5, 5.
    Wagner25([f64; 4], ThermodynamicTemperature, Pressure),
    /// ln(p/Pc) with powers 1, 1.5, 3, 6.
    Wagner36([f64; 4], ThermodynamicTemperature, Pressure),
}

impl Form {
    /// The vapour pressure at a temperature, whatever the range.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> Pressure {
        let t = temperature.get::<kelvin>();
        let pascals = match self {
            Self::AntoineLog10([a, b, c]) => exp(std::f64::consts::LN_10 * (a - b / (t + c))),
            Self::AntoineLn([a, b, c]) => exp(a - b / (t + c)),
            Self::AntoineExtended([a, b, c, t0, n, e, f], critical) => {
                let x = ((t - t0 - 273.15) / critical.get::<kelvin>()).max(0.0);
                let added = EXTENDED_FACTOR * pow(x, *n) + e * pow(x, 8.0) + f * pow(x, 12.0);
                exp(std::f64::consts::LN_10 * (a - b / (t + c) + added))
            }
            Self::Dippr101([c1, c2, c3, c4, c5]) => exp(c1 + c2 / t + c3 * ln(t) + c4 * pow(t, *c5)),
            Self::Wagner25(c, critical, pressure) => wagner(t, c, [2.5, 5.0], *critical, *pressure),
            Self::Wagner36(c, critical, pressure) => wagner(t, c, [3.0, 6.0], *critical, *pressure),
        };
        Pressure::new::<pascal>(pascals)
    }
}

fn wagner(
    t: f64,
    c: &[f64; 4],
    powers: [f64; 2],
    critical: ThermodynamicTemperature,
    pressure: Pressure,
) -> f64 {
    let tc = critical.get::<kelvin>();
    // Rounding can bring 1 - T/Tc just below zero at the critical point, where the powers would not be numbers.
    let tau = (1.0 - t / tc).max(0.0);
    let [a, b, third, fourth] = c;
    let [p3, p4] = powers;
    let sum = a * tau + b * pow(tau, 1.5) + third * pow(tau, p3) + fourth * pow(tau, p4);
    pressure.get::<pascal>() * exp(sum * tc / t)
}

/// One published set of coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// Its name, for example `Poling`.
    pub name: String,
    /// Its form and coefficients.
    pub form: Form,
    /// Lowest temperature of its stated range.
    pub from: ThermodynamicTemperature,
    /// Highest temperature of its stated range.
    pub to: ThermodynamicTemperature,
    /// Whether it failed one of the tests of the data: used only where no other set is in range, as class D.
    pub doubtful: bool,
}

impl Set {
    /// Whether the temperature is in the stated range, both ends included.
    #[must_use]
    pub fn covers(&self, temperature: ThermodynamicTemperature) -> bool {
        self.from <= temperature && temperature <= self.to
    }

    /// Whether it is an Antoine equation of three constants, which anyone can check on paper.
    #[must_use]
    pub const fn is_antoine(&self) -> bool {
        matches!(self.form, Form::AntoineLog10(_) | Form::AntoineLn(_))
    }
}

/// The factor by which the 95 % range reaches above the value; it reaches as far below by division for class D and by
/// subtraction for the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Accuracy {
    /// The range is the value times one less and one plus this.
    Relative(f64),
    /// The range is the value divided by and multiplied with this.
    Factor(f64),
}

/// Class D: a factor of 1.5 either way.
pub const CLASS_D: Accuracy = Accuracy::Factor(1.5);

/// The temperatures of rooms and warmed liquids, 0 to 60 Cel, for which the accuracy is stated apart.
#[must_use]
pub fn everyday() -> (ThermodynamicTemperature, ThermodynamicTemperature) {
    (ThermodynamicTemperature::new::<kelvin>(273.15), ThermodynamicTemperature::new::<kelvin>(333.15))
}

/// The published sets of a substance in the order in which they are used, with the accuracy stated for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The sets; those that are not doubtful first.
    pub sets: Vec<Set>,
    /// The stated accuracy of sets that are not doubtful at [`everyday`] temperatures.
    pub accuracy: Accuracy,
    /// The same elsewhere, where fewer sets are good.
    pub accuracy_elsewhere: Accuracy,
}

/// A vapour pressure with what it was computed from.
#[derive(Debug, Clone, Copy)]
pub struct Found<'a> {
    /// The vapour pressure with its 95 % range.
    pub pressure: Estimate<Pressure>,
    /// The set that answered.
    pub set: &'a Set,
    /// Whether the set was used below its range.
    pub extrapolated: bool,
}

/// No set is valid there.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OutsideRange {
    /// More than 10 K below every range; holds the lowest temperature that is answered.
    #[error("below the range of every published equation")]
    Below(ThermodynamicTemperature),
    /// Above every range; holds the highest temperature that is answered.
    #[error("above the range of every published equation")]
    Above(ThermodynamicTemperature),
    /// Between two ranges, in none; holds the nearest temperature below that is answered.
    #[error("between the ranges of the published equations")]
    Between(ThermodynamicTemperature),
}

impl Curve {
    /// The first set, in the order of use, that covers all these temperatures.
    pub fn one_for_all(
        &self,
        mut temperatures: impl Iterator<Item = ThermodynamicTemperature> + Clone,
    ) -> Option<&Set> {
        let first = temperatures.next()?;
        let (low, high) = temperatures.fold((first, first), |(low, high), t| {
            (if t < low { t } else { low }, if t > high { t } else { high })
        });
        self.sets.iter().find(|set| set.covers(low) && set.covers(high))
    }

    /// The vapour pressure at a temperature.
    ///
    /// # Errors
    /// [`OutsideRange`] where no set is in range within the 10 K below.
    pub fn at(&self, temperature: ThermodynamicTemperature) -> Result<Found<'_>, OutsideRange> {
        if let Some(set) = self.sets.iter().find(|set| set.covers(temperature)) {
            return Ok(self.by(set, temperature));
        }
        let lowest = self.lowest();
        match lowest {
            Some(set) if temperature < set.from => {
                let below = interval(temperature, set.from);
                if below <= TemperatureInterval::new::<kelvin_difference>(EXTRAPOLATED_BELOW_K) {
                    Ok(self.by(set, temperature))
                } else {
                    Err(OutsideRange::Below(ThermodynamicTemperature::new::<kelvin>(
                        set.from.get::<kelvin>() - EXTRAPOLATED_BELOW_K,
                    )))
                }
            }
            _ => Err(self.above_or_between(temperature)),
        }
    }

    /// The vapour pressure by a given set of this curve, marked and widened where the temperature is below its range.
    #[must_use]
    pub fn by<'a>(&self, set: &'a Set, temperature: ThermodynamicTemperature) -> Found<'a> {
        let value = set.form.at(temperature);
        let extrapolated = temperature < set.from;
        let pressure = self.with_range(set, temperature, value);
        let pressure = if extrapolated {
            Estimate::new(
                value,
                pressure.low * (1.0 - EXTRAPOLATED_WIDENED),
                pressure.high * (1.0 + EXTRAPOLATED_WIDENED),
            )
        } else {
            pressure
        };
        Found { pressure, set, extrapolated }
    }

    /// The temperature at which the vapour pressure is `pressure`, by the first set that has it in its range.
    ///
    /// The value of the set is used; [`Curve::temperature_range`] gives the range.
    #[must_use]
    pub fn temperature_at(&self, pressure: Pressure) -> Option<ThermodynamicTemperature> {
        self.sets.iter().find_map(|set| temperature_at(set, pressure))
    }

    /// The range of temperatures at which the vapour pressure may be `pressure`: hot end where the pressure is at the
    /// low end of its range, cold end where it is at the high end.
    #[must_use]
    pub fn temperature_range(
        &self,
        pressure: Estimate<Pressure>,
    ) -> Option<Estimate<ThermodynamicTemperature>> {
        let value = self.temperature_at(pressure.value)?;
        let set = self.sets.iter().find(|set| set.covers(value))?;
        let (down, up) = self.factors(set, value);
        let low = self.temperature_at(pressure.low / up).unwrap_or(set.from);
        let high = self.temperature_at(pressure.high / down).unwrap_or(set.to);
        Some(Estimate::new(value, low, high))
    }

    fn with_range(
        &self,
        set: &Set,
        temperature: ThermodynamicTemperature,
        value: Pressure,
    ) -> Estimate<Pressure> {
        let (down, up) = self.factors(set, temperature);
        Estimate::new(value, value * down, value * up)
    }

    fn factors(&self, set: &Set, temperature: ThermodynamicTemperature) -> (f64, f64) {
        let (coldest, hottest) = everyday();
        let stated = if coldest <= temperature && temperature <= hottest {
            self.accuracy
        } else {
            self.accuracy_elsewhere
        };
        match if set.doubtful { CLASS_D } else { stated } {
            Accuracy::Relative(fraction) => (1.0 - fraction, 1.0 + fraction),
            Accuracy::Factor(factor) => (1.0 / factor, factor),
        }
    }

    fn lowest(&self) -> Option<&Set> {
        self.sets.iter().reduce(|lowest, set| if set.from < lowest.from { set } else { lowest })
    }

    fn above_or_between(&self, temperature: ThermodynamicTemperature) -> OutsideRange {
        let below = self.sets.iter().map(|set| set.to).filter(|to| *to < temperature);
        let nearest = below.fold(None, |best: Option<ThermodynamicTemperature>, to| match best {
            Some(best) if best > to => Some(best),
            _ => Some(to),
        });
        let nearest = nearest.unwrap_or(temperature);
        if self.sets.iter().any(|set| set.from > temperature) {
            OutsideRange::Between(nearest)
        } else {
            OutsideRange::Above(nearest)
        }
    }
}

/// The temperature in the range of a set at which it gives `pressure`.
#[must_use]
pub fn temperature_at(set: &Set, pressure: Pressure) -> Option<ThermodynamicTemperature> {
    let pascals = pressure.get::<pascal>();
    if pascals.is_nan() || pascals <= 0.0 {
        return None;
    }
    let found = match set.form {
        Form::AntoineLog10([a, b, c]) => b / (a - log10(pascals)) - c,
        Form::AntoineLn([a, b, c]) => b / (a - ln(pascals)) - c,
        // ln p is nearly straight in 1/T, so that the root is found in few steps.
        _ => {
            let target = ln(pascals);
            let at = |t: f64| ln(set.form.at(ThermodynamicTemperature::new::<kelvin>(t)).get::<pascal>());
            let inverse = root(
                |x| at(1.0 / x) - target,
                1.0 / set.to.get::<kelvin>(),
                1.0 / set.from.get::<kelvin>(),
                1e-12,
            )?;
            1.0 / inverse
        }
    };
    let temperature = ThermodynamicTemperature::new::<kelvin>(found);
    set.covers(temperature).then_some(temperature)
}
