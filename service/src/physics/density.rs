//! How heavy is a liquid?
//!
//! | form | equation, T in K, t = 1 - T/Tc |
//! |---|---|
//! | DIPPR 105 | rho = c1 / c2^(1 + (1 - T/c3)^c4) |
//! | PPDS 10 | rho = c1 + c2 t^0.35 + c3 t^(2/3) + c4 t + c5 t^(4/3) |
//! | single value | rho(T) = rho0 (1 - b (T - T0)), b the expansion |
//!
//! Source: each published set. Valid in its stated range. Outside a range the nearest end is carried on with the
//! expansion of the set: amounts of liquid are poured near 20 Cel, at most a few kelvins away.

use super::maths::pow;
use crate::quantity::interval;
use uom::si::f64::{MassDensity, MolarMass, ThermodynamicTemperature};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::molar_mass::kilogram_per_mole;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

/// A published form with its coefficients.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// DIPPR 105 in mol/m3, with the molar mass that makes it a mass density.
    Dippr105([f64; 4], MolarMass),
    /// PPDS 10 in kg/m3, with its critical temperature.
    Ppds10([f64; 5], ThermodynamicTemperature),
    /// A single value at one temperature.
    SingleValue(MassDensity),
}

/// One published set.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// Its name.
    pub name: String,
    /// Its form and coefficients.
    pub form: Form,
    /// Lowest temperature of its range.
    pub from: ThermodynamicTemperature,
    /// Highest temperature of its range.
    pub to: ThermodynamicTemperature,
    /// Thermal expansion near 20 Cel, 1/K.
    pub expansion: f64,
}

/// The set by which a liquid expands, and the share by which what it expands by may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Expansion {
    /// The set.
    pub set: Set,
    /// Half of the range of what it expands by, as a share.
    pub spread: f64,
}

impl Expansion {
    /// Whether the temperature is in the range of its equation; a single value is carried everywhere with its expansion.
    #[must_use]
    pub fn covers(&self, temperature: ThermodynamicTemperature) -> bool {
        matches!(self.set.form, Form::SingleValue(_)) || self.set.covers(temperature)
    }
}

impl Set {
    /// The density at a temperature; outside the range carried on from the nearest end with the expansion.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> MassDensity {
        let inside = if temperature < self.from {
            self.from
        } else if temperature > self.to {
            self.to
        } else {
            temperature
        };
        let carried = 1.0 - self.expansion * interval(inside, temperature).get::<kelvin_difference>();
        self.form.at(inside) * carried
    }

    /// Whether the temperature is in the stated range.
    #[must_use]
    pub fn covers(&self, temperature: ThermodynamicTemperature) -> bool {
        self.from <= temperature && temperature <= self.to
    }
}

impl Form {
    /// The density at a temperature, whatever the range.
    #[must_use]
    pub fn at(&self, temperature: ThermodynamicTemperature) -> MassDensity {
        let t = temperature.get::<kelvin>();
        let number = match self {
            Self::SingleValue(density) => return *density,
            Self::Dippr105([c1, c2, c3, c4], molar_mass) => {
                let molar = c1 / pow(*c2, 1.0 + pow((1.0 - t / c3).max(0.0), *c4));
                molar * molar_mass.get::<kilogram_per_mole>()
            }
            Self::Ppds10([c1, c2, c3, c4, c5], critical) => {
                let tau = (1.0 - t / critical.get::<kelvin>()).max(0.0);
                c1 + c2 * pow(tau, 0.35) + c3 * pow(tau, 2.0 / 3.0) + c4 * tau + c5 * pow(tau, 4.0 / 3.0)
            }
        };
        MassDensity::new::<kilogram_per_cubic_meter>(number)
    }
}
