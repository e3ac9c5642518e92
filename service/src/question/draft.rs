//! A reply in the making: its checks, what it rests on, what it says.

use super::check::Compared;
use super::method;
use super::rules::Rules;
use crate::catalogue::Catalogue;
use crate::catalogue::substance::{Figure, Substance};
use crate::liquid::{Given, Liquid};
use crate::quantity::Estimate;
use crate::quantity::round::{self, Place};
use brimline_openapi::{
    Assumption, Basis, BasisKind, Caution, Check, Evidence, Grounds, Hazard, Method, MustBe, NotGiven,
    Outcome, Quantity, Record, Seen, Source, Text, Verdict,
};
use std::cmp::Ordering;

/// Longest sentence, characters.
const LONGEST_SENTENCE: usize = 200;

/// A reply in the making.
#[derive(Debug)]
pub struct Draft {
    /// The catalogue that is read.
    pub catalogue: &'static Catalogue,
    /// Whether texts are given.
    pub full: bool,
    /// Whether the whole reply is wanted, with its changes, sentence and record; a plan that asks on its way wants the checks.
    pub whole: bool,
    /// The one check that a plan wants of the question, if it wants no other.
    pub only: Option<Text>,
    /// Whether a picture is made.
    pub pictured: bool,
    /// The checks.
    pub checks: Vec<Check>,
    not_given: Vec<NotGiven>,
    considered: Vec<Text>,
    not_considered: Vec<Hazard>,
    assumptions: Vec<Assumption>,
    methods: Vec<Method>,
    sources: Vec<Source>,
    cautions: Vec<Caution>,
    incomplete: bool,
}

impl Draft {
    /// An empty reply.
    #[must_use]
    pub const fn new(catalogue: &'static Catalogue, full: bool) -> Self {
        Self {
            catalogue,
            full,
            whole: true,
            only: None,
            pictured: false,
            checks: Vec::new(),
            not_given: Vec::new(),
            considered: Vec::new(),
            not_considered: Vec::new(),
            assumptions: Vec::new(),
            methods: Vec::new(),
            sources: Vec::new(),
            cautions: Vec::new(),
            incomplete: false,
        }
    }

    fn text(&self, text: impl Into<Text>) -> Option<Text> {
        self.full.then(|| text.into())
    }

    /// Says an assumption.
    pub fn assume(&mut self, id: &'static str, text: impl Into<Text>) {
        if self.assumptions.iter().all(|known| known.id != id) {
            let text = self.text(text);
            self.assumptions.push(Assumption { id: Text::Borrowed(id), text });
        }
    }

    /// Says that a rule was used.
    pub fn assume_rule(&mut self, name: &'static str, rules: &Rules) {
        if self.full && rules.replaced().any(|(known, ..)| known == name) {
            self.assume(
                name,
                format!("{} Replaced by the request: {}.", rules.text(name), rules.number(name)),
            );
        } else {
            self.assume(name, rules.stated(name));
        }
    }

    /// Names a figure that could not be given.
    pub fn not_given(&mut self, pointer: &'static str, reason: impl Into<Text>) {
        self.incomplete = true;
        self.not_given.push(NotGiven { pointer: Text::Borrowed(pointer), reason: reason.into() });
    }

    /// Names a hazard that was considered.
    pub fn consider(&mut self, id: &'static str) {
        self.considered.push(Text::Borrowed(id));
    }

    /// Names a hazard that was not considered although it may matter: the reply is not complete.
    pub fn not_considered(&mut self, id: &'static str, reason: impl Into<Text>) {
        self.incomplete = true;
        self.outside(id, reason);
    }

    /// Names a hazard that this question does not look at.
    pub fn outside(&mut self, id: &'static str, reason: impl Into<Text>) {
        self.not_considered.push(Hazard { id: Text::Borrowed(id), reason: reason.into() });
    }

    /// Names a hazard that was considered, where the id is not fixed.
    pub fn consider_text(&mut self, id: Text) {
        self.considered.push(id);
    }

    /// Names a hazard that was not considered, where the id is not fixed: the reply is not complete.
    pub fn not_considered_text(&mut self, id: Text, reason: Text) {
        self.incomplete = true;
        self.not_considered.push(Hazard { id, reason });
    }

    /// Says an assumption, where the id is not fixed.
    pub fn assume_text(&mut self, id: Text, text: Text) {
        let text = self.text(text);
        self.assumptions.push(Assumption { id, text });
    }

