//! The sheet of a plan to sign: what stands on it, in the order in which it is read. [`super::sheet_written`] writes it.
//!
//! First what whoever signs needs: the outcome, what must change, the plan, what to judge oneself, what to set out and clear up.
//! Then the place to sign, then what all that rests on.

use super::picture;
use crate::quantity::round::significant;
use crate::question::picture::Picture;
use crate::question::practical::WATER;
use crate::question::walk::in_words;
use brimline_openapi::answered::RecordedValue;
use brimline_openapi::{
    BasisKind, Check, Doing, Evidence, ExpectedColour, MustBe, Outcome, PlanAlternative, PlanRemedy,
    PracticalReply, Quantity, Seen,
};
use std::collections::BTreeMap;

/// Fields of a recorded step that its sentence says already.
const SAID_OF_A_STEP: [&str; 3] = ["do", "liquid", "amount"];
/// Fields of a recorded request that stand elsewhere on the sheet.
const SAID_ELSEWHERE: [&str; 2] = ["question", "steps"];

/// A sheet: plain texts, not yet escaped.
#[derive(Debug)]
pub struct Sheet {
    /// What it is of.
    pub title: String,
    /// What tells that printed pages belong together: version and digest.
    pub foot: String,
    /// Its parts.
    pub sections: Vec<Section>,
}

/// A part under its own heading.
#[derive(Debug)]
pub struct Section {
    /// How it is laid out.
    pub class: &'static str,
    /// Its heading.
    pub heading: String,
    /// What stands in it.
    pub parts: Vec<Part>,
}

/// A piece of a section.
#[derive(Debug)]
pub enum Part {
    /// A paragraph.
    Said(String),
    /// A paragraph that is read before all others.
    Strong(String),
    /// A list.
    List(Vec<String>),
    /// A list whose order counts.
    Numbered(Vec<String>),
    /// A list to tick off.
    Ticked(Vec<String>),
    /// A table.
    Table(Table),
    /// A picture, and what it shows in words.
    Picture {
        /// As SVG, escaped.
        svg: String,
        /// In words.
        said: String,
    },
}

/// A table; the first cell of each row is its head.
#[derive(Debug)]
pub struct Table {
    /// How it is laid out.
    pub class: &'static str,
    /// What it shows.
    pub caption: &'static str,
    /// The heads of its columns.
    pub heads: &'static [&'static str],
    /// Its rows.
    pub rows: Vec<Vec<Cell>>,
    /// Whether the note of a row's first cell is written below the row.
    pub notes_below: bool,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// What is said smaller below it.
    pub note: String,
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self { text, note: String::new() }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl Sheet {
    /// The sheet of a reply.
    #[must_use]
    pub fn of(reply: &PracticalReply, drawn: Option<&Picture>) -> Self {
        let record = &reply.basis.record;
        let mut sections = vec![verdict(reply), change(reply), plan(reply)];
        sections.push(colours(reply));
        sections.push(seen_from_above(drawn));
        sections.push(given(reply));
        sections.push(not_considered(reply));
        sections.push(ticked("What is set out", &reply.set_out_list));
        sections.push(ticked("What is cleared up", &reply.clear_up_list));
        sections.push(cautions(reply));
        sections.push(to_sign(reply.verdict.outcome));
        sections.push(checks(reply));
        sections.push(assumptions(reply));
        sections.push(sources(reply));
        sections.push(recorded(reply));
        sections.retain(|section| !section.parts.is_empty());
        Self {
            title: reply
                .name
                .as_ref()
                .map_or_else(|| "Sheet of a practical".to_owned(), |name| format!("Practical: {name}")),
            foot: format!("Brimline {}, digest {}", record.service_version, record.question_digest),
            sections,
        }
    }
}

fn section(class: &'static str, heading: &str, parts: Vec<Part>) -> Section {
    Section { class, heading: heading.to_owned(), parts }
}

/// A list under a heading, or nothing where it is empty.
fn listed(items: Vec<String>) -> Vec<Part> {
    if items.is_empty() { Vec::new() } else { vec![Part::List(items)] }
}

const fn word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::NoLimitChecked => "no limit checked",
        Outcome::WithinLimit => "within the limits checked",
        Outcome::NearLimit => "near a limit",
        Outcome::NotAssessed => "not assessed",
        Outcome::OverLimit => "over a limit",
        Outcome::Unknown => "not known",
    }
}

/// A status beside others: what stops the plan is written large, so that it stands out without colour.
fn marked(outcome: Outcome) -> String {
    let word = word(outcome);
    if matches!(outcome, Outcome::OverLimit | Outcome::NotAssessed) {
        word.to_uppercase()
    } else {
        word.to_owned()
    }
}

