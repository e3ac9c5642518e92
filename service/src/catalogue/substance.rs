//! A substance in unit-checked quantities, and how it is made from its file.

use super::exposure_limit::{self, ExposureLimit};
use super::file::{Datum, Equation, SubstanceFile};
use super::source;
use crate::physics::combustion::Combustion;
use crate::physics::vapour_pressure::{Accuracy, CLASS_D, Curve, Form, Set};
use crate::physics::{category, density, liquid_property, vapour_pressure};
use crate::quantity::{Estimate, si};
use brimline_openapi::Seen;
use uom::si::f64::{
    DiffusionCoefficient, MassDensity, MolarEnergy, MolarHeatCapacity, MolarMass, Ratio, SurfaceTension,
    TemperatureInterval, ThermodynamicTemperature,
};

/// A figure of the catalogue with its source.
#[derive(Debug, Clone)]
pub struct Figure<Q> {
    /// The figure with its 95 % range.
    pub estimate: Estimate<Q>,
    /// Whether it is an estimate, since no measurement is published.
    pub estimated: bool,
    /// Key of its source.
    pub source: String,
    /// How the source was seen.
    pub seen: Seen,
}

/// What a source says on whether a liquid burns, where it does not.
#[derive(Debug, Clone)]
pub struct NotFlammable {
    /// What is said.
    pub reason: String,
    /// How it was seen.
    pub seen: Seen,
}

/// A caution that belongs to a substance.
#[derive(Debug, Clone)]
pub struct Caution {
    /// Its id.
    pub id: String,
    /// In words.
    pub text: String,
}

/// A pure substance.
#[derive(Debug, Clone)]
pub struct Substance {
    /// Its id: the name of its file.
    pub id: String,
    /// Molar mass.
    pub molar_mass: MolarMass,
    /// Vapour pressure.
    pub vapour: Curve,
    /// Range of a boiling point computed from it.
    pub boiling_spread: TemperatureInterval,
    /// Density of the liquid at 20 Cel.
    pub density: Figure<MassDensity>,
    /// The published set that gives it.
    pub density_set: density::Set,
    /// How it expands.
    pub expansion: density::Expansion,
    /// Flash point, closed cup, at 101.325 kPa.
    pub flash_point: Option<Figure<ThermodynamicTemperature>>,
    /// Lower flammable limit at 25 Cel.
    pub lower_limit: Option<Figure<Ratio>>,
    /// Upper flammable limit.
    pub upper_limit: Option<Figure<Ratio>>,
    /// Boiling point at 101.325 kPa, as published.
    pub boiling_point: Option<Figure<ThermodynamicTemperature>>,
    /// Melting point.
    pub melting_point: Option<Figure<ThermodynamicTemperature>>,
    /// Critical temperature.
    pub critical_temperature: Option<Figure<ThermodynamicTemperature>>,
    /// Autoignition temperature.
    pub autoignition_temperature: Option<Figure<ThermodynamicTemperature>>,
    /// Diffusivity in air at 293.15 K and 101.325 kPa.
    pub diffusivity: Option<Figure<DiffusionCoefficient>>,
    /// Heat of combustion of the liquid at 25 Cel, water as vapour.
    pub heat_of_combustion: Option<Figure<MolarEnergy>>,
    /// What a mole of it takes and gives when it burns.
    pub combustion: Combustion,
    /// Exposure limits.
    pub exposure_limits: Vec<ExposureLimit>,
    /// Constant of the lower limit's fall with temperature.
    pub limit_fall: TemperatureInterval,
    /// What a source says, where it does not burn.
    pub not_flammable: Option<NotFlammable>,
    /// Whether it holds a halogen: flames and red heat break its vapour down to acid and toxic gases.
    pub halogenated: bool,
    /// A less hazardous substance that often does in its place, and why.
    pub alternative: Option<(String, String)>,
    /// Why it is recognised but not for use in a school, where it is not.
    pub not_for_school_use: Option<String>,
    /// Heat of vaporisation.
    pub heat_of_vaporisation: Vec<liquid_property::Set<MolarEnergy>>,
    /// Heat capacity of the liquid.
    pub heat_capacity_liquid: Vec<liquid_property::Set<MolarHeatCapacity>>,
    /// Heat capacity of the ideal gas.
    pub heat_capacity_gas: Vec<liquid_property::Set<MolarHeatCapacity>>,
    /// Surface tension.
    pub surface_tension: Vec<liquid_property::Set<SurfaceTension>>,
    /// Groups of modified UNIFAC (Dortmund): subgroup and how often it occurs; empty where the molecule has none.
    pub groups: Vec<(u16, f64)>,
    /// Cautions.
    pub cautions: Vec<Caution>,
    /// Everything that its file holds.
    pub file: SubstanceFile,
}

