//! Writes the OpenAPI document to standard output.
fn main() {}
