//! How fast liquids burn: published rates and the families by which others are judged.

use super::source::seen;
use super::substance::KeyFault;
use brimline_openapi::Seen;
use serde::Deserialize;

/// The file `burning.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Burning {
    /// Rates in small vessels, by family.
    pub small_vessel: Vec<SmallVessel>,
    /// Which liquids burn as alcohols do.
    pub alcohols: Alcohols,
    /// The common table of wide pools.
    pub pool: Vec<Pool>,
    /// Measured rates.
    pub measured: Vec<Measured>,
    /// What the flame radiates and sets free, by family.
    pub flame: Vec<Flame>,
}

/// A family of liquids that burn alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Alcohols of one to three carbon atoms: little soot, little radiation.
    Alcohol,
    /// Everything else.
    Other,
}

/// Mass flux in a vessel of a few centimetres, g/(m2 s).
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SmallVessel {
    /// The family.
    pub family: Family,
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// Substances that burn as alcohols do.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alcohols {
    /// Their ids.
    pub substances: Vec<String>,
}

/// A row of the common table of wide pools.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pool {
    /// Id of the substance.
    pub substance: String,
    /// Mass flux of an infinite pool, g/(m2 s).
    pub m_inf: f64,
    /// Constant of the growth with the diameter, 1/m.
    pub k_beta: f64,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// A measured mass flux, g/(m2 s).
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Id of the substance.
    pub substance: String,
    /// Diameter of the pan, cm.
    pub diameter: f64,
    /// The value.
    pub value: f64,
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// What the flame of a family does with its heat: shares of it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flame {
    /// The family.
    pub family: Family,
    /// Lower end of the share that is radiated.
    pub radiated_low: f64,
    /// Upper end of it.
    pub radiated_high: f64,
    /// Lower end of the share of the heat of combustion that is set free.
    pub set_free_low: f64,
    /// What is usually set free.
    pub set_free: f64,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

impl Burning {
    /// Checks that every figure is positive, every range in order, every substance and source known.
    ///
    /// # Errors
    /// Key and reason.
    pub fn check(
        &self,
        known: impl Fn(&str) -> bool,
        sources: impl Fn(&str) -> bool,
    ) -> Result<(), KeyFault> {
        let fault = |key: &str, reason: String| (key.to_owned(), reason);
        let rows = self.small_vessel.iter().map(|row| ("small_vessel", &row.source, &row.seen));
        let rows = rows.chain(self.pool.iter().map(|row| ("pool", &row.source, &row.seen)));
        let rows = rows.chain(self.measured.iter().map(|row| ("measured", &row.source, &row.seen)));
        for (key, source, seen_as) in
            rows.chain(self.flame.iter().map(|row| ("flame", &row.source, &row.seen)))
        {
            if !sources(source) {
                return Err(fault(key, format!("the source `{source}` is not in sources.toml")));
            }
            seen(seen_as).ok_or_else(|| fault(key, format!("`seen` is `{seen_as}`")))?;
        }
        let named =
            self.pool.iter().map(|row| &row.substance).chain(self.measured.iter().map(|row| &row.substance));
        if let Some(id) = named.chain(&self.alcohols.substances).find(|id| !known(id)) {
            return Err(fault("substance", format!("the substance `{id}` is not in the catalogue")));
        }
        let ordered = self.small_vessel.iter().all(|row| 0.0 < row.low && row.low <= row.high)
            && self.pool.iter().all(|row| row.m_inf > 0.0 && row.k_beta > 0.0)
            && self.measured.iter().all(|row| 0.0 < row.low && row.low <= row.value && row.value <= row.high)
            && self.flame.iter().all(|row| {
                0.0 < row.radiated_low
                    && row.radiated_low <= row.radiated_high
                    && row.radiated_high < 1.0
                    && 0.0 < row.set_free_low
                    && row.set_free_low <= row.set_free
                    && row.set_free <= 1.0
            });
        let families = [Family::Alcohol, Family::Other];
        let whole = families.iter().all(|family| {
            self.small_vessel.iter().any(|row| row.family == *family)
                && self.flame.iter().any(|row| row.family == *family)
        });
        if ordered && whole {
            Ok(())
        } else {
            Err(fault(
                "small_vessel",
                "a figure is not positive, a range is turned, or a family is missing".to_owned(),
            ))
        }
    }
}

/// How a row was seen; the words were checked at the start.
#[must_use]
pub fn seen_as(word: &str) -> Seen {
    seen(word).unwrap_or(Seen::Memory)
}
