//! What each substance must pass at the start: a fault stops it, unless a written exception explains it.
//!
//! | check | limit |
//! |---|---|
//! | CAS number | its check digit |
//! | molar mass | within 0.05 g/mol of the formula |
//! | equations | give their stored test value to 1e-7 (densities 1e-4) |
//! | boiling point | each set within 1.2 K, plus 0.1 K per K by which its range ends short of it |
//! | heat of vaporisation | each set at 25 Cel within 5 % (Clausius-Clapeyron); carboxylic acids excepted: they pair up in the vapour |
//! | flash point | within 10 K of the temperature at which p = L p0, unless L is itself estimated |
//! | lower limit | 0.35 to 0.75 of the stoichiometric fraction, unless it is itself estimated |

use super::file::Equation;
use super::substance::{KeyFault, Substance, density_set, liquid_form, stored};
use crate::physics::vapour_pressure::Set;
use crate::physics::{GAS_CONSTANT, maths, standard_pressure};
use crate::quantity::si;
use uom::si::f64::ThermodynamicTemperature;

/// Standard atomic weights, abridged (IUPAC 2021; from memory).
const ATOMIC_WEIGHTS: [(&str, f64); 9] = [
    ("H", 1.008),
    ("C", 12.011),
    ("N", 14.007),
    ("O", 15.999),
    ("Si", 28.085),
    ("S", 32.06),
    ("Cl", 35.45),
    ("Br", 79.904),
    ("I", 126.904_47),
];

/// A check that a substance does not pass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Key of the file.
    pub key: &'static str,
    /// The check.
    pub check: &'static str,
    /// The set that it was made on, if it was made on one.
    pub set: Option<String>,
    /// What is wrong.
    pub reason: String,
}

/// Every check that a substance does not pass, written exceptions or not.
///
/// # Errors
/// A stored text that cannot be read: its key and why.
pub fn findings(substance: &Substance) -> Result<Vec<Finding>, KeyFault> {
    let mut found = Vec::new();
    let mut note = |key, check, set: Option<&str>, outcome: Result<(), String>| {
        if let Err(reason) = outcome {
            found.push(Finding { key, check, set: set.map(str::to_owned), reason });
        }
    };
    let file = &substance.file;
    note("cas", "cas", None, cas(&file.cas));
    note("molar_mass", "molar_mass", None, molar_mass(substance));
    for (equation, set) in named(&file.vapour_pressure, &substance.vapour.sets, |set| &set.name) {
        let own = Some(set.name.as_str());
        let key = "vapour_pressure";
        let given = |temperature| si::in_pascal(set.form.at(temperature));
        note(key, "test_value", own, test_value(equation, key, "Pa", given)?);
        if !set.doubtful {
            note(key, "boiling_point", own, boiling_point(substance, set));
            note(key, "heat_of_vaporisation", own, heat_of_vaporisation(substance, set));
        }
    }
    for equation in &file.density {
        let set = density_set(equation, substance.molar_mass)?;
        let given = |temperature| si::in_kilogram_per_cubic_metre(set.form.at(temperature));
        note("density", "test_value", Some(&set.name), test_value(equation, "density", "kg/m3", given)?);
    }
    for (key, equations, unit) in [
        ("heat_of_vaporisation", &file.heat_of_vaporisation, "J/mol"),
        ("heat_capacity_liquid", &file.heat_capacity_liquid, "J/(mol K)"),
        ("heat_capacity_gas", &file.heat_capacity_gas, "J/(mol K)"),
        ("surface_tension", &file.surface_tension, "N/m"),
    ] {
        for equation in equations {
            let form = liquid_form(equation, key)?;
            let given = |temperature| form.at(temperature);
            note(key, "test_value", Some(&equation.set), test_value(equation, key, unit, given)?);
        }
    }
    note("flash_point", "flash_point", None, flash_point(substance));
    note("lower_flammable_limit", "stoichiometry", None, stoichiometry(substance));
    Ok(found)
}

