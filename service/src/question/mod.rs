//! One file per question of the API: joins catalogue, physics and checks.
//!
//! HTTP, batch lines and `brimline ask` are three doors to the one function [`ask`].

pub mod batch;
pub mod breathing;
pub mod burning;
pub mod check;
pub mod comparison;
pub mod cooling;
mod criteria;
pub mod difference;
pub mod draft;
pub mod evaporation;
pub mod exposure;
pub mod field;
pub mod flame_colour;
pub mod flame_fuel;
pub mod flame_peaks;
pub mod flames;
pub mod flash_point_margin;
pub mod heating;
pub mod ignition;
pub mod json;
mod json_text;
pub mod ladder;
pub mod liquid;
pub mod long_text;
pub mod mend;
pub mod method;
pub mod picture;
pub mod plan;
mod plan_lists;
mod plan_picture;
pub mod practical;
pub mod query;
pub mod ranking;
pub mod reader;
pub mod recheck;
pub mod record;
pub mod refusal;
pub mod remedy;
pub mod reply;
pub mod room;
pub mod room_flammable_limit;
pub mod room_over_time;
pub mod rules;
pub mod safe_fill;
pub mod source;
pub mod spill;
pub mod stock;
pub mod storage;
pub mod storage_advice;
mod usual_fuel;
mod vapour_picture;
pub mod vapour_pressure;
mod vapour_space;
pub mod vessel;
pub mod walk;

pub use refusal::Refusal;

use crate::catalogue::catalogue;
use brimline_openapi::operations::{QUESTIONS, RECHECK};
use brimline_openapi::{Detail, Ending, Outcome, Text};
use draft::Draft;
use liquid::Liquids;
use picture::Picture;
use reader::{Faults, Fields, nearest};
use reply::{Asked, Composed};
use rules::Rules;
use serde_json::Value;

/// Room for the text of most replies.
const CAPACITY: usize = 8192;

/// What a question needs beside its request.
#[derive(Debug, Clone, Copy)]
pub struct Context {
    /// Whether a request may make a rule laxer (`--allow-relaxed-rules`).
    pub relaxed_rules_allowed: bool,
}

/// How the leaves of a request were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// As JSON: numbers are numbers.
    Json,
    /// As a query string: every leaf is text, so that a count `6` arrives as `"6"`.
    Query,
}

/// An answer, ready to send.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The reply as JSON text.
    pub json: Vec<u8>,
    /// The outcome of the reply.
    pub outcome: Outcome,
    /// Whether the reply is complete.
    pub complete: bool,
    /// The reply's series, where the question has one.
    pub series: Option<Series>,
    /// The reply's picture, where it was asked for and the question has one.
    pub picture: Option<Picture>,
}

impl Answer {
    /// How it ends, as the reply says it.
    ///
    /// # Errors
    /// None that a request causes.
    pub fn ending(&self) -> Result<Ending, Refusal> {
        serde_json::from_slice(&self.json).map_err(|_| not_made())
    }
}

/// A series for `text/csv`: one header row of dotted names with units, then the rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Column heads, for example `vapour_pressure.value [kPa]`.
    pub header: Vec<String>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
}

/// Column of the outcome.
const OUTCOME: &str = "outcome";
/// Column that tells whether the whole reply is complete.
const COMPLETE: &str = "complete";

impl Series {
    /// With the end of its reply in every row, since a table has no other place for it; a table without rows gets one that says only
    /// this. Where the rows have outcomes of their own, those stay.
    ///
    /// # Errors
    /// None that a request causes.
    pub fn ending(mut self, outcome: Outcome, complete: bool) -> Result<Self, Refusal> {
        let word = serde_json::to_value(outcome).map_err(|_| not_made())?;
        let word = word.as_str().unwrap_or_default();
        let own = self.header.iter().any(|head| head == OUTCOME);
        if self.rows.is_empty() {
            self.rows.push(vec![String::new(); self.header.len()]);
        }
        let added = |outcome: &str, complete: &str| {
            let outcome = (!own).then(|| outcome.to_owned());
            outcome.into_iter().chain([complete.to_owned()])
        };
        self.header.extend(added(OUTCOME, COMPLETE));
        for row in &mut self.rows {
            row.extend(added(word, if complete { "true" } else { "false" }));
        }
        Ok(self)
    }
}

/// What every question reads and writes beside its own fields.
#[derive(Debug)]
pub struct Scope {
    /// The rules in force.
    pub rules: Rules,
    /// The reply in the making.
    pub draft: Draft,
}

impl Scope {
    /// The reply in the making, to be finished.
    fn draft_taken(&mut self) -> Draft {
        let empty = Draft::new(self.draft.catalogue, self.draft.full);
        std::mem::replace(&mut self.draft, empty)
    }
}

/// Answers a question.
///
/// # Errors
/// A [`Refusal`] that lists every independent fault of the request.
pub fn ask(question: &str, request: &Value, written: Written, context: Context) -> Result<Answer, Refusal> {
    if question == recheck::NAME {
        return recheck::answer(request, context);
    }
    let request = long_text::request(request);
    answered(ask_for(question, &request, written, context, Wanted::Answer)?)
}

