//! Which liquid is meant: a catalogue name, synonym or CAS number, or a mixture by what was poured.

use super::field;
use super::reader::{Faults, Fields};
use super::record::Group;
use crate::catalogue::search::Named;
use crate::catalogue::{Catalogue, Substance};
use crate::liquid::{Given, Liquid};
use crate::quantity::round::significant;
use crate::quantity::{parse, si};
use brimline_openapi::answered::RecordedValue;
use brimline_openapi::{Component, Fractions, LiquidEcho, Text};
use serde_json::Value;
use std::cell::RefCell;
use std::collections::HashMap;

/// Most parts of a mixture.
const MOST_PARTS: usize = 20;
/// By how much fractions may miss one.
const SUM_TOLERANCE: f64 = 0.001;
/// Digits of an echoed fraction.
const ECHOED_DIGITS: u32 = 6;
/// A part is a liquid if it is one at this temperature, Cel.
const LIQUID_AT_CEL: f64 = 20.0;

/// The liquids that the questions of a plan have read, with what was computed of them.
#[derive(Debug, Default)]
pub struct Liquids(RefCell<HashMap<Value, Liquid>>);

/// Reads `liquid`; faults are gathered.
#[must_use]
pub fn read(fields: &Fields<'_>, catalogue: &'static Catalogue) -> Option<Liquid> {
    of_field(fields, "liquid", catalogue)
}

/// Reads a field that holds a liquid.
pub fn of_field(fields: &Fields<'_>, name: &'static str, catalogue: &'static Catalogue) -> Option<Liquid> {
    let value = fields.required(name, "a name, synonym or CAS number, such as \"ethanol\", or a mixture")?;
    let Some(liquids) = fields.liquids() else { return of_value(fields, name, value, catalogue) };
    if let Some(known) = liquids.0.borrow().get(value) {
        return Some(known.clone());
    }
    let found = of_value(fields, name, value, catalogue);
    if let Some(liquid) = found.as_ref().filter(|_| fields.faults().is_empty()) {
        liquids.0.borrow_mut().insert(value.clone(), liquid.clone());
    }
    found
}

fn of_value(
    fields: &Fields<'_>,
    name: &'static str,
    value: &Value,
    catalogue: &'static Catalogue,
) -> Option<Liquid> {
    match value {
        Value::String(text) => match named(text, || fields.at(name), fields.faults(), catalogue)? {
            Given::Substance(substance) => Some(Liquid::pure(substance)),
            Given::Mixture(mixture) => Some(Liquid::named(catalogue, mixture)),
        },
        Value::Object(_) => {
            let group = fields.group(name)?;
            let liquid = mixture(&group, catalogue);
            group.finish();
            liquid
        }
        _ => {
            let detail = "a liquid is a name, synonym or CAS number, or a mixture".to_owned();
            fields.faults().add("wrong-type", fields.at(name), detail, Some("ethanol".into()));
            None
        }
    }
}

/// Reads a liquid that stands in a list; faults are gathered.
pub fn of_list(
    fields: &Fields<'_>,
    list: &'static str,
    place: usize,
    value: &Value,
    catalogue: &'static Catalogue,
) -> Option<Liquid> {
    let pointer = format!("{}/{place}", fields.at(list));
    match value {
        Value::String(text) => match named(text, || pointer, fields.faults(), catalogue)? {
            Given::Substance(substance) => Some(Liquid::pure(substance)),
            Given::Mixture(mixture) => Some(Liquid::named(catalogue, mixture)),
        },
        Value::Object(_) => {
            let group = fields.item(list, place, value)?;
            let liquid = mixture(&group, catalogue);
            group.finish();
            liquid
        }
        _ => {
            let detail = "a liquid is a name, synonym or CAS number, or a mixture".to_owned();
            fields.faults().add("wrong-type", pointer, detail, Some("ethanol".into()));
            None
        }
    }
}

/// The substance that a name stands for; a fault where it is none, or a mixture.
pub fn substance(
    name: &str,
    pointer: String,
    fields: &Fields<'_>,
    catalogue: &'static Catalogue,
) -> Option<&'static Substance> {
    match named(name, || pointer.clone(), fields.faults(), catalogue)? {
        Given::Substance(substance) => Some(substance),
        Given::Mixture(mixture) => {
            let detail = format!("{} is a mixture; name its parts", mixture.name);
            fields.faults().add("wrong-type", pointer, detail, None);
            None
        }
    }
}