/// What is wrong with a file: the key, and why.
pub type KeyFault = (String, String);

/// Density has this 95 % range where the tables give none (judgement).
const DENSITY_UNCERTAINTY: f64 = 0.005;
/// Share of oxygen in dry air (US Standard Atmosphere 1976: 20.948 %; from memory).
const OXYGEN_IN_AIR: f64 = 0.2095;
/// Molar mass of dry air, g/mol (the same; from memory).
const MOLAR_MASS_OF_AIR: f64 = 28.96;
/// Constant of the modified Burgess-Wheeler law, K.
const LIMIT_FALL_K: f64 = 1275.0;
/// The order in which sets are tried after the first choice.
const ORDER: [&str; 8] =
    ["Poling", "Landolt", "WebBook", "Perry2-8", "VDI", "WagnerPol", "WagnerMcG", "PolingExt"];
/// An Antoine set answers first if it covers this range, Cel, within this share of the recommended set.
const BY_HAND: ([f64; 8], f64) = ([5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0], 0.01);
/// Temperatures at which the sets of a substance are compared for its stated accuracy elsewhere, Cel; their ends, too.
const COMPARED_ELSEWHERE: std::ops::RangeInclusive<i32> = -50..=150;

fn halogenated(file: &SubstanceFile) -> bool {
    let halogen = |element: &str| matches!(element, "F" | "Cl" | "Br" | "I");
    let named = file.hazard.as_ref().and_then(|hazard| hazard.family.as_deref());
    named.is_some_and(|family| family.contains("halogenated"))
        || super::checks::atoms(&file.formula)
            .is_some_and(|atoms| atoms.iter().any(|(element, _)| halogen(element)))
}

impl PartialEq for Substance {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Substance {
    /// Makes a substance from its file.
    ///
    /// # Errors
    /// The key and what is wrong with it.
    pub fn from_file(id: &str, file: SubstanceFile) -> Result<Self, KeyFault> {
        let molar = stored(file.molar_mass.value.as_deref().unwrap_or_default(), "molar_mass", &["g/mol"])?;
        let molar_mass = si::gram_per_mole(molar);
        let sets = file.vapour_pressure.iter().map(set).collect::<Result<Vec<_>, _>>()?;
        let recommended = file.vapour_pressure.iter().position(|equation| equation.recommended);
        let sets = ordered(sets, recommended);
        if sets.is_empty() {
            return Err(("vapour_pressure".into(), "there is no usable equation".into()));
        }
        let (density, density_set) = density_at_20(&file.density, molar_mass)?;
        let expansion = expansion(&file.density, molar_mass, &density_set)?;
        let (accuracy, accuracy_elsewhere) = accuracy(&file.vapour_pressure_class.class, &sets)?;
        let spread = if matches!(file.vapour_pressure_class.class.as_str(), "A" | "B") { 0.5 } else { 1.5 };
        Ok(Self {
            id: id.to_owned(),
            molar_mass,
            vapour: Curve { sets, accuracy, accuracy_elsewhere },
            boiling_spread: si::kelvin_difference(spread),
            density,
            density_set,
            expansion,
            flash_point: temperature(file.flash_point.as_ref(), "flash_point")?,
            lower_limit: limit(file.lower_flammable_limit.as_ref(), "lower_flammable_limit")?,
            upper_limit: limit(file.upper_flammable_limit.as_ref(), "upper_flammable_limit")?,
            boiling_point: temperature(file.boiling_point.as_ref(), "boiling_point")?,
            melting_point: temperature(file.melting_point.as_ref(), "melting_point")?,
            critical_temperature: temperature(file.critical_temperature.as_ref(), "critical_temperature")?,
            autoignition_temperature: temperature(
                file.autoignition_temperature.as_ref(),
                "autoignition_temperature",
            )?,
            diffusivity: diffusivity(file.diffusivity_in_air.as_ref())?,
            heat_of_combustion: heat_of_combustion(file.heat_of_combustion_lower.as_ref())?,
            combustion: combustion(&file.formula)?,
            exposure_limits: exposure_limit::limits(&file, molar_mass)?,
            limit_fall: si::kelvin_difference(LIMIT_FALL_K),
            not_flammable: None,
            halogenated: halogenated(&file),
            not_for_school_use: None,
            alternative: None,
            heat_of_vaporisation: liquid_sets(
                "heat_of_vaporisation",
                &file.heat_of_vaporisation,
                si::joule_per_mole,
            )?,
            heat_capacity_liquid: liquid_sets(
                "heat_capacity_liquid",
                &file.heat_capacity_liquid,
                si::joule_per_kelvin_mole,
            )?,
            heat_capacity_gas: liquid_sets(
                "heat_capacity_gas",
                &file.heat_capacity_gas,
                si::joule_per_kelvin_mole,
            )?,
            surface_tension: liquid_sets("surface_tension", &file.surface_tension, si::newton_per_metre)?,
            groups: file
                .unifac_dortmund
                .iter()
                .flat_map(|unifac| &unifac.groups)
                .map(|group| (group.subgroup, f64::from(group.count)))
                .collect(),
            cautions: Vec::new(),
            file,
        })
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.file.name
    }