    /// Says a caution, where the id is not fixed.
    pub fn caution_text(&mut self, id: Text, text: Text) {
        let text = self.text(text);
        self.cautions.push(Caution { id, text });
    }

    /// Takes over what other questions rest on.
    pub fn adopt(&mut self, methods: Vec<Method>, sources: Vec<Source>) {
        self.methods.extend(methods);
        self.sources.extend(sources);
    }

    /// Names an equation that was used.
    pub fn method(&mut self, id: &'static str) {
        if self.methods.iter().any(|known| known.id == id) {
            return;
        }
        let known = method::METHODS.iter().find(|method| self.full && method.id == id);
        let text = |part: fn(&method::Known) -> &'static str| known.map(|m| Text::Borrowed(part(m)));
        self.methods.push(Method {
            id: Text::Borrowed(id),
            equation: text(|method| method.equation),
            valid_range: text(|method| method.valid_range),
            source: text(|method| method.source),
        });
    }

    /// Names the source of a datum.
    pub fn source(&mut self, key: &'static str, datum: &'static str, seen: Seen) {
        if let Some(known) = self.sources.iter_mut().find(|known| known.id == key) {
            if known.data.iter().all(|name| name != datum) {
                known.data.push(Text::Borrowed(datum));
            }
            known.seen = known.seen.max(seen);
            return;
        }
        let source = if self.full { self.catalogue.sources.get(key) } else { None };
        let title = source.map(|source| Text::Borrowed(source.title.as_str()));
        self.sources.push(Source { id: Text::Borrowed(key), data: vec![Text::Borrowed(datum)], title, seen });
    }

    /// Names the source of a figure of a substance.
    pub fn figure<Q>(&mut self, figure: &'static Figure<Q>, datum: &'static str) {
        self.source(&figure.source, datum, figure.seen);
    }

    /// Names the source of the vapour-pressure set that answered.
    pub fn set(&mut self, substance: &'static Substance, set: &str) {
        if let Some(equation) = substance.file.vapour_pressure.iter().find(|equation| equation.set == set) {
            let seen = crate::catalogue::source::seen(&equation.seen).unwrap_or(Seen::Memory);
            self.source(&equation.source, "vapour_pressure", seen);
        }
    }

    /// Names the sources that every figure of a liquid needs.
    pub fn molar_mass(&mut self, liquid: &Liquid) {
        for substance in liquid.substances() {
            if let Some(key) = &substance.file.molar_mass.source {
                self.source(key, "molar_mass", Seen::Memory);
            }
        }
    }

    /// Names the source of a figure of each part that has it; tells whether one is an estimate.
    pub fn figures<Q: 'static>(
        &mut self,
        liquid: &Liquid,
        datum: &'static str,
        figure: impl Fn(&'static Substance) -> Option<&'static Figure<Q>>,
    ) -> bool {
        let mut estimated = false;
        for figure in liquid.substances().filter_map(figure) {
            self.figure(figure, datum);
            estimated |= figure.estimated;
        }
        estimated
    }

    /// Says what every figure of a mixture rests on.
    fn mixture(&mut self, liquid: &Liquid) {
        if liquid.substance().is_some() {
            return;
        }
        self.assume(
            "measured_apart",
            "Volumes of the parts are those measured apart at 20 Cel, before mixing.",
        );
        for substance in liquid.burns_without_flash_point() {
            self.caution(
                "part_can_burn",
                format!(
                    "{} counts as if it did not burn, although its vapour can: no flash point is published.",
                    substance.name()
                ),
            );
        }
        for (given, _) in &liquid.given {
            let Given::Mixture(mixture) = given else { continue };
            let sold = if mixture.shares.len() > 1 {
                "; each figure spans the compositions in which it is sold, and the less favourable end decides"
            } else {
                ""
            };
            self.assume("named_mixture", format!("{} is taken as: {}{sold}.", mixture.name, mixture.source));
            if mixture.seen == "memory" {
                self.source("memory", "composition", Seen::Memory);
            }
        }
    }

    /// Says a caution.
    pub fn caution(&mut self, id: &'static str, text: impl Into<Text>) {
        if self.cautions.iter().all(|known| known.id != id) {
            let text = self.text(text);
            self.cautions.push(Caution { id: Text::Borrowed(id), text });
        }
    }

