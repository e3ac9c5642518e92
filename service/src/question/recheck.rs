//! `recheck`: an earlier answer is sent back; whether today's version gives the same, and if not, what changed and why.
//!
//! It is none of the questions: it asks one of them again, with the same reader, and holds the record and the figures against today's.

use super::difference::{Difference, difference};
use super::reader::{Faults, Fields};
use super::record::digest;
use super::{Answer, Context, Refusal, Written};
use crate::catalogue::change_log::version;
use crate::catalogue::{Catalogue, catalogue, view};
use brimline_openapi::operations::{QUESTIONS, Question, RECHECK};
use brimline_openapi::recheck::{Change, ChangeKind, Differs, Rechecked, Same};
use brimline_openapi::{Outcome, Record, Text};
use serde::Deserialize as _;
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// The operation's name.
pub const NAME: &str = RECHECK.name;
/// Longest sentence, characters.
const LONGEST: usize = 200;
/// Hexadecimal digits of a SHA-256.
const DIGITS: usize = 64;

/// The words of an outcome.
const OUTCOMES: [(&str, Outcome); 5] = [
    ("no_limit_checked", Outcome::NoLimitChecked),
    ("within_limit", Outcome::WithinLimit),
    ("near_limit", Outcome::NearLimit),
    ("not_assessed", Outcome::NotAssessed),
    ("over_limit", Outcome::OverLimit),
];

/// A record as it was sent.
struct Sent<'a> {
    version: Option<&'a str>,
    catalogue: Option<&'a str>,
    rules: Option<&'a str>,
    digest: Option<&'a str>,
    question: Option<&'static Question>,
    /// The recorded request.
    request: Option<&'a Map<String, Value>>,
    /// Where it stands.
    pointer: String,
}

impl Sent<'_> {
    fn parts(&self) -> [(&'static str, Option<&str>); 4] {
        [
            ("service_version", self.version),
            ("catalogue_version", self.catalogue),
            ("rules", self.rules),
            ("question_digest", self.digest),
        ]
    }

    /// Whether it is of a newer version than this one.
    fn is_newer(&self) -> bool {
        self.version.and_then(version) > version(env!("CARGO_PKG_VERSION"))
    }

    /// Which parts are others today.
    fn differs(&self, today: &Record) -> Vec<Differs> {
        let other =
            |sent: Option<&str>, today: &str| !sent.is_some_and(|sent| sent.eq_ignore_ascii_case(today));
        let all = [
            (Differs::ServiceVersion, other(self.version, &today.service_version)),
            (Differs::Catalogue, other(self.catalogue, &today.catalogue_version)),
            (Differs::Rules, other(self.rules, &today.rules)),
            (Differs::Question, other(self.digest, &today.question_digest)),
        ];
        all.into_iter().filter(|(_, differs)| *differs).map(|(part, _)| part).collect()
    }
}