/// What a name stands for; its pointer is made where it stands for nothing.
fn named(
    name: &str,
    pointer: impl FnOnce() -> String,
    faults: &Faults,
    catalogue: &'static Catalogue,
) -> Option<Given> {
    match catalogue.index.find(name) {
        Some(Named::Substance(at)) => catalogue.substances.get(*at).map(Given::Substance),
        Some(Named::Mixture(at)) => catalogue.mixtures.get(*at).map(Given::Mixture),
        Some(Named::Ambiguous(may_mean)) => {
            let detail = format!("this name can mean {}", may_mean.join(", "));
            faults.add("ambiguous-substance", pointer(), detail, may_mean.first().cloned());
            None
        }
        None => {
            let near = if faults.suggests() { catalogue.index.nearest(name) } else { Vec::new() };
            let shown: String = name.chars().take(60).collect();
            let hint =
                if near.is_empty() { String::new() } else { format!("; nearest: {}", near.join(", ")) };
            let suggestion = near.first().map(|&name| name.to_owned());
            faults.add(
                "unknown-substance",
                pointer(),
                format!("`{shown}` is not in the catalogue{hint}"),
                suggestion,
            );
            None
        }
    }
}

/// How much of a part was given.
#[derive(Clone, Copy)]
enum Amount {
    /// Volume measured apart at 20 Cel, mL.
    Millilitres(f64),
    /// Mass, g.
    Grams(f64),
    /// Amount of substance, mol.
    Moles(f64),
    /// A fraction on the basis of the mixture.
    Fraction(f64),
}

fn mixture(group: &Fields<'_>, catalogue: &'static Catalogue) -> Option<Liquid> {
    let faults = group.faults();
    let basis = group.word(
        "basis",
        &[("mole", Fractions::Mole), ("mass", Fractions::Mass), ("volume", Fractions::Volume)],
    );
    let has_basis = group.value("basis").is_some();
    let value = group.required("mixture", "a list of parts, each with `substance` and `quantity`")?;
    let Some(list) = value.as_array() else {
        faults.add("wrong-type", group.at("mixture"), "`mixture` is a list of parts", None);
        return None;
    };
    if list.is_empty() || list.len() > MOST_PARTS {
        let detail = format!("a mixture has 1 to {MOST_PARTS} parts, these are {}", list.len());
        faults.add("outside-range", group.at("mixture"), detail, None);
        return None;
    }
    let mut parts = Vec::with_capacity(list.len());
    for (place, value) in list.iter().enumerate() {
        parts.push(part(group, value, place, has_basis, catalogue));
    }
    let parts: Option<Vec<(Given, Amount)>> = parts.into_iter().collect();
    let parts = parts.filter(|_| !has_basis || basis.is_some())?;
    if basis.is_some() {
        let fraction =
            |amount: &Amount| if let Amount::Fraction(fraction) = amount { *fraction } else { 0.0 };
        let sum: f64 = parts.iter().map(|(_, amount)| fraction(amount)).sum();
        if (sum - 1.0).abs() > SUM_TOLERANCE {
            let detail =
                format!("the fractions sum to {}, they must sum to 1", significant(sum, ECHOED_DIGITS));
            faults.add("fractions-do-not-sum", group.at("mixture"), detail, None);
            return None;
        }
    }
    let moles = |(given, amount): (Given, Amount)| {
        let moles = match (amount, basis) {
            (Amount::Millilitres(number), _) | (Amount::Fraction(number), Some(Fractions::Volume)) => {
                given.moles_of_volume(catalogue, number)
            }
            (Amount::Grams(number), _) | (Amount::Fraction(number), Some(Fractions::Mass)) => {
                given.moles_of_mass(catalogue, number)
            }
            (Amount::Moles(number) | Amount::Fraction(number), _) => number,
        };
        (given, moles)
    };
    Some(Liquid::mixed(catalogue, parts.into_iter().map(moles).collect()))
}

fn part(
    group: &Fields<'_>,
    value: &Value,
    place: usize,
    has_basis: bool,
    catalogue: &'static Catalogue,
) -> Option<(Given, Amount)> {
    let faults = group.faults();
    let part = group.item("mixture", place, value)?;
    let name = part.required("substance", "a name, synonym or CAS number");
    let given = match name {
        Some(Value::String(name)) => named(name, || part.at("substance"), faults, catalogue),
        Some(_) => {
            let detail = "a substance is a name, synonym or CAS number".to_owned();
            faults.add("wrong-type", part.at("substance"), detail, Some("ethanol".into()));
            None
        }
        None => None,
    };
    if let Some(Given::Substance(substance)) = given {
        let at = |figure: &Option<crate::catalogue::substance::Figure<_>>| {
            figure.as_ref().map(|figure| si::in_celsius(figure.estimate.value))
        };
        let gas = at(&substance.boiling_point).is_some_and(|boiling| boiling <= LIQUID_AT_CEL);
        let solid = at(&substance.melting_point).is_some_and(|melting| melting > LIQUID_AT_CEL);
        if gas || solid {
            let word = if gas { "a gas" } else { "a solid" };
            let detail = format!(
                "{} is {word} at {LIQUID_AT_CEL} Cel: what it does in a mixture is not computed",
                substance.name()
            );
            faults.add("outside-range", part.at("substance"), detail, None);
        }
    }
    let amount = amount(group, &part, has_basis);
    part.finish();
    Some((given?, amount?))
}

