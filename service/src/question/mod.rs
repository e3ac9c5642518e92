//! One file per question of the API: joins catalogue, physics and checks.
//!
//! HTTP, batch lines and `brimline ask` are three doors to the one function [`ask`].

pub mod json;
pub mod query;
pub mod refusal;

pub use refusal::Refusal;

use brimline_openapi::Outcome;
use serde_json::Value;

/// What a question needs beside its request.
#[derive(Debug, Clone, Copy)]
pub struct Context {
    /// Whether a request may make a rule laxer (`--allow-relaxed-rules`).
    pub relaxed_rules_allowed: bool,
}

/// How the leaves of a request were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// As JSON: numbers are numbers.
    Json,
    /// As a query string: every leaf is text, so that a count `6` arrives as `"6"`.
    Query,
}

/// An answer, ready to send.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The reply as JSON text.
    pub json: Vec<u8>,
    /// The outcome of the reply.
    pub outcome: Outcome,
    /// Whether the reply is complete.
    pub complete: bool,
    /// The reply's series, where the question has one.
    pub series: Option<Series>,
}

/// A series for `text/csv`: one header row of dotted names with units, then the rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Column heads, for example `vapour_pressure.value [kPa]`.
    pub header: Vec<String>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
}

/// Answers a question.
///
/// # Errors
/// A [`Refusal`] that lists every independent fault of the request.
pub fn ask(question: &str, request: &Value, written: Written, context: Context) -> Result<Answer, Refusal> {
    let _ = (question, request, written, context);
    Err(Refusal { faults: Vec::new() })
}