/// Answers it.
///
/// # Errors
/// A [`Refusal`] that lists every independent fault, those of the request that is asked again at its place.
pub fn answer(value: &Value, context: Context) -> Result<Answer, Refusal> {
    let catalogue = catalogue().map_err(|fault| Refusal::whole("busy", fault.to_string()))?;
    let faults = Faults::default();
    let fields = Fields::of(value, &faults, Written::Json);
    let words: Vec<(&'static str, &'static Question)> =
        QUESTIONS.iter().map(|known| (known.name, known)).collect();
    let question = fields.word("question", &words);
    let request = object(&fields, "request");
    let reply = fields.group("reply");
    let given = fields.group("record").map(|group| sent(&group, &words));
    let before = fields.value("reply").filter(|reply| reply.is_object());
    let (in_reply, outcome_before) =
        reply.filter(|_| before.is_some()).map_or((None, None), |reply| replied(&reply, &words));
    if given.is_none() && in_reply.is_none() && value.is_object() {
        let detail = "`record` is missing: the `record` of the earlier reply, or `reply` as a whole";
        faults.add("missing-field", "/record".to_owned(), detail, None);
    }
    fields.finish();
    let stated = fields.value("question").is_some();
    let question = one_question((question, stated), &[&given, &in_reply], &faults);
    one_record(given.as_ref(), in_reply.as_ref(), &faults);
    let recorded = [&given, &in_reply].into_iter().flatten().find(|sent| sent.request.is_some());
    let asked = request
        .map(|request| (request, "/request".to_owned()))
        .or_else(|| recorded.and_then(|sent| Some((sent.request?, format!("{}/request", sent.pointer)))));
    if asked.is_none() && fields.value("request").is_none() && value.is_object() {
        let detail = "`request` is missing: the request that was asked, which the record does not hold";
        faults.add("missing-field", "/request".to_owned(), detail, None);
    }
    let answered = match (question, &asked) {
        (Some(question), Some((request, pointer))) => again(question, request, pointer, context, &faults)?,
        _ => None,
    };
    let recorded = recorded.and_then(|sent| sent.request);
    let record = given.or(in_reply);
    if let (Some((_, today)), Some(request), Some(record)) = (&answered, request, &record) {
        the_same_request(request, recorded, record, today, &faults);
    }
    if !faults.is_empty() {
        return Err(Refusal { faults: faults.take() });
    }
    let (Some(question), Some(record), Some((answer, today))) = (question, record, answered) else {
        return Err(Refusal::whole("busy", "the answer could not be made; try again"));
    };
    composed(question, &record, &answer, &today, before.map(|before| (before, outcome_before)), catalogue)
}

/// An object of any fields.
fn object<'a>(fields: &Fields<'a>, name: &'static str) -> Option<&'a Map<String, Value>> {
    fields.group(name)?;
    fields.value(name)?.as_object()
}

/// Reads a record.
fn sent<'a>(group: &Fields<'a>, words: &[(&'static str, &'static Question)]) -> Sent<'a> {
    let pointer = group.at("");
    let text =
        |name: &'static str, what: &str| group.required(name, what).and_then(|_| group.text(name, DIGITS));
    let known = text("service_version", "the version that answered, such as \"0.1.0\"").filter(|text| {
        let valid = version(text).is_some();
        if !valid {
            let detail = "`service_version` is three numbers, such as \"0.1.0\"";
            group.faults().add("wrong-type", group.at("service_version"), detail, None);
        }
        valid
    });
    let digest_of = |name: &'static str, what: &str| {
        text(name, what).filter(|text| {
            let valid = text.len() == DIGITS && text.bytes().all(|byte| byte.is_ascii_hexdigit());
            if !valid {
                let detail = format!("`{name}` is a SHA-256 of 64 hexadecimal digits");
                group.faults().add("wrong-type", group.at(name), detail, None);
            }
            valid
        })
    };
    let catalogue = digest_of("catalogue_version", "the digest of the catalogue that answered");
    let rules = digest_of("rules", "the digest of the rules that answered");
    let asked = digest_of("question_digest", "the digest of the question");
    let request = object(group, "request");
    let inner = group.group("request").filter(|_| request.is_some());
    let question = inner.and_then(|inner| {
        inner.required("question", "the question that was asked");
        inner.word("question", words)
    });
    let found = request.and_then(|request| digest(&Value::Object(request.clone())));
    if let (Some(found), Some(asked)) = (found, asked)
        && !found.eq_ignore_ascii_case(asked)
    {
        let detail =
            "`question_digest` is not the digest of the `request` beside it: one of them was altered";
        group.faults().add("impossible-value", group.at("question_digest"), detail, None);
    }
    let sent = Sent {
        version: known,
        catalogue,
        rules,
        digest: asked,
        question,
        request,
        pointer: pointer.trim_end_matches('/').to_owned(),
    };
    // A newer version may record more.
    if !sent.is_newer() {
        group.finish();
    }
    sent
}