    /// Category of the flammable liquid by the published criteria, from the published flash and boiling point.
    #[must_use]
    pub fn category(&self) -> Option<u8> {
        let flash = self.flash_point.as_ref()?.estimate.value;
        // An unknown boiling point counts as low: the stricter category.
        let boils_low =
            self.boiling_point.as_ref().is_none_or(|figure| figure.estimate.value <= category::low_boiling());
        category::category(flash, boils_low)
    }

    /// Whether it can burn; `None` where no source says.
    #[must_use]
    pub fn flammable(&self) -> Option<bool> {
        if self.not_flammable.is_some() {
            Some(false)
        } else if self.flash_point.is_some() || self.lower_limit.is_some() {
            Some(true)
        } else {
            None
        }
    }

    /// The set of a property that answers at a temperature: equations before single values, in the order of the file.
    #[must_use]
    pub fn first_in_range<Q>(
        sets: &[liquid_property::Set<Q>],
        temperature: ThermodynamicTemperature,
    ) -> Option<&liquid_property::Set<Q>> {
        let single =
            |set: &liquid_property::Set<Q>| matches!(set.form, liquid_property::Form::SingleValue(_));
        let in_range = || sets.iter().filter(|set| set.covers(temperature));
        in_range().find(|set| !single(set)).or_else(|| in_range().next())
    }

    /// The share of its vapour in air that burns to carbon dioxide, water, sulfur dioxide, nitrogen, hydrogen halides and
    /// silicon dioxide with nothing left over; dry air with 20.95 % oxygen. `None` where it needs no oxygen.
    #[must_use]
    pub fn stoichiometric_fraction(&self) -> Option<Ratio> {
        let oxygen = self.combustion.oxygen;
        (oxygen > 0.0).then(|| si::fraction(1.0 / (1.0 + oxygen / OXYGEN_IN_AIR)))
    }

    /// Whether it forms peroxides that can concentrate or gather on storage.
    #[must_use]
    pub fn forms_peroxides(&self) -> bool {
        let group = self.file.hazard.as_ref().and_then(|hazard| hazard.peroxide_group.as_deref());
        matches!(group, Some("A" | "B"))
    }

    /// Heat of vaporisation at a temperature; that of the nearest equation where none reaches there.
    #[must_use]
    pub fn heat_of_vaporisation_at(&self, temperature: ThermodynamicTemperature) -> Option<MolarEnergy> {
        let sets = &self.heat_of_vaporisation;
        let set = Self::first_in_range(sets, temperature).or_else(|| sets.first())?;
        let inside = temperature.max(set.from).min(set.to);
        Some(set.at(inside))
    }

    /// How many times as heavy as air its vapour is, at one temperature and pressure.
    #[must_use]
    pub fn relative_vapour_density(&self) -> Ratio {
        si::fraction(si::in_gram_per_mole(self.molar_mass) / MOLAR_MASS_OF_AIR)
    }

