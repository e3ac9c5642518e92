//! The one place that turns numbers in the unit of a field into unit-checked quantities, and back.
//!
//! Numbers that come back are snapped to 12 significant digits, so that 285.15 K reads 12 Cel and not
//! 12.000000000000057.

use super::round::significant;
use uom::si::f64::{
    AmountOfSubstance, Area, DiffusionCoefficient, Energy, Frequency, HeatCapacity, HeatFluxDensity, Length,
    Mass, MassDensity, MassFlux, MassRate, MolarEnergy, MolarHeatCapacity, MolarMass, Power, Pressure, Ratio,
    SurfaceTension, TemperatureInterval, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};
use uom::si::{
    amount_of_substance, area, diffusion_coefficient, energy, frequency, heat_capacity, heat_flux_density,
    length, mass, mass_density, mass_flux, mass_rate, molar_energy, molar_heat_capacity, molar_mass, power,
    pressure, ratio, surface_tension, temperature_interval, thermodynamic_temperature, time, velocity,
    volume, volume_rate,
};

/// Degrees Celsius at 0 K, with the sign turned.
const CELSIUS_OFFSET: f64 = 273.15;
/// Digits to which numbers are snapped.
const DIGITS: u32 = 12;

/// A temperature from degrees Celsius.
#[must_use]
pub fn celsius(number: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<thermodynamic_temperature::kelvin>(number + CELSIUS_OFFSET)
}

/// A temperature in degrees Celsius, snapped to 1e-9.
#[must_use]
pub fn in_celsius(temperature: ThermodynamicTemperature) -> f64 {
    let number = temperature.get::<thermodynamic_temperature::kelvin>() - CELSIUS_OFFSET;
    significant((number * 1e9).round() / 1e9, DIGITS)
}

/// A mass flux from grams per square metre and second.
#[must_use]
pub fn gram_per_square_metre_second(number: f64) -> MassFlux {
    kilogram_per_square_metre_second(number / 1000.0)
}

macro_rules! convert {
    ($($from:ident, $to:ident, $quantity:ident, $unit:path, $what:literal;)*) => {$(
        #[doc = concat!("From ", $what, ".")]
        #[must_use]
        pub fn $from(number: f64) -> $quantity {
            $quantity::new::<$unit>(number)
        }
        #[doc = concat!("In ", $what, ", snapped to 12 significant digits.")]
        #[must_use]
        pub fn $to(quantity: $quantity) -> f64 {
            significant(quantity.get::<$unit>(), DIGITS)
        }
    )*};
}

convert! {
    kelvin, in_kelvin, ThermodynamicTemperature, thermodynamic_temperature::kelvin, "kelvins";
    kelvin_difference, in_kelvin_difference, TemperatureInterval, temperature_interval::kelvin, "a difference in kelvins";
    kilopascal, in_kilopascal, Pressure, pressure::kilopascal, "kilopascals";
    pascal, in_pascal, Pressure, pressure::pascal, "pascals";
    cubic_metre, in_cubic_metre, Volume, volume::cubic_meter, "cubic metres";
    litre, in_litre, Volume, volume::liter, "litres";
    millilitre, in_millilitre, Volume, volume::milliliter, "millilitres";
    metre, in_metre, Length, length::meter, "metres";
    centimetre, in_centimetre, Length, length::centimeter, "centimetres";
    nanometre, in_nanometre, Length, length::nanometer, "nanometres";
    millimetre, in_millimetre, Length, length::millimeter, "millimetres";
    square_metre, in_square_metre, Area, area::square_meter, "square metres";
    gram, in_gram, Mass, mass::gram, "grams";
    per_hour, in_per_hour, Frequency, frequency::cycle_per_hour, "air changes per hour";
    mole, in_mole, AmountOfSubstance, amount_of_substance::mole, "moles";
    minute, in_minute, Time, time::minute, "minutes";
    day, in_day, Time, time::day, "days";
    second, in_second, Time, time::second, "seconds";
    kilogram, in_kilogram, Mass, mass::kilogram, "kilograms";
    metre_per_second, in_metre_per_second, Velocity, velocity::meter_per_second, "metres per second";
    gram_per_minute, in_gram_per_minute, MassRate, mass_rate::gram_per_minute, "grams per minute";
    litre_per_minute, in_litre_per_minute, VolumeRate, volume_rate::liter_per_minute, "litres per minute";
    kilojoule, in_kilojoule, Energy, energy::kilojoule, "kilojoules";
    kilowatt_per_square_metre, in_kilowatt_per_square_metre, HeatFluxDensity, heat_flux_density::kilowatt_per_square_meter, "kilowatts per square metre";
    joule_per_kelvin, in_joule_per_kelvin, HeatCapacity, heat_capacity::joule_per_kelvin, "joules per kelvin";
    kilogram_per_square_metre_second, in_kilogram_per_square_metre_second, MassFlux, mass_flux::kilogram_per_square_meter_second, "kilograms per square metre and second";
    kilowatt, in_kilowatt, Power, power::kilowatt, "kilowatts";
    square_metre_per_second, in_square_metre_per_second, DiffusionCoefficient, diffusion_coefficient::square_meter_per_second, "square metres per second";
    parts_per_million, in_parts_per_million, Ratio, ratio::part_per_million, "parts per million";
    square_centimetre, in_square_centimetre, Area, area::square_centimeter, "square centimetres";
    fraction, in_fraction, Ratio, ratio::ratio, "a plain number";
    percent, in_percent, Ratio, ratio::percent, "per cent";
    gram_per_cubic_metre, in_gram_per_cubic_metre, MassDensity, mass_density::gram_per_cubic_meter, "grams per cubic metre";
    kilogram_per_cubic_metre, in_kilogram_per_cubic_metre, MassDensity, mass_density::kilogram_per_cubic_meter, "kilograms per cubic metre";
    gram_per_mole, in_gram_per_mole, MolarMass, molar_mass::gram_per_mole, "grams per mole";
    joule_per_mole, in_joule_per_mole, MolarEnergy, molar_energy::joule_per_mole, "joules per mole";
    joule_per_kelvin_mole, in_joule_per_kelvin_mole, MolarHeatCapacity, molar_heat_capacity::joule_per_kelvin_mole, "joules per kelvin and mole";
    newton_per_metre, in_newton_per_metre, SurfaceTension, surface_tension::newton_per_meter, "newtons per metre";
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_round_figure_comes_back_round() {
        assert_eq!(super::in_celsius(super::kelvin(285.15)), 12.0);
        assert_eq!(super::in_celsius(super::kelvin(282.15)), 9.0);
        assert_eq!(super::in_millilitre(super::millilitre(50.0)), 50.0);
        assert_eq!(super::in_per_hour(super::per_hour(3.0)), 3.0);
        assert_eq!(super::in_percent(super::percent(10.0)), 10.0);
    }
}
