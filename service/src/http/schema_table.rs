//! Schemas of the document as tables for people.

#![allow(clippy::indexing_slicing, reason = "a JSON value indexed by a name it lacks is null, not a panic")]

use super::pages::escape;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// The names of all schemas that are reached from some, these included, in the order of the alphabet.
#[must_use]
pub fn reached<'s>(document: &Value, from: impl Iterator<Item = &'s str>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut waiting: Vec<String> = from.map(str::to_owned).collect();
    while let Some(name) = waiting.pop() {
        referred(&document["components"]["schemas"][name.as_str()], &mut waiting);
        if !found.insert(name) {
            continue;
        }
        waiting.retain(|name| !found.contains(name));
    }
    found
}

/// Adds the names of the schemas that a schema refers to.
fn referred(schema: &Value, names: &mut Vec<String>) {
    match schema {
        Value::Object(map) => {
            names.extend(map.get("$ref").and_then(target).map(str::to_owned));
            map.values().for_each(|inner| referred(inner, names));
        }
        Value::Array(items) => items.iter().for_each(|item| referred(item, names)),
        _ => {}
    }
}

fn target(reference: &Value) -> Option<&str> {
    reference.as_str()?.rsplit('/').next()
}

/// A link to the part of a name.
#[must_use]
pub fn reference(name: &str) -> String {
    format!("<a href=\"#part-{0}\">{0}</a>", escape(name))
}

/// A schema with its heading.
pub fn parts(body: &mut String, document: &Value, name: &str) {
    let schema = &document["components"]["schemas"][name];
    let description = schema["description"].as_str().unwrap_or_default();
    let _ = write!(body, "<h3 id=\"part-{0}\">{0}</h3><p>{1}</p>", escape(name), marked(description));
    if let Some(words) = schema["enum"].as_array() {
        let words: Vec<String> = words
            .iter()
            .filter_map(Value::as_str)
            .map(|word| format!("<code>{}</code>", escape(word)))
            .collect();
        let _ = write!(body, "<p>One of {}.</p>", words.join(", "));
    }
    if let Some(forms) = schema["oneOf"].as_array() {
        body.push_str("<ul>");
        for form in forms {
            let text = marked(form["description"].as_str().unwrap_or_default());
            let _ = write!(body, "<li>{}: {text}</li>", kind(form));
        }
        body.push_str("</ul>");
    }
    if schema["properties"].is_object() {
        fields(body, document, name);
    }
    if schema["additionalProperties"].is_object() {
        let _ = write!(body, "<p>An object, {}.</p>", kind(schema));
    }
}

/// A table of the fields of a schema.
pub fn fields(body: &mut String, document: &Value, name: &str) {
    let schema = &document["components"]["schemas"][name];
    let required: Vec<&str> =
        schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    body.push_str("<table><tr><th scope=\"col\">field</th><th scope=\"col\">type</th><th scope=\"col\">meaning</th></tr>");
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        let optional = if required.contains(&name.as_str()) { "" } else { ", optional" };
        let _ = write!(
            body,
            "<tr><td><code>{}</code></td><td>{}{optional}</td><td>{}</td></tr>",
            escape(name),
            kind(property),
            marked(property["description"].as_str().unwrap_or_default())
        );
    }
    body.push_str("</table>");
}

/// The type of a property in words.
fn kind(property: &Value) -> String {
    if let Some(name) = property.get("$ref").and_then(target) {
        return reference(name);
    }
    match property["type"].as_str() {
        Some("array") => format!("list of {}", kind(&property["items"])),
        Some("object") if property["additionalProperties"].is_object() => {
            format!("by name: {}", kind(&property["additionalProperties"]))
        }
        Some("string") => "text".to_owned(),
        None => "anything".to_owned(),
        Some("boolean") => "true or false".to_owned(),
        Some("integer") => "whole number".to_owned(),
        Some(other) => escape(other),
    }
}

/// A description, in which text between backticks is code.
fn marked(text: &str) -> String {
    let mut out = String::new();
    for (at, piece) in text.split('`').enumerate() {
        let piece = escape(piece);
        let _ = if at % 2 == 1 { write!(out, "<code>{piece}</code>") } else { write!(out, "{piece}") };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn what_is_referred_to_is_reached_even_in_a_circle() {
        let document = json!({"components": {"schemas": {
            "A": {"properties": {"b": {"items": {"$ref": "#/components/schemas/B"}, "type": "array"}}},
            "B": {"properties": {"a": {"$ref": "#/components/schemas/A"}}},
            "C": {}
        }}});
        assert_eq!(reached(&document, ["A"].into_iter()), BTreeSet::from(["A".to_owned(), "B".to_owned()]));
    }

    #[test]
    fn descriptions_are_escaped_and_code_is_marked() {
        assert_eq!(marked("below `a < b` & so on"), "below <code>a &lt; b</code> &amp; so on");
    }
}
