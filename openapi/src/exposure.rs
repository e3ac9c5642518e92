//! `exposure`: what the nearest person breathes, against exposure limits.

use crate::evaporation::Surface;
use crate::given::{Given, kind};
use crate::{Basis, Detail, Heater, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Seen, Text, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks what the nearest person breathes: of an open `source`, or at a `generation_rate`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Exposure {
    /// The liquid.
    pub liquid: Liquid,
    /// The room; its volume is required.
    pub room: Room,
    /// The open liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<OpenSource>,
    /// In place of `source`: liquid that becomes vapour per time, a mass or a volume at 20 Cel, for example `"2 g/min"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub generation_rate: Option<String>,
    /// How long the person stays, for example `"40 min"`.
    pub duration: String,
    /// Distance of the person from the liquid: the radius of the near zone; 0.5 m if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<String>,
    /// Speed of the air around the liquid; 0.1 m/s, from 0.05 to 0.3, if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_speed: Option<String>,
    /// Distance to the nearest ignition source, against which only a halogenated vapour is held here; 1 m for such a one if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// Where ignition sources are; `"none in the room"` says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Limits that count before those of the lists.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<Vec<OwnLimit>>,
    /// Jurisdiction whose list counts, for example `"United Kingdom"`; the lowest limit of all lists if not given.
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

impl Exposure {
    /// What is breathed in a room within a time while so much evaporates; everything else as not given.
    #[must_use]
    pub fn of(
        liquid: impl Into<Liquid>,
        room: Room,
        generation_rate: impl Into<Given<kind::MassRate>>,
        duration: impl Into<Given<kind::Time>>,
    ) -> Self {
        Self {
            liquid: liquid.into(),
            room,
            source: None,
            generation_rate: Some(generation_rate.into().into()),
            duration: duration.into().into(),
            distance: None,
            air_speed: None,
            nearest_ignition: None,
            ignition: None,
            limits: None,
            list: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// Liquid in open vessels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct OpenSource {
    /// Liquid in each vessel or on each surface, a volume at 20 Cel or a mass, for example `"20 mL"`.
    pub amount: String,
    /// One open surface.
    pub surface: Surface,
    /// How many; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Temperature at which the liquid is held.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_to: Option<String>,
    /// What heats the liquid. Where `heated_to` is not given, it is then taken a little below its boiling point, and no hotter than a bath
    /// or a stated surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_by: Option<Heater>,
    /// The hottest surface near the liquid, whether or not it heats it: a hot plate left on, a lamp, an oven, for example `"350 Cel"`; the
    /// usual one of `heated_by` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_temperature: Option<String>,
    /// Heat that goes into each vessel, needed where the liquid boils.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heater_power: Option<String>,
}

/// An exposure limit of the caller.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct OwnLimit {
    /// Name, synonym or CAS number of a part of the liquid.
    pub substance: String,
    /// Limit over 15 minutes, for example `"1500 ppm"` or `"3620 mg/m3"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_term: Option<String>,
    /// Limit over 8 hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term: Option<String>,
}

/// What the nearest person breathes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ExposureReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// What is breathed of each part.
    pub components: Vec<ComponentExposure>,
    /// Sum of the shares of their limits, the larger of 15 minutes and 8 hours, a plain number; absent without a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub additive_exposure_index: Option<Quantity>,
    /// Largest amount in each vessel within the limits, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_amount: Option<Quantity>,
    /// Largest area of each surface within the limits, cm2, where the rate does not depend on the amount; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_surface: Option<Quantity>,
    /// Air changes at which all is within the limits, /h; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_air_changes: Option<Quantity>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// What is breathed of one part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ComponentExposure {
    /// Id of the substance.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub substance: Text,
    /// Beside the liquid at the end of the duration, ppm.
    pub near_field: Quantity,
    /// The same as a mass concentration, mg/m3, in the room's air.
    pub near_field_mass: Quantity,
    /// In the rest of the room at the end of the duration, ppm.
    pub far_field: Quantity,
    /// The same, mg/m3.
    pub far_field_mass: Quantity,
    /// Average of the worst 15 minutes beside the liquid, ppm.
    pub short_term_average: Quantity,
    /// The same, mg/m3.
    pub short_term_average_mass: Quantity,
    /// Average of 8 hours beside the liquid, ppm.
    pub long_term_average: Quantity,
    /// The same, mg/m3.
    pub long_term_average_mass: Quantity,
    /// Limit over 15 minutes, ppm; absent where none is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_term_limit: Option<Quantity>,
    /// The same, mg/m3, as lists print it beside the ppm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_term_limit_mass: Option<Quantity>,
    /// Where that limit comes from.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_term_limit_source: Option<Text>,
    /// How that source was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_term_limit_seen: Option<Seen>,
    /// Limit over 8 hours, ppm; absent where none is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term_limit: Option<Quantity>,
    /// The same, mg/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term_limit_mass: Option<Quantity>,
    /// Where that limit comes from.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term_limit_source: Option<Text>,
    /// How that source was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term_limit_seen: Option<Seen>,
}
