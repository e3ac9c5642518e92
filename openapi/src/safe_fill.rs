//! `safe-fill`: the largest fill at which every limit considered holds.

use crate::exposure::OwnLimit;
use crate::given::{Given, kind};
use crate::{
    Basis, Detail, Grounds, Heater, Liquid, LiquidEcho, Outcome, Quantity, RelaxedBy, Room, Text, Verdict,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how far vessels may be filled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SafeFill {
    /// The liquid.
    pub liquid: Liquid,
    /// The room; its volume is required.
    pub room: Room,
    /// One of the vessels, all alike.
    pub vessel: Vessel,
    /// How many vessels are out at once.
    pub vessels: u32,
    /// What is done with the liquid.
    #[serde(rename = "use")]
    pub used: Use,
    /// Fill of each vessel, for example `"20 mL"`; without it the largest fill is proposed and checked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill: Option<String>,
    /// Temperature to which the liquid is heated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_to: Option<String>,
    /// What heats the liquid. Where `heated_to` is not given, it is then taken a little below its boiling point, and no hotter than a
    /// bath or a stated surface; with `burnt`, and a lamp with `open`, it is a surface near the vessels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_by: Option<Heater>,
    /// The hottest surface near the liquid, whether or not it heats it: a hot plate left on, a lamp, an oven, for example `"350 Cel"`; the
    /// usual one of `heated_by` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_temperature: Option<String>,
    /// How long the vessels stand open, for example `"40 min"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<String>,
    /// Distance to the nearest person.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_person: Option<String>,
    /// Distance to the nearest ignition source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// Where ignition sources are; `"none in the room"` says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Heat that goes into each vessel, needed where the liquid boils, for example `"300 W"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heater_power: Option<String>,
    /// The container brought along.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container: Option<Container>,
    /// Exposure limits that count before those of the lists.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<Vec<OwnLimit>>,
    /// Jurisdiction whose exposure limits count, for example `"United Kingdom"`; the lowest of all lists if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub list: Option<String>,
    /// Clear height over the vessels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<String>,
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

impl SafeFill {
    /// How far so many vessels may be filled for a use; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, room: Room, vessels: u32, vessel: Vessel, used: Use) -> Self {
        Self {
            liquid: liquid.into(),
            room,
            vessel,
            vessels,
            used,
            fill: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            duration: None,
            nearest_person: None,
            nearest_ignition: None,
            ignition: None,
            heater_power: None,
            container: None,
            limits: None,
            list: None,
            clear_height: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }

    /// With a fill of each vessel, to be checked.
    #[must_use]
    pub fn filled(mut self, fill: impl Into<Given<kind::Amount>>) -> Self {
        self.fill = Some(fill.into().into());
        self
    }

    /// Standing open for so long.
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

    /// Heated to a temperature.
    #[must_use]
    pub fn heated_to(mut self, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        self.heated_to = Some(temperature.into().into());
        self
    }

    /// Heated by this.
    #[must_use]
    pub const fn heated_by(mut self, heater: Heater) -> Self {
        self.heated_by = Some(heater);
        self
    }

    /// With so much heat going into each vessel.
    #[must_use]
    pub fn heater_power(mut self, power: impl Into<Given<kind::Power>>) -> Self {
        self.heater_power = Some(power.into().into());
        self
    }
}

/// A vessel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Vessel {
    /// What it holds when brim-full, for example `"100 mL"`.
    pub capacity: String,
    /// Inner width of its mouth, for example `"5 cm"`; straight-sided unless said.
    pub mouth_diameter: String,
    /// What it is made of, for example `"borosilicate glass"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
}

impl Vessel {
    /// A vessel that holds this much when brim-full, with a mouth so wide.
    #[must_use]
    pub fn of(capacity: impl Into<Given<kind::Volume>>, mouth: impl Into<Given<kind::Length>>) -> Self {
        Self { capacity: capacity.into().into(), mouth_diameter: mouth.into().into(), material: None }
    }

    /// The same of a material, for example `"borosilicate glass"`.
    #[must_use]
    pub fn made_of(mut self, material: &str) -> Self {
        self.material = Some(material.to_owned());
        self
    }
}

/// A container of liquid that is brought along.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Container {
    /// Liquid in it, for example `"250 mL"`.
    pub amount: String,
    /// How far from the vessels it stands, closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<String>,
}

/// What is done with the liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Use {
    /// Stands open.
    Open,
    /// Is heated.
    Heated,
    /// Is burnt from the vessel.
    Burnt,
}

/// The largest fill within every limit considered, and what binds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SafeFillReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Largest fill of each vessel, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_per_vessel: Option<Quantity>,
    /// `vessels` × `fill_per_vessel`, mL at 20 Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total: Option<Quantity>,
    /// Id of the binding limit.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub governed_by: Option<Text>,
    /// Every limit considered, the binding one first.
    pub limits: Vec<FillLimit>,
    /// Where a limit is passed: other plans that allow more, each asked in full; they are no remedies of this one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<FillAlternative>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// One limit on the fill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FillLimit {
    /// Id of the limit; also the id of its check.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// Largest amount in all vessels together at which this limit holds, mL at 20 Cel; the cautious end; absent where it could not be found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_total: Option<Quantity>,
    /// What the limit rests on.
    pub basis: Grounds,
    /// Status of its check.
    pub status: Outcome,
}

/// Another plan that allows more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FillAlternative {
    /// What is different: `cooler_room`, `other_vessel` or `other_liquid`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub change: Text,
    /// In words, with what it would be.
    pub text: String,
    /// Largest fill of each vessel then, mL at 20 Cel; the cautious end.
    pub fill_per_vessel: Quantity,
}
