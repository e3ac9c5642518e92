//! How much vapour in air can burn?
//!
//! Lower limit L at temperature t (Cel): L(t) = L25 [1 - (t - 25)/s] above 25 Cel, s = 1275 K (methanol 875 K); never
//! raised below 25 Cel. Source: modified Burgess-Wheeler law (the abstract of a test of it was seen).
//! As mass: L_mass = L M P / (R T), with the room's own pressure P; vapour is an ideal gas.
//! Valid up to where L(t) would fall below a quarter of L25; hotter, that quarter is kept.

use super::GAS_CONSTANT;
use crate::quantity::Estimate;
use uom::si::f64::{MassDensity, MolarMass, Pressure, Ratio, TemperatureInterval, ThermodynamicTemperature};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::molar_mass::kilogram_per_mole;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

/// 25 Cel, at which limits are published, K.
const PUBLISHED_AT_K: f64 = 298.15;
/// The law is not carried further down than this share of the published limit.
const LOWEST_SHARE: f64 = 0.25;

/// The lower flammable limit at a temperature; `fall` is the constant s of the law.
#[must_use]
pub fn at_temperature(
    limit: Estimate<Ratio>,
    temperature: ThermodynamicTemperature,
    fall: TemperatureInterval,
) -> Estimate<Ratio> {
    let above = (temperature.get::<kelvin>() - PUBLISHED_AT_K).max(0.0);
    let share = (1.0 - above / fall.get::<kelvin_difference>()).max(LOWEST_SHARE);
    limit.rising(|value| value * share)
}

/// A volume fraction of vapour as mass of vapour per volume of air, at a temperature and pressure.
#[must_use]
pub fn as_mass(
    fraction: Ratio,
    molar_mass: MolarMass,
    temperature: ThermodynamicTemperature,
    pressure: Pressure,
) -> MassDensity {
    MassDensity::new::<kilogram_per_cubic_meter>(
        fraction.get::<ratio>() * molar_mass.get::<kilogram_per_mole>() * pressure.get::<pascal>()
            / (GAS_CONSTANT * temperature.get::<kelvin>()),
    )
}
