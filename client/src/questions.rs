//! The questions, each with its name, request and answer, and a method of the client.

use crate::{Client, Error};
use brimline_openapi::{
    Burning, BurningReply, Comparison, ComparisonReply, Cooling, CoolingReply, Evaporation, EvaporationReply,
    Exposure, ExposureReply, FlameColour, FlameColourReply, FlashPointMargin, FlashPointMarginReply,
    Practical, PracticalReply, Recheck, Rechecked, RoomFlammableLimit, RoomFlammableLimitReply, SafeFill,
    SafeFillReply, Spill, SpillReply, Storage, StorageReply, VapourPressure, VapourPressureReply,
};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// A question: its request, under the name of its path, and its answer.
///
/// ```
/// use brimline_client::{FlashPointMargin, Question};
/// assert_eq!(FlashPointMargin::NAME, "flash-point-margin");
/// ```
pub trait Question: Serialize {
    /// The name, as in the path and in a line of a batch.
    const NAME: &'static str;
    /// What is answered.
    type Answer: DeserializeOwned;
}

/// The method of each question, on both clients, with the same example.
macro_rules! questions {
    ($($(#[$doc:meta])* $method:ident: $name:literal, $request:ident -> $answer:ident, $($example:literal)+;)+) => {
        $(impl Question for $request {
            const NAME: &'static str = $name;
            type Answer = $answer;
        })+

        impl Client {
            $($(#[$doc])*
            #[doc = "\n```no_run"]
            #[doc = "# async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {"]
            #[doc = "use brimline_client::*;"]
            #[doc = concat!($($example, "\n"),+)]
            #[doc = concat!("let reply = brimline.", stringify!($method), "(&request).await?;")]
            #[doc = "# let _ = reply; Ok(()) }"]
            #[doc = "```\n\n# Errors\n[`Error`]."]
            pub async fn $method(&self, request: &$request) -> Result<$answer, Error> {
                self.ask(request).await
            })+
        }

        #[cfg(feature = "blocking")]
        impl crate::blocking::Client {
            $($(#[$doc])*
            #[doc = "\n```no_run"]
            #[doc = "# fn example(brimline: brimline_client::blocking::Client) -> Result<(), brimline_client::Error> {"]
            #[doc = "use brimline_client::*;"]
            #[doc = concat!($($example, "\n"),+)]
            #[doc = concat!("let reply = brimline.", stringify!($method), "(&request)?;")]
            #[doc = "# let _ = reply; Ok(()) }"]
            #[doc = "```\n\n# Errors\n[`Error`]."]
            pub fn $method(&self, request: &$request) -> Result<$answer, Error> {
                self.ask(request)
            })+
        }
    };
}

questions! {
    /// How much vapour stands over a liquid.
    vapour_pressure: "vapour-pressure", VapourPressure -> VapourPressureReply,
        "let request = VapourPressure::of(\"ethanol\", \"20 Cel\");";
    /// How far a liquid is below its flash point.
    flash_point_margin: "flash-point-margin", FlashPointMargin -> FlashPointMarginReply,
        "let request = FlashPointMargin::of(\"ethanol\").room_temperature(\"21 Cel\");";
    /// The lower flammable limit in a room, and the amounts that reach shares of it.
    room_flammable_limit: "room-flammable-limit", RoomFlammableLimit -> RoomFlammableLimitReply,
        "let request = RoomFlammableLimit::of(\"pentane\", Room::of(\"190 m3\"));";
    /// The largest fill at which every limit considered holds.
    safe_fill: "safe-fill", SafeFill -> SafeFillReply,
        "let dish = Vessel::of(\"100 mL\", \"5 cm\");"
        "let request = SafeFill::of(\"ethanol\", Room::of(\"190 m3\"), 6, dish, Use::Open);";
    /// How fast a liquid evaporates from an open surface, and how far its vapour can be lit.
    evaporation: "evaporation", Evaporation -> EvaporationReply,
        "let request = Evaporation::of(\"ethanol\", \"20 mL\", Surface::round(\"9 cm\"));";
    /// What the nearest person breathes, against exposure limits.
    exposure: "exposure", Exposure -> ExposureReply,
        "let request = Exposure::of(\"ethanol\", Room::of(\"190 m3\"), \"1 g/min\", \"40 min\");";
    /// What a dropped container does.
    spill: "spill", Spill -> SpillReply,
        "let request = Spill::of(\"ethanol\", \"250 mL\", Room::of(\"190 m3\"));";
    /// How long, how hot and how tall a liquid burns from open vessels, how near people may be.
    burning: "burning", Burning -> BurningReply,
        "let request = Burning::of(\"ethanol\", \"6 mL\", BurningVessel::of(\"100 mL\", \"7 cm\"));";
    /// When a hot vessel may be touched or filled again.
    cooling: "cooling", Cooling -> CoolingReply,
        "let request = Cooling::of(CoolingVessel::of(\"borosilicate glass\", \"250 mL\"), \"250 Cel\");";
    /// How a liquid is kept in a closed container.
    storage: "storage", Storage -> StorageReply,
        "let request = Storage::of(\"ethanol\", StoredContainer::of(\"1 L\"));";
    /// Several liquids for one use, criterion by criterion.
    comparison: "comparison", Comparison -> ComparisonReply,
        "let lab = Room::of(\"190 m3\").temperature(\"21 Cel\");"
        "let request = Comparison::of([\"ethanol\", \"propanone\"], Use::Open, \"5 mL\", lab);";
    /// What a salt shows in a flame, or which elements peaks show.
    flame_colour: "flame-colour", FlameColour -> FlameColourReply,
        "let request = FlameColour::of(\"sodium chloride\");";
    /// A whole plan in the order in which it is done: every check, and the changes that mend it.
    practical: "practical", Practical -> PracticalReply,
        "let pour = PlanStep::of(Doing::Pour)"
        "    .liquid(\"ethanol\", \"4 mL\")"
        "    .vessels(2, BurningVessel::of(\"80 mL\", \"7 cm\").made_of(\"porcelain\"));"
        "let request = Practical::of(Room::of(\"190 m3\"), \"3 m\", vec![pour, PlanStep::of(Doing::Burn)]);";
    /// Whether today's version gives what an earlier answer said.
    recheck: "recheck", Recheck -> Rechecked,
        "let earlier = brimline_client::Record::default();"
        "let request = Recheck::of(earlier);";
}
