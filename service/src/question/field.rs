//! The fields of requests that hold quantities: unit, what is possible, what is plausible.

use super::reader::Typed;
use crate::quantity::parse::{Bounds, Field};
use crate::quantity::si;
use crate::quantity::unit::Dimension;
use uom::si::f64::{
    AmountOfSubstance, Area, Frequency, Length, Mass, MassDensity, MassFlux, MassRate, Power, Pressure,
    Ratio, TemperatureInterval, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};

/// No figure of a request is larger.
const HUGE: f64 = 1e300;
const BELOW_ZERO: &str = "nothing is at or below 0 K";
const POSITIVE: &str = "it is more than zero";

/// Temperature of a liquid.
pub const LIQUID_TEMPERATURE: Typed<ThermodynamicTemperature> = Typed {
    field: Field {
        dimension: Dimension::Temperature,
        unit: "Cel",
        examples: ["20 Cel", "293 K"],
        possible: Bounds::above(-273.15, HUGE),
        plausible: Bounds::from_to(-150.0, 1000.0),
        because: BELOW_ZERO,
    },
    to: si::celsius,
};

/// Temperature of a hot surface.
pub const SURFACE_TEMPERATURE: Typed<ThermodynamicTemperature> = Typed {
    field: Field {
        plausible: Bounds::from_to(-40.0, 1500.0),
        examples: ["350 Cel", "620 K"],
        ..LIQUID_TEMPERATURE.field
    },
    to: si::celsius,
};

/// Temperature of a flame.
pub const FLAME_TEMPERATURE: Typed<ThermodynamicTemperature> = Typed {
    field: Field {
        plausible: Bounds::from_to(500.0, 5000.0),
        examples: ["1650 Cel", "1900 K"],
        ..LIQUID_TEMPERATURE.field
    },
    to: si::celsius,
};

