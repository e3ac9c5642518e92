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
//! | [`diffusivity`] | how fast does a vapour spread in still air? |
//! | [`evaporation`] | how fast does a liquid evaporate from an open surface? |
//! | [`build_up`] | how much vapour is in a room over time? |
//! | [`near_field`] | how far around a liquid can its vapour be lit, what is breathed beside it? |
//! | [`exposure`] | how does a concentration compare with an exposure limit? |
//! | [`filling`] | how far may a container be filled and closed? |
//! | [`vessel`] | how far may a vessel be filled? |
//! | [`combustion`] | what does it take from the air and leave in it when it burns? |
//! | [`flame`] | how hot, how tall and how near is its flame? |
//! | [`adiabatic_flame`] | how hot can a flame get? |
//! | [`emission`] | what light do the atoms of a salt give in a flame? |
//! | [`identification`] | which elements do the peaks of a spectrum show? |
//! | [`cooling`] | when has a hot vessel cooled down, and may it crack? |
//! | [`liquid_property`] | what heat does it take, what does it hold, how does it wet? |
//! | [`maths`], [`integrate`] | exp, ln, roots, differential equations: the same bytes on every platform |

pub mod activity;
pub mod adiabatic_flame;
pub mod boiling_point;
pub mod build_up;
pub mod category;
pub mod combustion;
pub mod cooling;
pub mod density;
pub mod diffusivity;
pub mod emission;
pub mod evaporation;
pub mod exposure;
pub mod filling;
pub mod flame;
pub mod flammable_limit;
pub mod flash_point;
pub mod headspace;
pub mod identification;
pub mod integrate;
pub mod liquid_property;
pub mod maths;
pub mod near_field;
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
