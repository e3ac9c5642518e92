//! The units that requests may use: one small exact table of UCUM codes and everyday spellings.
//!
//! The crate `ucum-units` was weighed: it reads `ML` as megalitre, `C` as coulomb, `F` as farad and `ft` as
//! femtotonne, rejects `°C`, `m³`, `ppm` and `in`, returns 50 mL as 5.000000000000001e-5 m3, and bundles data under
//! the UCUM licence. A table of exact ratios serves better.

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// A temperature, a point on a scale.
    Temperature,
    /// A difference of two temperatures.
    TemperatureDifference,
    /// A pressure.
    Pressure,
    /// A volume.
    Volume,
    /// A length.
    Length,
    /// An area.
    Area,
    /// A mass.
    Mass,
    /// An amount of substance.
    Amount,
    /// A time.
    Time,
    /// A speed.
    Velocity,
    /// A number per time.
    Rate,
    /// A plain number, fraction or percentage.
    Fraction,
    /// A heat flow or power.
    Power,
    /// An energy.
    Energy,
    /// A mass concentration or density.
    Concentration,
    /// A mass per time.
    MassRate,
    /// A volume per time.
    VolumeRate,
    /// A mass per area and time.
    MassFlux,
    /// A heat flow per area.
    HeatFlux,
}

impl Dimension {
    /// Its name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature difference",
            Self::Pressure => "pressure",
            Self::Volume => "volume",
            Self::Length => "length",
            Self::Area => "area",
            Self::Mass => "mass",
            Self::Amount => "amount of substance",
            Self::Time => "time",
            Self::Velocity => "speed",
            Self::Rate => "number per time, such as air changes",
            Self::Fraction => "fraction",
            Self::Power => "power",
            Self::Energy => "energy",
            Self::Concentration => "mass concentration",
            Self::MassRate => "mass per time",
            Self::VolumeRate => "volume per time",
            Self::MassFlux => "mass per area and time",
            Self::HeatFlux => "heat flow per area",
        }
    }

    /// Its name with the article, such as "an area".
    #[must_use]
    pub fn with_article(self) -> String {
        let name = self.name();
        let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {name}")
    }

    /// Every dimension.
    pub const ALL: [Self; 19] = [
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Pressure,
        Self::Volume,
        Self::Length,
        Self::Area,
        Self::Mass,
        Self::Amount,
        Self::Time,
        Self::Velocity,
        Self::Rate,
        Self::Fraction,
        Self::Power,
        Self::Energy,
        Self::Concentration,
        Self::MassRate,
        Self::VolumeRate,
        Self::MassFlux,
        Self::HeatFlux,
    ];
}

/// A unit: a number in it times `times / over`, plus `plus`, is the number in the base unit of its dimension.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    /// UCUM case-sensitive code.
    pub code: &'static str,
    /// Its name in words.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Numerator of the exact ratio to the base unit.
    pub times: f64,
    /// Denominator of the exact ratio to the base unit.
    pub over: f64,
    /// What is added afterwards, in the base unit; only for temperatures.
    pub plus: f64,
    /// Other accepted spellings.
    pub spellings: &'static [&'static str],
}

const fn unit(
    code: &'static str,
    name: &'static str,
    dimension: Dimension,
    times: f64,
    over: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { code, name, dimension, times, over, plus: 0.0, spellings }
}

use Dimension as D;

