//! The catalogue as it is shown over HTTP.

use super::file::{Datum as StoredDatum, Equation, SubstanceFile};
use super::load::{Catalogue, catalogue};
use super::search::{Index, Named};
use super::source::seen;
use super::substance::Substance as Loaded;
use crate::quantity::round::{self, significant};
use crate::quantity::unit::{Dimension, UNITS};
use crate::quantity::{Estimate, si};
use crate::question::Refusal;
use brimline_openapi::catalogue::{
    Datum, HazardNotes, MixtureComposition, MixtureEntry, MixtureList, MixtureShare, NotUsedEquation,
    OtherValue, PublishedEquation, PublishedExposureLimit, Rule, RuleList, Substance, SubstanceEntry,
    SubstanceList, UnifacGroup, UnitEntry, UnitList, VapourPressureClass,
};
use brimline_openapi::recheck::ChangeList;
use brimline_openapi::{Caution, Quantity, Seen, Text};
use once_cell::sync::Lazy;
use std::collections::BTreeMap;

/// What a list of substances is asked for.
#[derive(Debug, Clone, Default)]
pub struct SubstanceQuery {
    /// Only those that match this text, best first.
    pub search: Option<String>,
    /// Only those that can, or cannot, burn.
    pub flammable: Option<bool>,
    /// At most so many.
    pub limit: usize,
    /// Only those after this cursor.
    pub after: Option<String>,
}

fn loaded() -> Result<&'static Catalogue, Refusal> {
    catalogue().map_err(|fault| Refusal::whole("busy", fault.to_string()))
}

/// A page of substances.
///
/// # Errors
/// `outside-range` for a cursor that is not one.
pub fn substances(query: &SubstanceQuery) -> Result<SubstanceList, Refusal> {
    let catalogue = loaded()?;
    let mut found: Vec<(u8, &Loaded)> = catalogue.substances.iter().map(|substance| (0, substance)).collect();
    if let Some(text) = &query.search {
        for (score, substance) in &mut found {
            let file = &substance.file;
            let mut names: Vec<&str> = vec![&substance.id, &file.name, &file.cas, &file.formula];
            names.extend(file.names.iter().chain(&file.inchikey).map(String::as_str));
            *score = Index::score(&names, text);
        }
        found.retain(|(score, _)| *score > 0);
        found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.id.cmp(&b.1.id)));
    }
    if let Some(flammable) = query.flammable {
        found.retain(|(_, substance)| substance.flammable() == Some(flammable));
    }
    // The cursor is the id of the last substance shown, so that it stays good while the catalogue grows.
    let start = match &query.after {
        None => 0,
        Some(after) => match found.iter().position(|(_, substance)| substance.id == *after) {
            Some(at) => at + 1,
            None => return Err(Refusal::at("/after", "outside-range", "`after` is no cursor of this list")),
        },
    };
    let page: Vec<&Loaded> =
        found.iter().skip(start).take(query.limit).map(|(_, substance)| *substance).collect();
    let more = found.len() > start + page.len();
    let next = if more { page.last().map(|substance| substance.id.clone()) } else { None };
    Ok(SubstanceList { items: page.into_iter().map(entry).collect(), next })
}

fn entry(substance: &Loaded) -> SubstanceEntry {
    SubstanceEntry {
        id: substance.id.clone(),
        name: substance.file.name.clone(),
        names: substance.file.names.clone(),
        cas: substance.file.cas.clone(),
        formula: substance.file.formula.clone(),
        flammable: substance.flammable(),
        flash_point: substance.flash_point.as_ref().map(|figure| {
            let Estimate { value, low, high } = figure.estimate;
            let celsius = si::in_celsius;
            let (value, low, high) =
                round::estimate(celsius(value), celsius(low), celsius(high), round::Place::Tenths);
            Quantity { value, unit: Text::Borrowed("Cel"), low: Some(low), high: Some(high) }
        }),
        flammable_liquid_category: substance.category(),
    }
}

