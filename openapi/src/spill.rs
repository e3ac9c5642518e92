//! `spill`: the whole amount is dropped on the floor of this room.

use crate::given::{Given, kind};
use crate::{Basis, Detail, Heater, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks what a dropped container does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Spill {
    /// The liquid.
    pub liquid: Liquid,
    /// All that is dropped, a volume at 20 Cel or a mass, for example `"500 mL"`.
    pub amount: String,
    /// The room; its volume is required.
    pub room: Room,
    /// The floor; smooth if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<Floor>,
    /// Temperature of the liquid when it is dropped, where it was heated.
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
    /// Distance to the nearest ignition source; 1 m if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// Where ignition sources are; `"none in the room"` says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Speed of the air over the floor; 0.25 m/s, from 0.1 to 0.5, if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_speed: Option<String>,
    /// Whether it burns already when it is dropped: then it is over the limit whatever the amount.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alight: Option<bool>,
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

impl Spill {
    /// What happens where so much of a liquid is dropped in a room; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, amount: impl Into<Given<kind::Amount>>, room: Room) -> Self {
        Self {
            liquid: liquid.into(),
            amount: amount.into().into(),
            room,
            floor: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            nearest_ignition: None,
            ignition: None,
            air_speed: None,
            alight: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// A floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Floor {
    /// Hard and smooth.
    Smooth,
    /// Hard and rough.
    Rough,
    /// Carpet, wood, powder, cloth.
    Absorbent,
}

/// What a dropped container does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SpillReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Area of the pool, m2.
    pub pool_area: Quantity,
    /// Mass that evaporates at first, g/min; of a heated liquid that of the pool which the floor has cooled, its upper end that of the hot
    /// liquid.
    pub rate: Quantity,
    /// The distance that an ignition source must keep, m, the cautious end: how far along the floor its vapour can be lit, or, of what is too
    /// cold for that, the edge of its pool and 1 m more; absent where it cannot be said or no distance is enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignitable_distance: Option<Quantity>,
    /// How high above the floor, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignitable_height: Option<Quantity>,
    /// How far it usually can, by what is given off in moving air, m: decides nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub usual_distance: Option<Quantity>,
    /// Share of the lower flammable limit when all of it has evaporated, evenly mixed, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_share_of_limit: Option<Quantity>,
    /// Time until the pool is dry, min; of a heated liquid its lower end is that of a pool which stays hot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_evaporate: Option<Quantity>,
    /// Time until the pool is dry and both the mixed room and the layer on its floor are below the rule's share for accidents, min; the
    /// cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_clear: Option<Quantity>,
    /// Largest amount at which every check that depends on it is not over, mL at 20 Cel; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub largest_amount: Option<Quantity>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}