/// The table. The base unit of a dimension is its first row.
pub const UNITS: &[Unit] = &[
    unit("Cel", "degree Celsius", D::Temperature, 1.0, 1.0, &["°C", "degC", "deg C", "℃"]),
    Unit { plus: -273.15, ..unit("K", "kelvin", D::Temperature, 1.0, 1.0, &["kelvin"]) },
    // (f - 32) 5/9: the offset stands before the ratio in the definition, so it is divided out here.
    Unit {
        plus: -160.0 / 9.0,
        ..unit("[degF]", "degree Fahrenheit", D::Temperature, 5.0, 9.0, &["°F", "degF", "deg F", "℉"])
    },
    unit("K", "kelvin", D::TemperatureDifference, 1.0, 1.0, &["kelvin"]),
    unit("kPa", "kilopascal", D::Pressure, 1.0, 1.0, &[]),
    unit("Pa", "pascal", D::Pressure, 1.0, 1000.0, &[]),
    unit("hPa", "hectopascal", D::Pressure, 1.0, 10.0, &[]),
    unit("MPa", "megapascal", D::Pressure, 1000.0, 1.0, &[]),
    unit("mPa", "millipascal", D::Pressure, 1.0, 1e6, &[]),
    unit("bar", "bar", D::Pressure, 100.0, 1.0, &[]),
    unit("mbar", "millibar", D::Pressure, 1.0, 10.0, &[]),
    unit("atm", "standard atmosphere", D::Pressure, 101_325.0, 1000.0, &[]),
    unit("mm[Hg]", "millimetre of mercury", D::Pressure, 133.322, 1000.0, &["mmHg", "mm Hg"]),
    unit("[in_i'Hg]", "inch of mercury", D::Pressure, 3_386.378_8, 1000.0, &["inHg", "in Hg"]),
    unit("[psi]", "pound-force per square inch", D::Pressure, 6_894.757_293_168, 1000.0, &["psi"]),
    unit("m3", "cubic metre", D::Volume, 1.0, 1.0, &["m³", "m^3"]),
    unit("L", "litre", D::Volume, 1.0, 1e3, &["l", "litre", "litres", "liter", "liters"]),
    unit(
        "mL",
        "millilitre",
        D::Volume,
        1.0,
        1e6,
        &["ml", "cc", "millilitre", "millilitres", "milliliter", "milliliters"],
    ),
    unit("uL", "microlitre", D::Volume, 1.0, 1e9, &["ul", "µL", "μL"]),
    unit("cL", "centilitre", D::Volume, 1.0, 1e5, &["cl"]),
    unit("dL", "decilitre", D::Volume, 1.0, 1e4, &["dl"]),
    unit("dm3", "cubic decimetre", D::Volume, 1.0, 1e3, &["dm³", "dm^3"]),
    unit("cm3", "cubic centimetre", D::Volume, 1.0, 1e6, &["cm³", "cm^3"]),
    unit("mm3", "cubic millimetre", D::Volume, 1.0, 1e9, &["mm³", "mm^3"]),
    unit("[cft_i]", "cubic foot", D::Volume, 0.028_316_846_592, 1.0, &["ft3", "ft³", "ft^3", "[ft_i]3"]),
    unit("[gal_br]", "imperial gallon", D::Volume, 4.546_09, 1e3, &[]),
    unit("[gal_us]", "US gallon", D::Volume, 3.785_411_784, 1e3, &[]),
    unit("m", "metre", D::Length, 1.0, 1.0, &["metre", "metres", "meter", "meters"]),
    unit("cm", "centimetre", D::Length, 1.0, 100.0, &[]),
    unit("mm", "millimetre", D::Length, 1.0, 1000.0, &[]),
    unit("dm", "decimetre", D::Length, 1.0, 10.0, &[]),
    unit("km", "kilometre", D::Length, 1000.0, 1.0, &[]),
    unit("um", "micrometre", D::Length, 1.0, 1e6, &["µm", "μm"]),
    unit("nm", "nanometre", D::Length, 1.0, 1e9, &[]),
    unit("[ft_i]", "foot", D::Length, 0.3048, 1.0, &["ft", "foot", "feet"]),
    unit("[in_i]", "inch", D::Length, 0.0254, 1.0, &["in", "inch", "inches"]),
    unit("m2", "square metre", D::Area, 1.0, 1.0, &["m²", "m^2"]),
    unit("dm2", "square decimetre", D::Area, 1.0, 100.0, &["dm²", "dm^2"]),
    unit("cm2", "square centimetre", D::Area, 1.0, 1e4, &["cm²", "cm^2"]),
    unit("mm2", "square millimetre", D::Area, 1.0, 1e6, &["mm²", "mm^2"]),
    unit("[sft_i]", "square foot", D::Area, 0.092_903_04, 1.0, &["ft2", "ft²", "ft^2", "[ft_i]2"]),
    unit("g", "gram", D::Mass, 1.0, 1.0, &["gram", "grams"]),
    unit("kg", "kilogram", D::Mass, 1000.0, 1.0, &[]),
    unit("mg", "milligram", D::Mass, 1.0, 1000.0, &[]),
    unit("ug", "microgram", D::Mass, 1.0, 1e6, &["µg", "μg"]),
    unit("t", "tonne", D::Mass, 1e6, 1.0, &["tonne", "tonnes"]),
    unit("[oz_av]", "ounce", D::Mass, 28.349_523_125, 1.0, &[]),
    unit("[lb_av]", "pound", D::Mass, 453.592_37, 1.0, &["lb"]),
    unit("mol", "mole", D::Amount, 1.0, 1.0, &[]),
    unit("mmol", "millimole", D::Amount, 1.0, 1000.0, &[]),
    unit("kmol", "kilomole", D::Amount, 1000.0, 1.0, &[]),
    unit("min", "minute", D::Time, 1.0, 1.0, &["minute", "minutes", "mins"]),
    unit("s", "second", D::Time, 1.0, 60.0, &["sec", "second", "seconds"]),
    unit("h", "hour", D::Time, 60.0, 1.0, &["hr", "hour", "hours"]),
    unit("d", "day", D::Time, 1440.0, 1.0, &["day", "days"]),
    unit("wk", "week", D::Time, 10_080.0, 1.0, &["week", "weeks"]),
    // The mean Julian month and year of UCUM: 30.4375 and 365.25 days.
    unit("mo", "month", D::Time, 43_830.0, 1.0, &["month", "months"]),
    unit("a", "year", D::Time, 525_960.0, 1.0, &["year", "years"]),
    unit("ms", "millisecond", D::Time, 1.0, 60_000.0, &[]),
    unit("m/s", "metre per second", D::Velocity, 1.0, 1.0, &[]),
    unit("cm/s", "centimetre per second", D::Velocity, 1.0, 100.0, &[]),
    unit("mm/s", "millimetre per second", D::Velocity, 1.0, 1000.0, &[]),
    unit("km/h", "kilometre per hour", D::Velocity, 10.0, 36.0, &[]),
    unit("[ft_i]/min", "foot per minute", D::Velocity, 0.3048, 60.0, &["ft/min"]),
    unit("/h", "per hour", D::Rate, 1.0, 1.0, &["1/h", "h-1", "h^-1", "per hour"]),
    unit("/min", "per minute", D::Rate, 60.0, 1.0, &["1/min", "min-1", "per minute"]),
    unit("/s", "per second", D::Rate, 3600.0, 1.0, &["1/s", "s-1", "per second"]),
    unit("/d", "per day", D::Rate, 1.0, 24.0, &["1/d", "per day"]),
    unit("1", "plain number", D::Fraction, 1.0, 1.0, &["mol/mol", "m3/m3"]),
    unit("%", "per cent", D::Fraction, 1.0, 100.0, &["percent", "per cent"]),
    unit("[ppm]", "part per million", D::Fraction, 1.0, 1e6, &["ppm"]),
    unit("[ppb]", "part per billion (10^9)", D::Fraction, 1.0, 1e9, &["ppb"]),
    unit("kW", "kilowatt", D::Power, 1.0, 1.0, &[]),
    unit("W", "watt", D::Power, 1.0, 1000.0, &[]),
    unit("mW", "milliwatt", D::Power, 1.0, 1e6, &[]),
    unit("MW", "megawatt", D::Power, 1000.0, 1.0, &[]),
    unit("kJ", "kilojoule", D::Energy, 1.0, 1.0, &[]),
    unit("J", "joule", D::Energy, 1.0, 1000.0, &[]),
    unit("MJ", "megajoule", D::Energy, 1000.0, 1.0, &[]),
    unit("mJ", "millijoule", D::Energy, 1.0, 1e6, &[]),
    unit("W.h", "watt hour", D::Energy, 36.0, 10.0, &["Wh"]),
    unit("kW.h", "kilowatt hour", D::Energy, 3600.0, 1.0, &["kWh"]),
    unit("g/m3", "gram per cubic metre", D::Concentration, 1.0, 1.0, &["g/m³"]),
    unit("mg/m3", "milligram per cubic metre", D::Concentration, 1.0, 1000.0, &["mg/m³"]),
    unit(
        "ug/m3",
        "microgram per cubic metre",
        D::Concentration,
        1.0,
        1e6,
        &["ug/m³", "µg/m3", "µg/m³", "μg/m3", "μg/m³"],
    ),
    unit("kg/m3", "kilogram per cubic metre", D::Concentration, 1000.0, 1.0, &["kg/m³"]),
    unit("g/L", "gram per litre", D::Concentration, 1000.0, 1.0, &["g/l"]),
    unit("mg/L", "milligram per litre", D::Concentration, 1.0, 1.0, &["mg/l"]),
    unit("kg/L", "kilogram per litre", D::Concentration, 1e6, 1.0, &["kg/l"]),
    unit("g/mL", "gram per millilitre", D::Concentration, 1e6, 1.0, &["g/ml", "g/cm3"]),
    unit("g/min", "gram per minute", D::MassRate, 1.0, 1.0, &[]),
    unit("g/h", "gram per hour", D::MassRate, 1.0, 60.0, &[]),
    unit("g/s", "gram per second", D::MassRate, 60.0, 1.0, &[]),
    unit("mg/s", "milligram per second", D::MassRate, 60.0, 1000.0, &[]),
    unit("mg/min", "milligram per minute", D::MassRate, 1.0, 1000.0, &[]),
    unit("kg/h", "kilogram per hour", D::MassRate, 1000.0, 60.0, &[]),
    unit("L/min", "litre per minute", D::VolumeRate, 1.0, 1.0, &["l/min"]),
    unit("mL/min", "millilitre per minute", D::VolumeRate, 1.0, 1000.0, &["ml/min"]),
    unit("mL/h", "millilitre per hour", D::VolumeRate, 1.0, 60_000.0, &["ml/h"]),
    unit("L/h", "litre per hour", D::VolumeRate, 1.0, 60.0, &["l/h"]),
    unit(
        "g/(m2.s)",
        "gram per square metre and second",
        D::MassFlux,
        1.0,
        1.0,
        &["g/m2/s", "g/(m2 s)", "g/(m²·s)"],
    ),
    unit(
        "kg/(m2.s)",
        "kilogram per square metre and second",
        D::MassFlux,
        1000.0,
        1.0,
        &["kg/m2/s", "kg/(m2 s)", "kg/(m²·s)"],
    ),
    unit("g/(m2.min)", "gram per square metre and minute", D::MassFlux, 1.0, 60.0, &["g/m2/min"]),
    unit("kW/m2", "kilowatt per square metre", D::HeatFlux, 1.0, 1.0, &["kW/m²"]),
    unit("W/m2", "watt per square metre", D::HeatFlux, 1.0, 1000.0, &["W/m²"]),
];