/// A substance by id, name, synonym or CAS number.
///
/// # Errors
/// `unknown-substance` or `ambiguous-substance`.
pub fn substance(name: &str) -> Result<Substance, Refusal> {
    let catalogue = loaded()?;
    let found = match catalogue.index.find(name) {
        Some(Named::Substance(at)) => catalogue.substances.get(*at),
        Some(Named::Ambiguous(may_mean)) => {
            return Err(Refusal::whole(
                "ambiguous-substance",
                format!("`{name}` can mean {}", may_mean.join(", ")),
            ));
        }
        Some(Named::Mixture(at)) => {
            let named = catalogue.mixtures.get(*at).map_or("", |mixture| mixture.name.as_str());
            let detail = format!("`{name}` is the mixture {named}: see /v1/mixtures");
            return Err(Refusal::whole("unknown-substance", detail));
        }
        None => None,
    };
    let Some(found) = found else {
        let shown: String = name.chars().take(60).collect();
        let mut refusal =
            Refusal::whole("unknown-substance", format!("`{shown}` is not a substance of the catalogue"));
        if let Some(fault) = refusal.faults.first_mut() {
            fault.suggestion = catalogue.index.nearest(name).first().map(|&name| name.to_owned());
        }
        return Err(refusal);
    };
    Ok(shown(found, catalogue))
}

fn shown(substance: &Loaded, catalogue: &Catalogue) -> Substance {
    let file = &substance.file;
    let mut data = BTreeMap::new();
    let kept = [
        ("molar_mass", Some(&file.molar_mass)),
        ("flash_point", file.flash_point.as_ref()),
        ("lower_flammable_limit", file.lower_flammable_limit.as_ref()),
        ("upper_flammable_limit", file.upper_flammable_limit.as_ref()),
        ("autoignition_temperature", file.autoignition_temperature.as_ref()),
        ("boiling_point", file.boiling_point.as_ref()),
        ("melting_point", file.melting_point.as_ref()),
        ("critical_temperature", file.critical_temperature.as_ref()),
        ("critical_pressure", file.critical_pressure.as_ref()),
        ("enthalpy_of_formation_liquid", file.enthalpy_of_formation_liquid.as_ref()),
        ("heat_of_combustion_lower", file.heat_of_combustion_lower.as_ref()),
        ("heat_of_combustion_higher", file.heat_of_combustion_higher.as_ref()),
        ("diffusivity_in_air", file.diffusivity_in_air.as_ref()),
    ];
    for (name, stored) in kept {
        if let Some(stored) = stored {
            data.insert(name.to_owned(), datum(stored, range_of(substance, name)));
        }
    }
    data.insert("density".to_owned(), density(substance));
    let mut equations = BTreeMap::new();
    for (name, list) in [
        ("vapour_pressure", &file.vapour_pressure),
        ("density", &file.density),
        ("heat_of_vaporisation", &file.heat_of_vaporisation),
        ("surface_tension", &file.surface_tension),
        ("heat_capacity_liquid", &file.heat_capacity_liquid),
        ("heat_capacity_gas", &file.heat_capacity_gas),
    ] {
        if !list.is_empty() {
            equations.insert(name.to_owned(), published(name, list, substance, catalogue));
        }
    }
    for (name, figure) in at_25_celsius(substance).into_iter().chain(derived(substance)) {
        data.insert(name.to_owned(), figure);
    }
    Substance {
        id: substance.id.clone(),
        name: file.name.clone(),
        names: file.names.clone(),
        cas: file.cas.clone(),
        inchikey: file.inchikey.clone(),
        inchi: file.inchi.clone(),
        smiles: file.smiles.clone(),
        formula: file.formula.clone(),
        not_for_school_use: substance.not_for_school_use.clone(),
        flammable_liquid_category: substance.category(),
        vapour_pressure_class: VapourPressureClass {
            class: file.vapour_pressure_class.class.clone(),
            reason: file.vapour_pressure_class.reason.clone(),
        },
        data,
        equations,
        not_used: not_used(file),
        hazard: file.hazard.as_ref().map(hazard),
        exposure_limits: file.exposure_limit.iter().map(exposure_limit).collect(),
        unifac_groups: file.unifac_dortmund.iter().flat_map(|unifac| &unifac.groups).map(group).collect(),
        cautions: substance
            .cautions
            .iter()
            .map(|caution| Caution {
                id: Text::Owned(caution.id.clone()),
                text: Some(Text::Owned(caution.text.clone())),
            })
            .collect(),
    }
}

