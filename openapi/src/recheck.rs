//! `recheck`: whether today's version gives what an earlier answer said. `changes`: the list of what moved figures.

use crate::Text;
use crate::answered::{Outcome, Record, Recorded, RecordedNumber};
use serde::{Deserialize, Serialize};

/// An earlier answer, to be held against today's.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Recheck {
    /// The question that was asked, for example `"spill"`; may be left out where a recorded request names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
    /// The request as it was sent. Where it is left out, the recorded one is asked: what was assumed then counts as stated, so that
    /// a changed default does not show.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::AnyObject))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub request: Option<Recorded>,
    /// The `record` of the earlier reply; may be left out where `reply` holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub record: Option<Record>,
    /// The whole earlier reply, whose figures are held against today's.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::AnyObject))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reply: Option<Recorded>,
}

impl Recheck {
    /// Of the record of an earlier answer.
    #[must_use]
    pub fn of(record: Record) -> Self {
        Self { record: Some(record), ..Self::default() }
    }
}

// Not called `RecheckReply`: generators of clients give that name to the field `reply` of the request.
/// Whether today's version gives the same, and if not, what changed and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Rechecked {
    /// One plain sentence, at most 200 characters.
    pub sentence: String,
    /// Whether today's reply is the same: where a reply was sent, by its figures; else by the versions and digests.
    pub same: Same,
    /// The question.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub question: Text,
    /// Today's outcome.
    pub outcome: Outcome,
    /// Whether today's reply is complete; absent in replies of an older version.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub complete: Option<bool>,
    /// The outcome of the reply that was sent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcome_before: Option<Outcome>,
    /// Which parts of the record are others today.
    pub differs: Vec<Differs>,
    /// Figures and statuses of the sent reply that are others today, those that got worse first; at most 200. Texts are not compared.
    pub changed: Vec<Changed>,
    /// How many more there are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub more: Option<u64>,
    /// What the change log says of the versions since, for this question and its liquids.
    pub changes: Vec<Change>,
    /// The record of today's reply.
    pub record: Record,
}

/// Whether today's reply is the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Same {
    /// It is.
    Yes,
    /// It is not.
    No,
    /// Send `reply` to know.
    NotKnown,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// A part of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Differs {
    /// The version of the service.
    ServiceVersion,
    /// The published data.
    Catalogue,
    /// The rules in force.
    Rules,
    /// The request with its defaults filled in.
    Question,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// A figure or status that is another today.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Changed {
    /// JSON pointer into the reply that was sent; what is new, into today's reply.
    pub pointer: String,
    /// What it was; absent where it is new.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<Figure>,
    /// What it is today; absent where there is none any more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Figure>,
    /// Whether it is a status that got worse.
    pub worse: bool,
    /// What can have moved it; empty where nothing that is known can have.
    pub why: Vec<ChangeKind>,
}

/// A number, a word, or true or false.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(untagged)]
pub enum Figure {
    /// True or false.
    Switch(bool),
    /// A number.
    #[cfg_attr(feature = "document", schema(value_type = f64))]
    Number(RecordedNumber),
    /// A word.
    Word(String),
}

/// What can move a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ChangeKind {
    /// Published data.
    Catalogue,
    /// How it is computed, or what is checked.
    Method,
    /// A rule's figure.
    Rule,
    /// What is taken where nothing is given.
    Default,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// The change log: everything that moved a figure, in its order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ChangeList {
    /// The changes.
    pub items: Vec<Change>,
}

/// A change that moved figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Change {
    /// The version that brought it.
    pub version: String,
    /// Its kind.
    pub kind: ChangeKind,
    /// The questions whose answers it can move.
    pub questions: Vec<String>,
    /// Ids of the substances that it is about; absent where it is about every one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub substances: Vec<String>,
    /// Names of the rules that it is about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rules: Vec<String>,
    /// What changed, as Markdown of one line.
    pub text: String,
}
