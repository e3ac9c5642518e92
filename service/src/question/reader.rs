//! Walks a request with a JSON pointer and gathers every fault: derive stops at the first, the contract lists all.

use super::Written;
use super::liquid::Liquids;
use crate::quantity::parse::{self, Field};
use crate::quantity::unit::Dimension;
use brimline_openapi::Text;
use brimline_openapi::problem::{Expected, Fault};
use serde_json::{Map, Value};
use std::cell::RefCell;

/// Faults for which a nearest name is looked for.
const SUGGESTED: usize = 20;

/// The faults found so far.
#[derive(Debug, Default)]
pub struct Faults(RefCell<Vec<Fault>>);

impl Faults {
    /// Adds a fault.
    pub fn add(
        &self,
        code: &'static str,
        pointer: String,
        detail: impl Into<String>,
        suggestion: Option<String>,
    ) {
        self.push(Fault {
            code: Text::Borrowed(code),
            pointer,
            detail: detail.into(),
            expected: None,
            suggestion,
        });
    }

    /// Adds a whole fault.
    pub fn push(&self, fault: Fault) {
        self.0.borrow_mut().push(fault);
    }

    /// The faults, in the order of their pointers.
    #[must_use]
    pub fn take(self) -> Vec<Fault> {
        let mut faults = self.0.into_inner();
        faults.sort_by(|a, b| a.pointer.cmp(&b.pointer));
        faults
    }

    /// Whether a nearest name is looked for: for the first faults alone, since it takes long beside all else.
    #[must_use]
    pub fn suggests(&self) -> bool {
        self.0.borrow().len() < SUGGESTED
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.borrow().is_empty()
    }
}

/// A quantity as it was asked: the number in the unit of its field, and the unit-checked quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked<Q> {
    /// The number, rounded to 12 digits.
    pub number: f64,
    /// The UCUM unit of the field.
    pub unit: &'static str,
    /// The quantity.
    pub quantity: Q,
}

/// A field that holds a quantity.
#[derive(Debug, Clone, Copy)]
pub struct Typed<Q> {
    /// What it expects.
    pub field: Field,
    /// From a number in its unit to the quantity.
    pub to: fn(f64) -> Q,
}

impl<Q> Typed<Q> {
    /// The quantity of a number in the field's unit.
    pub fn asked(&self, number: f64) -> Asked<Q> {
        Asked { number, unit: self.field.unit, quantity: (self.to)(number) }
    }
}

/// The fields of one object of a request.
#[derive(Debug)]
pub struct Fields<'a> {
    map: Option<&'a Map<String, Value>>,
    pointer: String,
    known: RefCell<Vec<&'static str>>,
    faults: &'a Faults,
    written: Written,
    liquids: Option<&'a Liquids>,
}

/// A name as a part of a JSON pointer (RFC 6901).
#[must_use]
pub fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// How much of an unknown name is echoed.
const ECHOED: usize = 60;

impl<'a> Fields<'a> {
    /// The fields of the whole request.
    #[must_use]
    pub fn of(value: &'a Value, faults: &'a Faults, written: Written) -> Self {
        let map = value.as_object();
        if map.is_none() {
            faults.add("wrong-type", String::new(), "a request is a JSON object", None);
        }
        Self { map, pointer: String::new(), known: RefCell::default(), faults, written, liquids: None }
    }

    /// The same, where the liquids of other questions of the plan are known.
    #[must_use]
    pub fn keeping(self, liquids: &'a Liquids) -> Self {
        Self { liquids: Some(liquids), ..self }
    }

