//! `room-flammable-limit`: how much liquid brings a room towards its lower flammable limit.

use crate::evaporation::Surface;
use crate::{Basis, Detail, Heater, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks for the lower flammable limit in a room and the amounts of liquid that reach shares of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RoomFlammableLimit {
    /// The liquid.
    pub liquid: Liquid,
    /// The room; its volume is required.
    pub room: Room,
    /// Liquid released as vapour, a volume at 20 Cel or a mass, for example `"50 mL"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub released: Option<String>,
    /// How often that is released, 1 if not given: what is left of the ones before adds up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub releases: Option<u32>,
    /// Time between two releases, for example `"50 min"`; none if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interval: Option<String>,
    /// The open surface from which it evaporates; without it all of it is vapour at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<Surface>,
    /// On how many such surfaces the liquid stands; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// With `surface`: temperature at which the liquid is held.
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
    /// With `surface`: heat that goes into each vessel, needed where the liquid boils.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heater_power: Option<String>,
    /// With `surface`: distance to the nearest ignition source; 1 m if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// With `surface`: `"none in the room"` says that there is no ignition source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
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

impl RoomFlammableLimit {
    /// The limit for a liquid in a room; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, room: Room) -> Self {
        Self {
            liquid: liquid.into(),
            room,
            released: None,
            releases: None,
            interval: None,
            surface: None,
            count: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            heater_power: None,
            nearest_ignition: None,
            ignition: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// The limit in this room and the amounts that reach shares of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RoomFlammableLimitReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Lower flammable limit at the room's temperature, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_limit: Option<Quantity>,
    /// The same as mass of vapour, g/m3, at the room's temperature and pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_limit_mass: Option<Quantity>,
    /// Liquid that, evenly mixed, brings the whole room to the limit, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid_to_reach_limit: Option<Quantity>,
    /// Liquid that, evenly mixed, reaches the rule's share of the limit (10 % unless replaced), mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid_to_reach_rule_share: Option<Quantity>,
    /// Liquid whose vapour, standing at the limit over the floor, is as deep as the rule allows, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid_to_reach_floor_layer: Option<Quantity>,
    /// Largest release that is within every check of this question, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_release: Option<Quantity>,
    /// Volume of vapour from one litre of liquid at 20 Cel, L, at the room's temperature and pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vapour_volume_per_litre: Option<Quantity>,
    /// With `released`: volume fraction of vapour, evenly mixed, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_fraction: Option<Quantity>,
    /// With `released`: share of the lower flammable limit, evenly mixed, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share_of_limit: Option<Quantity>,
    /// With `released`: time until the mixed room is back at the rule's share, min; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_clear: Option<Quantity>,
    /// With `released`: depth at which all the vapour would stand at the limit over the floor, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_layer_depth: Option<Quantity>,
    /// With `released`: the vapour over time at each place, the worst first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<PlaceOverTime>,
    /// With `released`: shares of the limit over time.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub over_time: Vec<RoomAtTime>,
    /// Density of the pure vapour relative to air, unit 1 (air = 1).
    pub relative_vapour_density: Quantity,
    /// Density of air saturated with the vapour relative to air, unit 1 (air = 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relative_saturated_air_density: Option<Quantity>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// A place in a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Anywhere, as if the air were evenly mixed.
    Mixed,
    /// In a layer on the floor, as deep as the rule allows.
    FloorLayer,
    /// At the edge of the near zone around the liquid.
    NearField,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// The vapour at a place over time, at the unfavourable end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlaceOverTime {
    /// The place.
    pub place: Place,
    /// Highest share of the lower flammable limit, %.
    pub highest_share_of_limit: Quantity,
    /// Time above a quarter of the limit, min; absent where it has no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_above_quarter: Option<Quantity>,
    /// Time above the limit, min; absent where it has no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_above_limit: Option<Quantity>,
    /// Time until it is below a quarter of the limit for good, min; the cautious end; absent where it never is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_clear: Option<Quantity>,
}

/// Shares of the lower flammable limit at a time, at the unfavourable end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RoomAtTime {
    /// Time from the release (the last one), min.
    pub time: Quantity,
    /// Evenly mixed, %.
    pub mixed: Quantity,
    /// In the layer on the floor, %.
    pub floor_layer: Quantity,
    /// Near the liquid, %, where a surface was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near_field: Option<Quantity>,
}