/// Wavelength in air.
pub const WAVELENGTH: Typed<Length> = Typed {
    field: Field {
        dimension: Dimension::Length,
        unit: "nm",
        examples: ["589.3 nm", "0.77 um"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(150.0, 3000.0),
        because: "a wavelength is more than zero",
    },
    to: si::nanometre,
};

/// How wide an instrument shows a line.
pub const RESOLUTION: Typed<Length> = Typed {
    field: Field {
        plausible: Bounds::from_to(0.05, 50.0),
        examples: ["1 nm", "0.5 nm"],
        because: "a resolution is more than zero",
        ..WAVELENGTH.field
    },
    to: si::nanometre,
};

/// Temperature of a room.
pub const ROOM_TEMPERATURE: Typed<ThermodynamicTemperature> = Typed {
    field: Field {
        plausible: Bounds::from_to(-40.0, 60.0),
        examples: ["21 Cel", "294 K"],
        ..LIQUID_TEMPERATURE.field
    },
    to: si::celsius,
};

/// Step of a series of temperatures.
pub const STEP: Typed<TemperatureInterval> = Typed {
    field: Field {
        dimension: Dimension::TemperatureDifference,
        unit: "K",
        examples: ["5 K", "0.5 K"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::above(0.0, 1000.0),
        because: "a step is more than zero",
    },
    to: si::kelvin_difference,
};

/// Air pressure.
pub const PRESSURE: Typed<Pressure> = Typed {
    field: Field {
        dimension: Dimension::Pressure,
        unit: "kPa",
        examples: ["101.325 kPa", "1013 hPa"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(40.0, 120.0),
        because: "an air pressure is more than zero",
    },
    to: si::kilopascal,
};

/// Volume of a room.
pub const ROOM_VOLUME: Typed<Volume> = Typed {
    field: Field {
        dimension: Dimension::Volume,
        unit: "m3",
        examples: ["190 m3", "6700 [cft_i]"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1.0, 100_000.0),
        because: "a volume is more than zero",
    },
    to: si::cubic_metre,
};

/// Air changes.
pub const AIR_CHANGES: Typed<Frequency> = Typed {
    field: Field {
        dimension: Dimension::Rate,
        unit: "/h",
        examples: ["3 /h", "0.05 /min"],
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 100.0),
        because: "air changes are not negative",
    },
    to: si::per_hour,
};

/// Floor area.
pub const FLOOR_AREA: Typed<Area> = Typed {
    field: Field {
        dimension: Dimension::Area,
        unit: "m2",
        examples: ["70 m2", "750 [sft_i]"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.5, 20_000.0),
        because: "an area is more than zero",
    },
    to: si::square_metre,
};

/// Height of a room.
pub const HEIGHT: Typed<Length> = Typed {
    field: Field {
        dimension: Dimension::Length,
        unit: "m",
        examples: ["2.7 m", "9 [ft_i]"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1.5, 30.0),
        because: "a height is more than zero",
    },
    to: si::metre,
};

/// Relative humidity.
pub const HUMIDITY: Typed<Ratio> = Typed {
    field: Field {
        dimension: Dimension::Fraction,
        unit: "%",
        examples: ["50 %", "0.5 1"],
        possible: Bounds::from_to(0.0, 100.0),
        plausible: Bounds::from_to(0.0, 100.0),
        because: "a relative humidity is from 0 to 100 %",
    },
    to: si::percent,
};

/// Amount of liquid as a volume.
pub const LIQUID_VOLUME: Typed<Volume> = Typed {
    field: Field {
        dimension: Dimension::Volume,
        unit: "mL",
        examples: ["50 mL", "0.5 L"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.001, 1e6),
        because: "an amount of liquid is more than zero",
    },
    to: si::millilitre,
};

/// Amount of liquid as a mass.
pub const LIQUID_MASS: Typed<Mass> = Typed {
    field: Field {
        dimension: Dimension::Mass,
        unit: "g",
        examples: ["40 g", "0.4 kg"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.001, 1e6),
        because: "an amount of liquid is more than zero",
    },
    to: si::gram,
};

/// Amount of liquid as an amount of substance.
pub const AMOUNT_OF_SUBSTANCE: Typed<AmountOfSubstance> = Typed {
    field: Field {
        dimension: Dimension::Amount,
        unit: "mol",
        examples: ["0.5 mol", "20 mmol"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1e-5, 1e5),
        because: "an amount of liquid is more than zero",
    },
    to: si::mole,
};

/// Capacity of a vessel.
pub const CAPACITY: Typed<Volume> = Typed {
    field: Field {
        examples: ["100 mL", "0.25 L"],
        plausible: Bounds::from_to(0.1, 250_000.0),
        because: "a capacity is more than zero",
        ..LIQUID_VOLUME.field
    },
    to: si::millilitre,
};

/// Width of a mouth.
pub const MOUTH: Typed<Length> = Typed {
    field: Field {
        dimension: Dimension::Length,
        unit: "cm",
        examples: ["5 cm", "50 mm"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.1, 200.0),
        because: "a width is more than zero",
    },
    to: si::centimetre,
};

/// A distance.
pub const DISTANCE: Typed<Length> = Typed {
    field: Field {
        dimension: Dimension::Length,
        unit: "m",
        examples: ["3 m", "40 cm"],
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 100.0),
        because: "a distance is not negative",
    },
    to: si::metre,
};

/// A duration.
pub const DURATION: Typed<Time> = Typed {
    field: Field {
        dimension: Dimension::Time,
        unit: "min",
        examples: ["40 min", "1 h"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::above(0.0, 10_080.0),
        because: POSITIVE,
    },
    to: si::minute,
};

/// Speed of the air.
pub const AIR_SPEED: Typed<Velocity> = Typed {
    field: Field {
        dimension: Dimension::Velocity,
        unit: "m/s",
        examples: ["0.25 m/s", "10 cm/s"],
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 5.0),
        because: "a speed is not negative",
    },
    to: si::metre_per_second,
};

/// Power of a heater.
pub const HEATER_POWER: Typed<Power> = Typed {
    field: Field {
        dimension: Dimension::Power,
        unit: "kW",
        examples: ["500 W", "1.5 kW"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.0001, 20.0),
        because: "a power is more than zero",
    },
    to: si::kilowatt,
};

/// Width of a surface of liquid.
pub const SURFACE_WIDTH: Typed<Length> = Typed {
    field: Field { plausible: Bounds::from_to(0.1, 2000.0), examples: ["9 cm", "90 mm"], ..MOUTH.field },
    to: si::centimetre,
};

/// Area of a surface of liquid.
pub const SURFACE_AREA: Typed<Area> = Typed {
    field: Field {
        dimension: Dimension::Area,
        unit: "cm2",
        examples: ["64 cm2", "1 m2"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.01, 1e7),
        because: "an area is more than zero",
    },
    to: si::square_centimetre,
};

/// A depth in a vessel.
pub const DEPTH: Typed<Length> = Typed {
    field: Field {
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 200.0),
        because: "a depth is not negative",
        ..MOUTH.field
    },
    to: si::centimetre,
};