fn verdict(reply: &PracticalReply) -> Section {
    let verdict = &reply.verdict;
    let class = match verdict.outcome {
        Outcome::NoLimitChecked | Outcome::WithinLimit | Outcome::NearLimit => "verdict",
        Outcome::NotAssessed | Outcome::OverLimit | Outcome::Unknown => "verdict stop",
    };
    let complete = if verdict.complete {
        "Every figure of this question could be given and every limit of it was considered."
    } else {
        "Not complete: what was not considered is listed below; it is for a competent person to judge."
    };
    let mut parts = vec![
        Part::Strong(verdict.sentence.clone()),
        Part::Said(format!(
            "{complete} Local codes, the supplier's data sheet and a competent person decide; these figures do not replace them."
        )),
    ];
    if reply.basis.record.request.is_none() {
        parts.push(Part::Said("The texts and the plan as it was asked are missing, since only figures were asked for: ask again without \"detail\": \"figures\" for a sheet to sign.".to_owned()));
    }
    section(class, &format!("Outcome: {}", marked(verdict.outcome)), parts)
}

fn change(reply: &PracticalReply) -> Section {
    let mut parts = Vec::new();
    let stops = |check: &&Check| matches!(check.status, Outcome::OverLimit | Outcome::NotAssessed);
    let mut stopping: Vec<String> = Vec::new();
    for check in reply.basis.checks.iter().filter(stops) {
        let reason = check.reason.as_ref().map_or_else(String::new, |reason| format!(" ({reason})"));
        let line = format!("{}: {}{reason}.", marked(check.status), in_words(&check.check));
        if !stopping.contains(&line) {
            stopping.push(line);
        }
    }
    let class = if stopping.is_empty() { "quiet" } else { "change" };
    // The way without burning liquid is another plan; it stands first.
    let without = |other: &&PlanAlternative| other.liquid == WATER;
    if let Some(other) = reply.alternatives.iter().find(without) {
        parts.insert(0, Part::Said(format!("Less hazardous, to be considered first: {}.", other.reason)));
    }
    if stopping.is_empty() {
        parts.push(Part::Said("No change is needed for the limits that were checked.".to_owned()));
    } else {
        parts.push(Part::List(stopping));
    }
    if let Some(last) = reply.remedies.last() {
        parts.push(Part::Said(format!(
            "Make these changes in this order, each on top of those before. With all of them the whole plan, checked again, is: {}.",
            marked(last.remedy.outcome_after)
        )));
        parts.push(Part::Numbered(changes(&reply.remedies)));
    }
    let mended = |id: &str| reply.remedies.iter().any(|change| change.mends.iter().any(|mends| mends == id));
    let mut left: Vec<&str> = Vec::new();
    for check in reply.basis.checks.iter().filter(stops).filter(|check| !mended(&check.check)) {
        if !left.contains(&in_words(&check.check)) {
            left.push(in_words(&check.check));
        }
    }
    if !left.is_empty() {
        parts.push(Part::Said(format!("No change that was tried mends: {}.", left.join("; "))));
    }
    for other in reply.alternatives.iter().filter(|other| !without(other)) {
        parts.push(Part::Said(format!(
            "With {} in place of {} the same plan is: {}. Why: {}.",
            other.liquid,
            other.instead_of,
            marked(other.outcome),
            other.reason.trim_end_matches('.')
        )));
    }
    section(class, "What must change", parts)
}

/// The changes in words; of several in a row of one input the last one counts, since each sets it anew.
fn changes(remedies: &[PlanRemedy]) -> Vec<String> {
    let mut lines = Vec::new();
    let mut mends: Vec<&str> = Vec::new();
    for (place, change) in remedies.iter().enumerate() {
        for id in &change.mends {
            if !mends.contains(&in_words(id)) {
                mends.push(in_words(id));
            }
        }
        let remedy = &change.remedy;
        if remedies.get(place + 1).is_some_and(|next| next.remedy.field == remedy.field) {
            continue;
        }
        lines.push(format!(
            "{} Mends: {}. The plan is then: {}. (In the request, {}: {})",
            remedy.text,
            std::mem::take(&mut mends).join("; "),
            marked(remedy.outcome_after),
            remedy.field,
            remedy.to
        ));
    }
    lines
}