/// The unit of a code or spelling that measures `dimension`; else one that measures something else.
#[must_use]
pub fn find(text: &str, dimension: Dimension) -> Option<&'static Unit> {
    let mut named = UNITS.iter().filter(|unit| unit.code == text || unit.spellings.contains(&text));
    let first = named.next()?;
    if first.dimension == dimension {
        return Some(first);
    }
    Some(named.find(|unit| unit.dimension == dimension).unwrap_or(first))
}

/// Spellings that can be mistaken: what they would mean in UCUM or in trade, and what is probably meant.
pub const TRAPS: &[(&str, &str, &[&str])] = &[
    ("C", "`C` is the coulomb in UCUM", &["Cel", "K"]),
    ("F", "`F` is the farad in UCUM", &["[degF]"]),
    ("ML", "`ML` is the megalitre", &["mL"]),
    ("MM", "`MM` could be mm or megametre", &["mm"]),
    ("Mm", "`Mm` is the megametre", &["mm"]),
    ("M", "`M` could be metre, minute, mole per litre or mega", &["m"]),
    ("gal", "`gal` could be the imperial or the US gallon", &["[gal_br]", "[gal_us]"]),
    ("gallon", "a gallon could be imperial or US", &["[gal_br]", "[gal_us]"]),
    ("gallons", "a gallon could be imperial or US", &["[gal_br]", "[gal_us]"]),
    ("oz", "`oz` could be a mass or a fluid ounce", &["[oz_av]", "mL"]),
    ("fl oz", "a fluid ounce could be imperial or US", &["mL"]),
    ("pt", "a pint could be imperial or US", &["mL"]),
    ("pint", "a pint could be imperial or US", &["mL"]),
    ("°", "degrees of which scale?", &["Cel"]),
    ("deg", "degrees of which scale? (`deg` is an angle in UCUM)", &["Cel"]),
    ("degrees", "degrees of which scale?", &["Cel"]),
];

