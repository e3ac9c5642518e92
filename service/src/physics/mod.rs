//! One file for each physical question, on unit-checked quantities with ranges. No JSON, no substance names.
//!
//! | module | question |
//! |---|---|
//! | [`vapour_pressure`] | how much vapour stands over a liquid? |
//! | [`boiling_point`] | at which temperature does it boil? |
//! | [`density`] | how heavy is the liquid poured at 20 Cel? |
//! | [`flash_point`] | at which temperature can its vapour be lit, at this pressure? |
//! | [`flammable_limit`] | how much vapour in air can burn? |
//! | [`headspace`] | can the vapour over the liquid be lit? |
//! | [`category`] | which category of flammable liquid is it? |
//! | [`activity`] | how much more strongly does a part of a mixture evaporate than in an ideal one? |
//! | [`phase_split`] | does a liquid split in two? |
//! | [`room_air`] | what does a released amount do to the air of a room? |
//! | [`vessel`] | how far may a vessel be filled? |
//! | [`liquid_property`] | what heat does it take, what does it hold, how does it wet? |
//! | [`maths`] | exp, ln, roots: the same bytes on every platform |

pub mod activity;
pub mod boiling_point;
pub mod category;
pub mod density;
pub mod flammable_limit;
pub mod flash_point;
pub mod headspace;
pub mod liquid_property;
pub mod maths;
pub mod phase_split;
pub mod room_air;
pub mod vapour_pressure;
pub mod vessel;

use uom::si::f64::Pressure;
use uom::si::pressure::pascal;

/// Molar gas constant, J/(mol K): exact by the definition of the SI (2019).
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Standard pressure of published flash and boiling points, 101.325 kPa.
#[must_use]
pub fn standard_pressure() -> Pressure {
    Pressure::new::<pascal>(101_325.0)
}
