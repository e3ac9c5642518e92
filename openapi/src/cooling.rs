//! `cooling`: when a hot vessel may be touched or filled again.

use crate::given::{Given, kind};
use crate::{Basis, Detail, Liquid, Quantity, RelaxedBy, Room, Stock, Text, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how a hot vessel cools.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Cooling {
    /// The vessel.
    pub vessel: CoolingVessel,
    /// Whether it stands on a heat-resistant mat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mat: Option<bool>,
    /// Temperature of its wall at the start, for example `"250 Cel"`; or `burnt`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start_temperature: Option<String>,
    /// What burnt in it; or `start_temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub burnt: Option<Burnt>,
    /// The room; only its air matters here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// Short form of `room.temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_temperature: Option<String>,
    /// Short form of `room.pressure`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// The liquid that is to be poured in next.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refill_with: Option<Liquid>,
    /// How long it has been left to cool.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waited: Option<String>,
    /// Whether every flame within 5 m is proved out and covered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub all_flames_out: Option<bool>,
    /// The stock bottle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Stock>,
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

impl Cooling {
    /// How a vessel cools from a temperature; everything else as not given.
    #[must_use]
    pub fn of(vessel: CoolingVessel, start_temperature: impl Into<Given<kind::Temperature>>) -> Self {
        Self {
            vessel,
            mat: None,
            start_temperature: Some(start_temperature.into().into()),
            burnt: None,
            room: None,
            room_temperature: None,
            pressure: None,
            refill_with: None,
            waited: None,
            all_flames_out: None,
            stock: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// A vessel that cools: its mass, or what it holds.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct CoolingVessel {
    /// What it is made of, for example `"borosilicate glass"`; a glass that is not named is taken for the weakest.
    pub material: String,
    /// Its mass, for example `"110 g"`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<String>,
    /// What it holds when brim-full; needed where its mass is not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity: Option<String>,
    /// Inner width of its mouth; as wide as high if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mouth_diameter: Option<String>,
    /// Thickness of its wall, for example `"2.5 mm"`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<String>,
}

impl CoolingVessel {
    /// A vessel of a material, for example `"borosilicate glass"`, that holds this much when brim-full.
    #[must_use]
    pub fn of(material: &str, capacity: impl Into<Given<kind::Volume>>) -> Self {
        Self { material: material.to_owned(), capacity: Some(capacity.into().into()), ..Self::default() }
    }
}

/// What burnt in a vessel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Burnt {
    /// The liquid.
    pub liquid: Liquid,
    /// How much of it, a volume at 20 Cel or a mass.
    pub amount: String,
}

/// When a vessel may be touched or filled again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct CoolingReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// What the vessel is taken to be made of.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub material: Text,
    /// Temperature of the wall when the cooling starts, Cel.
    pub wall_temperature_at_end: Quantity,
    /// How long nothing is done with it, min, before the refill, or before the same liquid as burnt where no refill is named; the
    /// cautious end; absent where no wait suffices or the vessel is not known well enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waiting_time: Option<Quantity>,
    /// How long before it is cleared away and nothing is poured in again, min: touch and practice; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waiting_time_to_clear: Option<Quantity>,
    /// What decides the waiting time: `touch`, `refill` or `practice`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub governed_by: Option<Text>,
    /// How long until it may be touched, min; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_touch: Option<Quantity>,
    /// How long until its wall cannot light or warm the refill past its flash point, min, or what burnt where no refill is named; the
    /// cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_refill: Option<Quantity>,
    /// The wall over time; empty where the vessel is not known well enough.
    pub temperatures: Vec<WallAtTime>,
    /// Steps of temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thermal_shock: Option<ThermalShock>,
    /// Biot number of the wall: far below one, a single temperature stands for all of it.
    pub biot_number: Quantity,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// The wall at a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct WallAtTime {
    /// Time from the end of heating, min.
    pub time: Quantity,
    /// Temperature of the wall, Cel.
    pub wall: Quantity,
}

/// Steps of temperature that a wall bears and meets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ThermalShock {
    /// The step it bears in use, K; the lower end is that of scratched ware.
    pub permissible_step: Quantity,
    /// The step it meets when something at the room's temperature is poured in, K, after `waited`, else after the waiting time.
    pub expected_step: Quantity,
}
