//! The smallest single change of one input after which a check is no longer over its limit.

use crate::physics::maths::ln;
use crate::quantity::round::decimal;
use brimline_openapi::{Outcome, Remedy, Text};
use std::cell::RefCell;

/// Smallest figure of two digits that is tried, as a power of ten.
const FINEST: i32 = -4;
/// Steps between two powers of ten: 10, 11, ... 99.
const STEPS: i32 = 90;

/// An input that may be changed, up or down.
#[derive(Debug, Clone, Copy)]
pub struct Change {
    /// What is changed: amount, number, duration, waiting, distance, heating or air changes.
    pub change: &'static str,
    /// Pointer of the field.
    pub field: &'static str,
    /// Unit of the figures; empty for a plain number.
    pub unit: &'static str,
    /// What it is.
    pub from: f64,
    /// The furthest it may become: above `from` where it rises.
    pub furthest: f64,
    /// What the sentence says before and after the figure.
    pub text: (&'static str, &'static str),
}

/// Status of the check, and the worst of all checks, after a change.
pub type After = (Outcome, Outcome);

/// The figure of two digits at a place of the ladder 10, 11, ... 99, 100, 110, ...
#[must_use]
pub fn of_place(place: i32) -> f64 {
    let (power, step) = (place.div_euclid(STEPS), place.rem_euclid(STEPS));
    decimal(f64::from(step + 10), power + FINEST - 1)
}

/// Place of the figure of two digits at or below a number.
#[must_use]
pub fn place_of(number: f64) -> i32 {
    let (mut low, mut high) = (0, STEPS * 16);
    while high - low > 1 {
        let middle = i32::midpoint(low, high);
        if of_place(middle) <= number { low = middle } else { high = middle }
    }
    low
}

impl Change {
    /// The figure nearest to the present one that mends the check, with what comes of it.
    fn nearest(
        &self,
        check: &mut impl FnMut(f64) -> Option<Outcome>,
        all: &mut impl FnMut(f64) -> Option<Outcome>,
    ) -> Option<(f64, Outcome)> {
        let rises = self.furthest > self.from;
        let mut mends = |place: i32| check(of_place(place)).is_some_and(|check| check < Outcome::NotAssessed);
        // `near` does not mend it or is the present figure; `far` is the furthest.
        let mut near = place_of(self.from);
        if !rises && of_place(near) >= self.from {
            near -= 1;
        }
        let near_end = near + i32::from(rises);
        let mut far = place_of(self.furthest);
        if !rises && of_place(far) < self.furthest {
            far += 1;
        }
        if (rises && far < near_end) || (!rises && far > near_end) {
            return None;
        }
        if !mends(far) {
            return None;
        }
        let mut near = near_end;
        if mends(near) {
            far = near;
        }
        while (far - near).abs() > 1 {
            let middle = (far + near) / 2;
            if mends(middle) { far = middle } else { near = middle }
        }
        Some((of_place(far), all(of_place(far))?))
    }

    /// How large a change is: of two the one that changes its input by the smaller factor is the smaller.
    fn size(&self, to: f64) -> f64 {
        if self.from > 0.0 { ln(to / self.from).abs() } else { ln(1.0 + to) }
    }
}

/// The smallest of some changes, each tried on the whole question; `None` where none suffices.
pub fn smallest(changes: &[Change], after: impl FnMut(&Change, f64) -> Option<After>) -> Option<Remedy> {
    let after = RefCell::new(after);
    let ask = |change: &Change, to: f64| (after.borrow_mut())(change, to);
    smallest_of(
        changes,
        |change, to| ask(change, to).map(|(check, _)| check),
        |change, to| ask(change, to).map(|(_, all)| all),
    )
}

/// The same where the check alone is asked sooner than all of them: all are asked of the change that is found.
pub fn smallest_of(
    changes: &[Change],
    mut check: impl FnMut(&Change, f64) -> Option<Outcome>,
    mut all: impl FnMut(&Change, f64) -> Option<Outcome>,
) -> Option<Remedy> {
    let mut best: Option<(&Change, f64, Outcome, f64)> = None;
    for change in changes {
        let Some((to, outcome)) = change.nearest(&mut |to| check(change, to), &mut |to| all(change, to))
        else {
            continue;
        };
        let size = change.size(to);
        if best.is_none_or(|(.., smallest)| size < smallest) {
            best = Some((change, to, outcome, size));
        }
    }
    let (change, to, outcome_after, _) = best?;
    let figure = if change.unit.is_empty() { format!("{to}") } else { format!("{to} {}", change.unit) };
    let (before, behind) = change.text;
    Some(Remedy {
        change: Text::Borrowed(change.change),
        field: Text::Borrowed(change.field),
        text: format!("{before}{figure}{behind}."),
        to: figure,
        outcome_after,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const DOWN: Change = Change {
        change: "amount",
        field: "/amount",
        unit: "mL",
        from: 50.0,
        furthest: 0.01,
        text: ("At most ", ""),
    };

    #[test]
    fn the_nearest_figure_of_two_digits_is_found_and_nothing_short_of_it() {
        let limit = |bound: f64| {
            move |_: &Change, to: f64| {
                let status = if to <= bound { Outcome::NearLimit } else { Outcome::OverLimit };
                Some((status, status))
            }
        };
        assert_eq!(smallest(&[DOWN], limit(33.7)).unwrap().to, "33 mL");
        assert_eq!(smallest(&[DOWN], limit(49.99)).unwrap().to, "49 mL");
        assert_eq!(smallest(&[DOWN], limit(0.0123)).unwrap().to, "0.012 mL");
        assert!(smallest(&[DOWN], limit(0.001)).is_none());
    }

    #[test]
    fn of_two_changes_the_smaller_one_is_named() {
        let up =
            Change { change: "distance", field: "/d", unit: "m", from: 1.0, furthest: 10.0, text: ("", "") };
        let found = smallest(&[DOWN, up], |change, to| {
            let good = if change.change == "amount" { to <= 10.0 } else { to >= 1.55 };
            let status = if good { Outcome::WithinLimit } else { Outcome::OverLimit };
            Some((status, status))
        });
        assert_eq!(found.unwrap().to, "1.6 m");
    }
}
