//! The served document is the committed one, and the committed one is made from the types.

use crate::server::shared;
use brimline_openapi::document::document;
use brimline_openapi::operations::{QUESTIONS, RECHECK};
use brimline_tests::ask;
use serde_json::{Map, Value, json};

const COMMITTED: &str = include_str!("../../openapi/openapi.json");

#[tokio::test]
async fn the_served_document_is_the_committed_one_and_that_is_made_from_the_types() {
    let served = reqwest::get(shared().url("/openapi.json")).await.unwrap().text().await.unwrap();
    assert_eq!(served, COMMITTED);
    let made = format!("{}\n", serde_json::to_string_pretty(&document()).unwrap());
    assert!(made == COMMITTED, "the types have changed: run `just openapi`");
}

/// Walks a JSON value.
fn walk<'v>(value: &'v Value, visit: &mut impl FnMut(&'v Map<String, Value>)) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| walk(item, visit)),
        Value::Object(map) => {
            visit(map);
            map.values().for_each(|value| walk(value, visit));
        }
        _ => {}
    }
}

#[test]
fn every_property_is_described_and_none_may_be_null() {
    let document: Value = serde_json::from_str(COMMITTED).unwrap();
    let schemas = document["components"]["schemas"].as_object().unwrap();
    for (name, schema) in schemas {
        for (property, inner) in schema["properties"].as_object().into_iter().flatten() {
            assert!(inner["description"].as_str().is_some_and(|text| text.len() > 3), "{name}.{property}");
        }
        walk(schema, &mut |map| {
            let kind = map.get("type").map(ToString::to_string).unwrap_or_default();
            assert!(!kind.contains("null"), "{name}: {kind}");
        });
    }
}

/// The reader walks JSON by hand, so that it can list every fault: it must know each field that the document shows.
#[test]
fn the_reader_knows_every_field_of_the_document() {
    let document: Value = serde_json::from_str(COMMITTED).unwrap();
    for question in QUESTIONS.iter().chain([&RECHECK]) {
        let properties =
            document["components"]["schemas"][question.request]["properties"].as_object().unwrap();
        let request: Map<String, Value> =
            properties.keys().map(|field| (field.clone(), json!([[]]))).collect();
        let problem = ask(question.name, &Value::Object(request)).unwrap_err();
        for fault in problem["errors"].as_array().unwrap() {
            assert_ne!(fault["code"], "unknown-field", "{}: {fault}", question.name);
        }
    }
}