/// Equations of a file with the sets made of them.
fn named<'a, S>(
    equations: &'a [Equation],
    sets: &'a [S],
    name: impl Fn(&S) -> &String,
) -> Vec<(&'a Equation, &'a S)> {
    let with = |equation: &'a Equation| {
        sets.iter().find(|set| *name(set) == equation.set).map(|set| (equation, set))
    };
    equations.iter().filter_map(with).collect()
}

fn cas(number: &str) -> Result<(), String> {
    let digits: Vec<u32> = number.chars().filter_map(|c| c.to_digit(10)).collect();
    let wrong = || format!("`{number}` has a wrong check digit or form");
    let Some((check, rest)) = digits.split_last() else { return Err(wrong()) };
    let sum: u32 = rest.iter().rev().zip(1..).map(|(digit, place)| digit * place).sum();
    let shaped = number.split('-').count() == 3 && number.chars().all(|c| c.is_ascii_digit() || c == '-');
    if shaped && sum % 10 == *check { Ok(()) } else { Err(wrong()) }
}

/// The atoms of a formula such as `C2H6O`; `None` where it cannot be read.
#[must_use]
pub fn atoms(formula: &str) -> Option<Vec<(String, u32)>> {
    let mut atoms = Vec::new();
    let mut rest = formula;
    while !rest.is_empty() {
        let end = rest
            .char_indices()
            .skip(1)
            .find(|(_, c)| !c.is_ascii_lowercase())
            .map_or(rest.len(), |(at, _)| at);
        let (element, after) = rest.split_at_checked(end)?;
        if !element.starts_with(|c: char| c.is_ascii_uppercase()) {
            return None;
        }
        let digits = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        let (count, next) = after.split_at_checked(digits)?;
        atoms.push((element.to_owned(), if count.is_empty() { 1 } else { count.parse().ok()? }));
        rest = next;
    }
    Some(atoms)
}

/// By how much the stored molar mass exceeds that of the formula, g/mol; `None` where the formula cannot be read.
#[must_use]
pub fn molar_mass_gap(substance: &Substance) -> Option<f64> {
    let weight =
        |element: &str| ATOMIC_WEIGHTS.iter().find(|(known, _)| *known == element).map(|(_, weight)| *weight);
    let atoms = atoms(&substance.file.formula)?;
    let sum: Option<f64> = atoms.iter().map(|(e, n)| weight(e).map(|w| w * f64::from(*n))).sum();
    Some(si::in_gram_per_mole(substance.molar_mass) - sum?)
}

fn molar_mass(substance: &Substance) -> Result<(), String> {
    let formula = &substance.file.formula;
    match molar_mass_gap(substance) {
        Some(gap) if gap.abs() <= 0.05 => Ok(()),
        Some(gap) => Err(format!("it is {gap:.3} g/mol more than {formula} weighs")),
        None => Err(format!("the formula `{formula}` cannot be read")),
    }
}

/// Agreement with a stored test value: double arithmetic.
const TEST_VALUE: f64 = 1e-7;
/// The same for densities: the tables' test values were made with molar masses that differ in the fifth digit (chlorine 35.453).
const DENSITY_TEST_VALUE: f64 = 1e-4;

fn test_value(
    equation: &Equation,
    key: &str,
    unit: &str,
    at: impl Fn(ThermodynamicTemperature) -> f64,
) -> Result<Result<(), String>, KeyFault> {
    let temperature = stored(&equation.test.temperature, key, &["K"])?;
    let expected = stored(&equation.test.value, key, &[unit])?;
    let found = at(si::kelvin(temperature));
    let allowed = if key == "density" { DENSITY_TEST_VALUE } else { TEST_VALUE };
    Ok(if ((found - expected) / expected).abs() <= allowed {
        Ok(())
    } else {
        Err(format!("{} gives {found} at {temperature} K, its test value is {expected}", equation.set))
    })
}

/// d ln p / dT of a set at a temperature, 1/K, by central difference.
fn slope(set: &Set, kelvins: f64) -> f64 {
    let at = |t: f64| maths::ln(si::in_pascal(set.form.at(si::kelvin(t))));
    (at(kelvins + 0.05) - at(kelvins - 0.05)) / 0.1
}

