//! The record of a request: defaults filled in, names as ids, quantities in the field's unit; and its digest.

use super::Refusal;
use super::draft::Draft;
use super::json_text;
use super::reader::Asked;

use brimline_openapi::Text;
use brimline_openapi::answered::{Record, Recorded, RecordedNumber, RecordedValue};
use data_encoding::HEXLOWER;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// A group of recorded fields.
#[derive(Debug, Clone, Default)]
pub struct Group(BTreeMap<Text, RecordedValue>);

impl Group {
    /// Records a quantity.
    pub fn quantity<Q>(&mut self, name: &'static str, asked: &Asked<Q>) {
        self.number_with_unit(name, asked.number, asked.unit);
    }

    /// Records a quantity where it was given.
    pub fn given<Q>(&mut self, name: &'static str, asked: Option<&Asked<Q>>) {
        if let Some(asked) = asked {
            self.quantity(name, asked);
        }
    }

    /// Records a number with its unit.
    pub fn number_with_unit(&mut self, name: &'static str, number: f64, unit: &'static str) {
        self.0.insert(Text::Borrowed(name), quantity(number, unit));
    }

    /// Records a word or id.
    pub fn word(&mut self, name: &'static str, word: impl Into<Text>) {
        self.0.insert(Text::Borrowed(name), RecordedValue::Word(word.into()));
    }

    /// Records a plain number.
    pub fn number(&mut self, name: &'static str, number: f64) {
        self.0.insert(Text::Borrowed(name), RecordedValue::Number(RecordedNumber(number)));
    }

    /// Records true or false.
    pub fn switch(&mut self, name: &'static str, on: bool) {
        self.0.insert(Text::Borrowed(name), RecordedValue::Switch(on));
    }

    /// Records a list of quantities.
    pub fn list<Q>(&mut self, name: &'static str, asked: &[Asked<Q>]) {
        let values = asked.iter().map(|asked| quantity(asked.number, asked.unit)).collect();
        self.0.insert(Text::Borrowed(name), RecordedValue::List(values));
    }

    /// Records a list of groups.
    pub fn values(&mut self, name: &'static str, values: Vec<RecordedValue>) {
        self.0.insert(Text::Borrowed(name), RecordedValue::List(values));
    }

    /// Records a value as the request writes it.
    pub fn written(&mut self, name: &'static str, value: &Value) {
        if let Some(value) = as_written(value) {
            self.0.insert(Text::Borrowed(name), value);
        }
    }

    /// The group as a value of a list.
    #[must_use]
    pub fn into_value(self) -> RecordedValue {
        RecordedValue::Group(self.0)
    }

    /// Records a group, unless it is empty.
    pub fn group(&mut self, name: &'static str, group: Self) {
        if !group.0.is_empty() {
            self.0.insert(Text::Borrowed(name), RecordedValue::Group(group.0));
        }
    }
}

/// A JSON value as a recorded one; null counts as absent.
fn as_written(value: &Value) -> Option<RecordedValue> {
    Some(match value {
        Value::Null => return None,
        Value::Bool(on) => RecordedValue::Switch(*on),
        Value::Number(number) => RecordedValue::Number(RecordedNumber(number.as_f64()?)),
        Value::String(text) => RecordedValue::Word(text.clone().into()),
        Value::Array(items) => RecordedValue::List(items.iter().filter_map(as_written).collect()),
        Value::Object(map) => {
            let entries =
                map.iter().filter_map(|(key, value)| Some((key.clone().into(), as_written(value)?)));
            RecordedValue::Group(entries.collect())
        }
    })
}

fn quantity(number: f64, unit: &'static str) -> RecordedValue {
    RecordedValue::Group(BTreeMap::from([
        (Text::Borrowed("unit"), RecordedValue::Word(Text::Borrowed(unit))),
        (Text::Borrowed("value"), RecordedValue::Number(RecordedNumber(number))),
    ]))
}

/// A recorded request in the order of RFC 8785. The keys of a group are sorted by their octets, which is the order wanted as long as
/// they are ASCII, as the names of fields and rules are; for others the library sorts, which takes three times as long.
fn canonical(group: &Group) -> serde_json::Result<Vec<u8>> {
    if !ascii(&group.0) {
        return serde_json_canonicalizer::to_vec(&group.0);
    }
    json_text::canonical(&group.0)
}

fn ascii(group: &BTreeMap<Text, RecordedValue>) -> bool {
    fn keys(value: &RecordedValue) -> bool {
        match value {
            RecordedValue::Group(group) => ascii(group),
            RecordedValue::List(values) => values.iter().all(keys),
            _ => true,
        }
    }
    group.iter().all(|(key, value)| key.is_ascii() && keys(value))
}

/// The digest of a request that a record holds; `None` if it cannot be written in the order of RFC 8785.
#[must_use]
pub fn digest(request: &Value) -> Option<String> {
    let canonical = serde_json_canonicalizer::to_vec(request).ok()?;
    Some(HEXLOWER.encode(&Sha256::digest(&canonical)))
}

/// The record of a request.
///
/// # Errors
/// Only if the request cannot be written in the order of RFC 8785, which no recorded value causes.
pub fn record(draft: &Draft, request: Group) -> Result<Record, Refusal> {
    let catalogue = draft.catalogue;
    if !draft.whole {
        // A question that a plan asks on its way is in the record of the plan.
        return Ok(Record::default());
    }
    let canonical = canonical(&request).map_err(|error| Refusal::whole("busy", error.to_string()))?;
    Ok(Record {
        service_version: Text::Borrowed(env!("CARGO_PKG_VERSION")),
        catalogue_version: Text::Borrowed(&catalogue.version),
        rules: Text::Borrowed(&catalogue.rules_version),
        question_digest: HEXLOWER.encode(&Sha256::digest(&canonical)),
        request: draft.full.then_some(Recorded(request.0)),
    })
}
