//! A refusal for people: every fault, where it is, what stands there, what to write instead.

use brimline_openapi::Problem;
use brimline_openapi::problem::Fault;
use serde_json::Value;
use std::fmt::Write as _;

/// Characters that are shown of what stands at a place.
const SHOWN: usize = 60;

/// The text of a refusal.
#[must_use]
pub fn text(problem: &Problem, request: &Value) -> String {
    let mut text = match problem.errors.as_slice() {
        [_] | [] => "brimline: refused".to_owned(),
        faults => format!("brimline: refused for {} faults", faults.len()),
    };
    if problem.errors.is_empty() {
        let _ = write!(text, ": {}", problem.detail);
    }
    for fault in &problem.errors {
        told(fault, request, &mut text);
    }
    // A refusal tells what was asked, and may come over the network: nothing that a terminal would obey.
    text.retain(|one| one == '\n' || !one.is_control());
    text
}

fn told(fault: &Fault, request: &Value, text: &mut String) {
    let _ = write!(text, "\n  {}", fault.detail);
    if !fault.pointer.is_empty() {
        let _ = write!(text, "\n    at {}", place(&fault.pointer));
        if let Some(found) = request.pointer(&fault.pointer) {
            let found: String = found.to_string().chars().take(SHOWN).collect();
            let _ = write!(text, ": {found}");
        }
    }
    if let Some(suggestion) = &fault.suggestion {
        let _ = write!(text, "\n    write instead: {suggestion}");
    } else if let Some(expected) = &fault.expected {
        let _ = write!(text, "\n    write for example: {}", expected.examples.join(", "));
    }
}

/// A JSON pointer as the dotted name that a flag and a URL take.
fn place(pointer: &str) -> String {
    pointer.trim_start_matches('/').replace('/', ".").replace("~1", "/").replace("~0", "~")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::question::{self, Context, Written};
    use serde_json::json;

    #[test]
    fn nothing_that_a_terminal_would_obey_is_shown() {
        let fault = Fault {
            code: "unknown-field".into(),
            pointer: "/li\u{1b}[2Jquid".to_owned(),
            detail: "no \u{7}`li\u{9b}quid`".to_owned(),
            expected: None,
            suggestion: Some("liquid\r".to_owned()),
        };
        let problem = Problem {
            kind: "/problems/unknown-field".into(),
            code: "unknown-field".into(),
            title: "A field is not known".into(),
            status: 422,
            detail: String::new(),
            errors: vec![fault],
        };
        let told = text(&problem, &Value::Null);
        assert_eq!(told, "brimline: refused\n  no `liquid`\n    at li[2Jquid\n    write instead: liquid");
    }

    #[test]
    fn every_fault_is_told_with_its_place_and_what_stands_there() {
        let request =
            json!({ "liquid": "ethanoll", "room_temperature": "21 C", "room": { "volume": "6 s" } });
        let context = Context { relaxed_rules_allowed: false };
        let refusal = question::ask("flash-point-margin", &request, Written::Json, context).unwrap_err();
        let text = text(&refusal.problem(), &request);
        assert!(text.starts_with("brimline: refused for 3 faults\n"), "{text}");
        assert!(text.contains("\n    at room.volume: \"6 s\"\n"), "{text}");
        assert!(text.contains("\n    write instead: ethanol\n"), "{text}");
        assert!(text.contains("\n    at room_temperature: \"21 C\"\n"), "{text}");
    }
}
