//! Writes the OpenAPI document to standard output: `openapi/openapi.json` is its committed text. With `--without-examples` what
//! is kept of a version in `openapi/versions`.

use brimline_openapi::document::document;
use serde_json::Value;

/// Writes the document.
fn main() {
    let mut document = document();
    if std::env::args().nth(1).as_deref() == Some("--without-examples") {
        without_examples(document.get_mut("paths"));
    }
    println!("{}", serde_json::to_string_pretty(&document).unwrap_or_default());
}

fn without_examples(value: Option<&mut Value>) {
    match value {
        Some(Value::Array(items)) => items.iter_mut().for_each(|item| without_examples(Some(item))),
        Some(Value::Object(map)) => {
            map.remove("examples");
            map.values_mut().for_each(|value| without_examples(Some(value)));
        }
        _ => {}
    }
}
