//! How far may a container be filled and closed?
//!
//! | figure | equation |
//! |---|---|
//! | degree of filling at 15 Cel by the boiling point | below 60 Cel 90 %, 60 to 100: 92 %, 100 to 200: 94 %, 200 to 300: 96 %, above: 98 % |
//! | degree of filling at tF by the expansion | F = 98 %/(1 + a (50 Cel - tF)), a = (d15 - d50)/(35 K d50) |
//! | pressure in a closed container | p(t2) + (P - p(t1)) (g1/g2) (T2/T1) - P, g the gas share of the capacity |
//!
//! Source: ADR 4.1.1.4 (seen), written for carriage; ideal gas law. Full at 50 Cel is the furthest that the second
//! degree goes: above 50 Cel it does not rise. No air dissolves and no container stretches: both would lower the pressure.

use crate::quantity::{interval, si};
use uom::si::f64::{MassDensity, Pressure, Ratio, TemperatureCoefficient, ThermodynamicTemperature};
use uom::si::temperature_coefficient::per_kelvin;

/// Between these temperatures, Cel, the mean expansion is taken.
const EXPANDS_CEL: (f64, f64) = (15.0, 50.0);
/// Bounds of the boiling point, Cel, with the share below each, %.
const BY_BOILING_POINT: [(f64, f64); 4] = [(60.0, 90.0), (100.0, 92.0), (200.0, 94.0), (300.0, 96.0)];
/// The share above them, %.
const HIGH_BOILING: f64 = 98.0;

/// The temperature for which the degree by boiling point is stated.
#[must_use]
pub fn stated_at() -> ThermodynamicTemperature {
    si::celsius(EXPANDS_CEL.0)
}

/// The temperature at which the container must not be full.
#[must_use]
pub fn hottest() -> ThermodynamicTemperature {
    si::celsius(EXPANDS_CEL.1)
}

/// The degree of filling at 15 Cel by the boiling point; the lowest where that is not known.
#[must_use]
pub fn degree_by_boiling_point(boiling_point: Option<ThermodynamicTemperature>) -> Ratio {
    let boiling = boiling_point.map_or(f64::NEG_INFINITY, si::in_celsius);
    let found = BY_BOILING_POINT.iter().find(|(below, _)| boiling < *below);
    si::percent(found.map_or(HIGH_BOILING, |(_, share)| *share))
}

/// The mean expansion between 15 and 50 Cel.
#[must_use]
pub fn mean_expansion(at_15: MassDensity, at_50: MassDensity) -> TemperatureCoefficient {
    let kelvins = EXPANDS_CEL.1 - EXPANDS_CEL.0;
    TemperatureCoefficient::new::<per_kelvin>(si::in_fraction((at_15 - at_50) / at_50) / kelvins)
}

/// The degree of filling at a temperature by the mean expansion; `hot` the share at 50 Cel.
#[must_use]
pub fn degree_by_expansion(
    hot: Ratio,
    expansion: TemperatureCoefficient,
    filled_at: ThermodynamicTemperature,
) -> Ratio {
    let warmer = si::in_kelvin_difference(interval(filled_at, hottest())).max(0.0);
    hot / (1.0 + expansion.get::<per_kelvin>() * warmer)
}

/// The inside of a closed container at one temperature.
#[derive(Debug, Clone, Copy)]
pub struct Inside {
    /// The temperature.
    pub temperature: ThermodynamicTemperature,
    /// Vapour pressure of the liquid.
    pub vapour: Pressure,
    /// Share of the capacity that is liquid.
    pub filled: Ratio,
}

/// What builds up above an air pressure in a container that was closed at it; `None` where liquid fills it.
#[must_use]
pub fn gauge_pressure(pressure: Pressure, closed: Inside, hot: Inside) -> Option<Pressure> {
    let gas = |inside: Inside| 1.0 - si::in_fraction(inside.filled);
    let (before, after) = (gas(closed), gas(hot));
    if before <= 0.0 || after <= 0.0 {
        return None;
    }
    let none = si::pascal(0.0);
    let air = pressure - closed.vapour;
    let air = if air > none { air } else { none };
    let warmer = hot.temperature.value / closed.temperature.value;
    Some(hot.vapour + air * (before / after * warmer) - pressure)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: ethoxyethane 90 % full at 15 Cel (48.0 kPa, 719.5 kg/m3), at 35 Cel (103.6 kPa, 696.1 kg/m3): 83 kPa.
    #[test]
    fn a_full_bottle_of_ether_builds_up_what_was_computed_by_hand() {
        let inside = |celsius, vapour, filled| Inside {
            temperature: si::celsius(celsius),
            vapour: si::kilopascal(vapour),
            filled: si::percent(filled),
        };
        let hot = inside(35.0, 103.6, 90.0 * 719.5 / 696.1);
        let found = gauge_pressure(si::kilopascal(101.325), inside(15.0, 48.0, 90.0), hot);
        assert_eq!(si::in_kilopascal(found.unwrap()).round(), 84.0);
        let full = inside(35.0, 103.6, 100.0);
        assert!(gauge_pressure(si::kilopascal(101.325), inside(15.0, 48.0, 97.0), full).is_none());
    }

    #[test]
    fn an_unknown_boiling_point_counts_as_the_lowest() {
        assert_eq!(si::in_percent(degree_by_boiling_point(None)), 90.0);
        assert_eq!(si::in_percent(degree_by_boiling_point(Some(si::celsius(60.0)))), 92.0);
    }
}
