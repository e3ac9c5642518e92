//! Heat of vaporisation, heat capacity and surface tension by published equations.
//!
//! | form | equation, T in K, Tr = T/Tc, t = 1 - Tr | what for |
//! |---|---|---|
//! | DIPPR 106 | c1 (1-Tr)^(c2 + c3 Tr + c4 Tr^2 + c5 Tr^3) | heat of vaporisation, surface tension |
//! | PPDS 12 | R Tc (c1 t^(1/3) + c2 t^(2/3) + c3 t + c4 t^2 + c5 t^6) | heat of vaporisation |
//! | DIPPR 100 | c1 + c2 T + c3 T^2 + c4 T^3 + c5 T^4 | heat capacity of the liquid |
//! | DIPPR 114 | c1^2/t + c2 - 2 c1 c3 t - c1 c4 t^2 - c3^2 t^3/3 - c3 c4 t^4/2 - c4^2 t^5/5 | the same |
//! | Zabransky, cubic | R (c1 + c2 (T/100) + c3 (T/100)^2 + c4 (T/100)^3) | the same |
//! | Zabransky, quasi-polynomial | R (c1 ln(1-Tr) + c2/(1-Tr) + c3 + c4 Tr + c5 Tr^2 + c6 Tr^3) | the same |
//! | Shomate | c1 + c2 T + c3 T^2 + c4 T^3 + c5/T^2 | heat capacity of liquid and ideal gas |
//! | polynomial over R | R (c1 + c2 T + c3 T^2 + c4 T^3 + c5 T^4) | heat capacity of the ideal gas |
//! | TRC | R (c1 + (c2/T^2) exp(-c3/T) + c4 y^2 + (c5 - c6/(T-c8)^2) y^8), y = (T-c8)/(T+c7) above c8, else 0 | the same |
//! | Jasper | c1 - c2 (T - 273.15) | surface tension |
//! | sum of powers | c1 t^c2 + c3 t^c4 + c5 t^c6 | the same |
//! | Somayajulu | c1 t^(5/4) + c2 t^(9/4) + c3 t^(13/4) | the same |
//!
//! Source: each published set. Valid in its stated range.

use super::GAS_CONSTANT;
use super::maths::{exp, ln, pow};
use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::kelvin;

/// A published form with its coefficients.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// A single value at one temperature.
    SingleValue(f64),
    /// DIPPR 106 with its critical temperature.
    Dippr106([f64; 5], ThermodynamicTemperature),
    /// PPDS 12 with its critical temperature.
    Ppds12([f64; 5], ThermodynamicTemperature),
    /// DIPPR 100, and other polynomials in T.
    Polynomial([f64; 5]),
    /// A polynomial in T times the gas constant.
    PolynomialOverR([f64; 5]),
    /// DIPPR 114 with its critical temperature; the coefficients give J/(kmol K), the form J/(mol K).
    Dippr114([f64; 4], ThermodynamicTemperature),
    /// Zabransky's cubic.
    ZabranskyCubic([f64; 4]),
    /// Zabransky's quasi-polynomial with its critical temperature.
    ZabranskyQuasiPolynomial([f64; 6], ThermodynamicTemperature),
    /// Shomate, with powers of T and not of T/1000.
    Shomate([f64; 5]),
    /// Thermodynamics Research Center, ideal gas.
    Trc([f64; 8]),
    /// Jasper's straight line.
    Jasper([f64; 2]),
    /// Sum of three powers, with its critical temperature.
    PowerSum([f64; 6], ThermodynamicTemperature),
    /// Somayajulu, with its critical temperature.
    Somayajulu([f64; 3], ThermodynamicTemperature),
}

/// One published set for a quantity.
#[derive(Debug, Clone)]
pub struct Set<Q> {
    /// Its name.
    pub name: String,
    /// Key of its source.
    pub source: String,
    /// Its form and coefficients.
    pub form: Form,
    /// Lowest temperature of its range.
    pub from: ThermodynamicTemperature,
    /// Highest temperature of its range.
    pub to: ThermodynamicTemperature,
    /// Whether its verdict is `doubtful`.
    pub doubtful: bool,
    /// Makes the quantity from the number that the form gives.
    pub quantity: fn(f64) -> Q,
}