    /// Whether its formula holds nothing but carbon, hydrogen and oxygen: others are not burnt.
    #[must_use]
    pub fn burns_cleanly(&self) -> bool {
        super::checks::atoms(&self.file.formula)
            .is_some_and(|atoms| atoms.iter().all(|(element, _)| matches!(element.as_str(), "C" | "H" | "O")))
    }
}

fn combustion(formula: &str) -> Result<Combustion, KeyFault> {
    let atoms = super::checks::atoms(formula)
        .ok_or_else(|| ("formula".to_owned(), format!("`{formula}` cannot be read")))?;
    Ok(Combustion::of(atoms.iter().map(|(element, count)| (element.as_str(), f64::from(*count)))))
}

fn heat_of_combustion(datum: Option<&Datum>) -> Result<Option<Figure<MolarEnergy>>, KeyFault> {
    const KEY: &str = "heat_of_combustion_lower";
    let Some((datum, text)) = datum.and_then(|datum| Some((datum, datum.value.as_deref()?))) else {
        return Ok(None);
    };
    let value = stored(text, KEY, &["kJ/mol"])?;
    if value <= 0.0 {
        return Err((KEY.to_owned(), format!("`{text}` is not above zero")));
    }
    let half = half_range(datum, KEY, value, "kJ/mol")?;
    let quantity = |number: f64| si::joule_per_mole(number * 1000.0);
    Ok(Some(Figure {
        estimate: Estimate::new(quantity(value), quantity(value - half), quantity(value + half)),
        estimated: datum.estimated,
        source: source_of(datum, KEY)?,
        seen: seen_of(&datum.seen, KEY)?,
    }))
}

fn diffusivity(datum: Option<&Datum>) -> Result<Option<Figure<DiffusionCoefficient>>, KeyFault> {
    const KEY: &str = "diffusivity_in_air";
    const SQUARE_METRES: f64 = 1e-4;
    let Some((datum, text)) = datum.and_then(|datum| Some((datum, datum.value.as_deref()?))) else {
        return Ok(None);
    };
    let value = stored(text, KEY, &["cm2/s"])?;
    if value <= 0.0 {
        return Err((KEY.to_owned(), format!("`{text}` is not above zero")));
    }
    let half = half_range(datum, KEY, value, "cm2/s")?;
    let quantity = |number: f64| si::square_metre_per_second(number * SQUARE_METRES);
    Ok(Some(Figure {
        estimate: Estimate::new(quantity(value), quantity(value - half), quantity(value + half)),
        estimated: datum.estimated,
        source: source_of(datum, KEY)?,
        seen: seen_of(&datum.seen, KEY)?,
    }))
}

/// The number of a stored text such as `"285.15 K"`, whose unit must be one of `units`.
pub(super) fn stored(text: &str, key: &str, units: &[&str]) -> Result<f64, KeyFault> {
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    if !units.contains(&unit) {
        return Err((key.to_owned(), format!("`{text}` has the unit `{unit}`; expected one of {units:?}")));
    }
    match number.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => Err((key.to_owned(), format!("`{number}` is no number"))),
    }
}

fn kelvins(text: &str, key: &str) -> Result<ThermodynamicTemperature, KeyFault> {
    let number = stored(text, key, &["K"])?;
    if number <= 0.0 {
        return Err((key.to_owned(), format!("`{text}` is not above 0 K")));
    }
    Ok(si::kelvin(number))
}

fn seen_of(word: &str, key: &str) -> Result<Seen, KeyFault> {
    source::seen(word)
        .ok_or_else(|| (key.to_owned(), format!("`seen` is `{word}`, which is not a known word")))
}

fn source_of(datum: &Datum, key: &str) -> Result<String, KeyFault> {
    datum.source.clone().ok_or_else(|| (key.to_owned(), "a value has no source".to_owned()))
}

/// Half of the 95 % range: absolute, or a share of the value.
fn half_range(datum: &Datum, key: &str, value: f64, unit: &str) -> Result<f64, KeyFault> {
    let Some(text) = datum.uncertainty.as_deref() else {
        return Err((key.to_owned(), "a value has no uncertainty".to_owned()));
    };
    if text.ends_with('%') {
        Ok(value.abs() * stored(text, key, &["%"])? / 100.0)
    } else {
        stored(text, key, &[unit])
    }
}