    /// The liquids that are known.
    #[must_use]
    pub const fn liquids(&self) -> Option<&'a Liquids> {
        self.liquids
    }

    /// The pointer of a field.
    #[must_use]
    pub fn at(&self, name: &str) -> String {
        format!("{}/{}", self.pointer, escaped(name))
    }

    /// The faults of the request.
    #[must_use]
    pub const fn faults(&self) -> &'a Faults {
        self.faults
    }

    /// The value of a field; null counts as absent.
    pub fn value(&self, name: &'static str) -> Option<&'a Value> {
        self.known.borrow_mut().push(name);
        self.map?.get(name).filter(|value| !value.is_null())
    }

    /// The value of a field that must be there.
    pub fn required(&self, name: &'static str, what: &str) -> Option<&'a Value> {
        let value = self.value(name);
        if value.is_none() && self.map.is_some() {
            self.faults.add("missing-field", self.at(name), format!("`{name}` is missing: {what}"), None);
        }
        value
    }

    /// A quantity.
    pub fn quantity<Q>(&self, name: &'static str, typed: &Typed<Q>) -> Option<Asked<Q>> {
        let value = self.value(name)?;
        self.read(value, || self.at(name), typed)
    }

    /// A quantity that must be there.
    pub fn required_quantity<Q>(&self, name: &'static str, typed: &Typed<Q>) -> Option<Asked<Q>> {
        if self.map.is_some_and(|map| map.get(name).is_none_or(Value::is_null)) {
            self.known.borrow_mut().push(name);
            let [first, second] = typed.field.examples;
            let detail = format!(
                "`{name}` is missing: a {}, like \"{first}\" or \"{second}\"",
                typed.field.dimension.name()
            );
            let expected = Some(expected(&typed.field));
            let code = Text::Borrowed("missing-field");
            self.faults.push(Fault { code, pointer: self.at(name), detail, expected, suggestion: None });
            return None;
        }
        self.quantity(name, typed)
    }

    /// A quantity from a value; its pointer is made where it is at fault.
    pub fn read<Q>(
        &self,
        value: &Value,
        pointer: impl FnOnce() -> String,
        typed: &Typed<Q>,
    ) -> Option<Asked<Q>> {
        match parse::read(value, &typed.field) {
            Ok(number) => Some(typed.asked(number)),
            Err(fault) => {
                self.faults.push(Fault {
                    code: Text::Borrowed(fault.code),
                    pointer: pointer(),
                    detail: fault.detail,
                    expected: Some(expected(&typed.field)),
                    suggestion: fault.suggestion,
                });
                None
            }
        }
    }

    /// A quantity of one of two kinds: the first that its unit fits.
    pub fn either<A, B>(
        &self,
        name: &'static str,
        first: &Typed<A>,
        second: &Typed<B>,
    ) -> Option<Either<A, B>> {
        let value = self.value(name)?;
        match parse::read(value, &first.field) {
            Err(fault)
                if fault.code == "unit-mismatch"
                    && parse::read(value, &second.field)
                        .map_or_else(|f| f.code != "unit-mismatch", |_| true) =>
            {
                self.read(value, || self.at(name), second).map(Either::Second)
            }
            _ => self.read(value, || self.at(name), first).map(Either::First),
        }
    }

    /// An object.
    pub fn group(&self, name: &'static str) -> Option<Fields<'a>> {
        let value = self.value(name)?;
        let map = value.as_object();
        if map.is_none() {
            self.faults.add("wrong-type", self.at(name), format!("`{name}` is an object"), None);
        }
        Some(Fields {
            map,
            pointer: self.at(name),
            known: RefCell::default(),
            faults: self.faults,
            written: self.written,
            liquids: self.liquids,
        })
    }

    /// An object in a list, whose place is part of its pointer.
    pub fn item(&self, list: &str, place: usize, value: &'a Value) -> Option<Fields<'a>> {
        let pointer = format!("{}/{place}", self.at(list));
        let map = value.as_object();
        if map.is_none() {
            self.faults.add(
                "wrong-type",
                pointer.clone(),
                format!("each part of `{list}` is an object"),
                None,
            );
        }
        Some(Fields {
            map: Some(map?),
            pointer,
            known: RefCell::default(),
            faults: self.faults,
            written: self.written,
            liquids: self.liquids,
        })
    }

    /// A plain number above zero and at most one.
    pub fn fraction(&self, name: &'static str) -> Option<f64> {
        let value = self.value(name)?;
        let number = match value {
            Value::Number(number) => number.as_f64(),
            Value::String(text) if self.written == Written::Query => text.parse::<f64>().ok(),
            _ => None,
        };
        let Some(number) = number.filter(|number| number.is_finite()) else {
            let detail = format!("`{name}` is a plain number, such as 0.3");
            self.faults.add("wrong-type", self.at(name), detail, None);
            return None;
        };
        if number <= 0.0 || number > 1.0 {
            let detail = format!("`{name}` is more than 0 and at most 1, this is {number}");
            self.faults.add("impossible-value", self.at(name), detail, None);
            return None;
        }
        Some(number)
    }

    /// An object that must be there.
    pub fn required_group(&self, name: &'static str, what: &str) -> Option<Fields<'a>> {
        self.required(name, what)?;
        self.group(name)
    }

    /// One of a few words.
    pub fn word<T: Copy>(&self, name: &'static str, words: &[(&'static str, T)]) -> Option<T> {
        let value = self.value(name)?;
        let found = value
            .as_str()
            .and_then(|text| words.iter().find(|(word, _)| *word == text))
            .map(|(_, meant)| *meant);
        if found.is_none() {
            let list: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let near = value.as_str().and_then(|text| nearest(text, list.iter().copied()));
            let detail = format!("`{name}` is one of {}", list.join(", "));
            self.faults.add("wrong-type", self.at(name), detail, near.map(str::to_owned));
        }
        found
    }

    /// True or false.
    pub fn switch(&self, name: &'static str) -> Option<bool> {
        let value = self.value(name)?;
        let found = match value {
            Value::Bool(on) => Some(*on),
            Value::String(text) if self.written == Written::Query => text.parse::<bool>().ok(),
            _ => None,
        };
        if found.is_none() {
            self.faults.add("wrong-type", self.at(name), format!("`{name}` is true or false"), None);
        }
        found
    }

    /// A text of at most so many characters.
    pub fn text(&self, name: &'static str, longest: usize) -> Option<&'a str> {
        let value = self.value(name)?;
        let text = value.as_str().filter(|text| text.chars().count() <= longest);
        if text.is_none() {
            self.faults.add(
                "wrong-type",
                self.at(name),
                format!("`{name}` is a text of at most {longest} characters"),
                None,
            );
        }
        text
    }

    /// A whole number that must be there, from 1 to `most`.
    pub fn required_count(&self, name: &'static str, most: u32) -> Option<u32> {
        let value = self.required(name, "a whole number")?;
        let number = match value {
            Value::Number(number) => number.as_f64(),
            Value::String(text) if self.written == Written::Query => text.parse::<f64>().ok(),
            _ => None,
        };
        match number {
            Some(number) if number.fract() == 0.0 && number >= 1.0 && number <= f64::from(most) =>
            {
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "whole and within u32"
                )]
                Some(number as u32)
            }
            Some(number) if number.fract() == 0.0 => {
                let code = if number < 1.0 { "impossible-value" } else { "implausible-value" };
                self.faults.add(code, self.at(name), format!("`{name}` is from 1 to {most}"), None);
                None
            }
            _ => {
                let detail = format!("`{name}` is a whole number without a unit, from 1 to {most}");
                self.faults.add("wrong-type", self.at(name), detail, None);
                None
            }
        }
    }

    /// Names and values of an object whose names are not fixed.
    pub fn entries(&self) -> impl Iterator<Item = (&'a String, &'a Value)> {
        self.map.into_iter().flatten()
    }

    /// Reports every field that was not asked for, with the nearest known name.
    pub fn finish(&self) {
        let Some(map) = self.map else { return };
        let known = self.known.borrow();
        if map.len() <= known.len() && map.keys().all(|name| known.contains(&name.as_str())) {
            return;
        }
        for name in map.keys().filter(|name| !known.contains(&name.as_str())) {
            let near = self.faults.suggests().then(|| nearest(name, known.iter().copied())).flatten();
            let shown: String = name.chars().take(ECHOED).collect();
            self.faults.add(
                "unknown-field",
                self.at(name),
                format!("`{shown}` is not a field here"),
                near.map(str::to_owned),
            );
        }
    }
}

/// One of two kinds of quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Either<A, B> {
    /// The first kind.
    First(Asked<A>),
    /// The second kind.
    Second(Asked<B>),
}

fn expected(field: &Field) -> Expected {
    let examples = field.examples.iter().map(|&example| example.to_owned()).collect();
    Expected { dimension: Text::Borrowed(dimension_word(field.dimension)), examples }
}

/// The dimension as one word for programs.
const fn dimension_word(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Rate => "number per time",
        other => other.name(),
    }
}

/// The known name nearest to `name`, if one is near.
pub fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    /// Names less alike than this are no help.
    const ALIKE: f64 = 0.7;
    let name: String = name.chars().take(ECHOED).collect::<String>().to_lowercase();
    let scored =
        known.map(|known| (strsim::jaro_winkler(known, &name), known)).filter(|(score, _)| *score >= ALIKE);
    scored.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(a.1))).map(|(_, known)| known)
}
