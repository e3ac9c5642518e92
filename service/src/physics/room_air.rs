//! What does a released amount of liquid do to the air of a room?
//!
//! | what | equation |
//! |---|---|
//! | vapour of a volume v of liquid | V = v rho M^-1 R T / P |
//! | mixed fraction | V / V_room |
//! | floor layer | d = V / (L A): the depth at which all of it would stand at the limit L over the floor A |
//! | decay | c = c0 exp(-E n t), n air changes, E mixing effectiveness |
//!
//! V ideal gas at the room's temperature and pressure; the air that the vapour displaces is not corrected for.
//! Source: ideal gas law; well-mixed balance V dc/dt = -E Q c. Valid for vapours heavier than air (all of these are).

use super::GAS_CONSTANT;
use super::maths::ln;
use uom::si::amount_of_substance::mole;
use uom::si::f64::{
    AmountOfSubstance, Area, Frequency, Length, MassDensity, MolarMass, Pressure, Ratio,
    ThermodynamicTemperature, Time, Volume,
};
use uom::si::molar_mass::kilogram_per_mole;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::kelvin;
use uom::si::volume::cubic_meter;
use uom::si::{frequency, time};

/// Molar mass of dry air, g/mol (US Standard Atmosphere 1976; from memory).
pub const MOLAR_MASS_OF_AIR_G_MOL: f64 = 28.96;

/// The state of the air of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature.
    pub temperature: ThermodynamicTemperature,
    /// Pressure.
    pub pressure: Pressure,
}

/// The volume of an amount of vapour.
#[must_use]
pub fn vapour_of(amount: AmountOfSubstance, air: Air) -> Volume {
    let cubic_metres =
        amount.get::<mole>() * GAS_CONSTANT * air.temperature.get::<kelvin>() / air.pressure.get::<pascal>();
    Volume::new::<cubic_meter>(cubic_metres)
}

/// How much larger the vapour of a liquid is than the liquid at 20 Cel: rho R T / (M P).
#[must_use]
pub fn vapour_per_liquid(density: MassDensity, molar_mass: MolarMass, air: Air) -> Ratio {
    let moles = density.get::<uom::si::mass_density::kilogram_per_cubic_meter>()
        / molar_mass.get::<kilogram_per_mole>();
    Ratio::new::<ratio>(moles * GAS_CONSTANT * air.temperature.get::<kelvin>() / air.pressure.get::<pascal>())
}

/// The liquid whose vapour, evenly mixed, makes up a fraction of a room.
#[must_use]
pub fn liquid_for_fraction(room: Volume, fraction: Ratio, vapour_per_liquid: Ratio) -> Volume {
    room * fraction / vapour_per_liquid
}

/// The liquid whose vapour, standing at the limit over the floor, is so deep.
#[must_use]
pub fn liquid_for_layer(floor: Area, depth: Length, limit: Ratio, vapour_per_liquid: Ratio) -> Volume {
    floor * depth * limit / vapour_per_liquid
}

/// The depth at which all the vapour of a liquid would stand at the limit over the floor.
#[must_use]
pub fn floor_layer_depth(liquid: Volume, floor: Area, limit: Ratio, vapour_per_liquid: Ratio) -> Length {
    liquid * vapour_per_liquid / (limit * floor)
}

/// The time in which air changes bring a fraction down to a share of itself; zero where it is there already, `None`
/// where there are no air changes.
#[must_use]
pub fn time_to_clear(from_to: Ratio, air_changes: Frequency, effectiveness: Ratio) -> Option<Time> {
    let ratio_to_reach = from_to.get::<ratio>();
    if ratio_to_reach <= 1.0 {
        return Some(Time::new::<time::second>(0.0));
    }
    let rate = air_changes.get::<frequency::hertz>() * effectiveness.get::<ratio>();
    (rate > 0.0).then(|| Time::new::<time::second>(ln(ratio_to_reach) / rate))
}

/// Density of a vapour relative to air at the same temperature and pressure.
#[must_use]
pub fn relative_vapour_density(molar_mass: MolarMass) -> Ratio {
    Ratio::new::<ratio>(molar_mass.get::<kilogram_per_mole>() * 1000.0 / MOLAR_MASS_OF_AIR_G_MOL)
}

/// Density of air that holds a fraction of vapour, relative to air.
#[must_use]
pub fn relative_mixture_density(fraction: Ratio, molar_mass: MolarMass) -> Ratio {
    let one = Ratio::new::<ratio>(1.0);
    one + fraction * (relative_vapour_density(molar_mass) - one)
}