/// Values of the standard tables that were not chosen but are not known to be wrong: the range covers them.
fn others(datum: &Datum, key: &str, unit: &str) -> Result<Vec<f64>, KeyFault> {
    let usable = datum.instead_of.iter().filter(|other| other.verdict == "use" && other.source != "t-star");
    usable.map(|other| stored(&other.value, key, &[unit])).collect()
}

fn temperature(
    datum: Option<&Datum>,
    key: &str,
) -> Result<Option<Figure<ThermodynamicTemperature>>, KeyFault> {
    let Some((datum, text)) = datum.and_then(|datum| Some((datum, datum.value.as_deref()?))) else {
        return Ok(None);
    };
    let value = kelvins(text, key)?;
    let number = si::in_kelvin(value);
    let half = half_range(datum, key, number, "K")?;
    let (mut low, mut high) = (number - half, number + half);
    if key == "flash_point" {
        let usable = others(datum, key, "K")?;
        low = usable.iter().copied().fold(low, f64::min).min(lower_end_of_flash_point(datum, number)?);
        high = usable.into_iter().fold(high, f64::max);
    }
    let estimate = Estimate::new(value, si::kelvin(low), si::kelvin(high));
    Ok(Some(Figure {
        estimate,
        estimated: datum.estimated,
        source: source_of(datum, key)?,
        seen: seen_of(&datum.seen, key)?,
    }))
}

/// How low a flash point may lie beside its chosen value, K. A true value lies within 8 K above T*, the temperature at
/// which the saturated vapour reaches the lower limit: a value printed higher (often an upper bound whose sign was lost)
/// has a range that reaches there. A lower value of doubtful origin counts unless it lies more than 3 K below T*, where
/// no vapour could be lit.
fn lower_end_of_flash_point(datum: &Datum, chosen: f64) -> Result<f64, KeyFault> {
    const HIGHEST_ABOVE_K: f64 = 8.0;
    const LOWEST_BELOW_K: f64 = 3.0;
    let Some(star) = datum.instead_of.iter().find(|other| other.source == "t-star") else {
        return Ok(chosen);
    };
    let star = stored(&star.value, "flash_point", &["K"])?;
    let mut low = chosen.min(star + HIGHEST_ABOVE_K);
    for other in datum.instead_of.iter().filter(|other| other.verdict == "doubtful") {
        let other = stored(&other.value, "flash_point", &["K"])?;
        if other >= star - LOWEST_BELOW_K {
            low = low.min(other);
        }
    }
    Ok(low)
}

fn limit(datum: Option<&Datum>, key: &str) -> Result<Option<Figure<Ratio>>, KeyFault> {
    let Some((datum, text)) = datum.and_then(|datum| Some((datum, datum.value.as_deref()?))) else {
        return Ok(None);
    };
    let value = stored(text, key, &["mol/mol"])?;
    if value <= 0.0 || value >= 1.0 {
        return Err((key.to_owned(), format!("`{text}` is no fraction between 0 and 1")));
    }
    let half = half_range(datum, key, value, "mol/mol")?;
    let other = others(datum, key, "mol/mol")?;
    let low = if key == "upper_flammable_limit" {
        other.iter().copied().fold(value - half, f64::min)
    } else {
        value - half
    };
    let high = other.into_iter().fold(value + half, f64::max).min(1.0);
    let estimate = Estimate::new(si::fraction(value), si::fraction(low), si::fraction(high));
    Ok(Some(Figure {
        estimate,
        estimated: datum.estimated,
        source: source_of(datum, key)?,
        seen: seen_of(&datum.seen, key)?,
    }))
}

/// The coefficients of an equation as an array of the length that its form has.
fn coefficients<const N: usize>(equation: &Equation, key: &str) -> Result<[f64; N], KeyFault> {
    let numbers: Result<Vec<f64>, _> = equation.coefficients.iter().map(|text| text.parse::<f64>()).collect();
    let numbers =
        numbers.map_err(|_| (key.to_owned(), format!("{}: a coefficient is no number", equation.set)))?;
    // Trailing zeros are left out in some tables.
    let mut padded = numbers.clone();
    padded.resize(N.max(numbers.len()), 0.0);
    padded.try_into().map_err(|_| {
        (key.to_owned(), format!("{}: {} coefficients, its form has {N}", equation.set, numbers.len()))
    })
}

