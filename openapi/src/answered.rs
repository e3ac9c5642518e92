//! What every reply carries.

use crate::{Quantity, Text};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The head of every reply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Verdict {
    /// One plain sentence, at most 200 characters, that can be shown alone.
    pub sentence: String,
    /// The worst status of all checks.
    pub outcome: Outcome,
    /// Whether every figure of this question could be given and every limit of it was considered.
    pub complete: bool,
}

impl Verdict {
    /// Whether the reply is complete and says that every limit that was checked holds; false where none was checked.
    #[must_use]
    pub const fn is_within(&self) -> bool {
        self.complete && self.outcome.is_within()
    }
}

/// What a reply rests on.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Basis {
    /// Every comparison with a limit; may be empty.
    pub checks: Vec<Check>,
    /// Figures that could not be given, and why.
    pub not_given: Vec<NotGiven>,
    /// Ids of the hazards and limits that were considered.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub considered: Vec<Text>,
    /// Hazards and limits that were not considered, and why.
    pub not_considered: Vec<Hazard>,
    /// Each default or judgement that was made, in words.
    pub assumptions: Vec<Assumption>,
    /// The equations used.
    pub methods: Vec<Method>,
    /// The published source of every datum used.
    pub sources: Vec<Source>,
    /// Cautions; the last one defers to local codes and a competent person.
    pub cautions: Vec<Caution>,
    /// What is needed to derive this reply again.
    pub record: Record,
}

/// The status of a check, and the worst of them as the outcome of a reply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// No check was made.
    NoLimitChecked,
    /// The unfavourable end is within the limit.
    WithinLimit,
    /// Within, but above 0.8 of the limit.
    NearLimit,
    /// A datum is missing, so that the limit could not be checked.
    NotAssessed,
    /// The unfavourable end is over the limit.
    OverLimit,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

impl Outcome {
    /// Whether it says that what was checked is within its limits: near a limit is within it; a word that is not known here is not.
    ///
    /// It says nothing of what could not be checked: see [`Verdict::is_within`].
    #[must_use]
    pub const fn is_within(self) -> bool {
        matches!(self, Self::WithinLimit | Self::NearLimit)
    }
}

/// One comparison with a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Check {
    /// Id of the check.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub check: Text,
    /// The question that makes this check.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub question: Text,
    /// What was found, with its range; absent where `not_assessed`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Quantity>,
    /// The limit, in the same unit.
    pub limit: Quantity,
    /// Which side of the limit is within it.
    pub must_be: MustBe,
    /// Unfavourable end / limit (`at_most`) or limit / unfavourable end (`at_least`), rounded up; absent where either is not positive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratio: Option<f64>,
    /// The status, decided on unrounded figures at the unfavourable end.
    pub status: Outcome,
    /// Why it could not be assessed, or what was assumed, or why no figure decides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// What the limit rests on.
    pub basis: Grounds,
    /// What the value rests on.
    pub evidence: Evidence,
    /// The smallest single change after which this check is no longer over its limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remedy: Option<Remedy>,
}

/// Which side of a limit is within it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum MustBe {
    /// At most the limit.
    AtMost,
    /// At least the limit.
    AtLeast,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// What a limit rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Grounds {
    /// Its kind.
    pub kind: BasisKind,
    /// In words.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub text: Text,
    /// Id of the source, where there is one.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Text>,
    /// Whether the source's text was seen.
    pub confirmed: bool,
}

/// The kind of thing a limit rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BasisKind {
    /// A law.
    Law,
    /// A published standard.
    Standard,
    /// Published guidance.
    Guidance,
    /// What the trade does, without a source.
    CommonPractice,
    /// A judgement of this project.
    Judgement,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// What a value rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Evidence {
    /// Published measurements within their range.
    Measured,
    /// An estimate, since no measurement is published.
    Estimated,
    /// An equation used outside its stated range.
    Extrapolated,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// The smallest single change of one input that brings a check within its limit; the whole question was asked again with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Remedy {
    /// What is changed, in a word: `amount`, `vessels`, `heating`, `air_changes`, …
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub change: Text,
    /// JSON pointer to the input in the request.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub field: Text,
    /// The new value in request form, rounded to the cautious side, for example `"12 mL"`.
    pub to: String,
    /// In words.
    pub text: String,
    /// The outcome of the whole question when it is asked again with the change.
    pub outcome_after: Outcome,
}

/// A figure that could not be given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct NotGiven {
    /// JSON pointer into the reply, where the figure would stand.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub pointer: Text,
    /// Why it is absent.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub reason: Text,
}

/// A hazard or limit that was not considered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Hazard {
    /// Its id.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// Why, and what to give so that it is.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub reason: Text,
}

/// A default or judgement that was made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Assumption {
    /// Its id: a rule's name where it is a rule.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// In words; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<Text>,
}

/// An equation that was used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Method {
    /// Its id; `/docs/methods/{id}` is its page.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// The equation; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub equation: Option<Text>,
    /// Where it is valid, and what happens outside; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valid_range: Option<Text>,
    /// Where it comes from; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Text>,
}

/// The published source of a datum that was used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Source {
    /// Key of the source.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// The data of the answer that come from it, by property name.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub data: Vec<Text>,
    /// The publication; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<Text>,
    /// How the text was seen.
    pub seen: Seen,
}

/// How the text of a source was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// The source itself was read.
    Source,
    /// A copy, or a data file that carries the figure, was read.
    Copy,
    /// Own arithmetic from named data.
    Derived,
    /// What the trade does; no source.
    CommonPractice,
    /// Written from memory: confirm before quoting it.
    Memory,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// A caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Caution {
    /// Its id.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// In words; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<Text>,
}

/// What is needed to derive a reply again.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Record {
    /// Version of the service.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub service_version: Text,
    /// SHA-256 over the catalogue's files, in hexadecimal.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub catalogue_version: Text,
    /// SHA-256 over the rules in force, in hexadecimal.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub rules: Text,
    /// SHA-256 of `request` in the order of RFC 8785, in hexadecimal; equal questions have equal digests.
    pub question_digest: String,
    /// The request with defaults filled in, names as ids, quantities in the field's unit; left out with `"detail": "figures"`.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::AnyObject))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub request: Option<Recorded>,
}

/// The recorded request: canonical JSON text in the service, any JSON object in a client.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Recorded(pub BTreeMap<Text, RecordedValue>);

/// One value of a recorded request: a quantity, a word, a number, a list, or a group of fields.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum RecordedValue {
    /// A switch.
    Switch(bool),
    /// A plain number; a whole one is written without a fraction.
    Number(RecordedNumber),
    /// A word or an id.
    Word(Text),
    /// A list, in the order given.
    List(Vec<RecordedValue>),
    /// A group of fields; a quantity is the group of `unit` and `value`.
    Group(BTreeMap<Text, RecordedValue>),
}

/// A number that prints as RFC 8785 wants it: whole numbers without a fraction.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(transparent)]
pub struct RecordedNumber(pub f64);

impl Serialize for RecordedNumber {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // 2^53: every whole double below it has an exact i64.
        const EXACT: f64 = 9_007_199_254_740_992.0;
        if self.0.fract() == 0.0 && self.0.abs() < EXACT {
            #[allow(clippy::cast_possible_truncation, reason = "whole and below 2^53")]
            serializer.serialize_i64(self.0 as i64)
        } else {
            serializer.serialize_f64(self.0)
        }
    }
}