fn amount(group: &Fields<'_>, part: &Fields<'_>, has_basis: bool) -> Option<Amount> {
    let faults = part.faults();
    let (quantity, fraction) = (part.value("quantity"), part.value("fraction"));
    match (quantity, fraction) {
        (Some(_), Some(_)) => {
            let detail = "a part has a `quantity` or a `fraction`, not both".to_owned();
            faults.add("given-twice", part.at("fraction"), detail, None);
            None
        }
        (Some(_), None) if has_basis => {
            let detail = "with `basis` each part has a `fraction` in place of `quantity`".to_owned();
            faults.add("given-twice", part.at("quantity"), detail, None);
            None
        }
        (Some(value), None) => {
            // The dimension decides: a mass or an amount of substance where its unit says so, else a volume.
            let as_mass = parse::read(value, &field::LIQUID_MASS.field);
            let as_moles = parse::read(value, &field::AMOUNT_OF_SUBSTANCE.field);
            let other =
                |fault: &parse::Fault| matches!(fault.code, "unit-mismatch" | "unknown-unit" | "bare-number");
            if !as_mass.as_ref().is_err_and(other) {
                return part
                    .quantity("quantity", &field::LIQUID_MASS)
                    .map(|asked| Amount::Grams(asked.number));
            }
            if !as_moles.as_ref().is_err_and(other) {
                let asked = part.quantity("quantity", &field::AMOUNT_OF_SUBSTANCE);
                return asked.map(|asked| Amount::Moles(asked.number));
            }
            part.quantity("quantity", &field::LIQUID_VOLUME).map(|asked| Amount::Millilitres(asked.number))
        }
        (None, Some(_)) if !has_basis => {
            let detail = "`fraction` needs `basis`: mole, mass or volume".to_owned();
            faults.add("missing-field", group.at("basis"), detail, Some("volume".into()));
            None
        }
        (None, Some(_)) => part.fraction("fraction").map(Amount::Fraction),
        (None, None) => {
            let name = if has_basis { "fraction" } else { "quantity" };
            part.required(
                name,
                if has_basis { "a number, such as 0.3" } else { "what was poured, such as \"70 mL\"" },
            );
            None
        }
    }
}

/// The liquid as it was understood.
#[must_use]
pub fn echo(liquid: &Liquid) -> LiquidEcho {
    let usual = liquid.usual();
    let grams: f64 = usual.parts.iter().map(crate::liquid::Part::grams).sum();
    LiquidEcho {
        name: Text::Owned(liquid.name.clone()),
        id: liquid.id.map(Text::Borrowed),
        cas: liquid.substance().map(|substance| Text::Borrowed(substance.file.cas.as_str())),
        components: usual
            .parts
            .iter()
            .map(|part| Component {
                substance: Text::Borrowed(part.substance.id.as_str()),
                cas: Text::Borrowed(part.substance.file.cas.as_str()),
                mole_fraction: significant(part.fraction, ECHOED_DIGITS),
                mass_fraction: significant(part.grams() / grams, ECHOED_DIGITS),
            })
            .collect(),
    }
}

/// Records a liquid: its id, or its parts with mole fractions, from which the answer was computed.
pub fn record(liquid: &Liquid, name: &'static str, request: &mut Group) {
    if let Some(id) = liquid.id {
        request.word(name, id);
        return;
    }
    request.group(name, parts_of(liquid));
}

/// The same as a value of a list.
#[must_use]
pub fn recorded(liquid: &Liquid) -> RecordedValue {
    liquid.id.map_or_else(|| parts_of(liquid).into_value(), |id| RecordedValue::Word(id.into()))
}

fn parts_of(liquid: &Liquid) -> Group {
    let parts = liquid.given.iter().map(|(given, fraction)| {
        let mut part = Group::default();
        part.word("substance", given.id());
        part.number("fraction", *fraction);
        part.into_value()
    });
    let parts: Vec<RecordedValue> = parts.collect();
    let mut group = Group::default();
    group.word("basis", "mole");
    group.values("mixture", parts);
    group
}
