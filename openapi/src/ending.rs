//! How an answer ends: the part of a reply that a script goes by, alike for every question.

use crate::answered::Outcome;
use crate::recheck::Same;
use serde::Deserialize;

/// The ending of an answer to any question, `recheck` included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub struct Ending {
    /// The worst status of all checks.
    pub outcome: Outcome,
    /// Whether all that can be checked was; an answer that does not say so is not complete.
    #[serde(default)]
    pub complete: bool,
    /// Of `recheck`: whether the earlier answer is confirmed.
    pub same: Option<Same>,
}

impl Ending {
    /// Whether the answer is complete and within its limits, and of `recheck`, whether the earlier one is confirmed besides.
    #[must_use]
    pub const fn is_within(self) -> bool {
        self.complete && self.outcome.is_within() && matches!(self.same, None | Some(Same::Yes))
    }

    /// Whether what was asked is known: of `recheck`, whether today's reply is the same; of other questions, every figure and limit.
    #[must_use]
    pub const fn is_known(self) -> bool {
        match self.same {
            Some(same) => matches!(same, Same::Yes | Same::No),
            None => self.complete,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ending(text: &str) -> Ending {
        serde_json::from_str(text).unwrap_or_else(|why| unreachable!("{text}: {why}"))
    }

    #[test]
    fn only_a_complete_answer_whose_limits_hold_is_within() {
        for (text, within, known) in [
            (r#"{"outcome":"within_limit","complete":true}"#, true, true),
            (r#"{"outcome":"near_limit","complete":true}"#, true, true),
            (r#"{"outcome":"within_limit","complete":false}"#, false, false),
            (r#"{"outcome":"within_limit"}"#, false, false),
            (r#"{"outcome":"no_limit_checked","complete":true}"#, false, true),
            (r#"{"outcome":"not_assessed","complete":true}"#, false, true),
            (r#"{"outcome":"over_limit","complete":true}"#, false, true),
            (r#"{"outcome":"a_newer_word","complete":true}"#, false, true),
            (r#"{"outcome":"within_limit","complete":true,"same":"yes"}"#, true, true),
            (r#"{"outcome":"within_limit","complete":true,"same":"no"}"#, false, true),
            (r#"{"outcome":"within_limit","complete":true,"same":"not_known"}"#, false, false),
            (r#"{"outcome":"within_limit","complete":true,"same":"a_newer_word"}"#, false, false),
            // A reply of a service that did not say yet whether today's answer is complete.
            (r#"{"outcome":"within_limit","same":"yes"}"#, false, true),
        ] {
            assert_eq!((ending(text).is_within(), ending(text).is_known()), (within, known), "{text}");
        }
    }
}