/// Properties that the equations give, at 25 Cel, by the set that the questions take.
fn at_25_celsius(substance: &Loaded) -> Vec<(&'static str, Datum)> {
    let temperature = si::celsius(25.0);
    let mut found = Vec::new();
    let mut add = |name, unit: &str, number: f64, share: f64, set: &str, source: &str| {
        let note = format!("at 25 Cel, by {set}");
        found.push((name, computed(number, unit, share, source, Seen::Copy, note)));
    };
    if let Some(set) = Loaded::first_in_range(&substance.heat_of_vaporisation, temperature) {
        let number = si::in_joule_per_mole(set.at(temperature)) / 1000.0;
        add("heat_of_vaporisation", "kJ/mol", number, 0.03, &set.name, &set.source);
    }
    for (name, sets) in [
        ("heat_capacity_liquid", &substance.heat_capacity_liquid),
        ("heat_capacity_gas", &substance.heat_capacity_gas),
    ] {
        if let Some(set) = Loaded::first_in_range(sets, temperature) {
            let number = si::in_joule_per_kelvin_mole(set.at(temperature));
            add(name, "J/(mol.K)", number, 0.05, &set.name, &set.source);
        }
    }
    if let Some(set) = Loaded::first_in_range(&substance.surface_tension, temperature) {
        let number = si::in_newton_per_metre(set.at(temperature)) * 1000.0;
        add("surface_tension", "mN/m", number, 0.05, &set.name, &set.source);
    }
    found
}

/// Figures that follow from the formula alone.
fn derived(substance: &Loaded) -> Vec<(&'static str, Datum)> {
    let source = "iupac-atomic-weights-2021";
    let weight = si::in_fraction(substance.relative_vapour_density());
    let note = "molar mass over that of dry air, 28.96 g/mol".to_owned();
    let mut found =
        vec![("relative_vapour_density", computed(weight, "1", 0.001, source, Seen::Derived, note))];
    if let Some(fraction) = substance.stoichiometric_fraction() {
        let note = "the share of its vapour in dry air (20.95 % oxygen) that burns with nothing left over"
            .to_owned();
        let figure = computed(si::in_percent(fraction), "%", 0.001, source, Seen::Derived, note);
        found.push(("stoichiometric_fraction", figure));
    }
    found
}

fn computed(number: f64, unit: &str, share: f64, source: &str, seen: Seen, note: String) -> Datum {
    let ends = Estimate::new(number, number * (1.0 - share), number * (1.0 + share));
    let (value, low, high) = round::estimate(ends.value, ends.low, ends.high, round::Place::FourDigits);
    Datum {
        value: Some(value),
        unit: Some(unit.to_owned()),
        low: Some(low),
        high: Some(high),
        as_stored: None,
        estimated: false,
        source: Some(source.to_owned()),
        locator: None,
        seen,
        note: Some(note),
        instead_of: Vec::new(),
    }
}

fn not_used(file: &SubstanceFile) -> BTreeMap<String, Vec<NotUsedEquation>> {
    let shown = |wrong: &super::file::NotUsed| NotUsedEquation {
        set: wrong.set.clone(),
        source: wrong.source.clone(),
        reason: wrong.reason.clone(),
    };
    [
        ("vapour_pressure", &file.vapour_pressure_wrong),
        ("density", &file.density_wrong),
        ("heat_of_vaporisation", &file.heat_of_vaporisation_wrong),
        ("surface_tension", &file.surface_tension_wrong),
        ("heat_capacity_liquid", &file.heat_capacity_liquid_wrong),
        ("heat_capacity_gas", &file.heat_capacity_gas_wrong),
    ]
    .into_iter()
    .filter_map(|(name, wrong)| Some((name.to_owned(), wrong.as_ref()?.not_used.iter().map(shown).collect())))
    .collect()
}

fn hazard(stored: &super::file::Hazard) -> HazardNotes {
    let peroxides = stored.peroxide_meaning.as_ref().map(|meaning| match &stored.peroxide_group {
        Some(group) => format!("group {group}: {meaning}"),
        None => meaning.clone(),
    });
    HazardNotes {
        classification: stored.classification.clone(),
        statements: stored.statements.clone(),
        family: stored.family.clone(),
        peroxides,
        static_conductivity: stored.static_conductivity.clone(),
        soot: stored.soot_tendency.clone(),
        flame_visibility: stored.flame_visibility.clone(),
        odour: stored.odour_note.clone(),
        waste_group: stored.waste_group.clone(),
        basis: stored.basis.clone(),
        seen: seen(&stored.seen).unwrap_or(Seen::Memory),
    }
}

fn exposure_limit(stored: &super::file::ExposureLimit) -> PublishedExposureLimit {
    PublishedExposureLimit {
        jurisdiction: stored.jurisdiction.clone(),
        list: stored.list.clone(),
        edition: stored.edition.clone(),
        kind: stored.kind.clone(),
        averaging_time: stored.averaging_time.clone(),
        volume_fraction: stored.volume_fraction.clone(),
        mass_concentration: stored.mass_concentration.clone(),
        skin: stored.skin.clone(),
        disputed: stored.disputed,
        seen: seen(&stored.seen).unwrap_or(Seen::Memory),
        note: stored.note.clone(),
    }
}

