//! Thermochemistry of what a flame of an alcohol is made of.

use super::source::seen;
use super::substance::KeyFault;
use crate::physics::adiabatic_flame::Species;
use serde::Deserialize;

/// The file `thermochemistry.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThermochemistryFile {
    /// The species.
    pub species: Vec<SpeciesEntry>,
}

/// A species of the file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpeciesEntry {
    /// Its formula.
    pub name: String,
    /// Id of the substance, where it is a fuel.
    pub substance: Option<String>,
    /// Atoms of carbon.
    pub c: f64,
    /// Atoms of hydrogen.
    pub h: f64,
    /// Atoms of oxygen.
    pub o: f64,
    /// Atoms of nitrogen.
    pub n: f64,
    /// Temperature at which the sets meet, K.
    pub mid: f64,
    /// Coefficients up to `mid`.
    pub low: [f64; 7],
    /// Coefficients from `mid` on.
    pub high: [f64; 7],
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// What a flame is made of.
#[derive(Debug, Clone)]
pub struct Thermochemistry {
    fuels: Vec<(String, Species)>,
    products: Vec<Species>,
}

impl Thermochemistry {
    /// From its file.
    ///
    /// # Errors
    /// Key and reason.
    pub fn of(file: ThermochemistryFile, known: impl Fn(&str) -> bool) -> Result<Self, KeyFault> {
        let (mut fuels, mut products) = (Vec::new(), Vec::new());
        for entry in file.species {
            if !known(&entry.source) {
                return Err((
                    "source".to_owned(),
                    format!("the source `{}` is not in sources.toml", entry.source),
                ));
            }
            if seen(&entry.seen).is_none() {
                return Err(("seen".to_owned(), format!("`{}` is no word for how it was seen", entry.seen)));
            }
            let SpeciesEntry { name, substance, c, h, o, n, mid, low, high, .. } = entry;
            let species = Species { name, atoms: [c, h, o, n], mid, low, high };
            match substance {
                Some(id) => fuels.push((id, species)),
                None => products.push(species),
            }
        }
        Ok(Self { fuels, products })
    }

    /// The vapour of a fuel.
    #[must_use]
    pub fn fuel(&self, substance: &str) -> Option<&Species> {
        self.fuels.iter().find(|(id, _)| id == substance).map(|(_, species)| species)
    }

    /// What is in the burnt gas.
    #[must_use]
    pub fn products(&self) -> &[Species] {
        &self.products
    }
}
