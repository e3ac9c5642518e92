//! Which category of flammable liquid is it?
//!
//! | category | flash point | initial boiling point |
//! |---|---|---|
//! | 1 | below 23 Cel | at most 35 Cel |
//! | 2 | below 23 Cel | above 35 Cel |
//! | 3 | 23 to 60 Cel | any |
//!
//! Source: Regulation (EC) 1272/2008, Annex I, table 2.6.1 (seen). Both at 101.325 kPa, as published, not at the
//! room's pressure.

use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::kelvin;

/// 23 Cel, K.
const LOW_FLASH_K: f64 = 296.15;
/// 60 Cel, K.
const HIGH_FLASH_K: f64 = 333.15;
/// 35 Cel, K.
const LOW_BOILING_K: f64 = 308.15;

/// 35 Cel: a liquid that boils by then counts as low-boiling.
#[must_use]
pub fn low_boiling() -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<kelvin>(LOW_BOILING_K)
}

/// The category, 1 to 3; `None` for a liquid that flashes above 60 Cel. `boils_low`: whether it boils by [`low_boiling`].
#[must_use]
pub fn category(flash_point: ThermodynamicTemperature, boils_low: bool) -> Option<u8> {
    let flash = flash_point.get::<kelvin>();
    if flash > HIGH_FLASH_K {
        None
    } else if flash >= LOW_FLASH_K {
        Some(3)
    } else if boils_low {
        Some(1)
    } else {
        Some(2)
    }
}