fn plan(reply: &PracticalReply) -> Section {
    let steps = match reply.basis.record.request.as_ref().and_then(|request| request.0.get("steps")) {
        Some(RecordedValue::List(steps)) => steps.as_slice(),
        _ => &[],
    };
    let rows = reply.steps.iter().enumerate().map(|(place, step)| {
        let note = match steps.get(place) {
            Some(RecordedValue::Group(fields)) => {
                // The sentence of a wait says how long it is.
                let [doing, liquid, amount] = SAID_OF_A_STEP;
                let duration = if step.doing == Doing::Wait { "duration" } else { doing };
                group(fields, &[doing, liquid, amount, duration])
            }
            _ => String::new(),
        };
        vec![
            step.step.to_string().into(),
            quantity(&step.starts).into(),
            // The cell beside it says so.
            Cell { text: step.sentence.replace(": within the limits checked.", "."), note },
            match step.outcome {
                Outcome::NoLimitChecked => "no check of its own".into(),
                outcome => marked(outcome).into(),
            },
        ]
    });
    let table = Table {
        class: "plan",
        caption: "The steps and their outcomes",
        heads: &["step", "begins at", "what is done", "outcome"],
        rows: rows.collect(),
        notes_below: false,
    };
    section("", "The plan, in its order", vec![Part::Table(table)])
}

/// What the salts show.
fn colours(reply: &PracticalReply) -> Section {
    let row = |one: &ExpectedColour| {
        let mut places: Vec<String> =
            one.brightest.iter().map(|place| significant(place.value, 4).to_string()).collect();
        // They rise: lines that read alike stand together.
        places.dedup();
        let from = if one.bands_dominate { "bands near" } else { "lines at" };
        let seen = format!("{from} {} nm", places.join(", "));
        vec![one.salt.as_str().into(), Cell { text: one.words.clone(), note: one.why.clone() }, seen.into()]
    };
    let table = Table {
        class: "given",
        caption: "The salts and their colours",
        heads: &["salt", "colour", "brightest"],
        rows: reply.expected_colours.iter().map(row).collect(),
        notes_below: false,
    };
    let parts = if table.rows.is_empty() { Vec::new() } else { vec![Part::Table(table)] };
    section("", "What is to be seen", parts)
}

/// The distances of the plan, drawn.
fn seen_from_above(drawn: Option<&Picture>) -> Section {
    let parts = drawn.and_then(|drawn| {
        Some(vec![Part::Picture {
            svg: picture::in_page(drawn, picture::BESIDE)?,
            said: drawn.said.join(" "),
        }])
    });
    section("drawn", "Distances from the work, seen from above", parts.unwrap_or_default())
}

fn given(reply: &PracticalReply) -> Section {
    let Some(request) = &reply.basis.record.request else { return section("", "", Vec::new()) };
    let told = request.0.iter().filter(|(name, _)| !SAID_ELSEWHERE.contains(&name.as_ref()));
    let rows: Vec<Vec<Cell>> =
        told.map(|(name, value)| vec![spaced(name).into(), said(value).into()]).collect();
    let table = Table {
        class: "given",
        caption: "The plan as it was asked, with what was filled in",
        heads: &["what", "as asked"],
        rows,
        notes_below: false,
    };
    section("fine beside", "Room, people and what stands in it", vec![Part::Table(table)])
}

fn not_considered(reply: &PracticalReply) -> Section {
    let basis = &reply.basis;
    let missing =
        basis.not_given.iter().map(|figure| format!("Not given, {}: {}.", figure.pointer, figure.reason));
    let hazards =
        basis.not_considered.iter().map(|hazard| format!("{}: {}.", spaced(&hazard.id), hazard.reason));
    section("fine beside", "Not considered: for you to judge", listed(missing.chain(hazards).collect()))
}

fn ticked(heading: &str, items: &[String]) -> Section {
    let parts = if items.is_empty() { Vec::new() } else { vec![Part::Ticked(items.to_vec())] };
    section("columns", heading, parts)
}

fn cautions(reply: &PracticalReply) -> Section {
    // The outcome has said already who decides.
    let texts = reply.basis.cautions.iter().filter(|caution| caution.id != "defer");
    let texts = texts.map(|caution| caution.text.as_ref().unwrap_or(&caution.id).to_string());
    section("columns three fine", "Cautions", listed(texts.collect()))
}

fn to_sign(outcome: Outcome) -> Section {
    let what = match outcome {
        Outcome::OverLimit => {
            "This plan is over a limit as it stands: change it, ask again and sign the new sheet."
        }
        Outcome::NotAssessed => {
            "A limit of this plan could not be assessed: give what is missing and ask again, or let a competent person judge it."
        }
        _ => {
            "I have read this sheet with what was not considered. The room, the people, the amounts, the stock and the ignition sources are as it says; where they are not, it does not hold."
        }
    };
    let line = |who: &str| vec![who.into(), "".into(), "".into(), "".into()];
    let table = Table {
        class: "sign",
        caption: "Place to sign",
        heads: &["signs as", "name", "date", "signature"],
        rows: vec![line("who carries it out"), line("competent person")],
        notes_below: false,
    };
    section("signing", "Signature", vec![Part::Said(what.to_owned()), Part::Table(table)])
}

