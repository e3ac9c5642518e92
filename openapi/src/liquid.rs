//! Which liquid is meant.

use crate::Text;
use crate::given::{Given, kind};
use serde::{Deserialize, Serialize};

/// A liquid: a catalogue name, synonym or CAS number, or a mixture by what was poured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(untagged)]
pub enum Liquid {
    /// Name, synonym or CAS number of a substance or of a named mixture, for example `"ethanol"` or `"67-64-1"`.
    Name(String),
    /// A mixture by what was poured, or by fractions on a named basis.
    Mixture(LiquidMixture),
}

impl From<&str> for Liquid {
    fn from(name: &str) -> Self {
        Self::Name(name.to_owned())
    }
}

impl From<String> for Liquid {
    fn from(name: String) -> Self {
        Self::Name(name)
    }
}

impl From<LiquidMixture> for Liquid {
    fn from(mixture: LiquidMixture) -> Self {
        Self::Mixture(mixture)
    }
}

/// A mixture by its parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct LiquidMixture {
    /// The parts, at most 20; the same substance twice is added up.
    pub mixture: Vec<Part>,
    /// What the fractions are fractions of; only with `fraction`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<Fractions>,
}

impl LiquidMixture {
    /// A mixture of which this much of one substance was poured.
    ///
    /// ```
    /// use brimline_openapi::{Liquid, LiquidMixture};
    /// let rub: Liquid = LiquidMixture::poured("ethanol", "70 mL").and("water", "30 mL").into();
    /// # assert_eq!(serde_json::to_value(&rub)?["mixture"][1]["quantity"], "30 mL");
    /// # Ok::<(), serde_json::Error>(())
    /// ```
    #[must_use]
    pub fn poured(substance: &str, quantity: impl Into<Given<kind::Poured>>) -> Self {
        Self { mixture: Vec::new(), basis: None }.and(substance, quantity)
    }

    /// The same with this much of another substance.
    #[must_use]
    pub fn and(mut self, substance: &str, quantity: impl Into<Given<kind::Poured>>) -> Self {
        let quantity = Some(quantity.into().into());
        self.mixture.push(Part { substance: substance.to_owned(), quantity, fraction: None });
        self
    }

    /// A mixture by fractions on a basis; they must sum to 1.
    #[must_use]
    pub fn by_fractions<'a>(basis: Fractions, parts: impl IntoIterator<Item = (&'a str, f64)>) -> Self {
        let part = |(substance, fraction): (&str, f64)| Part {
            substance: substance.to_owned(),
            quantity: None,
            fraction: Some(fraction),
        };
        Self { mixture: parts.into_iter().map(part).collect(), basis: Some(basis) }
    }
}

/// One part of a mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Part {
    /// Name, synonym or CAS number of a substance, or a named mixture.
    pub substance: String,
    /// What was poured: a volume at 20 Cel measured apart, a mass or an amount of substance, for example `"70 mL"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub quantity: Option<String>,
    /// Fraction of the whole, 0 to 1, on the mixture's `basis`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fraction: Option<f64>,
}

/// What the fractions of a mixture are fractions of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Fractions {
    /// Amount of substance.
    Mole,
    /// Mass.
    Mass,
    /// Volume at 20 Cel, measured apart.
    Volume,
}

/// The liquid as it was understood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct LiquidEcho {
    /// Name in the catalogue.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "ethanol"))]
    pub name: Text,
    /// Id in the catalogue, as used in `/v1/substances/{id}`.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "ethanol"))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<Text>,
    /// CAS registry number.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "64-17-5"))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cas: Option<Text>,
    /// What it is made of; one entry for a pure liquid.
    pub components: Vec<Component>,
}

/// One of two liquid phases into which a mixture splits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct LiquidPhase {
    /// Its share of all the amount of substance, %.
    pub share: crate::Quantity,
    /// What it is made of.
    pub components: Vec<Component>,
}

/// One component of the liquid asked about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Component {
    /// Id of the substance in the catalogue.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub substance: Text,
    /// CAS registry number.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub cas: Text,
    /// Mole fraction in the liquid, a plain number from 0 to 1.
    pub mole_fraction: f64,
    /// Mass fraction in the liquid, a plain number from 0 to 1.
    pub mass_fraction: f64,
}