    /// The worst status of the checks.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        self.checks.iter().map(|check| check.status).max().unwrap_or(Outcome::NoLimitChecked)
    }

    /// The check that decides: the worst status, of several the highest ratio.
    #[must_use]
    pub fn worst(&self) -> Option<&Check> {
        self.checks.iter().max_by(|a, b| milder(a, b))
    }

    /// Whether every figure was given, every limit considered and every check made.
    #[must_use]
    pub fn complete(&self) -> bool {
        !self.incomplete && self.checks.iter().all(|check| check.status != Outcome::NotAssessed)
    }

    /// What a sentence says where nothing is over its limit but not everything was looked at.
    #[must_use]
    pub fn unconsidered(&self) -> &'static str {
        let passes = matches!(self.outcome(), Outcome::WithinLimit | Outcome::NearLimit);
        if passes && !self.complete() { " Not everything was considered." } else { "" }
    }

    /// The verdict with its sentence. A substance that is not for use in a school is over a limit of its own, whatever the
    /// amounts: then no change is proposed, and the sentence says that alone.
    pub fn verdict(
        &mut self,
        question: &'static str,
        liquid: &Liquid,
        rules: &Rules,
        sentence: impl FnOnce(&Self) -> String,
    ) -> Verdict {
        let Some((substance, reason)) = liquid.not_for_school_use() else {
            return self.bare_verdict(sentence);
        };
        for check in &mut self.checks {
            check.remedy = None;
        }
        self.checks.insert(0, not_for_school_use(question, substance, reason));
        let said = format!("Over the limit: {} is not for school use: {reason}.", substance.name());
        Verdict {
            sentence: self::sentence(rules, &said, "", ""),
            outcome: self.outcome(),
            complete: self.complete(),
        }
    }

    /// The verdict where no liquid is asked about.
    #[must_use]
    pub fn bare_verdict(&self, sentence: impl FnOnce(&Self) -> String) -> Verdict {
        // A plan says its own.
        let sentence = if self.whole { sentence(self) } else { String::new() };
        Verdict { sentence, outcome: self.outcome(), complete: self.complete() }
    }

    /// The reply's foundation, with the cautions of the liquid and, last, the deferral.
    #[must_use]
    pub fn finish(mut self, liquid: &Liquid, rules: &Rules, record: Record) -> Basis {
        self.cautions_of(liquid);
        self.close(rules, record)
    }

    /// The cautions of a liquid and what a mixture rests on.
    pub fn cautions_of(&mut self, liquid: &Liquid) {
        let pure = liquid.substance().is_some();
        for substance in liquid.substances() {
            for caution in &substance.cautions {
                if pure {
                    self.caution(&caution.id, caution.text.as_str());
                } else {
                    // The same caution of two parts is two cautions: each names its part.
                    let text =
                        self.full.then(|| Text::Owned(format!("{}: {}", substance.name(), caution.text)));
                    let id = Text::Owned(format!("{}_{}", caution.id, substance.id));
                    self.cautions.push(Caution { id, text });
                }
            }
        }
        self.mixture(liquid);
    }

    /// The reply's foundation with, last, the deferral.
    #[must_use]
    pub fn close(mut self, rules: &Rules, record: Record) -> Basis {
        let mut replaced = Vec::new();
        for (name, number, unit) in rules.replaced() {
            self.assume_rule(name, rules);
            replaced.push(format!("{name} {number} {unit}"));
        }
        if !replaced.is_empty() {
            self.caution(
                "replaced_rules",
                format!("The request replaced rules of the service: {}.", replaced.join(", ")),
            );
        }
        if let Some((role, reason)) = rules.relaxed() {
            self.caution("relaxed_rules", format!("A rule was made laxer, by: {role}; reason: {reason}."));
        }
        self.caution("skin_eyes_inhalation", "Keep the liquid off skin and eyes, keep the vapour out of breath, keep sources of ignition away; have the means to put out a fire at hand.");
        self.caution("defer", "Local codes, the supplier's data sheet and a competent person decide; these figures do not replace them.");
        Basis {
            checks: self.checks,
            not_given: self.not_given,
            considered: self.considered,
            not_considered: self.not_considered,
            assumptions: self.assumptions,
            methods: self.methods,
            sources: self.sources,
            cautions: self.cautions,
            record,
        }
    }
}