fn set(equation: &Equation) -> Result<Set, KeyFault> {
    let key = "vapour_pressure";
    let critical = || kelvins(equation.critical_temperature.as_deref().unwrap_or_default(), key);
    let pressure = || {
        Ok::<_, KeyFault>(si::pascal(stored(
            equation.critical_pressure.as_deref().unwrap_or_default(),
            key,
            &["Pa"],
        )?))
    };
    let form = match equation.form.as_str() {
        "antoine_log10" => Form::AntoineLog10(coefficients(equation, key)?),
        "antoine_ln" => Form::AntoineLn(coefficients(equation, key)?),
        "antoine_extended" => Form::AntoineExtended(coefficients(equation, key)?, critical()?),
        "dippr_101" => Form::Dippr101(coefficients(equation, key)?),
        "wagner_25_5" => Form::Wagner25(coefficients(equation, key)?, critical()?, pressure()?),
        "wagner_3_6" => Form::Wagner36(coefficients(equation, key)?, critical()?, pressure()?),
        other => return Err((key.into(), format!("the form `{other}` is not known"))),
    };
    let (from, to) = range(equation, key)?;
    Ok(Set { name: equation.set.clone(), form, from, to, doubtful: doubtful(equation, key)? })
}

fn doubtful(equation: &Equation, key: &str) -> Result<bool, KeyFault> {
    match equation.verdict.as_str() {
        "use" => Ok(false),
        "doubtful" => Ok(true),
        other => Err((key.to_owned(), format!("{}: the verdict `{other}` is not known", equation.set))),
    }
}

fn range(
    equation: &Equation,
    key: &str,
) -> Result<(ThermodynamicTemperature, ThermodynamicTemperature), KeyFault> {
    let (from, to) = (kelvins(&equation.valid.from, key)?, kelvins(&equation.valid.to, key)?);
    if from > to {
        return Err((
            key.to_owned(),
            format!(
                "{}: the range runs from {} down to {}",
                equation.set, equation.valid.from, equation.valid.to
            ),
        ));
    }
    Ok((from, to))
}

/// The sets in the order in which they are used: an Antoine set that agrees with the recommended one, the recommended
/// one, then the fixed order; doubtful ones last.
fn ordered(sets: Vec<Set>, recommended: Option<usize>) -> Vec<Set> {
    let recommended = recommended.and_then(|index| sets.get(index)).filter(|set| !set.doubtful).cloned();
    let by_hand = recommended.as_ref().map(|recommended| {
        let agrees = |set: &&Set| !set.doubtful && set.is_antoine() && agree(set, recommended);
        sets.iter().filter(agrees).min_by_key(|set| rank(&set.name)).map(|set| set.name.clone())
    });
    let first = by_hand.flatten();
    let second = recommended.map(|set| set.name);
    let mut sorted = sets;
    sorted.sort_by_key(|set| {
        let place = if Some(&set.name) == first.as_ref() {
            0
        } else if Some(&set.name) == second.as_ref() {
            1
        } else {
            2 + rank(&set.name)
        };
        (set.doubtful, place)
    });
    sorted
}

fn rank(name: &str) -> usize {
    ORDER.iter().position(|known| *known == name).unwrap_or(ORDER.len())
}

fn agree(set: &Set, recommended: &Set) -> bool {
    let (temperatures, share) = BY_HAND;
    temperatures.iter().all(|&number| {
        let temperature = si::celsius(number);
        let (own, other) = (set.form.at(temperature), recommended.form.at(temperature));
        set.covers(temperature)
            && recommended.covers(temperature)
            && ((own - other) / other).abs() <= si::fraction(share)
    })
}

