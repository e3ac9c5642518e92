//! Figures that are rules and no laws of nature.

use crate::quantity::parse::{Bounds, Field};
use crate::quantity::unit::Dimension;
use brimline_openapi::catalogue::Direction;
use brimline_openapi::{BasisKind, Grounds, Text};
use serde::Deserialize;

/// A rule as it is written in `rules.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleFile {
    /// The figure with its unit.
    pub value: String,
    /// Which direction is stricter.
    pub stricter: Direction,
    /// What it says.
    pub text: String,
    /// Kind of its basis.
    pub kind: BasisKind,
    /// Key of its source.
    pub source: String,
    /// Whether the source's text was seen.
    pub confirmed: bool,
}

/// A rule.
#[derive(Debug, Clone)]
pub struct Rule {
    /// Its name.
    pub name: &'static str,
    /// The figure, in `unit`.
    pub number: f64,
    /// UCUM unit.
    pub unit: &'static str,
    /// Which direction is stricter.
    pub stricter: Direction,
    /// What it says.
    pub text: String,
    /// The same with its figure.
    pub stated: String,
    /// What it rests on.
    pub grounds: Grounds,
}

/// The names of the rules with the dimension and unit they are kept in.
pub const NAMES: &[(&str, Dimension, &str)] = &[
    ("planned_release_share", Dimension::Fraction, "%"),
    ("accident_share", Dimension::Fraction, "%"),
    ("floor_layer_depth", Dimension::Length, "m"),
    ("required_margin_pure", Dimension::TemperatureDifference, "K"),
    ("required_margin_mixture", Dimension::TemperatureDifference, "K"),
    ("amount_near_demonstration", Dimension::Volume, "mL"),
    ("burnt_depth", Dimension::Length, "mm"),
    ("burnt_fill", Dimension::Volume, "mL"),
    ("open_fill_share", Dimension::Fraction, "%"),
    ("heated_fill_share", Dimension::Fraction, "%"),
    ("furniture_factor", Dimension::Fraction, "1"),
    ("mixing_effectiveness", Dimension::Fraction, "1"),
    ("unknown_room_temperature", Dimension::Temperature, "Cel"),
    ("unknown_pressure", Dimension::Pressure, "kPa"),
    ("unknown_height", Dimension::Length, "m"),
    ("compared_capacity", Dimension::Volume, "mL"),
    ("compared_mouth", Dimension::Length, "cm"),
    ("unknown_hall_height", Dimension::Length, "m"),
    ("hall_volume", Dimension::Volume, "m3"),
    ("ignition_share", Dimension::Fraction, "%"),
    ("ignition_layer_height", Dimension::Length, "m"),
    ("unknown_ignition_distance", Dimension::Length, "m"),
    ("least_ignition_distance", Dimension::Length, "m"),
    ("naked_flame_flash_point", Dimension::Temperature, "Cel"),
    ("light_boiling_point", Dimension::Temperature, "Cel"),
    ("light_autoignition", Dimension::Temperature, "Cel"),
    ("near_zone_radius", Dimension::Length, "m"),
    ("air_speed_near", Dimension::Velocity, "m/s"),
    ("air_speed_near_lowest", Dimension::Velocity, "m/s"),
    ("air_speed_near_highest", Dimension::Velocity, "m/s"),
    ("air_speed_surface", Dimension::Velocity, "m/s"),
    ("air_speed_surface_lowest", Dimension::Velocity, "m/s"),
    ("air_speed_surface_highest", Dimension::Velocity, "m/s"),
    ("short_term_factor", Dimension::Fraction, "1"),
    ("unknown_duration", Dimension::Time, "min"),
    ("lighting_wait", Dimension::Time, "min"),
    ("dry_wait", Dimension::Time, "min"),
    ("peroxide_residue_share", Dimension::Fraction, "%"),
    ("spill_depth", Dimension::Length, "mm"),
    ("spill_depth_least", Dimension::Length, "mm"),
    ("spill_depth_rough", Dimension::Length, "mm"),
    ("spill_depth_absorbent", Dimension::Length, "mm"),
    ("absorbent_ignition_distance", Dimension::Length, "m"),
    ("closed_stock_distance", Dimension::Length, "m"),
    ("open_stock_distance", Dimension::Length, "m"),
    ("people_distance", Dimension::Length, "m"),
    ("unknown_heating", Dimension::TemperatureDifference, "K"),
    ("radiant_limit", Dimension::HeatFlux, "kW/m2"),
    ("flash_dose", Dimension::Fraction, "1"),
    ("flash_energy", Dimension::Energy, "kJ"),
    ("lighting_distance", Dimension::Length, "m"),
    ("alight_volume", Dimension::Volume, "mL"),
    ("alight_energy", Dimension::Energy, "kJ"),
    ("alight_room", Dimension::Volume, "m3"),
    ("burning_spill_distance", Dimension::Length, "m"),
    ("one_tray_spacing", Dimension::Length, "m"),
    ("one_flame_spacing", Dimension::Fraction, "1"),
    ("burnable_height", Dimension::Fraction, "1"),
    ("flame_clearance_share", Dimension::Fraction, "%"),
    ("carbon_dioxide_limit", Dimension::Fraction, "%"),
    ("carbon_dioxide_background", Dimension::Fraction, "%"),
    ("flame_step", Dimension::TemperatureDifference, "K"),
    ("refill_wait", Dimension::Time, "min"),
    ("touch_temperature", Dimension::Temperature, "Cel"),
    ("touch_temperature_metal", Dimension::Temperature, "Cel"),
    ("first_pour_step", Dimension::TemperatureDifference, "K"),
    ("lighter_distance", Dimension::Length, "m"),
    ("wick_flash_point", Dimension::Temperature, "Cel"),
    ("unknown_cold_room", Dimension::Temperature, "Cel"),
    ("autoignition_margin", Dimension::TemperatureDifference, "K"),
    ("halogenated_surface", Dimension::Temperature, "Cel"),
    ("hot_plate_surface", Dimension::Temperature, "Cel"),
    ("heating_mantle_surface", Dimension::Temperature, "Cel"),
    ("lamp_surface", Dimension::Temperature, "Cel"),
    ("steam_surface", Dimension::Temperature, "Cel"),
    ("water_bath_surface", Dimension::Temperature, "Cel"),
    ("unknown_high_pressure", Dimension::Pressure, "kPa"),
    ("filling_share_hot", Dimension::Fraction, "%"),
    ("closed_gauge_pressure", Dimension::Pressure, "kPa"),
    ("closed_boiling_margin", Dimension::TemperatureDifference, "K"),
    ("cupboard_limit_low_flash", Dimension::Volume, "L"),
    ("cupboard_limit_other", Dimension::Volume, "L"),
    ("cupboard_flash_point", Dimension::Temperature, "Cel"),
    ("refrigerator_volume", Dimension::Volume, "L"),
    ("refrigerator_temperature", Dimension::Temperature, "Cel"),
    ("peroxide_keeping_a", Dimension::Time, "d"),
    ("peroxide_keeping_b", Dimension::Time, "d"),
    ("peroxide_keeping_b_untested", Dimension::Time, "d"),
    ("peroxide_keeping_c", Dimension::Time, "d"),
    ("bench_amount", Dimension::Volume, "mL"),
];

