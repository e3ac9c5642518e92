//! At which temperature can the vapour over a liquid be lit, at this air pressure?
//!
//! | what | equation | source |
//! |---|---|---|
//! | at another pressure P | p(T) = p(Tf) P / p0, p0 = 101.325 kPa | agrees with the 0.25 K/kPa of ISO 2719 to its purpose |
//! | the same, no vapour pressure at Tf | T = Tf - 0.25 K/kPa (p0 - P) below p0, T = Tf above it | ISO 2719 |
//! | temperature of a limit L | p(T) = L(T) P | definition |
//!
//! The published closed-cup flash point Tf has a range of ±3 K; each end is carried to P by itself.

use super::flammable_limit;
use super::standard_pressure;
use super::vapour_pressure::{Curve, temperature_at};
use crate::quantity::{Estimate, interval, shift};
use uom::si::f64::{Pressure, Ratio, TemperatureInterval, ThermodynamicTemperature};
use uom::si::pressure::kilopascal;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermodynamic_temperature::kelvin;

/// Correction of ISO 2719 where no vapour pressure is known at the flash point, K/kPa.
const ISO_2719_K_PER_KPA: f64 = 0.25;
/// Rounds of the iteration between a temperature and the limit at that temperature: the limit changes by 0.1 % per K.
const LIMIT_ROUNDS: u32 = 4;

/// The flash point at an air pressure.
#[must_use]
pub fn at_pressure(
    published: Estimate<ThermodynamicTemperature>,
    curve: &Curve,
    pressure: Pressure,
) -> Estimate<ThermodynamicTemperature> {
    let ratio = pressure / standard_pressure();
    // One set for all three, so that no step between sets enters the range.
    let set = curve.sets.iter().find(|set| set.covers(published.low) && set.covers(published.high));
    published.rising(|temperature| {
        set.and_then(|set| temperature_at(set, set.form.at(temperature) * ratio))
            .unwrap_or_else(|| by_iso_2719(temperature, pressure))
    })
}

fn by_iso_2719(temperature: ThermodynamicTemperature, pressure: Pressure) -> ThermodynamicTemperature {
    let below = (standard_pressure() - pressure).get::<kilopascal>().max(0.0);
    shift(temperature, TemperatureInterval::new::<kelvin_difference>(-ISO_2719_K_PER_KPA * below))
}

/// The temperature at which the saturated vapour reaches a lower limit that falls with temperature by `fall`.
#[must_use]
pub fn lower_flammable_temperature(
    limit: Estimate<Ratio>,
    fall: TemperatureInterval,
    curve: &Curve,
    pressure: Pressure,
) -> Option<Estimate<ThermodynamicTemperature>> {
    let mut found = curve.temperature_range(limit.rising(|fraction| fraction * pressure))?;
    // Below 25 Cel the limit does not change with temperature.
    if found.high.get::<kelvin>() > 298.15 {
        for _ in 0..LIMIT_ROUNDS {
            let hot = flammable_limit::at_temperature(limit, found.value, fall);
            let at_high = flammable_limit::at_temperature(limit, found.low, fall);
            let ends = Estimate::new(hot.value, at_high.low.min(hot.low), hot.high);
            found = curve.temperature_range(ends.rising(|fraction| fraction * pressure))?;
        }
    }
    Some(found)
}

/// The temperature at which the saturated vapour reaches an upper limit, which is taken as constant.
#[must_use]
pub fn upper_flammable_temperature(
    limit: Estimate<Ratio>,
    curve: &Curve,
    pressure: Pressure,
) -> Option<Estimate<ThermodynamicTemperature>> {
    curve.temperature_range(limit.rising(|fraction| fraction * pressure))
}

/// Flash point less liquid temperature: negative where the liquid is hotter.
#[must_use]
pub fn margin(
    flash_point: Estimate<ThermodynamicTemperature>,
    liquid: ThermodynamicTemperature,
) -> Estimate<TemperatureInterval> {
    flash_point.rising(|temperature| interval(liquid, temperature))
}