/// The stated accuracy: that of the class, or the spread of all usable sets where it is larger; from 0 to 60 Cel, and
/// elsewhere.
fn accuracy(class: &str, sets: &[Set]) -> Result<(Accuracy, Accuracy), KeyFault> {
    let stated = match class {
        "A" => 0.01,
        "B" => 0.03,
        "C" => 0.10,
        "D" => return Ok((CLASS_D, CLASS_D)),
        other => return Err(("vapour_pressure_class".into(), format!("the class `{other}` is not A to D"))),
    };
    let spread = |temperature: ThermodynamicTemperature| {
        let mut usable = sets.iter().filter(|set| !set.doubtful && set.covers(temperature));
        let Some(first) = usable.next() else { return 0.0 };
        let value = first.form.at(temperature);
        let apart = |other: &Set| si::in_fraction(((other.form.at(temperature) - value) / value).abs());
        usable.map(apart).fold(0.0, f64::max)
    };
    let widest = |temperatures: &mut dyn Iterator<Item = ThermodynamicTemperature>| {
        temperatures.map(spread).fold(stated, f64::max)
    };
    let (coldest, hottest) = vapour_pressure::everyday();
    let grid = |range: std::ops::RangeInclusive<i32>| {
        range.step_by(5).map(|celsius| si::celsius(f64::from(celsius)))
    };
    let inside = |at: &ThermodynamicTemperature| coldest <= *at && *at <= hottest;
    // Where one set ends and the next takes over the figures step: there the sets are compared, too.
    let ends = || sets.iter().flat_map(|set| [set.from, set.to]);
    let elsewhere = grid(COMPARED_ELSEWHERE)
        .chain(ends().filter(|end| si::in_celsius(*end) >= -50.0 && si::in_celsius(*end) <= 150.0));
    let everyday = widest(&mut grid(0..=60).chain(ends().filter(inside)));
    Ok((Accuracy::Relative(everyday), Accuracy::Relative(widest(&mut elsewhere.into_iter()).max(everyday))))
}

/// The density at 20 Cel and the set that gives it: of the usable sets near there the one in the middle, since one set
/// may be off by more than the others (methanol: 0.4 %); of two the first in order.
fn density_at_20(
    equations: &[Equation],
    molar_mass: MolarMass,
) -> Result<(Figure<MassDensity>, density::Set), KeyFault> {
    let key = "density";
    let temperature = si::celsius(20.0);
    let mut usable = Vec::new();
    for name in ["Perry2-32", "VDI", "CRC"] {
        for equation in equations.iter().filter(|equation| equation.set == name && equation.verdict == "use")
        {
            usable.push((equation, density_set(equation, molar_mass)?));
        }
    }
    // Handbooks print many densities at 25 Cel: carried a few kelvins with the expansion they are as good.
    let near = |set: &density::Set| {
        set.covers(temperature) || set.covers(si::celsius(25.0)) || set.covers(si::celsius(15.0))
    };
    if usable.iter().any(|(_, set)| near(set)) {
        usable.retain(|(_, set)| near(set));
    }
    if usable.len() > 2 {
        usable.sort_by(|a, b| a.1.at(temperature).value.total_cmp(&b.1.at(temperature).value));
    }
    let middle = if usable.len() > 2 { usable.len() / 2 } else { 0 };
    let Some((equation, set)) = usable.into_iter().nth(middle) else {
        return Err((key.into(), "there is no usable density".into()));
    };
    let value = set.at(temperature);
    let estimate =
        Estimate::new(value, value * (1.0 - DENSITY_UNCERTAINTY), value * (1.0 + DENSITY_UNCERTAINTY));
    let figure = Figure {
        estimate,
        estimated: false,
        source: equation.source.clone(),
        seen: seen_of(&equation.seen, key)?,
    };
    Ok((figure, set))
}

/// The set by which a liquid expands: of the usable equations that reach from 15 to 50 Cel the one that gives its density,
/// else the first; where none does, the one that gives its density.
fn expansion(
    equations: &[Equation],
    molar_mass: MolarMass,
    density_set: &density::Set,
) -> Result<density::Expansion, KeyFault> {
    /// Handbook tables of expansions differ by so much.
    const EQUATIONS: f64 = 0.06;
    /// A single density with an expansion, or an equation that does not reach there (judgement).
    const SINGLE: f64 = 0.2;
    let (cold, hot) = (si::celsius(15.0), si::celsius(50.0));
    let mut reaching = Vec::new();
    for equation in equations.iter().filter(|equation| equation.verdict == "use") {
        let set = self::density_set(equation, molar_mass)?;
        if !matches!(set.form, density::Form::SingleValue(_)) && set.covers(cold) && set.covers(hot) {
            reaching.push(set);
        }
    }
    let grows = |set: &density::Set| si::in_fraction(set.at(cold) / set.at(hot)) - 1.0;
    let own = reaching.iter().find(|set| *set == density_set).or_else(|| reaching.first());
    let Some(set) = own.cloned() else {
        return Ok(density::Expansion { set: density_set.clone(), spread: SINGLE });
    };
    let apart = |other: &density::Set| (grows(other) / grows(&set) - 1.0).abs();
    let spread = reaching.iter().map(apart).fold(EQUATIONS, f64::max);
    Ok(density::Expansion { set, spread })
}

