//! `practical`: a whole plan, in the order in which it is done.

use crate::given::{Given, kind};
use crate::{
    Basis, BurningVessel, Detail, FlameElement, Heater, Liquid, Outcome, Quantity, RelaxedBy, Remedy, Room,
    Text, Verdict,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks whether a plan may be carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Practical {
    /// Its name, for the sheet; of a long one the first 200 characters are shown, the last of them a mark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The room; its volume is required.
    pub room: Room,
    /// The people in it.
    pub people: People,
    /// What is done, in order.
    pub steps: Vec<PlanStep>,
    /// Stock bottles in the room, in the order in which they are drawn from; an empty list says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Vec<PlanStock>>,
    /// Ignition sources beside the vessels' own flames; one is assumed at 1 m if not given, an empty list says that there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition: Option<Vec<PlanIgnition>>,
    /// Whether there is a heat-resistant mat under what burns or is hot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mat: Option<bool>,
    /// What else stands beside: liquids, or words such as `"oxidisers"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<Vec<Liquid>>,
    /// Salts whose colours are to be seen in a flame, by name or formula, 1 to 10: the sheet tells what they show.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salts: Option<Vec<String>>,
    /// Clear height over the vessels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<String>,
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

impl Practical {
    /// A plan of these steps in a room, nobody nearer than a distance; everything else as not given.
    #[must_use]
    pub fn of(room: Room, nearest: impl Into<Given<kind::Length>>, steps: Vec<PlanStep>) -> Self {
        Self {
            name: None,
            room,
            people: People { nearest: nearest.into().into(), count: None },
            steps,
            stock: None,
            ignition: None,
            mat: None,
            beside: None,
            salts: None,
            clear_height: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// The people in the room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct People {
    /// Distance from the vessels to the nearest person who watches, for example `"3 m"`.
    pub nearest: String,
    /// How many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
}

/// What is done in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Doing {
    /// Liquid is drawn from a stock bottle into a small one.
    Draw,
    /// Vessels are set out; with `liquid` and `amount` they are filled, too.
    SetOut,
    /// Liquid is poured into vessels.
    Pour,
    /// Poured liquid is heated.
    Heat,
    /// Poured liquid stands open and evaporates.
    Evaporate,
    /// Poured liquid is lit.
    Burn,
    /// Nothing is done.
    Wait,
    /// A vessel in which something burnt is filled again.
    Refill,
    /// Vessels are cleared away.
    Clear,
}

/// A step of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlanStep {
    /// What is done.
    #[serde(rename = "do")]
    pub doing: Doing,
    /// The liquid; the one poured last if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid: Option<Liquid>,
    /// How much: of a draw in all, else in each vessel; a volume at 20 Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<String>,
    /// The vessel; the one used last if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vessel: Option<BurningVessel>,
    /// How many vessels; as many as last, or one, if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vessels: Option<u32>,
    /// Temperature to which it is heated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_to: Option<String>,
    /// What heats it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_by: Option<Heater>,
    /// How long the step takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<String>,
    /// Whether the room is darkened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub darkened: Option<bool>,
    /// Whether every flame is proved out and covered before this step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub all_flames_out: Option<bool>,
}

impl PlanStep {
    /// A step that does this; everything else as not given.
    #[must_use]
    pub const fn of(doing: Doing) -> Self {
        Self {
            doing,
            liquid: None,
            amount: None,
            vessel: None,
            vessels: None,
            heated_to: None,
            heated_by: None,
            duration: None,
            darkened: None,
            all_flames_out: None,
        }
    }

    /// The same with a liquid, and how much of it.
    #[must_use]
    pub fn liquid(mut self, liquid: impl Into<Liquid>, amount: impl Into<Given<kind::Amount>>) -> Self {
        self.liquid = Some(liquid.into());
        self.amount = Some(amount.into().into());
        self
    }

    /// The same in so many vessels, all alike.
    #[must_use]
    pub fn vessels(mut self, count: u32, vessel: BurningVessel) -> Self {
        self.vessels = Some(count);
        self.vessel = Some(vessel);
        self
    }

    /// The same, taking so long.
    #[must_use]
    pub fn lasting(mut self, duration: impl Into<Given<kind::Time>>) -> Self {
        self.duration = Some(duration.into().into());
        self
    }

    /// The same with every flame proved out and covered before it.
    #[must_use]
    pub const fn with_all_flames_out(mut self) -> Self {
        self.all_flames_out = Some(true);
        self
    }
}

/// A stock bottle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlanStock {
    /// The liquid in it.
    pub liquid: Liquid,
    /// What it holds, for example `"100 mL"`; it counts as full.
    pub container: String,
    /// How far from the vessels it stands.
    pub distance: String,
    /// Whether it stands open while something burns; closed if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open: Option<bool>,
    /// Whether it is carried out of the room, closed, before anything is lit; it stays if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub returned: Option<bool>,
}

/// An ignition source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlanIgnition {
    /// What it is, for example `"gas burner"`.
    pub kind: String,
    /// How far from the vessels it is.
    pub distance: String,
    /// Whether it is lit from the beginning; it can light vapour of the work in any case. Only where it is said to be out is a dropped stock bottle
    /// not held against it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lit: Option<bool>,
}

