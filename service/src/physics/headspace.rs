//! Can the vapour over a liquid be lit?
//!
//! With x = p(t)/P the volume fraction of flammable vapour in saturated air, L and U the limits at the liquid's
//! temperature t:
//! too lean only if the high end of x is below the low end of L **and** t is below the low end of the flash point;
//! too rich only if the low end of x is above the high end of U; ignitable otherwise.
//! For some liquids p = L P lies up to 11 K above the published flash point: hence the second condition.

use crate::quantity::Estimate;
use uom::si::f64::{Pressure, Ratio, ThermodynamicTemperature};
use uom::si::ratio::ratio;

/// The condition of a headspace whose limits are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Condition {
    /// Below the lower limit and the flash point, at the unfavourable ends.
    TooLean,
    /// Can be lit, or cannot be shown not to be.
    Ignitable,
    /// Above the upper limit at the unfavourable end; never within a limit.
    TooRich,
}

/// The volume fraction of vapour in saturated air; at most one, since a boiling liquid drives out the air.
#[must_use]
pub fn saturated_fraction(vapour_pressure: Estimate<Pressure>, pressure: Pressure) -> Estimate<Ratio> {
    let one = Ratio::new::<ratio>(1.0);
    vapour_pressure.rising(|partial| {
        let fraction = partial / pressure;
        if fraction > one { one } else { fraction }
    })
}

/// The condition of the vapour over a liquid.
#[must_use]
pub fn condition(
    fraction: Estimate<Ratio>,
    lower_limit: Estimate<Ratio>,
    upper_limit: Option<Estimate<Ratio>>,
    liquid: ThermodynamicTemperature,
    flash_point: Option<Estimate<ThermodynamicTemperature>>,
) -> Condition {
    let below_flash = flash_point.is_some_and(|flash| liquid < flash.low);
    if fraction.high < lower_limit.low && below_flash {
        Condition::TooLean
    } else if upper_limit.is_some_and(|upper| fraction.low > upper.high) {
        Condition::TooRich
    } else {
        Condition::Ignitable
    }
}
