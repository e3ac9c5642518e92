//! What the library writes of the types, as public generators read it rightly.

use crate::operations::{BATCH, LISTINGS, QUESTIONS, RECHECK};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// Mends all schemas.
pub(super) fn mend(schemas: &mut Value) {
    merge_flattened(schemas);
    without_null(schemas);
    without_names_of_keys(schemas);
    // The two that only exist to be flattened into replies.
    if let Value::Object(map) = schemas {
        map.remove("Verdict");
        map.remove("Basis");
    }
    carried(schemas);
    closed(schemas);
}

/// What every question takes and no answer depends on; no type of the contract carries it.
fn carried(schemas: &mut Value) {
    for question in QUESTIONS {
        let Some(Value::Object(fields)) = schemas.pointer_mut(&format!("/{}/properties", question.request))
        else {
            continue;
        };
        let name = "A name for whoever reads the request; it changes nothing.";
        fields.entry("name").or_insert_with(|| json!({ "type": "string", "description": name }));
        let reference = "Anything that tells the request apart for whoever sent it; it changes nothing.";
        fields.entry("ref").or_insert_with(|| json!({ "description": reference }));
    }
}

/// Puts the properties of flattened parts into the object that flattens them.
fn merge_flattened(schemas: &mut Value) {
    let all = schemas.clone();
    let Some(map) = schemas.as_object_mut() else { return };
    for schema in map.values_mut() {
        let Some(parts) = schema.get("allOf").and_then(Value::as_array).cloned() else { continue };
        let (mut properties, mut required) = (Map::new(), Vec::new());
        for part in &parts {
            let target =
                part.get("$ref").and_then(Value::as_str).and_then(|reference| reference.rsplit('/').next());
            let part = target.and_then(|name| all.get(name)).unwrap_or(part);
            properties.extend(part.get("properties").and_then(Value::as_object).cloned().unwrap_or_default());
            required.extend(part.get("required").and_then(Value::as_array).cloned().unwrap_or_default());
        }
        let description = schema.get("description").cloned();
        let mut merged = json!({ "type": "object", "properties": properties, "required": required });
        if let (Some(description), Some(object)) = (description, merged.as_object_mut()) {
            object.insert("description".into(), description);
        }
        *schema = merged;
    }
}

/// Keys of JSON are always text: to say so says nothing, and OpenAPI 3.0 has no word for it.
fn without_names_of_keys(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(without_names_of_keys),
        Value::Object(map) => {
            map.remove("propertyNames");
            map.values_mut().for_each(without_names_of_keys);
        }
        _ => {}
    }
}

/// A field that nobody knows is refused in a request, at every level. Replies stay open: a later version may say more.
fn closed(schemas: &mut Value) {
    let questions = || QUESTIONS.iter().chain([&RECHECK, &BATCH]);
    let sent = reached(schemas, questions().map(|question| question.request));
    let answered = questions().map(|question| question.reply);
    let told =
        reached(schemas, answered.chain(LISTINGS.iter().map(|listing| listing.reply)).chain(["Problem"]));
    for name in sent.difference(&told) {
        if let Some(Value::Object(schema)) = schemas.get_mut(name)
            && schema.contains_key("properties")
        {
            schema.insert("additionalProperties".into(), false.into());
        }
    }
}

/// The schemas that are reached from some.
fn reached<'n>(schemas: &Value, from: impl Iterator<Item = &'n str>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut ahead: Vec<String> = from.map(str::to_owned).collect();
    while let Some(name) = ahead.pop() {
        if let Some(schema) = schemas.get(&name)
            && found.insert(name)
        {
            referred(schema, &mut ahead);
        }
    }
    found
}

fn referred(value: &Value, into: &mut Vec<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| referred(item, into)),
        Value::Object(map) => {
            let target = map.get("$ref").and_then(Value::as_str);
            into.extend(target.and_then(|target| target.rsplit('/').next()).map(str::to_owned));
            map.values().for_each(|value| referred(value, into));
        }
        _ => {}
    }
}

/// An optional field is absent, never null.
fn without_null(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(without_null),
        Value::Object(map) => {
            if map.get("default") == Some(&Value::Null) {
                map.remove("default");
            }
            if let Some(Value::Array(kinds)) = map.get_mut("type") {
                kinds.retain(|kind| kind != "null");
                if let [only] = kinds.as_slice() {
                    let only = only.clone();
                    map.insert("type".into(), only);
                }
            }
            if let Some(Value::Array(kinds)) = map.get_mut("oneOf") {
                kinds.retain(|kind| kind.get("type") != Some(&json!("null")));
                if let [only] = kinds.as_slice() {
                    let only = only.clone();
                    map.remove("oneOf");
                    if let Value::Object(only) = only {
                        map.extend(only);
                    }
                }
            }
            map.values_mut().for_each(without_null);
        }
        _ => {}
    }
}