/// Every check, the worst first; those that differ in nothing but their step share a row.
fn checks(reply: &PracticalReply) -> Section {
    let mut found: Vec<(&Check, Vec<String>)> = Vec::new();
    for (place, check) in reply.basis.checks.iter().enumerate() {
        let here =
            reply.steps.iter().filter(|step| step.checks.iter().any(|&at| usize::try_from(at) == Ok(place)));
        let here: Vec<String> = here.map(|step| step.step.to_string()).collect();
        match found.iter_mut().find(|(known, _)| *known == check) {
            Some((_, steps)) => steps.extend(here),
            None => found.push((check, here)),
        }
    }
    let weight = |check: &Check| check.ratio.unwrap_or(0.0);
    found.sort_by(|(a, _), (b, _)| b.status.cmp(&a.status).then(weight(b).total_cmp(&weight(a))));
    let rows = found.iter().map(|(check, steps)| {
        let steps = if steps.is_empty() { "all".to_owned() } else { steps.join(", ") };
        let reason = check.reason.as_ref().map_or_else(String::new, |reason| format!("{reason}. "));
        let [value, limit] = compared(check);
        vec![
            Cell {
                text: format!("{} ({})", in_words(&check.check), check.check),
                note: format!(
                    "{reason}{} ({})",
                    assumed_of(reply, check).unwrap_or(&check.basis.text),
                    grounds(check)
                ),
            },
            steps.into(),
            beside_its_limit(check.status).into(),
            format!("{value}, {}", evidence(check.evidence)).into(),
            limit.into(),
            check.ratio.map_or_else(|| "none".to_owned(), |ratio| ratio.to_string()).into(),
        ]
    });
    let table = Table {
        class: "checks",
        caption: "Every check, the worst first",
        heads: &["check, and what its limit says and rests on", "step", "outcome", "found", "limit", "ratio"],
        rows: rows.collect(),
        notes_below: true,
    };
    let how = "The unfavourable end of each range, in brackets, decides. A ratio above 1 is over the limit, above 0.8 near it; where no ratio can be given the outcome stands alone.";
    section("evidence", "The checks", vec![Part::Said(how.to_owned()), Part::Table(table)])
}

/// The status beside the one limit that it is of.
const fn beside_its_limit(status: Outcome) -> &'static str {
    match status {
        Outcome::OverLimit => "OVER",
        Outcome::NotAssessed => "NOT ASSESSED",
        Outcome::NearLimit => "near",
        Outcome::WithinLimit => "within",
        Outcome::NoLimitChecked | Outcome::Unknown => "not known",
    }
}

/// What was found and its limit; a rule that is kept or not is no figure.
fn compared(check: &Check) -> [String; 2] {
    let limit = &check.limit;
    let whether = limit.unit == "1" && limit.value == 0.0 && check.must_be == MustBe::AtMost;
    if whether {
        let value = match check.value.as_ref().map(|value| value.value) {
            Some(0.0) => "kept",
            Some(_) => "not kept",
            None => "not known",
        };
        return [value.to_owned(), "to be kept".to_owned()];
    }
    let side = match check.must_be {
        MustBe::AtMost => "at most",
        MustBe::AtLeast => "at least",
        MustBe::Unknown => "limit",
    };
    let value = check.value.as_ref().map_or_else(|| "not known".to_owned(), quantity);
    [value, format!("{side} {}", quantity(limit))]
}

fn grounds(check: &Check) -> String {
    let basis = &check.basis;
    let kind = match basis.kind {
        BasisKind::Law => "law",
        BasisKind::Standard => "standard",
        BasisKind::Guidance => "guidance",
        BasisKind::CommonPractice => "common practice",
        BasisKind::Judgement => "judgement",
        BasisKind::Unknown => "not known",
    };
    let source = match basis.source.as_deref() {
        Some(source) if source.replace('-', " ") != kind => format!(" ({source})"),
        _ => String::new(),
    };
    let confirmed = if basis.confirmed { "confirmed" } else { "unconfirmed" };
    format!("{kind}{source}, {confirmed}")
}

