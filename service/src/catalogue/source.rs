//! Where figures come from.

use brimline_openapi::Seen;
use serde::Deserialize;

/// A published source.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The publication.
    pub title: String,
    /// The data set in which it was read.
    pub read_in: Option<String>,
}

/// The word of a file for how a source was seen.
#[must_use]
pub fn seen(word: &str) -> Option<Seen> {
    match word {
        "source" => Some(Seen::Source),
        "copy" => Some(Seen::Copy),
        "derived" => Some(Seen::Derived),
        "memory" => Some(Seen::Memory),
        "common_practice" => Some(Seen::CommonPractice),
        _ => None,
    }
}