impl<Q> Set<Q> {
    /// The quantity at a temperature, whatever the range.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> Q {
        (self.quantity)(self.form.at(temperature))
    }

    /// Whether the temperature is in the stated range.
    #[must_use]
    pub fn covers(&self, temperature: ThermodynamicTemperature) -> bool {
        self.from <= temperature && temperature <= self.to
    }
}

impl Form {
    /// The number that the form gives, in the unit that its coefficients are made for.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> f64 {
        let t = temperature.get::<kelvin>();
        let reduced = |critical: &ThermodynamicTemperature| (t / critical.get::<kelvin>()).min(1.0);
        match self {
            Self::SingleValue(number) => *number,
            Self::Dippr106([c1, c2, c3, c4, c5], critical) => {
                let tr = reduced(critical);
                c1 * pow(1.0 - tr, c2 + tr * (c3 + tr * (c4 + tr * c5)))
            }
            Self::Ppds12([c1, c2, c3, c4, c5], critical) => {
                let tau = 1.0 - reduced(critical);
                let sum = c1 * pow(tau, 1.0 / 3.0)
                    + c2 * pow(tau, 2.0 / 3.0)
                    + c3 * tau
                    + c4 * tau * tau
                    + c5 * pow(tau, 6.0);
                GAS_CONSTANT * critical.get::<kelvin>() * sum
            }
            Self::Polynomial(c) => polynomial(c, t),
            Self::PolynomialOverR(c) => GAS_CONSTANT * polynomial(c, t),
            Self::Dippr114([c1, c2, c3, c4], critical) => {
                let tau = 1.0 - reduced(critical);
                let square = tau * tau;
                let per_kilomole = c1 * c1 / tau + c2
                    - 2.0 * c1 * c3 * tau
                    - c1 * c4 * square
                    - c3 * c3 * square * tau / 3.0
                    - c3 * c4 * square * square / 2.0
                    - c4 * c4 * square * square * tau / 5.0;
                per_kilomole / 1000.0
            }
            Self::ZabranskyCubic(c) => GAS_CONSTANT * polynomial(c, t / 100.0),
            Self::ZabranskyQuasiPolynomial([c1, c2, c3, c4, c5, c6], critical) => {
                let tr = reduced(critical);
                let tau = 1.0 - tr;
                GAS_CONSTANT * (c1 * ln(tau) + c2 / tau + polynomial(&[*c3, *c4, *c5, *c6], tr))
            }
            Self::Shomate([c1, c2, c3, c4, c5]) => polynomial(&[*c1, *c2, *c3, *c4], t) + c5 / (t * t),
            Self::Trc([c1, c2, c3, c4, c5, c6, c7, c8]) => {
                let (y, rest) =
                    if t > *c8 { ((t - c8) / (t + c7), c5 - c6 / ((t - c8) * (t - c8))) } else { (0.0, 0.0) };
                let bending = c4 * y * y + rest * pow(y, 8.0);
                GAS_CONSTANT * (c1 + c2 / (t * t) * exp(-c3 / t) + bending)
            }
            Self::Jasper([c1, c2]) => c1 - c2 * (t - 273.15),
            Self::PowerSum([c1, c2, c3, c4, c5, c6], critical) => {
                let tau = 1.0 - reduced(critical);
                [(c1, c2), (c3, c4), (c5, c6)]
                    .into_iter()
                    .map(|(factor, power)| factor * pow(tau, *power))
                    .sum()
            }
            Self::Somayajulu([c1, c2, c3], critical) => {
                let tau = 1.0 - reduced(critical);
                c1 * pow(tau, 1.25) + c2 * pow(tau, 2.25) + c3 * pow(tau, 3.25)
            }
        }
    }
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}
