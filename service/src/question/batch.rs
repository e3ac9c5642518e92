//! A batch: one question a line, one answer a line, in the order of the lines (NDJSON).
//!
//! A line never affects another: each is read, asked and, should a question panic, caught by itself. HTTP bounds the whole; the command
//! line streams.

use super::{Context, Refusal, ask_into, json};
use brimline_openapi::problem::Problem;
use brimline_openapi::{Ending, Outcome, operations};
use serde_json::{Map, Value};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The name of a batch, where a question would stand.
pub const NAME: &str = "batch";
/// Longest line, octets.
pub const LONGEST_LINE: usize = 64 * 1024;
/// Most lines of one request over HTTP.
pub const MOST_LINES: usize = 25_000;
/// Byte order mark of UTF-8.
pub const MARK: &[u8] = b"\xef\xbb\xbf";
/// Status of a line that was refused for what it says.
const REFUSED: u16 = 422;

/// How many lines were answered and refused; blank ones count as neither.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines answered.
    pub answered: u64,
    /// Lines refused.
    pub refused: u64,
    /// Lines answered with a check over its limit, or with an outcome that is not known here.
    pub over_limit: u64,
    /// Lines that were refused, or whose answer is not complete and within its limits.
    pub not_within: u64,
}

impl Counts {
    /// A line that was answered.
    #[must_use]
    pub fn answered(ending: Ending) -> Self {
        let over_limit = u64::from(matches!(ending.outcome, Outcome::OverLimit | Outcome::Unknown));
        Self { answered: 1, refused: 0, over_limit, not_within: u64::from(!ending.is_within()) }
    }

    /// A line that was refused.
    #[must_use]
    pub const fn refused() -> Self {
        Self { answered: 0, refused: 1, over_limit: 0, not_within: 1 }
    }

    /// Whether there was no line to answer or refuse.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.answered == 0 && self.refused == 0
    }

    /// Counts others as well.
    pub const fn add(&mut self, other: Self) {
        self.answered += other.answered;
        self.refused += other.refused;
        self.over_limit += other.over_limit;
        self.not_within += other.not_within;
    }

    /// The last line of a reply: without it the batch is incomplete.
    #[must_use]
    pub fn end(self) -> String {
        let Self { answered, refused, .. } = self;
        format!(
            "{{\"end\":true,\"lines\":{},\"answered\":{answered},\"refused\":{refused}}}\n",
            answered + refused
        )
    }
}

/// Whether a line asks nothing. One that is too long is none of them, whatever it begins with.
#[must_use]
pub fn is_blank(number: u64, line: &[u8]) -> bool {
    let line = unmarked(number, line);
    line.len() <= LONGEST_LINE && line.trim_ascii().is_empty()
}

/// A line without the mark of their encoding that some programs write before the first one.
fn unmarked(number: u64, line: &[u8]) -> &[u8] {
    if number == 1 { line.strip_prefix(MARK).unwrap_or(line) } else { line }
}

/// Answers a line; its reply with the end of line is appended to `out`. `number` counts every line from 1, blank ones too.
pub fn answer(number: u64, line: &[u8], context: Context, out: &mut Vec<u8>) -> Counts {
    if is_blank(number, line) {
        return Counts::default();
    }
    let line = unmarked(number, line);
    let (reference, asked) = read(line.len(), line.trim_ascii());
    out.extend_from_slice(b"{\"line\":");
    out.extend_from_slice(itoa::Buffer::new().format(number).as_bytes());
    if let Some(reference) = reference {
        out.extend_from_slice(b",\"ref\":");
        out.extend_from_slice(reference.to_string().as_bytes());
    }
    let head = out.len();
    out.extend_from_slice(b",\"status\":200,\"answer\":");
    let answered = asked.and_then(|Line { question, request }| {
        // A question that panics leaves half a line at most, which is taken back.
        let caught = catch_unwind(AssertUnwindSafe(|| ask_into(&question, &request, context, out)));
        caught.unwrap_or_else(|_| {
            tracing::error!("a line of a batch panicked");
            Err(Refusal::whole("busy", "this line could not be answered; please report it"))
        })
    });
    let counts = match answered {
        Ok(ending) => Counts::answered(ending),
        Err(refusal) => {
            out.truncate(head);
            let problem = problem(&refusal);
            out.extend_from_slice(format!(",\"status\":{},\"problem\":", problem.status).as_bytes());
            out.extend_from_slice(serde_json::to_string(&problem).unwrap_or_default().as_bytes());
            Counts::refused()
        }
    };
    out.extend_from_slice(b"}\n");
    counts
}

/// The problem of a line: whatever is wrong with it, the batch was read.
fn problem(refusal: &Refusal) -> Problem {
    let mut problem = refusal.problem();
    if problem.status < 500 {
        problem.status = REFUSED;
    }
    problem
}

/// A line that can be asked.
struct Line {
    question: String,
    request: Value,
}

/// The `ref` of a line, and what it asks.
fn read(length: usize, text: &[u8]) -> (Option<Value>, Result<Line, Refusal>) {
    if length > LONGEST_LINE {
        let detail = format!("the line is longer than {LONGEST_LINE} octets");
        return (None, Err(Refusal::whole("too-large", detail)));
    }
    let mut line = match json::read(text) {
        Ok(Value::Object(line)) => line,
        Ok(_) => {
            let detail = "a line is an object like {\"question\": \"flash-point-margin\", \"request\": {…}}";
            return (None, Err(Refusal::whole("wrong-type", detail)));
        }
        Err(refusal) => return (None, Err(refusal)),
    };
    let reference = line.remove("ref");
    (reference, fields(line))
}

/// The question and request of a line. Faults of its own fields point into the line, those of its request into the request.
fn fields(mut line: Map<String, Value>) -> Result<Line, Refusal> {
    let mut faults = Vec::new();
    let mut fault =
        |pointer: &str, code, detail: String| faults.extend(Refusal::at(pointer, code, detail).faults);
    let question = match line.remove("question") {
        Some(Value::String(question)) if question == NAME => {
            fault("/question", "impossible-value", "a batch holds no batch".to_owned());
            None
        }
        Some(Value::String(question)) => Some(question),
        other => {
            let code = if other.is_some() { "wrong-type" } else { "missing-field" };
            fault("/question", code, "a line names its `question`, like \"flash-point-margin\"".to_owned());
            None
        }
    };
    let request = match line.remove("request") {
        Some(Value::Object(request)) => Some(request),
        other => {
            let code = if other.is_some() { "wrong-type" } else { "missing-field" };
            fault(
                "/request",
                code,
                "a line has a `request`, an object with the fields of the question".to_owned(),
            );
            None
        }
    };
    for name in line.keys() {
        let shown: String = name.chars().take(60).collect();
        let pointer = format!("/{}", super::reader::escaped(name));
        fault(
            &pointer,
            "unknown-field",
            format!("a line has no `{shown}`: it has `ref`, `question` and `request`"),
        );
    }
    let (Some(question), Some(mut request), true) = (question, request, faults.is_empty()) else {
        return Err(Refusal { faults });
    };
    let told =
        operations::question(&question).is_none() || request.get("detail").is_some_and(|one| !one.is_null());
    if !told {
        request.insert("detail".to_owned(), Value::String("figures".to_owned()));
    }
    Ok(Line { question, request: Value::Object(request) })
}
