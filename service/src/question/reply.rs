//! A finished reply: as text for a caller, or as what a plan needs of it.

use super::Series;
use super::json_text;
use super::picture::Picture;
use brimline_openapi::answered::Basis;
use brimline_openapi::{
    BurningReply, ComparisonReply, CoolingReply, EvaporationReply, ExposureReply, FlameColourReply,
    FlashPointMarginReply, Outcome, PracticalReply, Quantity, RoomFlammableLimitReply, SafeFillReply,
    SpillReply, StorageReply, VapourPressureReply, Verdict,
};
use serde::Serialize;
use std::fmt;

/// What a plan needs of the reply to a question that it asks on its way.
#[derive(Debug)]
pub struct Asked {
    /// Checks and what is said beside them.
    pub basis: Basis,
    /// How long it burns, where the question tells it.
    pub burning_time: Option<Quantity>,
    /// How long what burnt is left before it is cleared away, where the question tells it.
    pub waiting_time_to_clear: Option<Quantity>,
}

/// A reply of any question.
trait Reply {
    /// Writes it as JSON text behind what stands in `text`; `None` if it cannot be written, which no reply type causes.
    fn write(&self, text: &mut Vec<u8>) -> Option<()>;

    fn asked(self: Box<Self>) -> Asked;
}

/// The same, each by itself.
trait Told: Serialize {
    fn told(self) -> Asked;
}

impl<R: Told> Reply for R {
    fn write(&self, text: &mut Vec<u8>) -> Option<()> {
        json_text::write(self, text).ok()
    }

    fn asked(self: Box<Self>) -> Asked {
        self.told()
    }
}

macro_rules! told {
    ($($reply:ty),* $(,)?) => {
        $(impl Told for $reply {
            fn told(self) -> Asked {
                Asked { basis: self.basis, burning_time: None, waiting_time_to_clear: None }
            }
        })*
    };
}

told!(
    ComparisonReply,
    EvaporationReply,
    ExposureReply,
    FlameColourReply,
    FlashPointMarginReply,
    PracticalReply,
    RoomFlammableLimitReply,
    SafeFillReply,
    SpillReply,
    StorageReply,
    VapourPressureReply,
);

impl Told for BurningReply {
    fn told(self) -> Asked {
        let Self { basis, burning_time, waiting_time_to_clear, .. } = self;
        Asked { basis, burning_time, waiting_time_to_clear }
    }
}

impl Told for CoolingReply {
    fn told(self) -> Asked {
        let Self { basis, waiting_time_to_clear, .. } = self;
        Asked { basis, burning_time: None, waiting_time_to_clear }
    }
}

/// A finished reply.
pub struct Composed {
    #[allow(private_interfaces, reason = "made and read here alone")]
    pub(super) reply: Box<dyn Reply>,
    /// Its outcome.
    pub outcome: Outcome,
    /// Whether it is complete.
    pub complete: bool,
    /// Its series, where the question has one.
    pub series: Option<Series>,
    /// Its picture, where it was asked for and the question has one.
    pub picture: Option<Picture>,
}

impl fmt::Debug for Composed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Composed").field("outcome", &self.outcome).finish_non_exhaustive()
    }
}

impl Composed {
    #[allow(private_bounds, reason = "every reply type is told here")]
    pub(super) fn of<R: Told + 'static>(reply: R, verdict: &Verdict) -> Self {
        let Verdict { outcome, complete, .. } = *verdict;
        Self { reply: Box::new(reply), outcome, complete, series: None, picture: None }
    }

    /// Writes it as JSON text behind what stands in `text`; `None` if it cannot be written, which no reply type causes.
    #[must_use]
    pub fn write(&self, text: &mut Vec<u8>) -> Option<()> {
        self.reply.write(text)
    }

    /// As what a plan needs of it.
    #[must_use]
    pub fn asked(self) -> Asked {
        self.reply.asked()
    }
}
