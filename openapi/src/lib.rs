//! The contract of Brimline in types: what a question takes, what it answers, how it refuses.
//!
//! The service serialises these types and the client reads them, so the two cannot drift. Quantities travel as
//! text in requests (`"21 Cel"`) and as [`Quantity`] objects in replies.
//!
//! | module | holds |
//! |---|---|
//! | [`quantity`] | a figure with its unit and range |
//! | [`given`] | a quantity as a request takes it |
//! | [`liquid`], [`room`] | what is asked about, and where |
//! | [`asking`] | what every request may carry |
//! | [`answered`] | what every reply carries: sentence, outcome, checks, sources, record |
//! | [`ending`] | how an answer to any question ends: what a script goes by |
//! | [`vapour_pressure`], [`flash_point_margin`], [`room_flammable_limit`], [`safe_fill`], [`evaporation`], [`exposure`], [`spill`], [`burning`], [`cooling`], [`storage`], [`comparison`], [`flame_colour`], [`practical`] | one question each |
//! | [`recheck`] | an earlier answer held against today's, and the list of changes |
//! | [`catalogue`] | substances, rules, units |
//! | [`problem`] | refusals (RFC 9457) and the table of their kinds |
//! | [`operations`] | the one table of paths that router, client and document read |
//! | [`document_3_0`] | the document for generators that do not read OpenAPI 3.1 |

pub mod answered;
pub mod asking;
pub mod batch;
pub mod burning;
pub mod catalogue;
pub mod comparison;
pub mod cooling;
#[cfg(feature = "document")]
pub mod document;
pub mod document_3_0;
pub mod ending;
pub mod evaporation;
pub mod exposure;
pub mod flame_colour;
pub mod flash_point_margin;
pub mod given;
pub mod liquid;
pub mod operations;
pub mod practical;
pub mod problem;
pub mod quantity;
pub mod recheck;
pub mod room;
pub mod room_flammable_limit;
pub mod safe_fill;
pub mod spill;
pub mod storage;
pub mod vapour_pressure;

pub use answered::{
    Assumption, Basis, BasisKind, Caution, Check, Evidence, Grounds, Hazard, Method, MustBe, NotGiven,
    Outcome, Record, Remedy, Seen, Source, Verdict,
};
pub use asking::{Detail, Heater, RelaxedBy};
pub use batch::{BatchLine, BatchReplyLine};
pub use burning::{Burning, BurningKind, BurningReply, BurningVessel, FlashByWait, PublishedRate, Stock};
pub use comparison::{
    ComparedLiquid, Comparison, ComparisonReply, Criterion, Deciding, Dominated, NotCompared, OrderStep,
};
pub use cooling::{Burnt, Cooling, CoolingReply, CoolingVessel, ThermalShock, WallAtTime};
pub use ending::Ending;
pub use evaporation::{Evaporation, EvaporationReply, Regime, RemainingAtTime, Surface};
pub use exposure::{ComponentExposure, Exposure, ExposureReply, OpenSource, OwnLimit};
pub use flame_colour::{
    FlameBand, FlameCandidate, FlameColour, FlameColourReply, FlameElement, FlameLine, FlameOfFuel,
    FlamePeak, Identified, InstrumentPeak, InstrumentResponse, InstrumentView, MatchedPeak, MissingPeak,
    OmittedEffect, SeenColour,
};
pub use flash_point_margin::{
    AfterEvaporation, FlashPointMargin, FlashPointMarginReply, Headspace, HeadspaceCondition,
};
pub use given::Given;
pub use liquid::{Component, Fractions, Liquid, LiquidEcho, LiquidMixture, LiquidPhase, Part};
pub use practical::{
    AlsoChanged, Doing, ExpectedColour, People, PlanAlternative, PlanIgnition, PlanRemedy, PlanStep,
    PlanStock, Practical, PracticalReply, StepChecked,
};
pub use problem::{Problem, ProblemType};
pub use quantity::Quantity;
pub use recheck::{Change, ChangeKind, ChangeList, Changed, Differs, Figure, Recheck, Rechecked, Same};
pub use room::{Room, VolumeIs};
pub use room_flammable_limit::{
    Place, PlaceOverTime, RoomAtTime, RoomFlammableLimit, RoomFlammableLimitReply,
};
pub use safe_fill::{Container, FillAlternative, FillLimit, SafeFill, SafeFillReply, Use, Vessel};
pub use spill::{Floor, Spill, SpillReply};
pub use storage::{
    Conductivity, KeepApart, StaticCharge, Storage, StoragePlace, StorageReply, StoredContainer, Waste,
};
pub use vapour_pressure::{AntoineByHand, PartialPressure, VapourPoint, VapourPressure, VapourPressureReply};

/// Text that is mostly fixed: borrowed where the service makes it, owned where a client reads it.
pub type Text = std::borrow::Cow<'static, str>;

/// The examples of the readme are compiled and run with those of the code.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
