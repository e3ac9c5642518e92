//! A null in a request: a field that is null is a field that is absent, for callers whose library writes both alike. It is never a
//! value, never passes for an entry of a list, and a field that nobody knows is refused whatever it holds.

use brimline_openapi::operations::QUESTIONS;
use brimline_tests::ask;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

/// The pointers of all fields of objects, and of all entries of lists.
fn places(value: &Value, pointer: &str, fields: &mut Vec<String>, entries: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (name, inner) in map {
                let pointer = format!("{pointer}/{}", name.replace('~', "~0").replace('/', "~1"));
                fields.push(pointer.clone());
                places(inner, &pointer, fields, entries);
            }
        }
        Value::Array(list) => {
            for (place, inner) in list.iter().enumerate() {
                let pointer = format!("{pointer}/{place}");
                entries.push(pointer.clone());
                places(inner, &pointer, fields, entries);
            }
        }
        _ => {}
    }
}

/// The request with a null at the pointer, and with nothing there.
fn null_and_absent(request: &Value, pointer: &str) -> (Value, Value) {
    let (mut null, mut absent) = (request.clone(), request.clone());
    *null.pointer_mut(pointer).unwrap() = Value::Null;
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    let name = name.replace("~1", "/").replace("~0", "~");
    absent.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(&name).unwrap();
    (null, absent)
}

fn examples() -> Vec<(&'static str, String, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi/examples");
    let mut found = Vec::new();
    for name in QUESTIONS.iter().map(|question| question.name).chain(["recheck"]) {
        let mut files: Vec<_> =
            fs::read_dir(folder.join(name)).unwrap().map(|file| file.unwrap().path()).collect();
        files.retain(|file| file.to_str().unwrap().ends_with(".request.json"));
        files.sort();
        for file in files.into_iter().take(2) {
            let request = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
            found.push((name, file.display().to_string(), request));
        }
    }
    found
}

/// What is told, without what depends on how it was asked.
fn told(question: &str, request: &Value) -> (bool, Value) {
    match ask(question, request) {
        Ok(reply) => (true, reply),
        Err(problem) => (false, problem),
    }
}

#[test]
fn a_field_that_is_null_is_a_field_that_is_absent() {
    let (mut answered, mut refused) = (0, 0);
    for (question, file, request) in examples() {
        let (mut fields, mut entries) = (Vec::new(), Vec::new());
        places(&request, "", &mut fields, &mut entries);
        // What an earlier reply holds is its own: it is no field of a request.
        fields.retain(|pointer| {
            question != "recheck" || !pointer.starts_with("/reply/") && !pointer.starts_with("/record/")
        });
        assert!(!fields.is_empty(), "{file}");
        for pointer in fields {
            let (null, absent) = null_and_absent(&request, &pointer);
            let (null, absent) = (told(question, &null), told(question, &absent));
            assert_eq!(null, absent, "{file}: {pointer}");
            let (well, reply) = null;
            if well {
                answered += 1;
                continue;
            }
            refused += 1;
            assert_eq!(reply["status"], 422, "{file}: {pointer}: {reply}");
            for fault in reply["errors"].as_array().unwrap() {
                assert!(
                    fault["pointer"].as_str().is_some_and(|at| at.starts_with('/')),
                    "{file}: {pointer}: {fault}"
                );
            }
        }
    }
    assert!(answered > 50 && refused > 50, "{answered}, {refused}");
}

#[test]
fn a_null_that_is_no_field_of_a_question_is_refused_with_its_place() {
    let (mut entries_tried, mut unknown_tried) = (0, 0);
    for (question, file, request) in examples() {
        let refused = |request: &Value, pointer: &str, code: Option<&str>| {
            let (well, problem) = told(question, request);
            assert!(!well, "{file}: {pointer}");
            assert_eq!(problem["status"], 422, "{file}: {pointer}: {problem}");
            let faults = problem["errors"].as_array().unwrap();
            let named = faults.iter().any(|fault| {
                let at = fault["pointer"].as_str().unwrap();
                (at == pointer || at.starts_with(&format!("{pointer}/")))
                    && code.is_none_or(|code| fault["code"] == code)
            });
            assert!(named, "{file}: {pointer}: {problem}");
        };
        let (mut fields, mut entries) = (Vec::new(), Vec::new());
        places(&request, "", &mut fields, &mut entries);
        if question != "recheck" {
            for pointer in entries {
                let mut null = request.clone();
                *null.pointer_mut(&pointer).unwrap() = Value::Null;
                refused(&null, &pointer, None);
                entries_tried += 1;
            }
        }
        // A field that nobody knows, which a caller may take for one that does something.
        let mut unknown = request.clone();
        unknown["room_temprature"] = Value::Null;
        refused(&unknown, "/room_temprature", Some("unknown-field"));
        unknown_tried += 1;
        for whole in [Value::Null, json!([null])] {
            let (well, problem) = told(question, &whole);
            assert!(!well && problem["errors"][0]["pointer"] == "", "{file}: {problem}");
        }
    }
    assert!(entries_tried > 20 && unknown_tried >= 20, "{entries_tried}, {unknown_tried}");
}