/// The same, written behind what stands in `text`; of a refusal nothing is written. Tells how the answer ends.
///
/// # Errors
/// As [`ask`].
pub fn ask_into(
    question: &str,
    request: &Value,
    context: Context,
    text: &mut Vec<u8>,
) -> Result<Ending, Refusal> {
    if question == recheck::NAME {
        let answer = recheck::answer(request, context)?;
        text.extend_from_slice(&answer.json);
        return answer.ending();
    }
    let request = long_text::request(request);
    let composed = ask_for(question, &request, Written::Json, context, Wanted::Answer)?;
    composed.write(text).ok_or_else(not_made)?;
    Ok(Ending { outcome: composed.outcome, complete: composed.complete, same: None })
}

/// The same with its picture, which takes longer to make than some answers.
///
/// # Errors
/// As [`ask`].
pub fn ask_with_picture(
    question: &str,
    request: &Value,
    written: Written,
    context: Context,
) -> Result<Answer, Refusal> {
    let request = long_text::request(request);
    answered(ask_for(question, &request, written, context, Wanted::Picture)?)
}

/// What is made beside the figures.
#[derive(Debug, Clone, Copy)]
enum Wanted<'a> {
    /// Nothing: the figures of a step of a plan, or one of its checks.
    Figures(&'a Liquids, Option<&'a str>),
    /// Remedies and alternatives.
    Answer,
    /// And a picture.
    Picture,
}

fn ask_for(
    question: &str,
    request: &Value,
    written: Written,
    context: Context,
    wanted: Wanted<'_>,
) -> Result<Composed, Refusal> {
    let answer = match question {
        vapour_pressure::NAME => vapour_pressure::answer,
        flash_point_margin::NAME => flash_point_margin::answer,
        room_flammable_limit::NAME => room_flammable_limit::answer,
        safe_fill::NAME => safe_fill::answer,
        evaporation::NAME => evaporation::answer,
        exposure::NAME => exposure::answer,
        spill::NAME => spill::answer,
        burning::NAME => burning::answer,
        cooling::NAME => cooling::answer,
        storage::NAME => storage::answer,
        practical::NAME => practical::answer,
        comparison::NAME => comparison::answer,
        flame_colour::NAME => flame_colour::answer,
        _ => return Err(unknown_question(question)),
    };
    let catalogue = catalogue().map_err(|fault| Refusal::whole("busy", fault.to_string()))?;
    let faults = Faults::default();
    let composed = {
        let fields = Fields::of(request, &faults, written);
        let (fields, only) = match wanted {
            Wanted::Figures(liquids, only) => (fields.keeping(liquids), only),
            Wanted::Answer | Wanted::Picture => (fields, None),
        };
        let detail = fields
            .word("detail", &[("full", Detail::Full), ("figures", Detail::Figures)])
            .unwrap_or_default();
        fields.text("name", long_text::LONGEST);
        fields.value("ref");
        let rules = Rules::read(&fields, catalogue, context.relaxed_rules_allowed);
        let mut scope = Scope { rules, draft: Draft::new(catalogue, detail == Detail::Full) };
        scope.draft.whole = !matches!(wanted, Wanted::Figures(..));
        scope.draft.pictured = matches!(wanted, Wanted::Picture);
        scope.draft.only = only.map(|id| Text::Owned(id.to_owned()));
        answer(&fields, &mut scope)
    };
    if !faults.is_empty() {
        return Err(Refusal { faults: faults.take() });
    }
    composed.ok_or_else(not_made)
}

fn not_made() -> Refusal {
    Refusal::whole("busy", "the answer could not be made; try again")
}

/// A reply, ready to send.
fn answered(composed: Composed) -> Result<Answer, Refusal> {
    let mut json = Vec::with_capacity(CAPACITY);
    composed.write(&mut json).ok_or_else(not_made)?;
    let Composed { outcome, complete, series, picture, .. } = composed;
    Ok(Answer { json, outcome, complete, series, picture })
}

/// Answers a question that a plan asks on its way, without changes: those of the plan are searched.
fn ask_within(
    question: &str,
    request: &Value,
    scope: &Scope,
    liquids: &Liquids,
    only: Option<&str>,
) -> Result<Asked, Refusal> {
    let context = Context { relaxed_rules_allowed: scope.rules.may_be_relaxed() };
    ask_for(question, request, Written::Json, context, Wanted::Figures(liquids, only)).map(Composed::asked)
}

fn unknown_question(question: &str) -> Refusal {
    let near = nearest(question, QUESTIONS.iter().chain([&RECHECK]).map(|known| known.name));
    let shown: String = question.chars().take(60).collect();
    let mut refusal = Refusal::whole("not-found", format!("`{shown}` is not a question"));
    if let Some(fault) = refusal.faults.first_mut() {
        fault.suggestion = near.map(str::to_owned);
    }
    refusal
}

/// Says that an equation was used below its range.
fn marked_temperature(draft: &mut Draft, extrapolated: bool) {
    if extrapolated {
        draft.assume(
            "extrapolated",
            "A vapour pressure was computed up to 10 K below the range of every published equation and widened by 25 %.",
        );
    }
}
