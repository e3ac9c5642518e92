//! The smallest single change of one input after which a check is no longer over its limit.

use super::ladder::Ladder;
use crate::physics::maths::ln;
use brimline_openapi::{Outcome, Remedy, Text};

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

impl Change {
    /// The figure nearest to the present one that mends the check, with what comes of it.
    fn nearest(
        &self,
        check: impl Fn(f64) -> Option<Outcome>,
        all: impl FnOnce(f64) -> Option<Outcome>,
    ) -> Option<(f64, Outcome)> {
        let mends = |to: f64| check(to).is_some_and(|check| check < Outcome::NotAssessed);
        let to =
            Ladder::between((self.from, self.furthest), false)?.nearest(|to| Some((mends(to), f64::NAN)))?;
        Some((to, all(to)?))
    }

    /// How large a change is: of two the one that changes its input by the smaller factor is the smaller.
    fn size(&self, to: f64) -> f64 {
        if self.from > 0.0 { ln(to / self.from).abs() } else { ln(1.0 + to) }
    }
}

/// The smallest of some changes, each tried on the whole question; `None` where none suffices.
pub fn smallest(changes: &[Change], after: impl Fn(&Change, f64) -> Option<After>) -> Option<Remedy> {
    smallest_of(
        changes,
        |change, to| after(change, to).map(|(check, _)| check),
        |change, to| after(change, to).map(|(_, all)| all),
    )
}

/// The same where the check alone is asked sooner than all of them: all are asked of the change that is found.
pub fn smallest_of(
    changes: &[Change],
    check: impl Fn(&Change, f64) -> Option<Outcome>,
    all: impl Fn(&Change, f64) -> Option<Outcome>,
) -> Option<Remedy> {
    let mut best: Option<(&Change, f64, Outcome, f64)> = None;
    for change in changes {
        let Some((to, outcome)) = change.nearest(|to| check(change, to), |to| all(change, to)) else {
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
