//! Requests that were right once: the examples of every question, changed, as bodies and as query strings.

use crate::mutation::{Change, mutated, with_unknown};
use crate::reply;
use crate::run::{Seen, run};
use brimline_openapi::operations::{self, Format};
use brimline_service::http::picture;
use brimline_service::question::{self, Context, Written, json, query};
use proptest::prelude::*;
use serde_json::Value;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// The field that no question has; a request with it is refused.
const UNKNOWN: &str = "field_that_nobody_knows";

/// The examples: question and request.
fn seeds() -> Vec<(String, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi/examples");
    let mut found = Vec::new();
    for question in fs::read_dir(folder).unwrap().flatten() {
        for file in fs::read_dir(question.path()).unwrap().flatten() {
            if file.file_name().to_string_lossy().ends_with(".request.json") {
                let request: Value = serde_json::from_slice(&fs::read(file.path()).unwrap()).unwrap();
                found.push((question.file_name().to_string_lossy().into_owned(), request));
            }
        }
    }
    found.sort_by(|one, other| (&one.0, one.1.to_string()).cmp(&(&other.0, other.1.to_string())));
    found
}

/// A name as it stands in a query string.
fn encoded(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'_' | b'-' | b'.' => out.push(char::from(byte)),
            _ => write!(out, "%{byte:02X}").unwrap(),
        }
        out
    })
}

/// Dotted names where every leaf can be one, else the request as a whole.
fn as_query(request: &Value) -> String {
    /// Whether every leaf can be a name with a text.
    fn leaves(value: &Value, name: &str, out: &mut Vec<String>) -> bool {
        let text = match value {
            Value::Object(entries) => {
                return entries.iter().all(|(key, inner)| {
                    let name = if name.is_empty() { key.clone() } else { format!("{name}.{key}") };
                    leaves(inner, &name, out)
                });
            }
            Value::Array(items) => return items.iter().all(|item| leaves(item, name, out)),
            Value::Null => return false,
            Value::String(text) => encoded(text),
            Value::Number(_) | Value::Bool(_) => value.to_string(),
        };
        out.push(format!("{}={text}", encoded(name)));
        true
    }
    let mut out = Vec::new();
    match leaves(request, "", &mut out) {
        true => out.join("&"),
        false => format!("request={}", encoded(&request.to_string())),
    }
}

/// How a changed request is written.
#[derive(Debug, Clone, Copy)]
enum Way {
    Body,
    Unknown,
    Twice,
    Query,
}

/// Inputs: a line with way and question, then the request.
fn inputs() -> impl Strategy<Value = Vec<u8>> {
    let seeds = seeds();
    let requests: Vec<Value> = seeds.iter().map(|(_, request)| request.clone()).collect();
    let way = prop_oneof![6 => Just(Way::Body), 1 => Just(Way::Unknown), 1 => Just(Way::Twice), 3 => Just(Way::Query)];
    // Each question as often as another, however many examples it has.
    let mut questions: Vec<String> = seeds.iter().map(|(question, _)| question.clone()).collect();
    questions.dedup();
    let changes = prop::collection::vec(any::<Change>(), 0..4);
    let text = prop::collection::vec((any::<u16>(), any::<u8>()), 0..3);
    (prop::sample::select(questions), any::<prop::sample::Index>(), changes, way, any::<u32>(), text)
        .prop_map(move |(question, which, changes, way, pick, text)| {
            let of_question: Vec<&Value> =
                seeds.iter().filter(|(name, _)| *name == question).map(|(_, request)| request).collect();
            let seed = of_question[which.index(of_question.len())];
            let mut request = mutated(seed, &changes, &requests);
            let (way, mut rest) = match way {
                Way::Body => ("body", request.to_string().into_bytes()),
                Way::Unknown => {
                    with_unknown(&mut request, pick);
                    ("unknown", request.to_string().into_bytes())
                }
                Way::Twice => {
                    let written = request.to_string();
                    let name = request.as_object().and_then(|entries| entries.keys().next().cloned());
                    let name = name.unwrap_or_else(|| "liquid".to_owned());
                    ("twice", written.replacen('{', &format!("{{{}:1,", Value::from(name)), 1).into_bytes())
                }
                Way::Query => ("query", as_query(&request).into_bytes()),
            };
            // A few bytes of the text itself.
            if matches!(way, "body" | "query") && pick.is_multiple_of(4) {
                for (place, byte) in text {
                    let place = usize::from(place) % rest.len().max(1);
                    if let Some(old) = rest.get_mut(place) {
                        *old = byte;
                    }
                }
            }
            [format!("{way} {question}\n").as_bytes(), &rest].concat()
        })
}

fn check(input: &[u8]) -> Result<Seen, String> {
    let end = input.iter().position(|byte| *byte == b'\n').ok_or("no first line")?;
    let head = std::str::from_utf8(&input[..end]).map_err(|error| error.to_string())?;
    let (way, question) = head.split_once(' ').ok_or("no question")?;
    let rest = &input[end + 1..];
    let read = match way {
        "query" => query::read(&String::from_utf8_lossy(rest)),
        _ => json::read(rest).map(|request| (request, Written::Json)),
    };
    let (request, written) = match read {
        Ok(read) => read,
        Err(refusal) => return reply::refused(&refusal.problem()).map(|()| Seen::Refused),
    };
    let context = Context { relaxed_rules_allowed: input.len().is_multiple_of(2) };
    let drawn = operations::question(question).is_some_and(|one| one.formats.contains(&Format::Svg));
    let ask = if drawn { question::ask_with_picture } else { question::ask };
    let answer = match ask(question, &request, written, context) {
        Ok(answer) => answer,
        Err(refusal) => return reply::refused(&refusal.problem()).map(|()| Seen::Refused),
    };
    // A second `liquid` or a field with a slip in its name would be left out without a word.
    if way == "twice" && rest.starts_with(b"{") {
        return Err("a key that stands twice is answered".to_owned());
    }
    if way == "unknown" && question != "recheck" && request.to_string().contains(UNKNOWN) {
        return Err("a field that is not known is answered".to_owned());
    }
    reply::answered(&answer.json)?;
    // A name may say anything, and is shown.
    let named = ["NaN", "inf"].iter().any(|word| String::from_utf8_lossy(rest).contains(word));
    if !named
        && let Some(drawn) = answer.picture.as_ref().and_then(picture::svg)
        && ["NaN", "inf\"", "inf "].iter().any(|word| drawn.contains(word))
    {
        return Err("the picture has a place that is no number".to_owned());
    }
    if input.len().is_multiple_of(8) {
        let again = question::ask(question, &request, written, context);
        if again.map(|again| again.json) != Ok(answer.json) {
            return Err("asked twice, it answers otherwise".to_owned());
        }
    }
    Ok(Seen::Answered)
}

#[test]
fn a_changed_request_is_answered_or_refused() {
    run("requests", inputs(), check);
}

#[test]
fn an_unchanged_request_is_answered_either_way() {
    for (question, request) in seeds() {
        let asked = check(format!("body {question}\n{request}").as_bytes());
        assert_eq!(asked, Ok(Seen::Answered), "{question}: {request}");
        let asked = check(format!("query {question}\nrequest={}", encoded(&request.to_string())).as_bytes());
        assert_eq!(asked, Ok(Seen::Answered), "{question}: {request}");
    }
}
