//! At which temperature does a liquid boil at a given pressure?
//!
//! The temperature T at which p(T) = P, p the vapour-pressure function. Range: ±0.5 K (classes A, B), ±1.5 K (C, D).
//! Valid where a published vapour-pressure equation reaches P; outside, no figure is given.

use super::vapour_pressure::Curve;
use crate::quantity::{Estimate, shift};
use uom::si::f64::{Pressure, TemperatureInterval, ThermodynamicTemperature};

/// The boiling point at a pressure, with the range stated for the accuracy class; `None` where no equation reaches it.
#[must_use]
pub fn boiling_point(
    curve: &Curve,
    pressure: Pressure,
    spread: TemperatureInterval,
) -> Option<Estimate<ThermodynamicTemperature>> {
    let value = curve.temperature_at(pressure)?;
    Some(Estimate::new(value, shift(value, -spread), shift(value, spread)))
}
