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

use super::file::Equation;
use super::substance::{KeyFault, Substance, density_set, stored};
use crate::physics::vapour_pressure::Set;
use crate::physics::{GAS_CONSTANT, maths, standard_pressure};
use crate::quantity::si;

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

/// Runs every check on a substance; `excused` tells whether a failing check of a set is a written exception.
///
/// # Errors
/// The key and what is wrong.
pub fn check(substance: &Substance, excused: impl Fn(&str, Option<&str>) -> bool) -> Result<(), KeyFault> {
    cas(&substance.file.cas)?;
    molar_mass(substance)?;
    for equation in &substance.file.vapour_pressure {
        let Some(set) = substance.vapour.sets.iter().find(|set| set.name == equation.set) else { continue };
        test_value(equation, "vapour_pressure", "Pa", |kelvins| {
            si::in_pascal(set.form.at(si::kelvin(kelvins)))
        })?;
        if set.doubtful {
            continue;
        }
        if let Err(reason) = boiling_point(substance, set)
            && !excused("boiling_point", Some(&set.name))
        {
            return Err(("vapour_pressure".into(), reason));
        }
        if let Err(reason) = heat_of_vaporisation(substance, set)
            && !excused("heat_of_vaporisation", Some(&set.name))
        {
            return Err(("vapour_pressure".into(), reason));
        }
    }
    for equation in &substance.file.density {
        let set = density_set(equation, substance.molar_mass)?;
        test_value(equation, "density", "kg/m3", |kelvins| {
            si::in_kilogram_per_cubic_metre(set.form.at(si::kelvin(kelvins)))
        })?;
    }
    match flash_point(substance) {
        Err(reason) if !excused("flash_point", None) => Err(("flash_point".into(), reason)),
        _ => Ok(()),
    }
}

fn cas(number: &str) -> Result<(), KeyFault> {
    let digits: Vec<u32> = number.chars().filter_map(|c| c.to_digit(10)).collect();
    let wrong = || ("cas".to_owned(), format!("`{number}` has a wrong check digit or form"));
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

fn molar_mass(substance: &Substance) -> Result<(), KeyFault> {
    let formula = &substance.file.formula;
    let weight =
        |element: &str| ATOMIC_WEIGHTS.iter().find(|(known, _)| *known == element).map(|(_, weight)| *weight);
    let sum: Option<f64> = atoms(formula)
        .and_then(|atoms| atoms.iter().map(|(e, n)| weight(e).map(|w| w * f64::from(*n))).sum());
    let own = si::in_gram_per_mole(substance.molar_mass);
    match sum {
        Some(sum) if (sum - own).abs() <= 0.05 => Ok(()),
        Some(sum) => Err(("molar_mass".into(), format!("{own} g/mol, but {formula} weighs {sum:.3} g/mol"))),
        None => Err(("formula".into(), format!("`{formula}` cannot be read"))),
    }
}

/// Agreement with a stored test value: double arithmetic.
const TEST_VALUE: f64 = 1e-7;
/// The same for densities: the tables' test values were made with molar masses that differ in the fifth digit (chlorine 35.453).
const DENSITY_TEST_VALUE: f64 = 1e-4;

fn test_value(equation: &Equation, key: &str, unit: &str, at: impl Fn(f64) -> f64) -> Result<(), KeyFault> {
    let temperature = stored(&equation.test.temperature, key, &["K"])?;
    let expected = stored(&equation.test.value, key, &[unit])?;
    let found = at(temperature);
    let allowed = if key == "density" { DENSITY_TEST_VALUE } else { TEST_VALUE };
    if ((found - expected) / expected).abs() <= allowed {
        Ok(())
    } else {
        Err((
            key.to_owned(),
            format!("{} gives {found} at {temperature} K, its test value is {expected}", equation.set),
        ))
    }
}

/// d ln p / dT of a set at a temperature, 1/K, by central difference.
fn slope(set: &Set, kelvins: f64) -> f64 {
    let at = |t: f64| maths::ln(si::in_pascal(set.form.at(si::kelvin(t))));
    (at(kelvins + 0.05) - at(kelvins - 0.05)) / 0.1
}

fn boiling_point(substance: &Substance, set: &Set) -> Result<(), String> {
    let Some(published) = &substance.boiling_point else { return Ok(()) };
    let boiling = si::in_kelvin(published.estimate.value);
    let short = (boiling - si::in_kelvin(set.to)).max(si::in_kelvin(set.from) - boiling).max(0.0);
    let allowed = 1.2 + if short > 5.0 { 0.1 * short } else { 0.0 };
    let ratio = si::in_fraction(set.form.at(published.estimate.value) / standard_pressure());
    let miss = -maths::ln(ratio) / slope(set, boiling);
    if miss.abs() <= allowed {
        Ok(())
    } else {
        Err(format!("{} misses the boiling point by {miss:.2} K, allowed are {allowed:.2} K", set.name))
    }
}

fn heat_of_vaporisation(substance: &Substance, set: &Set) -> Result<(), String> {
    let kelvins = 298.15;
    let published = substance.file.heat_of_vaporisation.iter().find(|equation| {
        equation.form == "single_value" && equation.set == "CRC" && equation.valid.from == "298.15 K"
    });
    let acid = substance.file.family.contains("acid");
    let Some(published) = published.filter(|_| set.covers(si::kelvin(kelvins)) && !acid) else {
        return Ok(());
    };
    let Some(published) = published.coefficients.first().and_then(|text| text.parse::<f64>().ok()) else {
        return Ok(());
    };
    let implied = GAS_CONSTANT * kelvins * kelvins * slope(set, kelvins);
    let off = implied / published - 1.0;
    if off.abs() <= 0.05 {
        Ok(())
    } else {
        Err(format!("{} implies a heat of vaporisation {:.1} % off", set.name, off * 100.0))
    }
}

fn flash_point(substance: &Substance) -> Result<(), String> {
    let (Some(flash), Some(limit)) = (&substance.flash_point, &substance.lower_limit) else { return Ok(()) };
    if limit.estimated || flash.estimated {
        return Ok(());
    }
    let Some(star) = substance.vapour.temperature_at(limit.estimate.value * standard_pressure()) else {
        return Ok(());
    };
    let off = si::in_kelvin(flash.estimate.value) - si::in_kelvin(star);
    if off.abs() <= 10.0 {
        Ok(())
    } else {
        Err(format!(
            "the flash point is {off:.1} K from the temperature at which p = L p0, and no reason is written"
        ))
    }
}