const fn evidence(evidence: Evidence) -> &'static str {
    match evidence {
        Evidence::Measured => "measured",
        Evidence::Estimated => "estimated",
        Evidence::Extrapolated => "extrapolated",
        Evidence::Unknown => "of unknown kind",
    }
}

/// The rule of a check with its figure, where it stands among what was assumed.
fn assumed_of<'a>(reply: &'a PracticalReply, check: &Check) -> Option<&'a str> {
    let mut texts = reply.basis.assumptions.iter().filter_map(|assumption| assumption.text.as_deref());
    let of = |text: &&str| {
        let rest = text.strip_prefix(check.basis.text.trim_end_matches('.'));
        rest.is_some_and(|rest| rest.starts_with(" ("))
    };
    texts.find(of)
}

/// What was assumed, but for what stands with the checks already.
fn assumptions(reply: &PracticalReply) -> Section {
    let said: Vec<&str> = reply.basis.checks.iter().filter_map(|check| assumed_of(reply, check)).collect();
    let texts = reply.basis.assumptions.iter();
    let texts = texts.map(|assumption| assumption.text.as_ref().unwrap_or(&assumption.id).to_string());
    let others = texts.filter(|text| !said.contains(&text.as_str()));
    section(
        "run fine tail",
        "What was assumed, beside what is said with the checks",
        listed(others.collect()),
    )
}

fn sources(reply: &PracticalReply) -> Section {
    let lines = reply.basis.sources.iter().map(|source| {
        let seen = match source.seen {
            Seen::Source => "the source was read",
            Seen::Copy => "a copy was read",
            Seen::Derived => "own arithmetic",
            Seen::CommonPractice => "common practice",
            Seen::Memory => "from memory, to be confirmed",
            Seen::Unknown => "not known how it was seen",
        };
        let data: Vec<String> = source.data.iter().map(|datum| spaced(datum)).collect();
        let data = if data.is_empty() { String::new() } else { format!("{}: ", data.join(", ")) };
        format!("{data}{} ({seen})", source.title.as_ref().unwrap_or(&source.id))
    });
    section("run fine tail", "Sources", listed(lines.collect()))
}

fn recorded(reply: &PracticalReply) -> Section {
    let record = &reply.basis.record;
    let lines = vec![
        format!("version {}", record.service_version),
        format!("question {}", record.question_digest),
        format!("catalogue {}", record.catalogue_version),
        format!("rules {}", record.rules),
    ];
    section(
        "run whole fine tail",
        "Record: what is needed to derive this sheet again (SHA-256)",
        listed(lines),
    )
}

fn spaced(name: &str) -> String {
    name.replace('_', " ")
}

/// A quantity as it is read: value, range, unit.
fn quantity(quantity: &Quantity) -> String {
    let unit = unit(&quantity.unit);
    let range = match (quantity.low, quantity.high) {
        (Some(low), Some(high)) if low < high => format!(" ({low} to {high})"),
        _ => String::new(),
    };
    format!("{}{range}{}{unit}", quantity.value, if unit.is_empty() { "" } else { " " })
}

/// A UCUM unit as it is read.
fn unit(code: &str) -> String {
    match code {
        "1" => String::new(),
        "Cel" => "°C".to_owned(),
        other => other.trim_matches(['[', ']']).replace("m2", "m²").replace("m3", "m³"),
    }
}

/// A recorded value in words.
fn said(value: &RecordedValue) -> String {
    match value {
        RecordedValue::Switch(on) => if *on { "yes" } else { "no" }.to_owned(),
        RecordedValue::Number(number) => number.0.to_string(),
        RecordedValue::Word(word) => word.to_string(),
        RecordedValue::List(values) if values.is_empty() => "none".to_owned(),
        RecordedValue::List(values) => values.iter().map(said).collect::<Vec<_>>().join("; "),
        RecordedValue::Group(fields) => match (fields.len(), fields.get("value"), fields.get("unit")) {
            (2, Some(RecordedValue::Number(number)), Some(RecordedValue::Word(code))) => {
                format!("{} {}", number.0, unit(code)).trim_end().to_owned()
            }
            _ => group(fields, &[]),
        },
    }
}

fn group(fields: &BTreeMap<brimline_openapi::Text, RecordedValue>, without: &[&str]) -> String {
    let told = fields.iter().filter(|(name, _)| !without.contains(&name.as_ref())).map(|(name, value)| {
        let said = said(value);
        let nested = matches!(value, RecordedValue::Group(fields) if !fields.contains_key("unit"));
        if nested { format!("{} ({said})", spaced(name)) } else { format!("{} {said}", spaced(name)) }
    });
    told.collect::<Vec<_>>().join(", ")
}
