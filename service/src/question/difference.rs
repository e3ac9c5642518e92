//! Holds an earlier reply against today's, figure by figure: numbers, statuses, words and switches. Texts are not compared, nor
//! the lists of what a reply rests on, nor its record.

use super::reader::escaped;
use brimline_openapi::Outcome;
use brimline_openapi::answered::RecordedNumber;
use brimline_openapi::recheck::{ChangeKind, Changed, Figure};
use serde::Deserialize as _;
use serde_json::{Map, Value};
use std::collections::{HashMap, HashSet, VecDeque};

/// Most changes that are listed.
const MOST: usize = 200;
/// Longest pointer that is listed, and most that is shown of a word: both may come from the caller.
const LONGEST: usize = 200;

/// What is a change in every version where only today's reply has it: without its status a check says nothing.
const ALWAYS: [&str; 6] = ["high", "limit", "low", "outcome", "status", "value"];

/// What is not compared, wherever it stands.
const TEXTS: [&str; 20] = [
    "advice",
    "assumptions",
    "azeotrope",
    "cautions",
    "clear_up_list",
    "equation",
    "flame_seen",
    "long_term_limit_source",
    "methods",
    "name",
    "peroxide_advice",
    "reason",
    "record",
    "sentence",
    "set_out_list",
    "short_term_limit_source",
    "sources",
    "text",
    "title",
    "valid_range",
];

/// What differs.
#[derive(Debug, Default)]
pub struct Difference {
    /// The changes, statuses that got worse first; at most 200.
    pub changed: Vec<Changed>,
    /// How many there are in all.
    pub count: u64,
    /// How many statuses got worse.
    pub worse: u64,
}

/// Compares two replies. With `grown` a field that only today's reply has is no change: a newer contract has more fields.
#[must_use]
pub fn difference(before: &Value, after: &Value, grown: bool, why: &[ChangeKind]) -> Difference {
    let mut walk =
        Walk { pointer: String::new(), grown, why, worse: Vec::new(), others: Vec::new(), counts: (0, 0) };
    walk.pair("", Some(before), Some(after));
    let mut changed = walk.worse;
    changed.extend(walk.others);
    changed.truncate(MOST);
    Difference { changed, count: walk.counts.0, worse: walk.counts.1 }
}

struct Walk<'a> {
    pointer: String,
    grown: bool,
    why: &'a [ChangeKind],
    worse: Vec<Changed>,
    others: Vec<Changed>,
    /// All of them, and those that got worse.
    counts: (u64, u64),
}