/// The check of a substance that is not for use in a school: over its limit, whatever the amounts.
#[must_use]
pub fn not_for_school_use(question: &'static str, substance: &Substance, reason: &str) -> Check {
    let compared = Compared {
        check: "not_for_school_use",
        question,
        value: Estimate::exact(1.0),
        limit: 0.0,
        unit: "1",
        must_be: MustBe::AtMost,
        grounds: Grounds {
            kind: BasisKind::Judgement,
            text: Text::Owned(format!("{} is not for school use: {reason}.", substance.name())),
            source: None,
            confirmed: false,
        },
        evidence: Evidence::Measured,
    };
    Check { reason: Some(reason.to_owned()), ..compared.decided() }
}

/// Orders checks, the one that decides last: by status, then by ratio. Over the limit without a ratio is over by any factor.
#[must_use]
pub fn milder(a: &Check, b: &Check) -> Ordering {
    let none = |check: &Check| if check.status == Outcome::OverLimit { f64::INFINITY } else { 0.0 };
    let ratio = |check: &Check| check.ratio.unwrap_or_else(|| none(check));
    a.status.cmp(&b.status).then(ratio(a).total_cmp(&ratio(b)))
}

/// An estimate as a quantity: value to 4 digits, ends outwards.
#[must_use]
pub fn estimate(figure: Estimate<f64>, unit: &'static str) -> Quantity {
    placed(figure, unit, Place::FourDigits)
}

/// An estimate of a temperature or difference as a quantity: to tenths.
#[must_use]
pub fn tenths(figure: Estimate<f64>, unit: &'static str) -> Quantity {
    placed(figure, unit, Place::Tenths)
}

fn placed(figure: Estimate<f64>, unit: &'static str, place: Place) -> Quantity {
    let (value, low, high) = round::estimate(figure.value, figure.low, figure.high, place);
    Quantity { value, unit: Text::Borrowed(unit), low: Some(low), high: Some(high) }
}

/// The name of a liquid as a sentence has room for it.
#[must_use]
pub fn named(liquid: &Liquid) -> String {
    const LONGEST: usize = 40;
    if liquid.name.chars().count() <= LONGEST {
        return liquid.name.clone();
    }
    let first = liquid.given.first().map_or("", |(given, _)| given.name());
    let short: String = first.chars().take(LONGEST).collect();
    match liquid.given.len() {
        0 | 1 => short,
        parts => format!("{short} and {} more", parts - 1),
    }
}

/// A range in words: the ends, rounded outwards, and not a middle that nobody may rely on.
#[must_use]
pub fn between(range: Estimate<f64>, unit: &str) -> String {
    let (low, high) = (round::cautious_down(range.low), round::cautious_up(range.high));
    if low.to_bits() == high.to_bits() { format!("{high} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// A sentence of at most 200 characters: the first part always, with its marks; the second where it still fits.
#[must_use]
pub fn sentence(rules: &Rules, must: &str, marks: &str, may: &str) -> String {
    let start = if rules.relaxed().is_some() {
        "With relaxed limits: "
    } else if rules.replaced().next().is_some() {
        "With stricter rules: "
    } else {
        ""
    };
    let short = format!("{start}{must}{marks}");
    let whole = format!("{start}{must}{may}{marks}");
    let fitting = if whole.chars().count() <= LONGEST_SENTENCE { whole } else { short };
    if fitting.chars().count() <= LONGEST_SENTENCE {
        return fitting;
    }
    // What must be said at the end is not what is cut off.
    let marked = marks.chars().count();
    let kept: String =
        format!("{start}{must}").chars().take((LONGEST_SENTENCE - 1).saturating_sub(marked)).collect();
    // Between two words.
    let kept = kept.rsplit_once(' ').map_or(kept.as_str(), |(whole, _)| whole);
    format!("{kept} …{marks}")
}

/// What a sentence must say of what decided: unconfirmed limits, estimates, extrapolations.
#[must_use]
pub fn marks(check: Option<&Check>) -> String {
    marks_of(check.as_slice())
}

/// The same of several checks at once.
#[must_use]
pub fn marks_of(checks: &[&Check]) -> String {
    let mut marks = Vec::new();
    if checks.iter().any(|check| !check.basis.confirmed) {
        marks.push("limit unconfirmed");
    }
    let rests_on = |evidence| checks.iter().any(|check| check.evidence == evidence);
    if rests_on(Evidence::Estimated) {
        marks.push("value estimated");
    }
    if rests_on(Evidence::Extrapolated) {
        marks.push("value extrapolated");
    }
    if marks.is_empty() { String::new() } else { format!(" ({})", marks.join(", ")) }
}
