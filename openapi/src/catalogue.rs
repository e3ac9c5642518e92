//! The catalogue over HTTP: substances, named mixtures, rules, units.

use crate::{Caution, Grounds, Quantity, Seen, Text};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A page of substances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SubstanceList {
    /// The substances, by name or, with `search`, best match first.
    pub items: Vec<SubstanceEntry>,
    /// Cursor of the next page, for `after`; absent on the last page.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// A substance in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SubstanceEntry {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Other names.
    pub names: Vec<String>,
    /// CAS registry number.
    pub cas: String,
    /// Molecular formula.
    pub formula: String,
    /// Whether it is a flammable liquid (category 1 to 3) or its vapour can burn; absent where that is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flammable: Option<bool>,
    /// Flash point, closed cup, at 101.325 kPa, Cel; absent where none is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point: Option<Quantity>,
    /// Category of the flammable liquid by the published CLP/GHS criteria; absent if none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flammable_liquid_category: Option<u8>,
}

/// A substance with everything that the catalogue holds of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Substance {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Other names.
    pub names: Vec<String>,
    /// CAS registry number.
    pub cas: String,
    /// IUPAC international chemical identifier, hashed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inchikey: Option<String>,
    /// IUPAC international chemical identifier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inchi: Option<String>,
    /// The structure as a SMILES string.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smiles: Option<String>,
    /// Molecular formula.
    pub formula: String,
    /// Why it is recognised but not for use in a school; absent where it is not so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_for_school_use: Option<String>,
    /// Category of the flammable liquid by the published CLP/GHS criteria; absent if none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flammable_liquid_category: Option<u8>,
    /// Accuracy class of the vapour pressure, A to D, and why.
    pub vapour_pressure_class: VapourPressureClass,
    /// Data by property name.
    pub data: BTreeMap<String, Datum>,
    /// Published equations by property name, in the order in which they are used.
    pub equations: BTreeMap<String, Vec<PublishedEquation>>,
    /// Published equations that are known to be wrong and never used, by property name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub not_used: BTreeMap<String, Vec<NotUsedEquation>>,
    /// Hazards, from memory: confirm them on the supplier's data sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazard: Option<HazardNotes>,
    /// Exposure limits by list and edition.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exposure_limits: Vec<PublishedExposureLimit>,
    /// Groups of modified UNIFAC (Dortmund); empty where the molecule cannot be built of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unifac_groups: Vec<UnifacGroup>,
    /// Cautions.
    pub cautions: Vec<Caution>,
}

/// A published equation that is known to be wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct NotUsedEquation {
    /// Name of the set.
    pub set: String,
    /// Key of the source.
    pub source: String,
    /// Why it is not used.
    pub reason: String,
}

/// Hazards of a substance, from memory.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct HazardNotes {
    /// Harmonised classification.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub classification: Option<String>,
    /// Codes of the hazard statements.
    pub statements: Vec<String>,
    /// Family for keeping apart in storage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub family: Option<String>,
    /// Whether and how it forms peroxides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peroxides: Option<String>,
    /// Electrical conductivity: low, medium or high; a liquid of low conductivity charges when it flows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub static_conductivity: Option<String>,
    /// How much soot its flame gives.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soot: Option<String>,
    /// How well its flame is seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flame_visibility: Option<String>,
    /// Whether its smell warns.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odour: Option<String>,
    /// Waste group.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_group: Option<String>,
    /// What the notes rest on.
    pub basis: String,
    /// How that was seen.
    pub seen: Seen,
}

/// An exposure limit of a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PublishedExposureLimit {
    /// Where it is in force.
    pub jurisdiction: String,
    /// The list.
    pub list: String,
    /// Its edition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// `TWA`, `STEL` or `ceiling`.
    pub kind: String,
    /// Over which time it is averaged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub averaging_time: Option<String>,
    /// As a share of the air, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_fraction: Option<String>,
    /// As mass in the air, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_concentration: Option<String>,
    /// Notation on uptake through the skin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skin: Option<String>,
    /// Whether sources conflict.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub disputed: bool,
    /// How the list was seen.
    pub seen: Seen,
    /// A remark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A group of a molecule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct UnifacGroup {
    /// Number of the subgroup in the published table.
    pub subgroup: u16,
    /// Its name.
    pub name: String,
    /// How often it occurs.
    pub count: u16,
}