impl Walk<'_> {
    fn inside(&mut self, part: &str, name: &str, before: Option<&Value>, after: Option<&Value>) {
        let length = self.pointer.len();
        self.pointer.push('/');
        self.pointer.push_str(&escaped(part));
        self.pair(name, before, after);
        self.pointer.truncate(length);
    }

    /// Compares what stands at the pointer; null counts as absent.
    fn pair(&mut self, name: &str, before: Option<&Value>, after: Option<&Value>) {
        let (before, after) =
            (before.filter(|value| !value.is_null()), after.filter(|value| !value.is_null()));
        match (before, after) {
            (None, None) => {}
            (Some(Value::Object(before)), Some(Value::Object(after))) => self.objects(before, after),
            (Some(Value::Array(before)), Some(Value::Array(after))) => self.lists(name, before, after),
            (Some(Value::Object(_) | Value::Array(_)), Some(_))
            | (Some(_), Some(Value::Object(_) | Value::Array(_))) => {
                self.pair(name, before, None);
                self.pair(name, None, after);
            }
            (Some(Value::Object(map)), None) => {
                for (part, value) in compared(map) {
                    self.inside(part, part, Some(value), None);
                }
            }
            (None, Some(Value::Object(map))) => {
                for (part, value) in compared(map) {
                    self.inside(part, part, None, Some(value));
                }
            }
            (Some(Value::Array(list)), None) => {
                for (place, value) in list.iter().enumerate() {
                    self.inside(&place.to_string(), name, Some(value), None);
                }
            }
            (None, Some(Value::Array(list))) => {
                for (place, value) in list.iter().enumerate() {
                    self.inside(&place.to_string(), name, None, Some(value));
                }
            }
            (before, after) => {
                if !same(before, after) {
                    self.note(name, before, after);
                }
            }
        }
    }

    fn objects(&mut self, before: &Map<String, Value>, after: &Map<String, Value>) {
        for (part, value) in compared(before) {
            self.inside(part, part, Some(value), after.get(part));
        }
        let counts = |part: &str| !self.grown || ALWAYS.contains(&part);
        let added = compared(after).filter(|(part, _)| !before.contains_key(*part) && counts(part));
        for (part, value) in added.collect::<Vec<_>>() {
            self.inside(part, part, None, Some(value));
        }
    }

    /// Entries that are known by an id are found by it, others by their place.
    fn lists(&mut self, name: &str, before: &[Value], after: &[Value]) {
        let mut places: HashMap<(&str, &str), VecDeque<usize>> = HashMap::new();
        for (place, entry) in after.iter().enumerate() {
            if let Some(known_by) = known_by(entry) {
                places.entry(known_by).or_default().push_back(place);
            }
        }
        let mut found = HashSet::new();
        for (place, entry) in before.iter().enumerate() {
            let other = match known_by(entry) {
                Some(known_by) => places.get_mut(&known_by).and_then(VecDeque::pop_front),
                None => after.get(place).filter(|other| known_by(other).is_none()).map(|_| place),
            };
            found.extend(other);
            self.inside(&place.to_string(), name, Some(entry), other.and_then(|other| after.get(other)));
        }
        for (place, entry) in after.iter().enumerate().filter(|(place, _)| !found.contains(place)) {
            self.inside(&place.to_string(), name, None, Some(entry));
        }
    }

    fn note(&mut self, name: &str, before: Option<&Value>, after: Option<&Value>) {
        let worse = matches!(name, "status" | "outcome") && got_worse(before, after);
        self.counts.0 = self.counts.0.saturating_add(1);
        self.counts.1 = self.counts.1.saturating_add(u64::from(worse));
        let list = if worse { &mut self.worse } else { &mut self.others };
        if list.len() < MOST && self.pointer.len() <= LONGEST {
            list.push(Changed {
                pointer: self.pointer.clone(),
                before: before.and_then(figure),
                after: after.and_then(figure),
                worse,
                why: self.why.to_vec(),
            });
        }
    }
}

/// What of an object is compared.
fn compared(map: &Map<String, Value>) -> impl Iterator<Item = (&String, &Value)> {
    map.iter().filter(|(name, _)| !TEXTS.contains(&name.as_str()))
}

/// What an entry of a list is known by: the check and its question, an id, or the word that it is.
fn known_by(entry: &Value) -> Option<(&str, &str)> {
    if let Some(word) = entry.as_str() {
        return Some((word, ""));
    }
    let text = |name: &str| entry.get(name).and_then(Value::as_str);
    text("check")
        .map(|check| (check, text("question").unwrap_or_default()))
        .or_else(|| Some((text("id")?, "")))
}

fn same(before: Option<&Value>, after: Option<&Value>) -> bool {
    match (before, after) {
        // However a number is written.
        (Some(Value::Number(before)), Some(Value::Number(after))) => before.as_f64() == after.as_f64(),
        (before, after) => before == after,
    }
}

/// Whether a status is worse than it was; one that is new or was no known word is worse where it is near or over its limit, or unknown.
fn got_worse(before: Option<&Value>, after: Option<&Value>) -> bool {
    let outcome = |value: Option<&Value>| {
        let outcome = Outcome::deserialize(value?).ok()?;
        (outcome != Outcome::Unknown).then_some(outcome)
    };
    let Some(after) = outcome(after) else { return false };
    outcome(before).map_or(after >= Outcome::NearLimit, |before| after > before)
}

fn figure(value: &Value) -> Option<Figure> {
    Some(match value {
        Value::Bool(on) => Figure::Switch(*on),
        Value::Number(number) => Figure::Number(RecordedNumber(number.as_f64()?)),
        Value::String(text) => Figure::Word(text.chars().take(LONGEST).collect()),
        _ => return None,
    })
}