fn group(stored: &super::file::Group) -> UnifacGroup {
    UnifacGroup { subgroup: stored.subgroup, name: stored.name.clone(), count: stored.count }
}

/// The vapour pressure of a substance, kPa over Cel, in steps of 1 K from -20 to 60 Cel, where it is answered; of one that
/// is answered nowhere there, over the 80 K from the lowest temperature that is.
#[must_use]
pub fn vapour_pressure_curve(id: &str) -> Vec<(f64, f64)> {
    let Some(substance) = catalogue().ok().and_then(|catalogue| catalogue.by_id(id)) else {
        return Vec::new();
    };
    let at = |celsius: i32| {
        let celsius = f64::from(celsius);
        let found = substance.vapour.at(si::celsius(celsius)).ok()?;
        Some((celsius, si::in_kilopascal(found.pressure.value)))
    };
    let everyday: Vec<_> = (-20..=60).filter_map(at).collect();
    if everyday.len() > 1 {
        return everyday;
    }
    (61..=300).filter_map(at).take(81).collect()
}

/// The range that the questions use, where it is wider than the datum's own.
fn range_of(substance: &Loaded, name: &str) -> Option<(f64, f64)> {
    let temperature = |estimate: Estimate<_>| (si::in_celsius(estimate.low), si::in_celsius(estimate.high));
    let fraction = |estimate: Estimate<_>| (si::in_percent(estimate.low), si::in_percent(estimate.high));
    match name {
        "flash_point" => substance.flash_point.as_ref().map(|figure| temperature(figure.estimate)),
        "lower_flammable_limit" => substance.lower_limit.as_ref().map(|figure| fraction(figure.estimate)),
        "upper_flammable_limit" => substance.upper_limit.as_ref().map(|figure| fraction(figure.estimate)),
        _ => None,
    }
}

/// A stored unit, the unit it is shown in, and the conversion.
fn shown_unit(stored: &str) -> (&str, fn(f64) -> f64) {
    match stored {
        "K" => ("Cel", |number| si::in_celsius(si::kelvin(number))),
        "mol/mol" => ("%", |number| significant(number * 100.0, 12)),
        "Pa" => ("kPa", |number| significant(number / 1000.0, 12)),
        "J/mol" => ("kJ/mol", |number| significant(number / 1000.0, 12)),
        other => (other, |number| number),
    }
}

fn datum(stored: &StoredDatum, range: Option<(f64, f64)>) -> Datum {
    let split = stored.value.as_deref().and_then(|text| text.split_once(' '));
    let number = split.and_then(|(number, unit)| Some((number.parse::<f64>().ok()?, unit)));
    let (value, unit) = match number {
        Some((number, unit)) => {
            let (shown, convert) = shown_unit(unit);
            (Some(convert(number)), Some(shown.to_owned()))
        }
        None => (None, None),
    };
    let own = number.and_then(|(number, unit)| {
        let (half, half_unit) = stored.uncertainty.as_deref()?.split_once(' ')?;
        let half: f64 = half.parse().ok()?;
        let half = if half_unit == "%" { number.abs() * half / 100.0 } else { half };
        let (_, convert) = shown_unit(unit);
        Some((significant(convert(number - half), 6), significant(convert(number + half), 6)))
    });
    let range = if value.is_some() { range.or(own) } else { None };
    Datum {
        value,
        unit,
        low: range.map(|(low, _)| low),
        high: range.map(|(_, high)| high),
        as_stored: stored.value.clone(),
        estimated: stored.estimated,
        source: stored.source.clone(),
        locator: stored.locator.clone(),
        seen: seen(&stored.seen).unwrap_or(Seen::Memory),
        note: stored.note.clone(),
        instead_of: stored
            .instead_of
            .iter()
            .map(|other| OtherValue {
                value: other.value.clone(),
                source: other.source.clone(),
                reason: format!("{}: {}", other.verdict, other.reason),
            })
            .collect(),
    }
}