/// Accuracy class of the vapour pressure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct VapourPressureClass {
    /// A 1 %, B 3 %, C 10 %, D a factor of 1.5 (95 % range).
    pub class: String,
    /// Why.
    pub reason: String,
}

/// One datum of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Datum {
    /// The value, in `unit`; absent where no value is trusted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// UCUM unit of the value; absent where no value is trusted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Lower end of the 95 % range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Upper end of the 95 % range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// The figure as it is stored, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_stored: Option<String>,
    /// Whether it is an estimate, since no measurement is published.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub estimated: bool,
    /// Key of the source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Where in the source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub locator: Option<String>,
    /// How the source was seen.
    pub seen: Seen,
    /// A remark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Other published values, and why they were not chosen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead_of: Vec<OtherValue>,
}

/// A published value that was not chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct OtherValue {
    /// The value as stored, with its unit.
    pub value: String,
    /// Key of its source.
    pub source: String,
    /// Why it was not chosen.
    pub reason: String,
}

/// A published equation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PublishedEquation {
    /// Name of the set.
    pub set: String,
    /// The equation with its units.
    pub form: String,
    /// Its coefficients, as stored.
    pub coefficients: Vec<String>,
    /// Range of validity.
    pub valid_range: String,
    /// `use` or `doubtful`.
    pub verdict: String,
    /// What the verdict rests on.
    pub reason: String,
    /// Key of the source.
    pub source: String,
    /// Where in the source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub locator: Option<String>,
    /// How the source was seen.
    pub seen: Seen,
}

/// A page of named mixtures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MixtureList {
    /// The mixtures that are recognised by name.
    pub items: Vec<MixtureEntry>,
    /// Cursor of the next page; absent on the last page.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// A named mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MixtureEntry {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Other names.
    pub names: Vec<String>,
    /// What it is taken to be made of, and how else it is sold: the first composition is the usual one.
    pub compositions: Vec<MixtureComposition>,
    /// Where the compositions come from.
    pub source: String,
    /// How that was seen.
    pub seen: Seen,
}

/// A composition of a named mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MixtureComposition {
    /// What the shares are shares of.
    pub basis: crate::Fractions,
    /// The parts with their shares.
    pub parts: Vec<MixtureShare>,
}

/// A part of a named mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MixtureShare {
    /// Id of the substance.
    pub substance: String,
    /// Its share, %.
    pub share: Quantity,
}

/// The rules in force.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RuleList {
    /// The rules, by name.
    pub items: Vec<Rule>,
}

/// A figure that is a rule and no law of nature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Rule {
    /// Its name, as used in a request's `rules`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub name: Text,
    /// The figure and its unit.
    pub value: Quantity,
    /// Which direction is stricter: `lower` or `higher`.
    pub stricter: Direction,
    /// What it says.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub text: Text,
    /// What it rests on.
    pub basis: Grounds,
    /// How its source was seen.
    pub seen: Seen,
    /// Who may replace it.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub may_be_replaced: Text,
}

/// The direction in which a rule becomes stricter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// A lower figure is stricter.
    Lower,
    /// A higher figure is stricter.
    Higher,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// The units that requests may use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct UnitList {
    /// The units, by dimension.
    pub items: Vec<UnitEntry>,
}

/// A unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct UnitEntry {
    /// UCUM case-sensitive code.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub code: Text,
    /// Name in words.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub name: Text,
    /// What it measures.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub dimension: Text,
    /// Other accepted spellings.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub spellings: Vec<Text>,
}
