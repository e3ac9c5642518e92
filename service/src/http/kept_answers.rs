//! Answers that were given lately, by the very bytes that asked for them: an answer depends on its question alone, and in the morning
//! everybody asks the same few. Bounded by its size; what is asked once does not push out what is asked often.

use crate::question::Answer;
use actix_web::web::Bytes;
use brimline_openapi::Outcome;
use quick_cache::sync::Cache;
use quick_cache::{Equivalent, Weighter};

/// Longest request whose answer is kept, octets: longer ones are seldom asked twice and take long beside their look-up.
const LONGEST_REQUEST: usize = 4096;
/// Longest answer that is kept, octets.
const LONGEST_ANSWER: usize = 64 * 1024;
/// Octets that an entry takes beside its texts, about.
const BESIDE: usize = 256;
/// A middling entry, octets: sets how many are expected.
const MIDDLING: u64 = 4096;

/// What was asked.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Asked {
    question: &'static str,
    request: Box<[u8]>,
}

/// The same, borrowed.
#[derive(Debug, Hash)]
struct Asking<'a> {
    question: &'static str,
    request: &'a [u8],
}

impl Equivalent<Asked> for Asking<'_> {
    fn equivalent(&self, key: &Asked) -> bool {
        self.question == key.question && *self.request == *key.request
    }
}

/// An answer that is kept.
#[derive(Debug, Clone)]
pub struct KeptAnswer {
    /// The reply as JSON text.
    pub json: Bytes,
    /// Its outcome.
    pub outcome: Outcome,
}

#[derive(Debug, Clone)]
struct Octets;

impl Weighter<Asked, KeptAnswer> for Octets {
    fn weight(&self, asked: &Asked, kept: &KeptAnswer) -> u64 {
        (BESIDE + asked.request.len() + kept.json.len()) as u64
    }
}

/// The answers that are kept.
#[derive(Debug)]
pub struct KeptAnswers(Option<Cache<Asked, KeptAnswer, Octets>>);

impl KeptAnswers {
    /// None yet, and never more than so many MiB; with 0 none is ever kept.
    #[must_use]
    pub fn new(mebibytes: u32) -> Self {
        let octets = u64::from(mebibytes) * 1024 * 1024;
        let expected = usize::try_from(octets / MIDDLING).unwrap_or_default();
        Self((octets > 0).then(|| Cache::with_weighter(expected, octets, Octets)))
    }

    /// The answer to a request, if it is kept.
    #[must_use]
    pub fn get(&self, question: &'static str, request: &[u8]) -> Option<KeptAnswer> {
        let kept = self.0.as_ref().filter(|_| request.len() <= LONGEST_REQUEST)?;
        kept.get(&Asking { question, request })
    }

    /// Keeps an answer.
    pub fn keep(&self, question: &'static str, request: &[u8], answer: Answer) -> KeptAnswer {
        let Answer { mut json, outcome, .. } = answer;
        // The room that was reserved is not kept.
        json.shrink_to_fit();
        let answer = KeptAnswer { json: Bytes::from(json), outcome };
        let fits = request.len() <= LONGEST_REQUEST && answer.json.len() <= LONGEST_ANSWER;
        if let Some(kept) = self.0.as_ref().filter(|_| fits) {
            kept.insert(Asked { question, request: request.into() }, answer.clone());
        }
        answer
    }

    /// How many answers are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.as_ref().map_or(0, Cache::len)
    }

    /// Whether none is kept.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

#[cfg(test)]
mod tests {
    use super::KeptAnswers;
    use crate::question::Answer;
    use brimline_openapi::Outcome;

    fn answer(json: &str) -> Answer {
        let outcome = Outcome::WithinLimit;
        Answer { json: json.as_bytes().to_vec(), outcome, complete: true, series: None, picture: None }
    }

    #[test]
    fn an_answer_is_found_by_its_question_and_every_octet_of_its_request() {
        let kept = KeptAnswers::new(1);
        kept.keep("spill", b"{\"a\": 1}", answer("one"));
        assert_eq!(kept.get("spill", b"{\"a\": 1}").unwrap().json, "one");
        assert!(kept.get("spill", b"{\"a\":1}").is_none());
        assert!(kept.get("storage", b"{\"a\": 1}").is_none());
    }

    #[test]
    fn what_is_kept_never_takes_more_than_it_may() {
        let kept = KeptAnswers::new(1);
        let reply = "x".repeat(10_000);
        for n in 0..10_000 {
            kept.keep("spill", format!("{n}").as_bytes(), answer(&reply));
        }
        assert!((10..=105).contains(&kept.len()), "{}", kept.len());
        kept.keep("spill", b"huge", answer(&"x".repeat(70_000)));
        assert!(kept.get("spill", b"huge").is_none());
    }

    #[test]
    fn where_nothing_may_be_kept_nothing_is() {
        let kept = KeptAnswers::new(0);
        kept.keep("spill", b"{}", answer("one"));
        assert!(kept.get("spill", b"{}").is_none());
    }
}
