//! What the three test binaries share: asking a question in process, reading rows of published figures.

pub mod plans;

use brimline_service::question::{self, Context, Written};
use serde_json::{Value, json};

/// Asks a question as a caller over HTTP would; the reply, or the problem document.
pub fn ask(name: &str, request: &Value) -> Result<Value, Value> {
    match question::ask(name, request, Written::Json, Context { relaxed_rules_allowed: false }) {
        Ok(answer) => Ok(serde_json::from_slice(&answer.json).unwrap_or_default()),
        Err(refusal) => Err(serde_json::to_value(refusal.problem()).unwrap_or_default()),
    }
}

/// Whether a CAS number is in the catalogue.
#[must_use]
pub fn in_catalogue(cas: &str) -> bool {
    ask("vapour-pressure", &json!({ "liquid": cas, "temperature": "25 Cel" }))
        .map_or_else(|problem| problem["errors"][0]["code"] != "unknown-substance", |_| true)
}

/// A row of a table of published figures.
#[derive(Debug, Clone)]
pub struct Row(pub std::collections::HashMap<String, String>);

impl Row {
    /// The text of a column.
    #[must_use]
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).map_or("", String::as_str)
    }

    /// The number of a column.
    #[must_use]
    pub fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or(f64::NAN)
    }

    /// The inputs of a check, which are a JSON object.
    #[must_use]
    pub fn inputs(&self) -> Value {
        serde_json::from_str(self.text("inputs")).unwrap_or_default()
    }

    /// Whether the sources of this row conflict.
    #[must_use]
    pub fn disputed(&self) -> bool {
        self.text("seen_or_memory").contains("disputed")
    }
}

/// The rows of a table.
#[must_use]
pub fn rows(table: &str) -> Vec<Row> {
    csv::Reader::from_reader(table.as_bytes()).deserialize().filter_map(Result::ok).map(Row).collect()
}