/// A density set from what is written of it.
pub(super) fn density_set(equation: &Equation, molar_mass: MolarMass) -> Result<density::Set, KeyFault> {
    let key = "density";
    let form = match equation.form.as_str() {
        "dippr_105" => density::Form::Dippr105(coefficients(equation, key)?, molar_mass),
        "ppds_10" => density::Form::Ppds10(
            coefficients(equation, key)?,
            kelvins(equation.critical_temperature.as_deref().unwrap_or_default(), key)?,
        ),
        "single_value" => {
            let [number] = coefficients::<1>(equation, key)?;
            density::Form::SingleValue(si::kilogram_per_cubic_metre(number))
        }
        other => return Err((key.into(), format!("the form `{other}` is not known"))),
    };
    let (from, to) = range(equation, key)?;
    let expansion = equation.expansion.as_deref().map_or(Ok(0.0), |text| stored(text, key, &["/K"]))?;
    Ok(density::Set { name: equation.set.clone(), form, from, to, expansion })
}

/// The sets of a property of the liquid or its vapour, those with the verdict `use` first.
fn liquid_sets<Q>(
    key: &str,
    equations: &[Equation],
    quantity: fn(f64) -> Q,
) -> Result<Vec<liquid_property::Set<Q>>, KeyFault> {
    let mut sets = equations
        .iter()
        .map(|equation| {
            let (from, to) = range(equation, key)?;
            Ok(liquid_property::Set {
                name: equation.set.clone(),
                source: equation.source.clone(),
                form: liquid_form(equation, key)?,
                from,
                to,
                doubtful: doubtful(equation, key)?,
                quantity,
            })
        })
        .collect::<Result<Vec<_>, KeyFault>>()?;
    sets.sort_by_key(|set| set.doubtful);
    Ok(sets)
}

/// The form of a property, brought to SI: tables print surface tensions in mN/m and heat capacities in J/(kmol K), too.
pub(super) fn liquid_form(equation: &Equation, key: &str) -> Result<liquid_property::Form, KeyFault> {
    use liquid_property::Form;
    let critical = || kelvins(equation.critical_temperature.as_deref().unwrap_or_default(), key);
    Ok(match (key, equation.form.as_str()) {
        (_, "single_value") => {
            let [number] = coefficients(equation, key)?;
            Form::SingleValue(number)
        }
        (_, "dippr_106") => Form::Dippr106(coefficients(equation, key)?, critical()?),
        ("heat_of_vaporisation", "ppds_12") => Form::Ppds12(coefficients(equation, key)?, critical()?),
        ("heat_capacity_liquid", "dippr_100") => {
            Form::Polynomial(coefficients::<5>(equation, key)?.map(|number| number / 1000.0))
        }
        ("heat_capacity_liquid", "dippr_114") => Form::Dippr114(coefficients(equation, key)?, critical()?),
        ("heat_capacity_liquid", "zabransky_cubic") => Form::ZabranskyCubic(coefficients(equation, key)?),
        ("heat_capacity_liquid", "zabransky_quasi_polynomial") => {
            Form::ZabranskyQuasiPolynomial(coefficients(equation, key)?, critical()?)
        }
        (_, "shomate") => Form::Shomate(coefficients(equation, key)?),
        ("heat_capacity_gas", "polynomial") => Form::Polynomial(coefficients(equation, key)?),
        ("heat_capacity_gas", "polynomial_r") => Form::PolynomialOverR(coefficients(equation, key)?),
        ("heat_capacity_gas", "trc") => Form::Trc(coefficients(equation, key)?),
        ("surface_tension", "jasper") => {
            Form::Jasper(coefficients::<2>(equation, key)?.map(|number| number / 1000.0))
        }
        ("surface_tension", "power_sum") => Form::PowerSum(coefficients(equation, key)?, critical()?),
        ("surface_tension", "somayajulu") => {
            Form::Somayajulu(coefficients::<3>(equation, key)?.map(|number| number / 1000.0), critical()?)
        }
        (_, other) => return Err((key.into(), format!("the form `{other}` is not known"))),
    })
}
