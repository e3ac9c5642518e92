//! The document for generators that read OpenAPI 3.0 and not 3.1, derived from the 3.1 document.
//!
//! Both say the same of paths, fields and answers. What the contract uses of 3.1 and 3.0 lacks is little: a text beside
//! a reference, and the identifier of a licence. A test fails where a type brings in more.

use serde_json::{Map, Value, json};

/// The newest 3.0 that generators read everywhere.
const VERSION: &str = "3.0.3";

/// The same document in OpenAPI 3.0; anything but an object stays as it is.
#[must_use]
pub fn document_3_0(mut document: Value) -> Value {
    let Some(root) = document.as_object_mut() else { return document };
    root.insert("openapi".into(), VERSION.into());
    if let Some(licence) = root.get_mut("info").and_then(|info| info.pointer_mut("/license")) {
        remove(licence, "identifier");
    }
    if let Some(Value::Object(schemas)) =
        root.get_mut("components").and_then(|parts| parts.pointer_mut("/schemas"))
    {
        schemas.values_mut().for_each(schema);
    }
    if let Some(Value::Object(paths)) = root.get_mut("paths") {
        let operations = paths.values_mut().filter_map(Value::as_object_mut).flat_map(Map::values_mut);
        operations.for_each(operation);
    }
    document
}

fn remove(value: &mut Value, key: &str) {
    if let Value::Object(map) = value {
        map.remove(key);
    }
}

/// The schemas of an operation. Examples hold any JSON, so that only what is a schema is looked at.
fn operation(operation: &mut Value) {
    if let Some(Value::Array(parameters)) = operation.get_mut("parameters") {
        parameters.iter_mut().filter_map(|parameter| parameter.get_mut("schema")).for_each(schema);
    }
    if let Some(body) = operation.get_mut("requestBody") {
        content(body);
    }
    if let Some(Value::Object(responses)) = operation.get_mut("responses") {
        for response in responses.values_mut() {
            content(response);
            if let Some(Value::Object(headers)) = response.get_mut("headers") {
                headers.values_mut().filter_map(|header| header.get_mut("schema")).for_each(schema);
            }
        }
    }
}

fn content(of: &mut Value) {
    if let Some(Value::Object(formats)) = of.get_mut("content") {
        formats.values_mut().filter_map(|format| format.get_mut("schema")).for_each(schema);
    }
}

/// A schema and those in it. In 3.0 nothing may stand beside a reference: it goes into an `allOf` of one.
fn schema(value: &mut Value) {
    let Value::Object(map) = value else { return };
    if map.len() > 1
        && let Some(target) = map.remove("$ref")
    {
        map.insert("allOf".into(), json!([{ "$ref": target }]));
    }
    if let Some(Value::Object(properties)) = map.get_mut("properties") {
        properties.values_mut().for_each(schema);
    }
    for inside in ["items", "additionalProperties"] {
        if let Some(inner) = map.get_mut(inside) {
            schema(inner);
        }
    }
    if let Some(Value::Array(choices)) = map.get_mut("oneOf") {
        choices.iter_mut().for_each(schema);
    }
}
