//! The record of a request: defaults filled in, names as ids, quantities in the field's unit; and its digest.

use super::Refusal;
use super::reader::Asked;
use crate::catalogue::Catalogue;
use crate::catalogue::load::hexadecimal;
use brimline_openapi::Text;
use brimline_openapi::answered::{Record, Recorded, RecordedNumber, RecordedValue};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// A group of recorded fields.
#[derive(Debug, Clone, Default)]
pub struct Group(BTreeMap<String, RecordedValue>);

impl Group {
    /// Records a quantity.
    pub fn quantity<Q>(&mut self, name: &str, asked: &Asked<Q>) {
        self.number_with_unit(name, asked.number, asked.unit);
    }

    /// Records a quantity where it was given.
    pub fn given<Q>(&mut self, name: &str, asked: Option<&Asked<Q>>) {
        if let Some(asked) = asked {
            self.quantity(name, asked);
        }
    }

    /// Records a number with its unit.
    pub fn number_with_unit(&mut self, name: &str, number: f64, unit: &str) {
        self.0.insert(name.to_owned(), quantity(number, unit));
    }

    /// Records a word or id.
    pub fn word(&mut self, name: &str, word: &str) {
        self.0.insert(name.to_owned(), RecordedValue::Word(word.to_owned()));
    }

    /// Records a switch.
    pub fn switch(&mut self, name: &str, switch: bool) {
        self.0.insert(name.to_owned(), RecordedValue::Switch(switch));
    }

    /// Records a plain number.
    pub fn number(&mut self, name: &str, number: f64) {
        self.0.insert(name.to_owned(), RecordedValue::Number(RecordedNumber(number)));
    }

    /// Records a list of quantities.
    pub fn list<Q>(&mut self, name: &str, asked: &[Asked<Q>]) {
        let values = asked.iter().map(|asked| quantity(asked.number, asked.unit)).collect();
        self.0.insert(name.to_owned(), RecordedValue::List(values));
    }

    /// Records a list of groups.
    pub fn values(&mut self, name: &str, values: Vec<RecordedValue>) {
        self.0.insert(name.to_owned(), RecordedValue::List(values));
    }

    /// The group as a value of a list.
    #[must_use]
    pub fn into_value(self) -> RecordedValue {
        RecordedValue::Group(self.0)
    }

    /// Records a group, unless it is empty.
    pub fn group(&mut self, name: &str, group: Self) {
        if !group.0.is_empty() {
            self.0.insert(name.to_owned(), RecordedValue::Group(group.0));
        }
    }
}

fn quantity(number: f64, unit: &str) -> RecordedValue {
    RecordedValue::Group(BTreeMap::from([
        ("unit".to_owned(), RecordedValue::Word(unit.to_owned())),
        ("value".to_owned(), RecordedValue::Number(RecordedNumber(number))),
    ]))
}

/// The record of a request.
///
/// # Errors
/// Only if the request cannot be written in the order of RFC 8785, which no recorded value causes.
pub fn record(catalogue: &'static Catalogue, request: Group, full: bool) -> Result<Record, Refusal> {
    let canonical = serde_json_canonicalizer::to_vec(&request.0)
        .map_err(|error| Refusal::whole("busy", error.to_string()))?;
    Ok(Record {
        service_version: Text::Borrowed(env!("CARGO_PKG_VERSION")),
        catalogue_version: Text::Borrowed(&catalogue.version),
        rules: Text::Borrowed(&catalogue.rules_version),
        question_digest: hexadecimal(&Sha256::digest(&canonical)),
        request: full.then_some(Recorded(request.0)),
    })
}
