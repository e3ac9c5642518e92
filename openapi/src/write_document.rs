//! Writes the OpenAPI document to standard output: `openapi/openapi.json` is its committed text.

/// Writes the document.
fn main() {
    println!("{}", serde_json::to_string_pretty(&brimline_openapi::document::document()).unwrap_or_default());
}