/// The one known code that `text` means if its case is mended, or a word in it by one letter.
///
/// Codes are never matched by a letter: there one letter is a prefix, and `g` for `ug` or `m3` for `mm3` is off by
/// orders of magnitude. For the same reason nothing is proposed where two codes differ by case alone, as mW and MW.
#[must_use]
pub fn nearest(text: &str, dimension: Dimension) -> Option<&'static str> {
    /// Letters from which a spelling is a word, and not a code.
    const WORD: usize = 5;
    let of_dimension = UNITS.iter().filter(|unit| unit.dimension == dimension);
    let same = |unit: &&Unit| {
        unit.code.eq_ignore_ascii_case(text)
            || unit.spellings.iter().any(|spelling| spelling.eq_ignore_ascii_case(text))
    };
    let near = |unit: &&Unit| {
        let is_near = |word: &&str| word.len() >= WORD && strsim::damerau_levenshtein(word, text) == 1;
        unit.spellings.iter().filter(|word| word.bytes().all(|byte| byte.is_ascii_alphabetic())).any(is_near)
    };
    let mut mended = of_dimension.clone().filter(same);
    match (mended.next(), mended.next()) {
        (Some(unit), None) => Some(unit.code),
        (Some(_), Some(_)) => None,
        (None, _) => of_dimension.clone().find(near).map(|unit| unit.code),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_prefix_is_never_taken_for_a_slip() {
        for dimension in Dimension::ALL {
            for unit in UNITS.iter().filter(|unit| unit.dimension == dimension) {
                for prefix in ["p", "n", "u", "h", "da", "f", "G", "T"] {
                    let text = format!("{prefix}{}", unit.code);
                    if find(&text, dimension).is_none() {
                        assert_eq!(nearest(&text, dimension), None, "{text}");
                    }
                }
            }
        }
        assert_eq!(nearest("MPA", Dimension::Pressure), None);
        assert_eq!(nearest("kpa", Dimension::Pressure), Some("kPa"));
        assert_eq!(nearest("litrs", Dimension::Volume), Some("L"));
    }
}
