//! How a request is refused: RFC 9457 problem documents, and the table of their kinds.

use crate::Text;
use serde::{Deserialize, Serialize};

/// A refusal (`application/problem+json`). Every independent fault of the request is listed at once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Problem {
    /// Path of the page that explains this kind of problem.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "/problems/unit-mismatch"))]
    #[serde(rename = "type")]
    pub kind: Text,
    /// The kind in a word; `several-faults` where the faults are of several kinds.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "unit-mismatch"))]
    pub code: Text,
    /// The kind in plain words.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub title: Text,
    /// The HTTP status.
    pub status: u16,
    /// What is wrong with this request.
    pub detail: String,
    /// Every fault, with its place.
    #[serde(default)]
    pub errors: Vec<Fault>,
}

/// One fault of a request.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Fault {
    /// The kind of fault in a word.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub code: Text,
    /// JSON pointer (RFC 6901) to the faulty value; a missing field is pointed at where it would stand; the whole request is `""`.
    pub pointer: String,
    /// What is wrong, and why.
    pub detail: String,
    /// What is expected instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected: Option<Expected>,
    /// What to write instead, where it can be guessed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub suggestion: Option<String>,
}

/// What a field expects.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Expected {
    /// The dimension, in words.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub dimension: Text,
    /// Accepted examples.
    pub examples: Vec<String>,
}

/// A kind of problem: one row for its page, its status, the document and the client.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProblemType {
    /// The code; `/problems/{code}` is its page.
    pub code: &'static str,
    /// The HTTP status of a document with only this kind of fault.
    pub status: u16,
    /// The kind in plain words.
    pub title: &'static str,
}

const fn row(code: &'static str, status: u16, title: &'static str) -> ProblemType {
    ProblemType { code, status, title }
}

/// Every kind of problem.
pub const PROBLEMS: &[ProblemType] = &[
    row("not-json", 400, "The request is not JSON"),
    row("not-decoded", 400, "The body could not be decoded"),
    row("duplicate-key", 400, "A key stands twice in one object"),
    row("nesting-too-deep", 400, "The request is nested too deeply"),
    row("bare-number", 422, "A quantity has no unit"),
    row("unknown-unit", 422, "A unit is not known"),
    row("unit-mismatch", 422, "A unit measures something else"),
    row("ambiguous-unit", 422, "A unit can be mistaken"),
    row("impossible-value", 422, "A value cannot exist"),
    row("implausible-value", 422, "A value is implausible"),
    row("outside-range", 422, "A value is outside the range of a method"),
    row("unknown-field", 422, "A field is not known"),
    row("missing-field", 422, "A field is missing"),
    row("wrong-type", 422, "A value is of the wrong type"),
    row("given-twice", 422, "The same thing is given twice"),
    row("unknown-substance", 422, "A substance is not in the catalogue"),
    row("ambiguous-substance", 422, "A name can mean several substances"),
    row("fractions-do-not-sum", 422, "The fractions of a mixture do not sum to one"),
    row("mixture-not-answered", 422, "This question does not answer mixtures"),
    row("missing-datum", 422, "The catalogue has no datum for this question"),
    row("relaxed-rule", 422, "A rule may not be made laxer here"),
    row("unknown-rule", 422, "A rule is not known"),
    row("several-faults", 422, "The request has several faults"),
    row("unauthorised", 401, "The request carries no token that is known here"),
    row("not-found", 404, "There is nothing at this path"),
    row("method-not-allowed", 405, "This path does not answer this method"),
    row("not-acceptable", 406, "The answer is not available in this format"),
    row("slow-body", 408, "The body did not arrive in time"),
    row("too-large", 413, "The request is too large"),
    row("too-long", 414, "The URL is too long"),
    row("unsupported-media-type", 415, "The body is not declared as JSON"),
    row("unsupported-coding", 415, "The body is coded in a way that is not read"),
    row("too-many-requests", 429, "Too many requests"),
    row("busy", 503, "The service is busy"),
    row("took-too-long", 503, "The answer took too long"),
];

/// The row of a code.
#[must_use]
pub fn problem_type(code: &str) -> Option<&'static ProblemType> {
    PROBLEMS.iter().find(|row| row.code == code)
}