/// Vapour given off, as a mass per time.
pub const MASS_RATE: Typed<MassRate> = Typed {
    field: Field {
        dimension: Dimension::MassRate,
        unit: "g/min",
        examples: ["2 g/min", "100 g/h"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1e-6, 1e5),
        because: "a rate is more than zero",
    },
    to: si::gram_per_minute,
};

/// Vapour given off, as the liquid that becomes vapour per time.
pub const LIQUID_RATE: Typed<VolumeRate> = Typed {
    field: Field {
        dimension: Dimension::VolumeRate,
        unit: "L/min",
        examples: ["2 mL/min", "0.1 L/h"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1e-9, 100.0),
        because: "a rate is more than zero",
    },
    to: si::litre_per_minute,
};

/// An exposure limit as a volume fraction.
pub const LIMIT_FRACTION: Typed<Ratio> = Typed {
    field: Field {
        dimension: Dimension::Fraction,
        unit: "[ppm]",
        examples: ["500 ppm", "1920 mg/m3"],
        possible: Bounds::above(0.0, 1e6),
        plausible: Bounds::from_to(1e-4, 1e5),
        because: "a limit is more than zero",
    },
    to: si::parts_per_million,
};

/// An exposure limit as a mass concentration.
pub const LIMIT_MASS: Typed<MassDensity> = Typed {
    field: Field {
        dimension: Dimension::Concentration,
        unit: "g/m3",
        examples: ["1920 mg/m3", "0.5 g/m3"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(1e-7, 500.0),
        because: "a limit is more than zero",
    },
    to: si::gram_per_cubic_metre,
};

/// Mass that burns, per area and time.
pub const BURNING_FLUX: Typed<MassFlux> = Typed {
    field: Field {
        dimension: Dimension::MassFlux,
        unit: "g/(m2.s)",
        examples: ["14 g/(m2.s)", "0.014 kg/(m2.s)"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.5, 200.0),
        because: "a rate is more than zero",
    },
    to: si::gram_per_square_metre_second,
};

/// Mass that burns from one vessel, per time.
pub const BURNING_RATE: Typed<MassRate> = Typed {
    field: Field {
        plausible: Bounds::from_to(0.005, 1000.0),
        examples: ["0.2 g/min", "12 g/h"],
        ..MASS_RATE.field
    },
    to: si::gram_per_minute,
};

/// A wait, none at all, too.
pub const WAIT: Typed<Time> = Typed {
    field: Field {
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 10_080.0),
        examples: ["2 min", "30 s"],
        because: "a wait is not negative",
        ..DURATION.field
    },
    to: si::minute,
};

/// Thickness of a wall.
pub const WALL: Typed<Length> = Typed {
    field: Field {
        dimension: Dimension::Length,
        unit: "mm",
        examples: ["2.5 mm", "0.3 cm"],
        possible: Bounds::above(0.0, HUGE),
        plausible: Bounds::from_to(0.05, 100.0),
        because: "a wall is thicker than nothing",
    },
    to: si::millimetre,
};

/// Mass of a vessel.
pub const VESSEL_MASS: Typed<Mass> = Typed {
    field: Field {
        examples: ["110 g", "0.25 kg"],
        plausible: Bounds::from_to(0.5, 50_000.0),
        because: "a mass is more than zero",
        ..LIQUID_MASS.field
    },
    to: si::gram,
};

/// Liquid held in a room.
pub const HELD: Typed<Volume> = Typed {
    field: Field {
        unit: "L",
        examples: ["20 L", "2500 mL"],
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 1e5),
        because: "an amount of liquid is not negative",
        ..LIQUID_VOLUME.field
    },
    to: si::litre,
};

/// Time since a container was opened.
pub const OPENED: Typed<Time> = Typed {
    field: Field {
        unit: "d",
        examples: ["200 d", "6 months"],
        possible: Bounds::from_to(0.0, HUGE),
        plausible: Bounds::from_to(0.0, 36_525.0),
        because: "a time since opening is not negative",
        ..DURATION.field
    },
    to: si::day,
};