/// What a rule of a dimension may be.
#[must_use]
pub const fn field(dimension: Dimension, unit: &'static str) -> Field {
    let (possible, plausible, examples, because) = match dimension {
        Dimension::Temperature => (
            Bounds::above(-273.15, 1e9),
            Bounds::from_to(-40.0, 600.0),
            ["30 Cel", "303 K"],
            "nothing is colder than 0 K",
        ),
        Dimension::TemperatureDifference => (
            Bounds::from_to(0.0, 1e9),
            Bounds::from_to(0.0, 100.0),
            ["5 K", "15 K"],
            "a required margin is not negative",
        ),
        Dimension::Pressure => (
            Bounds::above(0.0, 1e9),
            Bounds::from_to(1.0, 120.0),
            ["95 kPa", "950 hPa"],
            "a pressure is more than zero",
        ),
        Dimension::Length => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 100.0),
            ["0.1 m", "10 mm"],
            "a length is more than zero",
        ),
        Dimension::Volume => (
            Bounds::above(0.0, 1e12),
            Bounds::above(0.0, 1e5),
            ["50 mL", "0.05 L"],
            "a volume is more than zero",
        ),
        Dimension::Velocity => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 10.0),
            ["0.1 m/s", "10 cm/s"],
            "a speed is more than zero",
        ),
        Dimension::Energy => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 1e5),
            ["2 kJ", "500 J"],
            "an energy is more than zero",
        ),
        Dimension::HeatFlux => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 20.0),
            ["1 kW/m2", "500 W/m2"],
            "a flux is more than zero",
        ),
        Dimension::Time => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 1440.0),
            ["5 min", "8 h"],
            "a time is more than zero",
        ),
        _ => (
            Bounds::above(0.0, 1e9),
            Bounds::above(0.0, 100.0),
            ["10 %", "0.1 1"],
            "a share is more than zero",
        ),
    };
    Field { dimension, unit, examples, possible, plausible, because }
}

/// A figure with its unit.
#[must_use]
pub fn figure(number: f64, unit: &str) -> String {
    if unit == "1" { number.to_string() } else { format!("{number} {unit}") }
}

/// Makes a rule from what is written of it.
///
/// # Errors
/// What is wrong with it, in words.
pub fn rule(name: &str, written: RuleFile) -> Result<Rule, String> {
    let Some(&(name, dimension, unit)) = NAMES.iter().find(|(known, ..)| *known == name) else {
        return Err("this rule is not known to the program".into());
    };
    let number = crate::quantity::parse::read_text(&written.value, &field(dimension, unit))
        .map_err(|fault| fault.detail)?;
    let grounds = Grounds {
        kind: written.kind,
        text: Text::Owned(written.text.clone()),
        source: Some(Text::Owned(written.source)),
        confirmed: written.confirmed,
    };
    let (figure, text) = (figure(number, unit), written.text);
    let says_it = text.contains(&figure);
    let stated = if says_it { text.clone() } else { format!("{} ({figure}).", text.trim_end_matches('.')) };
    Ok(Rule { name, number, unit, stricter: written.stricter, text, stated, grounds })
}
