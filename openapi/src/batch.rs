//! `batch`: one question a line, one answer a line (NDJSON).

use crate::answered::Recorded;
use crate::problem::Problem;
use serde::{Deserialize, Serialize};

/// A line of a batch. The body holds one a line; blank lines are skipped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct BatchLine {
    /// Anything that tells the line apart; it comes back with the answer.
    #[cfg_attr(feature = "document", schema(value_type = serde_json::Value))]
    #[serde(rename = "ref", default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<serde_json::Value>,
    /// The question, for example `"flash-point-margin"`.
    pub question: String,
    /// Its fields; `detail` is `"figures"` where it is not given.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::AnyObject))]
    pub request: Recorded,
}

/// A line of the reply: the answer to a line of the batch, in their order, or the last one, which has `end`. Without the last one the
/// batch is incomplete.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct BatchReplyLine {
    /// The number of the line that is answered, from 1; blank lines count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
    /// The `ref` of that line.
    #[cfg_attr(feature = "document", schema(value_type = serde_json::Value))]
    #[serde(rename = "ref", default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<serde_json::Value>,
    /// 200 with `answer`; 422, or 503 where the service failed at it, with `problem`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<u16>,
    /// The reply of the question.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::AnyObject))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<serde_json::Value>,
    /// Why the line was refused; pointers of its request begin there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub problem: Option<Problem>,
    /// The last line says `true`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end: Option<bool>,
    /// How many lines there were, without blank ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lines: Option<u64>,
    /// How many of them were answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answered: Option<u64>,
    /// How many were refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<u64>,
}
