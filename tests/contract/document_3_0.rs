//! `/openapi-3.0.json` says what `/openapi.json` says, in the words of OpenAPI 3.0.

use crate::server::shared;
use serde_json::{Map, Value, json};

/// Every keyword of the Schema Object of OpenAPI 3.0.3 (its section 4.7.24); extensions begin with `x-`.
const KEYWORDS: &[&str] = &[
    "title",
    "multipleOf",
    "maximum",
    "exclusiveMaximum",
    "minimum",
    "exclusiveMinimum",
    "maxLength",
    "minLength",
    "pattern",
    "maxItems",
    "minItems",
    "uniqueItems",
    "maxProperties",
    "minProperties",
    "required",
    "enum",
    "type",
    "allOf",
    "oneOf",
    "anyOf",
    "not",
    "items",
    "properties",
    "additionalProperties",
    "description",
    "format",
    "default",
    "nullable",
    "discriminator",
    "readOnly",
    "writeOnly",
    "xml",
    "externalDocs",
    "example",
    "deprecated",
];
const TYPES: &[&str] = &["array", "boolean", "integer", "number", "object", "string"];

async fn served(path: &str) -> Value {
    reqwest::get(shared().url(path)).await.unwrap().json().await.unwrap()
}

fn keys(value: &Value) -> Vec<&String> {
    value.as_object().unwrap().keys().collect()
}

#[tokio::test]
async fn both_documents_have_the_same_paths_answers_and_schemas() {
    let (newer, older) = (served("/openapi.json").await, served("/openapi-3.0.json").await);
    assert_eq!(newer["openapi"], "3.1.0");
    assert_eq!(older["openapi"], "3.0.3");
    assert_eq!(keys(&newer), keys(&older));
    // With what is said in two ways taken out, the rest is equal: fields, types, examples, texts.
    let (mut newer, mut older) = (newer, older);
    for document in [&mut newer, &mut older] {
        document.as_object_mut().unwrap().remove("openapi");
        document["info"]["license"].as_object_mut().unwrap().remove("identifier");
        // No object of the contract has a field of this name: all are references.
        references_alone(document);
    }
    assert!(newer == older, "the two differ in more than how they are written");
}

/// A reference with its text beside it, and one in an `allOf` of its own, written in the same way.
fn references_alone(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(references_alone),
        Value::Object(map) => {
            if let Some(Value::Array(parts)) = map.get("allOf")
                && let [only] = parts.as_slice()
                && let Some(target) = only.get("$ref").cloned()
            {
                map.remove("allOf");
                map.insert("$ref".into(), target);
            }
            map.values_mut().for_each(references_alone);
        }
        _ => {}
    }
}

/// Every schema of a document, with where it stands; found by the places where OpenAPI has schemas, not by what they look like.
fn schemas(document: &Value) -> Vec<(String, &Map<String, Value>)> {
    let mut found = Vec::new();
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        inside(name, schema, &mut found);
    }
    for (path, item) in document["paths"].as_object().unwrap() {
        for operation in item.as_object().unwrap().values() {
            for parameter in operation["parameters"].as_array().into_iter().flatten() {
                inside(path, &parameter["schema"], &mut found);
            }
            let answers = operation["responses"].as_object().unwrap().values();
            for holder in answers.chain([&operation["requestBody"]]) {
                for format in holder["content"].as_object().into_iter().flat_map(Map::values) {
                    inside(path, &format["schema"], &mut found);
                }
                for header in holder["headers"].as_object().into_iter().flat_map(Map::values) {
                    inside(path, &header["schema"], &mut found);
                }
            }
        }
    }
    found
}

fn inside<'v>(place: &str, schema: &'v Value, found: &mut Vec<(String, &'v Map<String, Value>)>) {
    let Some(map) = schema.as_object() else { return };
    found.push((place.to_owned(), map));
    for (name, field) in map.get("properties").and_then(Value::as_object).into_iter().flatten() {
        inside(&format!("{place}.{name}"), field, found);
    }
    for keyword in ["items", "additionalProperties", "not"] {
        if let Some(inner) = map.get(keyword) {
            inside(place, inner, found);
        }
    }
    for keyword in ["allOf", "oneOf", "anyOf"] {
        for inner in map.get(keyword).and_then(Value::as_array).into_iter().flatten() {
            inside(place, inner, found);
        }
    }
}

/// What a document says that OpenAPI 3.0 has no word for.
fn foreign(document: &Value) -> Vec<String> {
    let mut found = Vec::new();
    if document["info"]["license"].get("identifier").is_some() {
        found.push("info.license.identifier".to_owned());
    }
    for (place, schema) in schemas(document) {
        if schema.contains_key("$ref") {
            if schema.len() > 1 {
                found.push(format!("{place}: something beside a reference"));
            }
            continue;
        }
        for (keyword, value) in schema {
            if !KEYWORDS.contains(&keyword.as_str()) {
                found.push(format!("{place}: {keyword}"));
            }
            if keyword == "type" && !value.as_str().is_some_and(|kind| TYPES.contains(&kind)) {
                found.push(format!("{place}: the type {value}"));
            }
            // A bound of its own in 3.1, a switch in 3.0.
            if keyword.starts_with("exclusive") && !value.is_boolean() {
                found.push(format!("{place}: {keyword} {value}"));
            }
        }
    }
    found
}

#[tokio::test]
async fn the_older_document_has_no_word_of_the_newer_version() {
    let older = served("/openapi-3.0.json").await;
    assert_eq!(foreign(&older), Vec::<String>::new());
    assert!(schemas(&older).len() > 1000);
    // The newer one has some, so that the search finds what it looks for.
    assert!(!foreign(&served("/openapi.json").await).is_empty());
    for (keyword, value) in [
        ("const", json!("within_limit")),
        ("type", json!(["string", "null"])),
        ("type", json!("null")),
        ("examples", json!(["21 Cel"])),
        ("propertyNames", json!({ "type": "string" })),
        ("exclusiveMinimum", json!(0)),
        ("prefixItems", json!([])),
        ("contentEncoding", json!("base64")),
    ] {
        let mut changed = older.clone();
        changed["components"]["schemas"]["Room"]["properties"]["volume"][keyword] = value;
        assert_eq!(foreign(&changed).len(), 1, "{keyword}");
    }
}
