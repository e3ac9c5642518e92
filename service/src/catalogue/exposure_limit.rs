//! Exposure limits as lists state them, in unit-checked quantities.

use super::file::SubstanceFile;
use super::source::seen;
use super::substance::{KeyFault, stored};
use crate::physics::exposure::Convention;
use crate::quantity::si;
use brimline_openapi::Seen;
use uom::si::f64::{MolarMass, Ratio};

/// Over which time a limit is averaged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Averaged {
    /// 8 hours.
    LongTerm,
    /// 15 minutes.
    ShortTerm,
    /// Not at all: at no moment above it.
    Ceiling,
}

/// A limit of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureLimit {
    /// Jurisdiction, by which a request names the list.
    pub jurisdiction: String,
    /// The list with its edition.
    pub list: String,
    /// Over which time it is averaged.
    pub averaged: Averaged,
    /// The limit.
    pub fraction: Ratio,
    /// Whether the list says that the substance passes through the skin, where that is stored.
    pub skin: bool,
    /// How the list was seen.
    pub seen: Seen,
}

/// At which temperature a jurisdiction turns ppm into mg/m3.
#[must_use]
pub fn convention(jurisdiction: &str) -> Convention {
    if matches!(jurisdiction, "United States" | "Ontario") { Convention::At25 } else { Convention::At20 }
}

/// The limits of a substance.
///
/// # Errors
/// The key and what is wrong with it.
pub fn limits(file: &SubstanceFile, molar_mass: MolarMass) -> Result<Vec<ExposureLimit>, KeyFault> {
    let key = "exposure_limit";
    let fault = |reason: String| (key.to_owned(), reason);
    let mut limits = Vec::new();
    for row in &file.exposure_limit {
        let averaged = match row.kind.as_str() {
            "TWA" => Averaged::LongTerm,
            "STEL" => Averaged::ShortTerm,
            "ceiling" => Averaged::Ceiling,
            other => return Err(fault(format!("the kind `{other}` is not known"))),
        };
        let fraction = match (&row.volume_fraction, &row.mass_concentration) {
            (Some(text), _) => si::parts_per_million(stored(text, key, &["[ppm]"])?),
            (None, Some(text)) => {
                let mass = si::gram_per_cubic_metre(stored(text, key, &["mg/m3"])? / 1000.0);
                convention(&row.jurisdiction).as_fraction(mass, molar_mass)
            }
            (None, None) => return Err(fault("a limit has no value".into())),
        };
        if fraction <= si::fraction(0.0) {
            return Err(fault("a limit is not above zero".into()));
        }
        limits.push(ExposureLimit {
            jurisdiction: row.jurisdiction.clone(),
            list: row
                .edition
                .as_ref()
                .map_or_else(|| row.list.clone(), |edition| format!("{}, {edition}", row.list)),
            averaged,
            fraction,
            skin: row.skin.is_some(),
            seen: seen(&row.seen).ok_or_else(|| fault(format!("`seen` is `{}`", row.seen)))?,
        });
    }
    Ok(limits)
}