/// By how much a set misses the published boiling point, and by how much it may, K.
#[must_use]
pub fn boiling_point_miss(substance: &Substance, set: &Set) -> Option<(f64, f64)> {
    let published = substance.boiling_point.as_ref()?;
    let boiling = si::in_kelvin(published.estimate.value);
    let short = (boiling - si::in_kelvin(set.to)).max(si::in_kelvin(set.from) - boiling).max(0.0);
    let allowed = 1.2 + if short > 5.0 { 0.1 * short } else { 0.0 };
    let ratio = si::in_fraction(set.form.at(published.estimate.value) / standard_pressure());
    Some((-maths::ln(ratio) / slope(set, boiling), allowed))
}

fn boiling_point(substance: &Substance, set: &Set) -> Result<(), String> {
    match boiling_point_miss(substance, set) {
        Some((miss, allowed)) if miss.abs() > allowed => {
            Err(format!("{} misses the boiling point by {miss:.2} K, allowed are {allowed:.2} K", set.name))
        }
        _ => Ok(()),
    }
}

/// By which share the heat of vaporisation that a set implies at 25 Cel differs from the published one.
#[must_use]
pub fn heat_of_vaporisation_gap(substance: &Substance, set: &Set) -> Option<f64> {
    let kelvins = 298.15;
    let published = substance.file.heat_of_vaporisation.iter().find(|equation| {
        equation.form == "single_value" && equation.set == "CRC" && equation.valid.from == "298.15 K"
    });
    let acid = substance.file.family.contains("acid");
    let published = published.filter(|_| set.covers(si::kelvin(kelvins)) && !acid)?;
    let published = published.coefficients.first()?.parse::<f64>().ok()?;
    Some(GAS_CONSTANT * kelvins * kelvins * slope(set, kelvins) / published - 1.0)
}

fn heat_of_vaporisation(substance: &Substance, set: &Set) -> Result<(), String> {
    match heat_of_vaporisation_gap(substance, set) {
        Some(off) if off.abs() > 0.05 => {
            Err(format!("{} implies a heat of vaporisation {:.1} % off", set.name, off * 100.0))
        }
        _ => Ok(()),
    }
}

/// By how much the published flash point lies above the temperature at which p = L p0, K.
#[must_use]
pub fn flash_point_gap(substance: &Substance) -> Option<f64> {
    let (flash, limit) = (substance.flash_point.as_ref()?, substance.lower_limit.as_ref()?);
    if limit.estimated || flash.estimated {
        return None;
    }
    let star = substance.vapour.temperature_at(limit.estimate.value * standard_pressure())?;
    Some(si::in_kelvin(flash.estimate.value) - si::in_kelvin(star))
}

fn flash_point(substance: &Substance) -> Result<(), String> {
    match flash_point_gap(substance) {
        Some(off) if off.abs() > 10.0 => Err(format!(
            "the flash point is {off:.1} K from the temperature at which p = L p0, and no reason is written"
        )),
        _ => Ok(()),
    }
}

/// Published lower limits lie between these shares of the stoichiometric fraction: 0.55 is the usual rule for
/// hydrocarbons (Jones 1938; from memory), 0.40 the share used where no limit is published.
const SHARES: (f64, f64) = (0.35, 0.75);

/// The published lower limit as a share of the stoichiometric fraction.
#[must_use]
pub fn stoichiometric_share(substance: &Substance) -> Option<f64> {
    let limit = substance.lower_limit.as_ref().filter(|limit| !limit.estimated)?;
    Some(si::in_fraction(limit.estimate.value / substance.stoichiometric_fraction()?))
}

fn stoichiometry(substance: &Substance) -> Result<(), String> {
    match stoichiometric_share(substance) {
        Some(share) if !(SHARES.0..=SHARES.1).contains(&share) => Err(format!(
            "the lower limit is {share:.2} of the stoichiometric fraction, and no reason is written"
        )),
        _ => Ok(()),
    }
}
