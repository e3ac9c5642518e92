//! Which questions take long: milliseconds, where most take tens of microseconds.

use brimline_openapi::operations::{Format, RECHECK};
use serde_json::Value;

/// Questions that ask many others.
const ASK_OTHERS: [&str; 3] = ["practical", "comparison", RECHECK.name];
/// Fields of a question that ask for many points.
const MANY_POINTS: [&str; 2] = ["temperatures", "from"];
/// Parts of a mixture from which on a figure takes about a millisecond.
const MANY_PARTS: usize = 4;

/// A request of more octets takes long to read, whatever it asks.
const SHORT_REQUEST: usize = 8 * 1024;

/// Whether a question as it was sent may take more than about a millisecond. What it says is not yet checked: a guess that is
/// wrong costs time and nothing else.
#[must_use]
pub fn is_long(question: &str, request: &Value, format: Format, octets: usize) -> bool {
    octets > SHORT_REQUEST
        || ASK_OTHERS.contains(&question)
        || matches!(format, Format::Html | Format::Markdown)
        || MANY_POINTS.iter().any(|field| request.get(field).is_some())
        || request
            .pointer("/liquid/mixture")
            .and_then(Value::as_array)
            .is_some_and(|parts| parts.len() >= MANY_PARTS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn plans_curves_sheets_and_mixtures_of_many_parts_are_long() {
        let long = |question, request| is_long(question, &request, Format::Json, 100);
        assert!(long("practical", json!({})) && long("comparison", json!({})) && long("recheck", json!([])));
        assert!(long("vapour-pressure", json!({ "from": "0 Cel" })));
        assert!(long("spill", json!({ "liquid": { "mixture": [1, 2, 3, 4] } })));
        assert!(!long("spill", json!({ "liquid": { "mixture": [1, 2, 3] } })));
        assert!(!long("vapour-pressure", json!({ "temperature": "0 Cel" })));
        assert!(is_long("spill", &json!({}), Format::Html, 2));
        assert!(is_long("spill", &json!({}), Format::Json, 10_000));
    }
}
