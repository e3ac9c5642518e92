//! `comparison`: several liquids for one use, criterion by criterion.

use crate::given::{Given, kind};
use crate::{
    Basis, Caution, Detail, Hazard, HeadspaceCondition, Heater, Liquid, LiquidEcho, Outcome, OwnLimit,
    Quantity, RelaxedBy, Room, Text, Use, Verdict, Vessel,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks which of several liquids is the least hazardous for a use; whether it serves the practical is not judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Comparison {
    /// The liquids, 2 to 20, none of them twice.
    pub liquids: Vec<Liquid>,
    /// What is done with each.
    #[serde(rename = "use")]
    pub used: Use,
    /// How much of each, a volume at 20 Cel or a mass, for example `"20 mL"`.
    pub amount: String,
    /// The room.
    pub room: Room,
    /// The vessel, the same for all; a dish of 150 mL and 8 cm if not given, of porcelain where it is burnt from, wider where it must hold more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vessel: Option<Vessel>,
    /// Temperature to which each is heated; not given with `heated`, each is a little below its own boiling point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_to: Option<String>,
    /// What heats it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_by: Option<Heater>,
    /// The hottest surface near it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_temperature: Option<String>,
    /// How long it stands open and people stay beside it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<String>,
    /// Distance of the nearest person.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_person: Option<String>,
    /// Distance of the nearest ignition source; 1 m if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// `"none in the room"` says that there is no ignition source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Clear height over the vessel, where it is burnt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<String>,
    /// Exposure limits of your own, which count first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<Vec<OwnLimit>>,
    /// The list of exposure limits that counts, for example `"United Kingdom"`; the lowest of all lists if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub list: Option<String>,
    /// Short form of `room.temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_temperature: Option<String>,
    /// Short form of `room.pressure`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// How much text the reply carries; `full` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Detail>,
    /// Rules replaced for this request, by name; see `/v1/rules`.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::ReplacedRules))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<BTreeMap<String, String>>,
    /// Who answers for a rule made laxer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relaxed_by: Option<RelaxedBy>,
}

impl Comparison {
    /// Liquids for a use, so much of each, in a room; everything else as not given.
    #[must_use]
    pub fn of<L: Into<Liquid>>(
        liquids: impl IntoIterator<Item = L>,
        used: Use,
        amount: impl Into<Given<kind::Amount>>,
        room: Room,
    ) -> Self {
        Self {
            liquids: liquids.into_iter().map(Into::into).collect(),
            used,
            amount: amount.into().into(),
            room,
            vessel: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            duration: None,
            nearest_person: None,
            nearest_ignition: None,
            ignition: None,
            clear_height: None,
            limits: None,
            list: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }

    /// In a vessel, the same for all.
    #[must_use]
    pub fn vessel(mut self, vessel: Vessel) -> Self {
        self.vessel = Some(vessel);
        self
    }

    /// Standing open for so long, with people beside it.
    #[must_use]
    pub fn lasting(mut self, duration: impl Into<Given<kind::Time>>) -> Self {
        self.duration = Some(duration.into().into());
        self
    }

    /// With nobody nearer than this.
    #[must_use]
    pub fn nearest_person(mut self, distance: impl Into<Given<kind::Length>>) -> Self {
        self.nearest_person = Some(distance.into().into());
        self
    }

    /// With no ignition source nearer than this.
    #[must_use]
    pub fn nearest_ignition(mut self, distance: impl Into<Given<kind::Length>>) -> Self {
        self.nearest_ignition = Some(distance.into().into());
        self
    }
}

/// A table of liquids, their order with the reason of each step, and what could not be compared.
///
/// No single score: each criterion is shown, in the order in which it decides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ComparisonReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// What is done with each.
    #[serde(rename = "use")]
    pub used: Use,
    /// By what they are compared, the one that decides first in front.
    pub criteria: Vec<Criterion>,
    /// Each liquid, in the order of the request.
    pub rows: Vec<ComparedLiquid>,
    /// From the least to the most hazardous for this use.
    pub order: Vec<OrderStep>,
    /// Liquids to which another one is preferred whatever the weight of the criteria.
    pub dominated: Vec<Dominated>,
    /// Liquids that have no place in the order, since a figure is missing.
    pub not_compared: Vec<NotCompared>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// By what liquids are compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Criterion {
    /// Its id: the field of a row.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// In words, with the side that is the less hazardous.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub text: Text,
}

/// One liquid of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ComparedLiquid {
    /// Its name in `order`, `dominated` and `not_compared`.
    pub name: String,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// The worst status of all its checks.
    pub outcome: Outcome,
    /// The check that decides it; absent where none was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub governed_by: Option<Deciding>,
    /// Why it is not for school use, where it is not.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_for_school_use: Option<Text>,
    /// Its temperature, Cel.
    pub liquid_temperature: Quantity,
    /// Flash point (closed cup) at the room's pressure, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point: Option<Quantity>,
    /// Flash point less the liquid's temperature, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<Quantity>,
    /// What stands over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headspace: Option<HeadspaceCondition>,
    /// Whether its vapour can be lit at this temperature, with the margin that is required; absent where it is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub can_be_lit: Option<bool>,
    /// All of it as vapour, evenly mixed: share of the lower flammable limit, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_share: Option<Quantity>,
    /// What the nearest person breathes over the exposure limits, 1; several vapours added up, the worse of 15 minutes and 8 hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exposure_index: Option<Quantity>,
    /// The gravest of its hazard statements in words; absent where none are stored.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub health: Option<Text>,
    /// Whether it is a liquid that may be burnt at all; where it is burnt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub burnable: Option<bool>,
    /// Heat release, kW; where it is burnt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_release: Option<Quantity>,
    /// Mean height of its flame, cm; where it is burnt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flame_height: Option<Quantity>,
    /// Heat of the vapour gathered before lighting, kJ; where it is burnt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_at_lighting: Option<Quantity>,
    /// How much soot its flame gives, of a mixture the worst part.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soot: Option<Text>,
    /// Lowest autoignition temperature of its parts, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub autoignition: Option<Quantity>,
    /// Hazard statements of its parts as they are stored here; a list that is empty says nothing.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub hazard_statements: Vec<Text>,
    /// Notes on health and other cautions of its parts.
    pub notes: Vec<Caution>,
    /// Figures of this row that could not be given, and why.
    pub not_given: Vec<Hazard>,
}

/// The check that decides a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Deciding {
    /// Id of the check.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub check: Text,
    /// The question that makes it.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub question: Text,
    /// In a sentence.
    pub sentence: String,
}

/// A step of the order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct OrderStep {
    /// The liquids of this step, by name; several tie.
    pub liquids: Vec<String>,
    /// The criterion that sets it behind the step before; absent in the first.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub criterion: Option<Text>,
    /// Why it stands here.
    pub reason: String,
}

/// A liquid to which another is preferred by every criterion.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Dominated {
    /// Its name.
    pub liquid: String,
    /// The other: no worse by any criterion.
    pub by: String,
    /// The criteria by which the other is clearly better.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub better_in: Vec<Text>,
}

/// A liquid that has no place in the order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct NotCompared {
    /// Its name.
    pub liquid: String,
    /// What is missing.
    pub reason: String,
}