/// Whether a plan may be carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PracticalReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// Name of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The check that decides.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub governed_by: Option<Text>,
    /// Each step with the places of its checks in `checks`.
    pub steps: Vec<StepChecked>,
    /// Changes that together bring the plan within its limits, in the order in which they are made: each pointer leads into the plan as
    /// the changes before have left it; each was verified by running the changed plan. `order` moves a step before another, `insert`
    /// puts a new step at its place, `remove` takes an entry away.
    pub remedies: Vec<PlanRemedy>,
    /// The same plan with a less hazardous liquid, already checked; where salts are to colour burning liquid, first the way without it.
    pub alternatives: Vec<PlanAlternative>,
    /// What the salts of the plan show in a flame.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub expected_colours: Vec<ExpectedColour>,
    /// What is set out.
    pub set_out_list: Vec<String>,
    /// What is done afterwards.
    pub clear_up_list: Vec<String>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// A step with its checks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct StepChecked {
    /// Its number, from 1.
    pub step: u32,
    /// What is done.
    #[serde(rename = "do")]
    pub doing: Doing,
    /// Minutes from the beginning at which it starts.
    pub starts: Quantity,
    /// The worst status of its checks.
    pub outcome: Outcome,
    /// Places of its checks in `checks`, from 0.
    pub checks: Vec<u32>,
    /// One plain sentence.
    pub sentence: String,
}

/// What a salt shows in a flame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct ExpectedColour {
    /// The salt.
    pub salt: String,
    /// The element that gives the colour.
    pub element: FlameElement,
    /// The colour in words (common practice).
    pub words: String,
    /// Where most of what is seen lies, nm: lines of atoms, or middles of bands.
    pub brightest: Vec<Quantity>,
    /// Whether bands of molecules and not lines of atoms make the colour.
    pub bands_dominate: bool,
    /// Why it is so.
    pub why: String,
}

/// A change of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlanRemedy {
    /// The change.
    #[serde(flatten)]
    pub remedy: Remedy,
    /// What else is changed with it, where one change alone does not suffice.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<AlsoChanged>,
    /// Ids of the checks that it mends.
    #[cfg_attr(feature = "document", schema(value_type = Vec<String>))]
    pub mends: Vec<Text>,
}

/// A change that belongs to another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct AlsoChanged {
    /// JSON pointer into the plan.
    pub field: String,
    /// Its new value.
    pub to: String,
}

/// The same plan with another liquid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PlanAlternative {
    /// The liquid that is replaced.
    pub instead_of: String,
    /// The other liquid.
    pub liquid: String,
    /// Why it is less hazardous.
    pub reason: String,
    /// Outcome of the whole plan with it.
    pub outcome: Outcome,
}