/// What of a reply must be there: its record, its outcome and its checks.
fn replied<'a>(
    reply: &Fields<'a>,
    words: &[(&'static str, &'static Question)],
) -> (Option<Sent<'a>>, Option<Outcome>) {
    let record = reply.required_group("record", "a whole reply holds one").map(|group| sent(&group, words));
    reply.required("outcome", "a whole reply holds one");
    let newer = record.as_ref().is_some_and(Sent::is_newer);
    // A newer version may know more words.
    let outcome = if newer {
        let outcome = reply.value("outcome").and_then(|value| Outcome::deserialize(value).ok());
        outcome.filter(|outcome| *outcome != Outcome::Unknown)
    } else {
        reply.word("outcome", &OUTCOMES)
    };
    if reply.required("checks", "a whole reply holds them").is_some_and(|checks| !checks.is_array()) {
        reply.faults().add("wrong-type", reply.at("checks"), "`checks` is a list", None);
    }
    (record, outcome)
}

/// The question, which every part that names it names alike.
fn one_question(
    (named, stated): (Option<&'static Question>, bool),
    records: &[&Option<Sent<'_>>],
    faults: &Faults,
) -> Option<&'static Question> {
    let recorded = records.iter().filter_map(|sent| sent.as_ref());
    let found = named.or_else(|| recorded.clone().find_map(|sent| sent.question).filter(|_| !stated));
    let Some(found) = found else {
        // A word that is none, or a record that names none, is a fault already.
        if !stated && recorded.clone().next().is_some() && recorded.clone().all(|sent| sent.request.is_none())
        {
            let detail = "`question` is missing: the question that was asked, such as \"spill\"";
            faults.add("missing-field", "/question".to_owned(), detail, None);
        }
        return None;
    };
    let mut alike = true;
    for sent in recorded {
        let Some(other) = sent.question.filter(|other| *other != found) else { continue };
        alike = false;
        let detail = format!("this is the record of `{}`, and the question is `{}`", other.name, found.name);
        let pointer = format!("{}/request/question", sent.pointer);
        faults.add("given-twice", pointer, detail, Some(found.name.to_owned()));
    }
    // Which of them the request belongs to is not known: its faults would be guesses.
    alike.then_some(found)
}

/// A reply carries the record that it is sent with.
fn one_record(given: Option<&Sent<'_>>, in_reply: Option<&Sent<'_>>, faults: &Faults) {
    let (Some(given), Some(in_reply)) = (given, in_reply) else { return };
    for ((name, given), (_, other)) in given.parts().into_iter().zip(in_reply.parts()) {
        if let (Some(given), Some(other)) = (given, other)
            && !given.eq_ignore_ascii_case(other)
        {
            let detail = format!("the reply is not the one of `record`: its `{name}` is another");
            faults.add("given-twice", format!("{}/{name}", in_reply.pointer), detail, None);
        }
    }
}

/// Asks the question again, in full; its faults are those at `pointer`.
fn again(
    question: &'static Question,
    request: &Map<String, Value>,
    pointer: &str,
    context: Context,
    faults: &Faults,
) -> Result<Option<(Answer, Value)>, Refusal> {
    let mut request = request.clone();
    if request.get("question").and_then(Value::as_str) == Some(question.name) {
        request.remove("question");
    }
    if request.get("detail").and_then(Value::as_str) == Some("figures") {
        request.remove("detail");
    }
    match super::ask(question.name, &Value::Object(request), Written::Json, context) {
        Ok(answer) => {
            let today = serde_json::from_slice(&answer.json).map_err(|error| {
                Refusal::whole("busy", format!("today's reply could not be read: {error}"))
            })?;
            Ok(Some((answer, today)))
        }
        Err(refusal) if refusal.faults.iter().any(|fault| fault.code == "busy") => Err(refusal),
        Err(refusal) => {
            for mut fault in refusal.faults {
                fault.pointer.insert_str(0, pointer);
                faults.push(fault);
            }
            Ok(None)
        }
    }
}

/// A request that is sent is the one of the record: by its digest where nothing else differs, else by what it states.
fn the_same_request(
    request: &Map<String, Value>,
    recorded: Option<&Map<String, Value>>,
    record: &Sent<'_>,
    today: &Value,
    faults: &Faults,
) {
    let Ok(now) = today_record(today) else { return };
    let differs = record.differs(&now);
    if !differs.contains(&Differs::Question) || record.parts().iter().any(|(_, part)| part.is_none()) {
        return;
    }
    let asked = today.pointer("/record/request").and_then(Value::as_object);
    let mut stated = false;
    if let (Some(recorded), Some(asked)) = (recorded, asked) {
        stated = stated_otherwise(request, asked, recorded, "/request", faults);
    }
    if !stated && differs == [Differs::Question] {
        let detail = "this is not the request of the record: `question_digest` is that of another, or of another question";
        faults.add("given-twice", "/request".to_owned(), detail, None);
    }
}

/// Adds a fault for each field that is stated and recorded otherwise; tells whether there is one. Both sides are as they are recorded.
fn stated_otherwise(
    request: &Map<String, Value>,
    asked: &Map<String, Value>,
    recorded: &Map<String, Value>,
    pointer: &str,
    faults: &Faults,
) -> bool {
    let mut found = false;
    for (name, stated) in request.iter().filter(|(_, stated)| !stated.is_null()) {
        let (Some(asked), Some(recorded)) = (asked.get(name), recorded.get(name)) else { continue };
        if asked == recorded {
            continue;
        }
        let pointer = format!("{pointer}/{}", super::reader::escaped(name));
        match (stated, asked, recorded) {
            (Value::Object(stated), Value::Object(asked), Value::Object(recorded))
                if !stated.contains_key("value") =>
            {
                found |= stated_otherwise(stated, asked, recorded, &pointer, faults);
            }
            _ => {
                found = true;
                let shown: String = recorded.to_string().chars().take(100).collect();
                let detail = format!("the record was made of another `{name}`: {shown}");
                faults.add("given-twice", pointer, detail, None);
            }
        }
    }
    found
}

fn today_record(today: &Value) -> Result<Record, Refusal> {
    let record = today.get("record").unwrap_or(&Value::Null);
    Record::deserialize(record)
        .map_err(|error| Refusal::whole("busy", format!("today's record could not be read: {error}")))
}

fn composed(
    question: &'static Question,
    sent: &Sent<'_>,
    answer: &Answer,
    today: &Value,
    before: Option<(&Value, Option<Outcome>)>,
    catalogue: &Catalogue,
) -> Result<Answer, Refusal> {
    let record = today_record(today)?;
    let differs = sent.differs(&record);
    let changes = since(sent, question, today, catalogue);
    let why = why(&changes, &differs);
    let other_version = differs.contains(&Differs::ServiceVersion);
    let found = before.map(|(before, _)| difference(before, today, other_version, &why));
    let same = match &found {
        Some(found) if found.count == 0 => Same::Yes,
        Some(_) => Same::No,
        None if differs.is_empty() => Same::Yes,
        None => Same::NotKnown,
    };
    let outcome_before = before.and_then(|(_, outcome)| outcome);
    let sentence = sentence(sent, &differs, found.as_ref(), (outcome_before, answer.outcome), changes.len());
    let found = found.unwrap_or_default();
    let listed = u64::try_from(found.changed.len()).unwrap_or(u64::MAX);
    let reply = Rechecked {
        sentence,
        same,
        question: Text::Borrowed(question.name),
        outcome: answer.outcome,
        complete: Some(answer.complete),
        outcome_before,
        differs,
        changed: found.changed,
        more: Some(found.count.saturating_sub(listed)).filter(|more| *more > 0),
        changes,
        record,
    };
    let json = serde_json::to_vec(&reply).map_err(|error| Refusal::whole("busy", error.to_string()))?;
    Ok(Answer {
        json,
        outcome: answer.outcome,
        complete: same != Same::NotKnown,
        series: None,
        picture: None,
    })
}

/// What the change log says of the versions after the record's, for this question and its liquids.
fn since(sent: &Sent<'_>, question: &Question, today: &Value, catalogue: &Catalogue) -> Vec<Change> {
    let (Some(then), Some(now)) = (sent.version.and_then(version), version(env!("CARGO_PKG_VERSION"))) else {
        return Vec::new();
    };
    let mut words = BTreeSet::new();
    gathered(today.pointer("/record/request").unwrap_or(&Value::Null), &mut words);
    for mixture in
        catalogue.mixtures.iter().filter(|mixture| words.contains(mixture.id.as_str())).collect::<Vec<_>>()
    {
        words.extend(mixture.parts.iter().map(String::as_str));
    }
    let all = view::changes().items.iter();
    let concerns = all.filter(|change| {
        version(&change.version).is_some_and(|made| made > then && made <= now)
            && change.questions.iter().any(|known| known == question.name)
            && (change.substances.is_empty()
                || change.substances.iter().any(|id| words.contains(id.as_str())))
    });
    concerns.cloned().collect()
}

/// Every word of a value: ids of liquids stand at many places.
fn gathered<'v>(value: &'v Value, words: &mut BTreeSet<&'v str>) {
    match value {
        Value::String(word) => {
            words.insert(word);
        }
        Value::Array(items) => items.iter().for_each(|item| gathered(item, words)),
        Value::Object(map) => map.values().for_each(|item| gathered(item, words)),
        _ => {}
    }
}

