//! `burning`: a liquid burns from open vessels.

use crate::given::{Given, kind};
use crate::{Basis, Detail, Liquid, LiquidEcho, Quantity, RelaxedBy, Room, Text, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks how a liquid burns from vessels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Burning {
    /// The liquid.
    pub liquid: Liquid,
    /// Liquid in each vessel, a volume at 20 Cel or a mass, for example `"6 mL"`.
    pub amount: String,
    /// One of the vessels, all alike.
    pub vessel: BurningVessel,
    /// How many vessels burn at once; 1 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vessels: Option<u32>,
    /// Clear distance between neighbouring vessels; not given, their flames count as one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spacing: Option<String>,
    /// The room; its volume is needed for what the flames leave in the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// Distance from the flames to the nearest person.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_person: Option<String>,
    /// Clear height over the vessels, for example `"1.5 m"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<String>,
    /// How long the liquid stands open before it is lit; 5 min if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wait_before_lighting: Option<String>,
    /// The stock bottle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Stock>,
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

impl Burning {
    /// How so much of a liquid burns from a vessel; everything else as not given.
    #[must_use]
    pub fn of(
        liquid: impl Into<Liquid>,
        amount: impl Into<Given<kind::Amount>>,
        vessel: BurningVessel,
    ) -> Self {
        Self {
            liquid: liquid.into(),
            amount: amount.into().into(),
            vessel,
            vessels: None,
            spacing: None,
            room: None,
            nearest_person: None,
            clear_height: None,
            wait_before_lighting: None,
            stock: None,
            room_temperature: None,
            pressure: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// A vessel that a liquid burns from.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct BurningVessel {
    /// What it holds when brim-full, for example `"250 mL"`.
    pub capacity: String,
    /// Inner width of its mouth, for example `"7 cm"`; straight-sided.
    pub mouth_diameter: String,
    /// What it is made of, for example `"borosilicate glass"`; a glass that is not named is taken for the weakest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
    /// Whether it burns from its open surface or from a wick.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<BurningKind>,
    /// What it was measured to lose while it burns: of one vessel (`"0.2 g/min"`) or of each area (`"14 g/(m2.s)"`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub burning_rate: Option<String>,
    /// Bare surface of the wick, for example `"2 cm2"`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wick_area: Option<String>,
}

impl BurningVessel {
    /// A vessel that holds this much when brim-full, with a mouth so wide; everything else as not given.
    #[must_use]
    pub fn of(capacity: impl Into<Given<kind::Volume>>, mouth: impl Into<Given<kind::Length>>) -> Self {
        Self { capacity: capacity.into().into(), mouth_diameter: mouth.into().into(), ..Self::default() }
    }

    /// The same of a material, for example `"porcelain"`.
    #[must_use]
    pub fn made_of(mut self, material: &str) -> Self {
        self.material = Some(material.to_owned());
        self
    }

    /// The same with a wick that is bare on so large an area.
    #[must_use]
    pub fn wick(mut self, area: impl Into<Given<kind::Area>>) -> Self {
        self.kind = Some(BurningKind::Wick);
        self.wick_area = Some(area.into().into());
        self
    }

    /// The same with what one vessel was measured to lose while it burns.
    #[must_use]
    pub fn losing(mut self, rate: impl Into<Given<kind::MassRate>>) -> Self {
        self.burning_rate = Some(rate.into().into());
        self
    }
}

/// What a liquid burns from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BurningKind {
    /// From its open surface.
    Pan,
    /// From a wick in a closed holder.
    Wick,
}

/// The stock bottle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Stock {
    /// How far from the vessels it stands.
    pub distance: String,
    /// Whether it is or may be opened; it counts as open unless this is false.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open: Option<bool>,
}

/// How long, how hot, how tall, how near.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct BurningReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// Mass that leaves each area while it burns, g/(m2.s).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub burning_rate: Option<Quantity>,
    /// The published rates that bear on it, where they disagree, too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub published_rates: Vec<PublishedRate>,
    /// How long each vessel burns, min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub burning_time: Option<Quantity>,
    /// Heat release of each vessel, kW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_release: Option<Quantity>,
    /// Heat release of all vessels, kW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_release_total: Option<Quantity>,
    /// Heat that each vessel sets free until it goes out, kJ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy: Option<Quantity>,
    /// Heat that all vessels set free, kJ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_total: Option<Quantity>,
    /// Mass burnt or boiled away in each vessel, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_gone: Option<Quantity>,
    /// Mass left in each vessel when it goes out, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_left: Option<Quantity>,
    /// Mean height of the flame, cm; flames that stand near count as one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flame_height: Option<Quantity>,
    /// Radiant flux at the nearest person, kW/m2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radiant_flux: Option<Quantity>,
    /// How long bare skin bears that flux until it hurts, s; the cautious end; absent where it is longer than an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_to_pain: Option<Quantity>,
    /// From this distance on the nearest person is within each of its limits, m: radiant heat, what burns on the floor, the flash at
    /// lighting and the distance of people; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_for_limit: Option<Quantity>,
    /// Heat of the vapour that has gathered in and around all vessels before they are lit, kJ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_at_lighting: Option<Quantity>,
    /// Heat of the vapour that fills one vessel, kJ: what can flash at once; the whole of it, since the liquid sinks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_in_vessel: Option<Quantity>,
    /// The same figure by the wait before lighting.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lighting: Vec<FlashByWait>,
    /// Oxygen in the room's air when all has burnt, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oxygen_after: Option<Quantity>,
    /// Carbon dioxide in it, `[ppm]`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_dioxide_after: Option<Quantity>,
    /// Sulfur dioxide in it, `[ppm]`; only where the liquid holds sulfur.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sulfur_dioxide_after: Option<Quantity>,
    /// Hydrogen halides in it, `[ppm]`; only where the liquid holds a halogen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hydrogen_halides_after: Option<Quantity>,
    /// Water left in each vessel when it goes out, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_water: Option<Quantity>,
    /// How the flame is seen and how much soot it gives.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub flame_seen: Text,
    /// How long the vessel is left alone afterwards, min, before the same liquid is poured in again, every flame proved out; the
    /// cautious end; absent where no wait suffices; ask `cooling` for its course.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waiting_time: Option<Quantity>,
    /// The same before it is cleared away and nothing is poured in again, min; the cautious end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waiting_time_to_clear: Option<Quantity>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// A published burning rate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PublishedRate {
    /// What it is: `small_vessels`, `common_table` or `measured`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub kind: Text,
    /// Width of the pan in which it was measured, cm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Quantity>,
    /// The rate, g/(m2.s).
    pub rate: Quantity,
    /// Id of its source.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub source: Text,
}

/// What flashes at lighting after a wait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlashByWait {
    /// The wait, min.
    pub time: Quantity,
    /// Heat of the vapour gathered by then, kJ.
    pub energy: Quantity,
}