fn density(substance: &Loaded) -> Datum {
    let in_unit = |density| round::four_digits(si::in_kilogram_per_cubic_metre(density));
    let Estimate { value, low, high } = substance.density.estimate;
    Datum {
        value: Some(in_unit(value)),
        unit: Some("kg/m3".to_owned()),
        low: Some(in_unit(low)),
        high: Some(in_unit(high)),
        as_stored: None,
        estimated: false,
        source: Some(substance.density.source.clone()),
        locator: None,
        seen: substance.density.seen,
        note: Some("at 20 Cel, from the middle one of the usable sets in range; see `equations`".to_owned()),
        instead_of: Vec::new(),
    }
}

fn published(
    name: &str,
    list: &[Equation],
    substance: &Loaded,
    catalogue: &Catalogue,
) -> Vec<PublishedEquation> {
    let mut listed: Vec<&Equation> = list.iter().collect();
    if name == "vapour_pressure" {
        let place = |set: &str| substance.vapour.sets.iter().position(|known| known.name == set);
        listed.sort_by_key(|equation| place(&equation.set));
    }
    let formula = |form: &str| catalogue.forms.get(&format!("{name}.{form}")).cloned();
    listed
        .into_iter()
        .map(|equation| PublishedEquation {
            set: equation.set.clone(),
            form: formula(&equation.form)
                .unwrap_or_else(|| format!("single value, {}", equation.unit.as_deref().unwrap_or("1"))),
            coefficients: equation.coefficients.clone(),
            valid_range: format!("{} to {}", equation.valid.from, equation.valid.to),
            verdict: equation.verdict.clone(),
            reason: equation.reason.clone(),
            source: equation.source.clone(),
            locator: equation.locator.clone(),
            seen: seen(&equation.seen).unwrap_or(Seen::Memory),
        })
        .collect()
}

/// The mixtures that are recognised by name.
#[must_use]
pub fn mixtures() -> MixtureList {
    let known = catalogue().map(|catalogue| catalogue.mixtures.as_slice()).unwrap_or_default();
    let entry = |m: &super::load::NamedMixture| MixtureEntry {
        id: m.id.clone(),
        name: m.name.clone(),
        names: m.names.clone(),
        compositions: m
            .shares
            .iter()
            .map(|shares| MixtureComposition {
                basis: m.basis,
                parts: m
                    .parts
                    .iter()
                    .zip(shares)
                    .filter(|(_, share)| **share > 0.0)
                    .map(|(id, share)| MixtureShare {
                        substance: id.clone(),
                        share: Quantity::exact(*share, "%"),
                    })
                    .collect(),
            })
            .collect(),
        source: m.source.clone(),
        seen: seen(&m.seen).unwrap_or(Seen::Memory),
    };
    MixtureList { items: known.iter().map(entry).collect(), next: None }
}

/// The rules in force.
#[must_use]
pub fn rules() -> RuleList {
    let known = catalogue().map(|catalogue| catalogue.rules.as_slice()).unwrap_or_default();
    let rule = |rule: &super::rule::Rule| Rule {
        name: Text::Borrowed(rule.name),
        value: Quantity::exact(rule.number, rule.unit),
        stricter: rule.stricter,
        text: Text::Owned(rule.text.clone()),
        basis: rule.grounds.clone(),
        seen: match rule.grounds.source.as_deref() {
            Some("common-practice") => Seen::CommonPractice,
            Some("judgement") => Seen::Derived,
            _ if rule.grounds.confirmed => Seen::Source,
            _ => Seen::Memory,
        },
        may_be_replaced: Text::Borrowed(
            "stricter by any request; laxer only where the service was started with --allow-relaxed-rules and the request says in `relaxed_by` by whom and why",
        ),
    };
    RuleList { items: known.iter().map(rule).collect() }
}

/// What moved figures, by version.
#[must_use]
pub fn changes() -> &'static ChangeList {
    static CHANGES: Lazy<ChangeList> = Lazy::new(|| {
        let items = serde_json::from_str(include_str!(concat!(env!("OUT_DIR"), "/changes.json")));
        ChangeList { items: items.unwrap_or_default() }
    });
    &CHANGES
}

/// The units that requests may use.
#[must_use]
pub fn units() -> UnitList {
    let mut items = Vec::new();
    for dimension in Dimension::ALL {
        for unit in UNITS.iter().filter(|unit| unit.dimension == dimension) {
            items.push(UnitEntry {
                code: Text::Borrowed(unit.code),
                name: Text::Borrowed(unit.name),
                dimension: Text::Borrowed(dimension.name()),
                spellings: unit.spellings.iter().map(|&spelling| Text::Borrowed(spelling)).collect(),
            });
        }
    }
    UnitList { items }
}