/// What can have moved a figure: published data and rules by their digests, methods and defaults by the change log, too.
fn why(changes: &[Change], differs: &[Differs]) -> Vec<ChangeKind> {
    let listed = |kind| changes.iter().any(|change| change.kind == kind);
    let can_have = |kind: &ChangeKind| match kind {
        ChangeKind::Catalogue => differs.contains(&Differs::Catalogue),
        ChangeKind::Rule => differs.contains(&Differs::Rules),
        ChangeKind::Default => differs.contains(&Differs::Question) || listed(*kind),
        _ => listed(*kind),
    };
    let kinds = [ChangeKind::Catalogue, ChangeKind::Method, ChangeKind::Rule, ChangeKind::Default];
    kinds.into_iter().filter(can_have).collect()
}

fn sentence(
    sent: &Sent<'_>,
    differs: &[Differs],
    found: Option<&Difference>,
    (before, today): (Option<Outcome>, Outcome),
    changes: usize,
) -> String {
    let now = env!("CARGO_PKG_VERSION");
    let outcome = match before {
        Some(before) if before != today => {
            format!("the outcome was {} and is {}", words(before), words(today))
        }
        _ => format!("the outcome today is {}", words(today)),
    };
    let said = match found {
        Some(found) if found.count == 0 => format!("Today's figures are the same; {outcome}."),
        Some(found) => {
            let others = match found.count {
                1 => "1 figure or status is another".to_owned(),
                count => format!("{count} figures and statuses are others"),
            };
            let worse = match found.worse {
                0 => String::new(),
                worse => format!(", {worse} of them a status that got worse"),
            };
            let why = if differs.is_empty() {
                " The versions are today's: the reply was altered, or is of another build."
            } else {
                ""
            };
            format!("{others} today{worse}; {outcome}.{why}")
        }
        None if sent.is_newer() => format!(
            "The record is of version {}, newer than this one ({now}): whether the answer is the same is not known here; {outcome}.",
            sent.version.unwrap_or_default()
        ),
        None if differs.is_empty() => {
            format!("Versions and question are today's, so the answer is the same; {outcome}.")
        }
        None => {
            let listed =
                if changes == 0 { String::new() } else { format!(" ({changes} listed in `changes`)") };
            let parts: Vec<&str> = differs.iter().map(|part| part_in_words(*part)).collect();
            format!(
                "Not known: {} changed since{listed}. Send `reply` to see which figures; {outcome}.",
                parts.join(", ")
            )
        }
    };
    if said.chars().count() <= LONGEST {
        said
    } else {
        said.chars().take(LONGEST - 1).chain(['…']).collect()
    }
}

const fn part_in_words(part: Differs) -> &'static str {
    match part {
        Differs::ServiceVersion => "the version",
        Differs::Catalogue => "the catalogue",
        Differs::Rules => "the rules",
        _ => "the defaults of the question",
    }
}

const fn words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::WithinLimit => "within the limits",
        Outcome::NearLimit => "near a limit",
        Outcome::NotAssessed => "not assessed",
        Outcome::OverLimit => "over a limit",
        _ => "no limit checked",
    }
}
