//! `evaporation`: how fast a liquid evaporates from an open surface, and how far its vapour can be lit.

use crate::given::{Given, kind};
use crate::{Basis, Component, Detail, Heater, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how fast a liquid evaporates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Evaporation {
    /// The liquid.
    pub liquid: Liquid,
    /// Liquid in each vessel or on each surface, a volume at 20 Cel or a mass, for example `"20 mL"`.
    pub amount: String,
    /// One open surface.
    pub surface: Surface,
    /// How many such surfaces; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The room; without its volume only its air counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// Temperature at which the liquid is held, for example `"50 Cel"`.
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
    /// Heat that goes into each vessel, needed where the liquid boils, for example `"300 W"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heater_power: Option<String>,
    /// Speed of the air over the surface, for example `"0.25 m/s"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_speed: Option<String>,
    /// How long it stands open, for example `"40 min"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<String>,
    /// Distance to the nearest ignition source; 1 m if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_ignition: Option<String>,
    /// Where ignition sources are; `"none in the room"` says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<String>,
    /// Whether a cloth, wick or absorbent is soaked with it: then it keeps 0.5 m from every flame, whatever the temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soaked: Option<bool>,
    /// Result of a test for peroxides; `"none found"` says that one was made and found none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peroxide_test: Option<String>,
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

impl Evaporation {
    /// How fast so much of a liquid leaves a surface; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, amount: impl Into<Given<kind::Amount>>, surface: Surface) -> Self {
        Self {
            liquid: liquid.into(),
            amount: amount.into().into(),
            surface,
            count: None,
            room: None,
            heated_to: None,
            heated_by: None,
            surface_temperature: None,
            heater_power: None,
            air_speed: None,
            duration: None,
            nearest_ignition: None,
            ignition: None,
            soaked: None,
            peroxide_test: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// An open surface of liquid: `diameter` or `area`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Surface {
    /// Diameter of a round surface, for example `"9 cm"`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diameter: Option<String>,
    /// Area of any other, for example `"1 m2"`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
    /// How far the liquid lies below the rim, for example `"2 cm"`; none if not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub freeboard: Option<String>,
    /// Inner depth of the vessel: then more liquid than it holds is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<String>,
}

impl Surface {
    /// A round surface, so wide.
    #[must_use]
    pub fn round(diameter: impl Into<Given<kind::Length>>) -> Self {
        Self { diameter: Some(diameter.into().into()), ..Self::default() }
    }

    /// A surface of any other shape, so large.
    #[must_use]
    pub fn of(area: impl Into<Given<kind::Area>>) -> Self {
        Self { area: Some(area.into().into()), ..Self::default() }
    }
}

/// How a liquid leaves its surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Regime {
    /// The air that moves over the surface carries the vapour off.
    AirMovement,
    /// The vapour spreads through the still air of the freeboard.
    Diffusion,
    /// It boils: the heater decides.
    Boiling,
    /// A word that this client does not know yet.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// How fast it evaporates, how cold it becomes, how far its vapour can be lit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct EvaporationReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Mass that evaporates from all surfaces at first, g/min.
    pub rate: Quantity,
    /// The same for each area, g/(m2.h).
    pub flux: Quantity,
    /// How it leaves.
    pub regime: Regime,
    /// Time until it is dry, min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_dry: Option<Quantity>,
    /// With `duration`: liquid that has evaporated from all surfaces by then, mL at 20 Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evaporated: Option<Quantity>,
    /// The same as a mass, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evaporated_mass: Option<Quantity>,
    /// Temperature of the liquid, Cel: steady, cooled by its own evaporation; the upper end is that of the room.
    pub liquid_temperature: Quantity,
    /// The distance that an ignition source must keep, m, the cautious end: how far around the surface its vapour can be lit, or what is
    /// kept whatever the amount; absent where it cannot be said or no distance is enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignitable_distance: Option<Quantity>,
    /// For a mixture: what is left as it evaporates.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub series: Vec<RemainingAtTime>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// What is left of a mixture at a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct RemainingAtTime {
    /// Time from the start, min.
    pub time: Quantity,
    /// Liquid left on all surfaces, mL at 20 Cel.
    pub remaining: Quantity,
    /// What it is made of.
    pub composition: Vec<Component>,
    /// Its flash point, Cel, closed cup, at the room's pressure; absent where it is not known or not reached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point: Option<Quantity>,
}
