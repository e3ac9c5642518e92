//! The stock bottle beside flames and hot vessels: vapour in a bottle opened near a flame throws burning liquid metres away.

use super::check::Compared;
use super::draft::Draft;
use super::field;
use super::reader::{Asked, Fields};
use super::record::Group;
use super::room::RoomAsked;
use super::rules::Rules;
use crate::quantity::{Estimate, si};
use brimline_openapi::{Check, Evidence, MustBe};
use uom::si::f64::Length;

/// Id of its check.
pub const CHECK: &str = "stock_distance";

/// The stock bottle of a request.
#[derive(Debug, Clone, Copy)]
pub struct Stock {
    distance: Asked<Length>,
    open: bool,
}

impl Stock {
    /// Reads `stock`.
    #[must_use]
    pub fn read(fields: &Fields<'_>, room: &RoomAsked) -> Option<Self> {
        let group = fields.group("stock")?;
        let distance = group.required_quantity("distance", &field::DISTANCE);
        room.holds(&group, "distance", distance.as_ref());
        let open = group.switch("open").unwrap_or(true);
        group.finish();
        Some(Self { distance: distance?, open })
    }

    /// Records it.
    pub fn record(&self, request: &mut Group) {
        let mut group = Group::default();
        group.quantity("distance", &self.distance);
        group.switch("open", self.open);
        request.group("stock", group);
    }

    /// How far away it is.
    #[must_use]
    pub const fn distance(&self) -> Length {
        self.distance.quantity
    }

    /// The same, somewhere else.
    #[must_use]
    pub fn at(self, metres: f64) -> Self {
        Self { distance: field::DISTANCE.asked(metres), ..self }
    }

    /// The check of its distance from a flame, or from a vessel within its waiting time.
    #[must_use]
    pub fn check(&self, question: &'static str, rules: &Rules) -> Check {
        let rule = if self.open { "open_stock_distance" } else { "closed_stock_distance" };
        Compared {
            check: CHECK,
            question,
            value: Estimate::exact(si::in_metre(self.distance.quantity)),
            limit: rules.number(rule),
            unit: "m",
            must_be: MustBe::AtLeast,
            grounds: rules.grounds(rule),
            evidence: Evidence::Measured,
        }
        .decided()
    }
}

/// Says that the stock bottle was or was not considered.
pub fn say(stock: Option<&Stock>, draft: &mut Draft) {
    if stock.is_some() {
        draft.consider(CHECK);
    } else {
        draft.not_considered(CHECK, "give `stock` with `distance` and `open`: an open stock bottle within 5 m of a flame or a hot vessel is over the limit whatever the amounts");
    }
    draft.caution("never_refill_hot", "Never pour onto a flame, a hot vessel or a flame that only seems to be out; the stock bottle is closed and far away before anything is lit.");
}
