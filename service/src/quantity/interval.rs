//! Temperature differences, apart from temperatures.
//!
//! Temperatures are points on a scale: uom lets no one subtract them, so this is the one place that does.

use uom::si::f64::{TemperatureInterval, ThermodynamicTemperature};
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

/// The interval from `from` up to `to`; positive where `to` is hotter.
///
/// ```
/// use brimline_service::quantity::{interval, si};
/// let margin = interval(si::celsius(21.0), si::celsius(12.0));
/// assert_eq!(si::in_kelvin_difference(margin), -9.0);
/// ```
/// ```compile_fail
/// use uom::si::f64::ThermodynamicTemperature as Temperature;
/// fn wrong(flash_point: Temperature, liquid: Temperature) { let margin = flash_point - liquid; }
/// ```
#[must_use]
pub fn interval(from: ThermodynamicTemperature, to: ThermodynamicTemperature) -> TemperatureInterval {
    TemperatureInterval::new::<kelvin_difference>(to.get::<kelvin>() - from.get::<kelvin>())
}

/// The temperature that lies `by` above `from`.
#[must_use]
pub fn shift(from: ThermodynamicTemperature, by: TemperatureInterval) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<kelvin>(from.get::<kelvin>() + by.get::<kelvin_difference>())
}
