//! Cautions of substances, liquids that do not burn or are not for use, constants of methods, exceptions to checks.

use serde::Deserialize;

/// `remarks.toml`.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remarks {
    /// Cautions.
    #[serde(default)]
    pub caution: Vec<Caution>,
    /// Liquids that a source says do not burn.
    #[serde(default)]
    pub not_flammable: Vec<NotFlammable>,
    /// Substances that are recognised but not for use in a school: every one of tier 3.
    #[serde(default)]
    pub not_for_school_use: Vec<NotForSchoolUse>,
    /// Liquids whose lower limit falls with temperature by another constant.
    #[serde(default)]
    pub limit_falls_slower: Vec<LimitFalls>,
    /// Exposure limits from memory that the table of limits lacks.
    #[serde(default)]
    pub remembered_limit: Vec<RememberedLimit>,
    /// Skin notations from memory that the table of limits lacks.
    #[serde(default)]
    pub skin_notation: Vec<SkinNotation>,
    /// Less hazardous liquids that often do in place of another.
    #[serde(default)]
    pub alternative: Vec<Alternative>,
    /// Exceptions to the checks at the start.
    #[serde(default)]
    pub exception: Vec<Exception>,
}

/// A caution of a substance.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Its id.
    pub id: String,
    /// The substance.
    pub substance: String,
    /// In words.
    pub text: String,
}

/// A liquid that a source says does not burn.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotFlammable {
    /// The substance.
    pub substance: String,
    /// What is said.
    pub reason: String,
    /// How it was seen.
    pub seen: String,
}

/// A substance that is recognised but not for use in a school.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotForSchoolUse {
    /// The substance.
    pub substance: String,
    /// Why.
    pub reason: String,
}

/// An exposure limit from memory.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RememberedLimit {
    /// The substance.
    pub substance: String,
    /// Jurisdiction.
    pub jurisdiction: String,
    /// List.
    pub list: String,
    /// Edition.
    pub edition: String,
    /// 8-hour limit as a volume fraction.
    pub long_term: Option<String>,
    /// 15-minute limit as a volume fraction.
    pub short_term: Option<String>,
}

/// Substances to which a jurisdiction's list gives a skin notation.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkinNotation {
    /// Jurisdiction.
    pub jurisdiction: String,
    /// The substances.
    pub substances: Vec<String>,
}

/// A less hazardous liquid that often does in place of another.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// The substance.
    pub substance: String,
    /// What often does in its place.
    pub instead: String,
    /// Why it is less hazardous.
    pub reason: String,
}

/// The constant of the lower limit's fall with temperature.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitFalls {
    /// The substance.
    pub substance: String,
    /// The constant.
    pub kelvins: String,
    /// Why.
    pub reason: String,
}

/// A datum that fails a check and is kept.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    /// The substance.
    pub substance: String,
    /// The check.
    pub check: String,
    /// The set, for checks of equations.
    pub set: Option<String>,
    /// Why it is kept.
    pub reason: String,
}
