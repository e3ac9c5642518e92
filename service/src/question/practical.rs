//! `practical`: a whole plan in the order in which it is done. Each step asks the questions that apply to it, with the state that the
//! steps before have left: what is open, what burns, what is hot, what has gathered, where the stock stands.

use super::check::Compared;
use super::draft::{self, Draft};
use super::plan::{Doing, Plan, Step};
use super::reader::Fields;
use super::record::{Group, record};
use super::rules::Rules;
use super::walk::{self, Memo, Walked, Wanted};
use super::{Composed, Scope, flame_colour, plan_lists, plan_picture};
use crate::catalogue::Catalogue;
use crate::catalogue::flame_elements::{Element, Model, Salt};
use crate::quantity::Estimate;
use crate::quantity::round::{four_digits, significant};
use brimline_openapi::{
    Check, Evidence, ExpectedColour, MustBe, Outcome, PlanAlternative, PlanRemedy, PracticalReply, Quantity,
    StepChecked, Text, Verdict,
};

/// The question's name.
pub const NAME: &str = "practical";

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let mut request = Group::default();
    request.word("question", NAME);
    let plan = Plan::read(fields, &scope.rules, scope.draft.catalogue, &mut request)?;
    let memo = Memo::default();
    let walked = walk::walk(&plan, scope, Wanted::Everything, &memo);
    if !walked.faults.is_empty() {
        for fault in walked.faults {
            fields.faults().push(fault);
        }
        return None;
    }
    compose(&plan, walked, scope, request, &memo)
}

fn compose(
    plan: &Plan,
    mut walked: Walked,
    scope: &mut Scope,
    request: Group,
    memo: &Memo,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let scope = &*scope;
    let rules = &scope.rules;
    let (remedies, ended) = super::mend::mend(plan, &mut walked, scope, memo);
    let alternatives = alternatives(plan, &walked, scope, memo);
    let steps = steps(plan, &walked);
    draft.checks = walked.checks.iter().map(|placed| placed.check.clone()).collect();
    for id in &walked.considered {
        draft.consider_text(id.clone());
    }
    let salts = plan_lists::names_a_salt(plan);
    if !plan.salts.is_empty() {
        draft.consider("flame_colour");
    }
    for (id, reason) in &walked.not_considered {
        if id != "flame_colour" {
            draft.not_considered_text(id.clone(), reason.clone());
        } else if !salts {
            // A wick keeps them out.
            if plan.vessels().iter().any(|(vessel, ..)| !vessel.is_wick()) {
                draft.outside("flame_colour", NAME_THE_SALTS);
            }
        } else if plan.salts.is_empty() {
            draft.not_considered("flame_colour", NAME_THE_SALTS);
        }
    }
    if !plan.salts.is_empty() && !plan.has(Doing::Burn) && plan_lists::uses_flammable(plan) {
        draft.not_considered("burning", HOW_IT_IS_COLOURED);
    }
    for (id, text) in &walked.assumptions {
        draft.assume_text(id.clone(), text.clone());
    }
    for (id, text) in &walked.cautions {
        // What is cleared up speaks of salts that the plan does not name.
        if id == "residues" && !salts {
            continue;
        }
        draft.caution_text(id.clone(), text.clone());
    }
    draft.adopt(walked.methods.clone(), walked.sources.clone());
    say(plan, &mut draft, rules);
    coloured(plan, &mut draft);
    if ended {
        draft.assume("search_ended", "The plan has so many checks over their limits that the search for changes ended before each was tried: a check without a change may have one, and the changes named may not be all that are needed, or not the smallest.");
    }
    let deciding = draft.worst().map(|check| check.check.clone());
    let sentence = sentence(plan, walked.place_of_worst(), &remedies, &draft, rules);
    let verdict = Verdict { sentence, outcome: draft.outcome(), complete: draft.complete() };
    let picture = if draft.pictured { plan_picture::picture(plan, &walked, &verdict.sentence) } else { None };
    let record = record(&draft, request).ok()?;
    let reply = PracticalReply {
        verdict: verdict.clone(),
        name: plan.name.clone(),
        governed_by: deciding,
        steps,
        remedies,
        expected_colours: expected_colours(plan, draft.catalogue),
        alternatives,
        set_out_list: plan_lists::set_out(plan),
        clear_up_list: plan_lists::clear_up(plan),
        basis: draft.close(rules, record),
    };
    Some(Composed { picture, ..Composed::of(reply, &verdict) })
}

/// Each step with its checks and a sentence.
fn steps(plan: &Plan, walked: &Walked) -> Vec<StepChecked> {
    plan.steps
        .iter()
        .enumerate()
        .map(|(place, step)| {
            let own = walked.checks.iter().enumerate().filter(|(_, placed)| placed.step == Some(place));
            let numbers: Vec<u32> =
                own.clone().filter_map(|(number, _)| u32::try_from(number).ok()).collect();
            let worst = own.map(|(_, placed)| &placed.check).max_by(|a, b| draft::milder(a, b));
            let number = u32::try_from(place + 1).unwrap_or(u32::MAX);
            let outcome = worst.map_or(Outcome::NoLimitChecked, |check| check.status);
            let words = words(plan, place, step);
            let said = match worst {
                Some(check) if check.status == Outcome::OverLimit => {
                    format!("{words}: over the limit: {}.", walk::in_words(&check.check))
                }
                Some(check) if check.status == Outcome::NearLimit => {
                    format!("{words}: near the limit: {}.", walk::in_words(&check.check))
                }
                Some(check) if check.status == Outcome::NotAssessed => {
                    format!("{words}: not assessed: {}.", walk::in_words(&check.check))
                }
                Some(_) => format!("{words}: within the limits checked."),
                None => match checked_with(plan, walked, place, step) {
                    Some((other, how)) => {
                        format!("{words}: checked with step {}, where it was {how}.", other + 1)
                    }
                    None => format!("{words}."),
                },
            };
            StepChecked {
                step: number,
                doing: step.doing.shown(),
                starts: Quantity::exact(four_digits(walked.starts.get(place).copied().unwrap_or(0.0)), "min"),
                outcome,
                checks: numbers,
                sentence: said,
            }
        })
        .collect()
}

/// A step in words.
fn words(plan: &Plan, place: usize, step: &Step) -> String {
    let liquid = step.liquid.as_ref().map(|poured| draft::named(&poured.liquid));
    let amount = step.amount.map(|amount| format!("{} mL", significant(amount, 4)));
    let what = match (&amount, &liquid) {
        (Some(amount), Some(liquid)) => format!(" {amount} of {liquid}"),
        (Some(one), None) | (None, Some(one)) => format!(" {one}"),
        (None, None) => String::new(),
    };
    let each = || match vessels(plan, place, step) {
        1 => "one vessel".to_owned(),
        count => format!("each of {count} vessels"),
    };
    match (step.doing, amount.is_some()) {
        (Doing::Draw, _) => format!("Draw{what}"),
        (Doing::Pour, _) => format!("Pour{what} into {}", each()),
        (Doing::SetOut, true) => format!("Set out{what} in {}", each()),
        (Doing::SetOut, false) => format!("Set out{what}"),
        (Doing::Heat, true) => format!("Pour{what} into {} and heat it", each()),
        (Doing::Heat, false) => format!("Heat{what}"),
        (Doing::Evaporate, true) => format!("Pour{what} into {} and let it evaporate", each()),
        (Doing::Evaporate, false) => format!("Evaporate{what}"),
        // A burn lights what was poured: an amount of its own pours nothing.
        (Doing::Burn, _) => format!("Burn{}", liquid.map_or_else(String::new, |liquid| format!(" {liquid}"))),
        (Doing::Wait, _) => match step.duration {
            Some(minutes) => format!("Wait {} min", significant(minutes, 4)),
            None => "Wait".to_owned(),
        },
        // All vessels in which it burnt are filled again, however many the step names.
        (Doing::Refill, _) => format!("Fill again{what}, into each vessel"),
        (Doing::Clear, _) => format!("Clear{what}"),
    }
}

/// How many vessels a step means: its own, or as many as the last step with vessels.
fn vessels(plan: &Plan, place: usize, step: &Step) -> u32 {
    let before = || plan.steps.iter().take(place).rev().find_map(|step| step.vessels);
    step.vessels.or_else(|| if step.vessel.is_some() { None } else { before() }).unwrap_or(1)
}

/// The step at which a liquid that stands open was checked: where it was poured, or heated.
fn checked_with(plan: &Plan, walked: &Walked, place: usize, step: &Step) -> Option<(usize, &'static str)> {
    if !matches!(step.doing, Doing::Evaporate | Doing::Heat) {
        return None;
    }
    let same = |other: &Step| {
        let of = |step: &Step| step.liquid.as_ref().map(|poured| poured.liquid.name.clone());
        let liquid = of(step).is_none_or(|name| of(other).is_none_or(|other| other == name));
        let vessel = |vessel| other.vessel.as_ref().is_none_or(|other| other == vessel);
        liquid && step.vessel.as_ref().is_none_or(vessel)
    };
    let of_questions = |number: usize| {
        let own = |placed: &walk::Placed| placed.step == Some(number) && placed.check.question != NAME;
        walked.checks.iter().any(own)
    };
    let before = plan.steps.iter().enumerate().take(place).rev();
    let stood = before.filter(|(_, other)| !matches!(other.doing, Doing::Draw | Doing::Burn | Doing::Clear));
    let (number, other) = stood.filter(|(_, other)| same(other)).find(|(number, _)| of_questions(*number))?;
    Some((number, if other.doing == Doing::Heat { "heated" } else { "poured" }))
}

/// The same plan with a less hazardous liquid.
fn alternatives(plan: &Plan, walked: &Walked, scope: &Scope, memo: &Memo) -> Vec<PlanAlternative> {
    let catalogue = scope.draft.catalogue;
    let mut found: Vec<PlanAlternative> = without_burning(plan);
    for poured in plan.liquids() {
        let Some((id, reason)) =
            poured.liquid.substance().and_then(|substance| substance.alternative.clone())
        else {
            continue;
        };
        let Some(substance) = catalogue.by_id(&id) else { continue };
        if found.iter().any(|known| known.instead_of == poured.liquid.name && known.liquid != WATER) {
            continue;
        }
        let other = plan.with_liquid(&poured.liquid.name, substance);
        let after = walk::walk(&other, scope, Wanted::Checks, memo);
        if !after.faults.is_empty() || after.outcome() > walked.outcome() {
            continue;
        }
        found.push(PlanAlternative {
            instead_of: poured.liquid.name.clone(),
            liquid: substance.name().to_owned(),
            reason: format!("{} {reason}", substance.name()),
            outcome: after.outcome(),
        });
    }
    found
}

/// What a salt is dissolved in where no liquid burns.
pub const WATER: &str = "water";

/// Where salts are to colour a flame beside a liquid that can burn: the way without it, for each liquid.
fn without_burning(plan: &Plan) -> Vec<PlanAlternative> {
    if plan.salts.is_empty() {
        return Vec::new();
    }
    let burns = plan.liquids().into_iter().filter(|poured| poured.liquid.not_flammable().is_none());
    burns
        .map(|poured| PlanAlternative {
            instead_of: poured.liquid.name.clone(),
            liquid: WATER.to_owned(),
            reason: WITHOUT_BURNING.to_owned(),
            outcome: Outcome::NoLimitChecked,
        })
        .collect()
}

/// Why, and how, salts are looked at without liquid that burns.
const WITHOUT_BURNING: &str = "the salts dissolved in water, or as a paste with it where they hardly dissolve, held on a wire in the flame of a gas burner, or sprayed into it as a fine mist: no flammable liquid stands beside a flame; toxic and corrosive salts and those of boron on a wire alone, since a mist is breathed in (common practice, no source); the burner itself is not looked at";

/// Why no colour is told where a salt stands beside.
const NAME_THE_SALTS: &str = "where salts are in it, give `salts`, those whose colours are to be seen: the plan then tells what they show, and first the way without burning liquid, which is less hazardous";

/// Why a plan with salts and a liquid that can burn is not complete where nothing burns.
const HOW_IT_IS_COLOURED: &str =
    "how the salts colour a flame is not in the plan: where the liquid is to burn, say so with a step `burn`";

/// What the salts show.
fn expected_colours(plan: &Plan, catalogue: &'static Catalogue) -> Vec<ExpectedColour> {
    let of = |(element, salt): &(&'static Element, &'static Salt)| ExpectedColour {
        salt: salt.name.clone(),
        element: flame_colour::shown(element),
        words: flame_colour::words(element, Some(salt)).to_owned(),
        brightest: flame_colour::brightest(catalogue, &element.symbol, salt.anion == "chloride")
            .into_iter()
            .map(|place| Quantity::exact(place, "nm"))
            .collect(),
        bands_dominate: element.model == Model::Bands,
        why: element.why.clone(),
    };
    plan.salts.iter().map(of).collect()
}

/// What is said of work with salts.
fn coloured(plan: &Plan, draft: &mut Draft) {
    if plan.salts.is_empty() {
        return;
    }
    flame_colour::work_cautions(draft);
    draft.outside("fumes", "what salts give off in the flame (metal oxides, hydrogen chloride) is not counted in what is breathed: a fume cupboard, or few vessels and a room that is aired");
    if plan.liquids().iter().any(|poured| poured.liquid.not_flammable().is_none()) {
        if plan.salts.iter().any(|(element, _)| element.symbol == "B") {
            draft.caution("borate_ester", "Boric acid and borax form esters with methanol and other alcohols, which boil low and burn with the liquid: they are not mixed beforehand or kept (from memory).");
        }
        draft.caution("clean_vessels", "A dish for each salt, none that was alight before; the salt is in it before the liquid, and the bottle is closed and away before anything is lit (common practice, no source).");
    }
    draft.caution("sodium_hides", "Traces of sodium, which are nearly everywhere, colour any flame yellow and hide weaker colours: a clean wire or dish of its own for each salt (common practice, no source).");
    for (_, salt) in &plan.salts {
        if let Some(caution) = &salt.caution {
            let text = format!("{}: {caution}", salt.name);
            draft.caution_text(Text::Owned(format!("salt_{}", salt.formula)), Text::Owned(text));
        }
    }
}

fn say(plan: &Plan, draft: &mut Draft, rules: &Rules) {
    draft.assume("steps_in_order", "Each step begins when the one before has ended; a step without a duration takes no time, a burn as long as it burns.");
    if plan.ignition.is_none() {
        draft.assume_rule("unknown_ignition_distance", rules);
    }
    if plan.has(Doing::Burn) {
        draft.caution("order_of_a_burn", "Decant first, close and carry the stock away, light last; nothing is poured, drawn or filled again until every flame is proved out and the waiting time is over.");
    }
    if plan.steps.iter().any(|step| step.darkened) {
        draft.caution(
            "light_switch",
            "A helper stands at the light switches while the room is dark (common practice, no source).",
        );
    }
    draft.outside("fitness", "whether the practical shows what it is meant to show is not judged");
}

/// An own check of the plan: one that holds or not.
#[must_use]
pub fn order(id: &'static str, over: bool, text: &'static str, rules: &Rules) -> Check {
    let mut grounds = rules.grounds("open_stock_distance");
    grounds.text = Text::Borrowed(text);
    let compared = Compared {
        check: id,
        question: NAME,
        value: Estimate::exact(f64::from(u8::from(over))),
        limit: 0.0,
        unit: "1",
        must_be: MustBe::AtMost,
        grounds,
        evidence: Evidence::Measured,
    };
    compared.decided()
}

fn sentence(
    plan: &Plan,
    place: Option<usize>,
    remedies: &[PlanRemedy],
    draft: &Draft,
    rules: &Rules,
) -> String {
    let worst = draft.worst();
    let marks = draft::marks(worst);
    let at = place
        .and_then(|place| {
            plan.steps.get(place).map(|step: &Step| format!(" at step {} ({})", place + 1, step.doing.word()))
        })
        .unwrap_or_default();
    let unsaid = if draft.complete() { "" } else { " Not everything was considered." };
    let must = match (draft.outcome(), worst) {
        (Outcome::OverLimit, Some(check)) => {
            let over = format!("Over the limit{at}: {}{marks}.", walk::in_words(&check.check));
            let Some(change) = first(remedies, check) else {
                let how = if check.check == "harmful_mist" {
                    "Hold it on a wire instead."
                } else if without_burning(plan).is_empty() {
                    "No change of the plan that was tried mends it."
                } else {
                    "No change mends it: see `alternatives`."
                };
                return draft::sentence(rules, &format!("{over} {how}"), unsaid, "");
            };
            let whole = draft::sentence(rules, &format!("{over} First: {change}"), unsaid, "");
            // A change is told whole or not at all: what is cut off may be what matters.
            if whole.contains(change) {
                return whole;
            }
            let told = " The first change stands in `remedies`.";
            let whole = draft::sentence(rules, &format!("{over}{told}"), unsaid, "");
            if whole.contains(told) {
                return whole;
            }
            let bare = format!("Over the limit{at}: {}.", walk::in_words(&check.check));
            format!("{bare}{told}")
        }
        (Outcome::NotAssessed, Some(check)) => {
            format!("Not assessed{at}: {}{marks}.", walk::in_words(&check.check))
        }
        (Outcome::NearLimit, Some(check)) => {
            format!("Within the limits checked, nearest{at}: {}{marks}.", walk::in_words(&check.check))
        }
        (Outcome::WithinLimit, Some(_)) => format!("The plan is within the limits checked{marks}."),
        _ => "No limit was checked.".to_owned(),
    };
    let first =
        if without_burning(plan).is_empty() { "" } else { " Less hazardous: the salts in water, on a wire." };
    draft::sentence(rules, &must, unsaid, first)
}

/// The change that is named first: of those told the one that mends what decides, where no change before it moves steps; or the
/// smallest change that mends it alone.
fn first<'a>(remedies: &'a [PlanRemedy], decides: &'a Check) -> Option<&'a str> {
    let moves = |one: &PlanRemedy| {
        matches!(one.remedy.change.as_ref(), "insert" | "remove") || one.remedy.to.starts_with("before ")
    };
    let before = remedies.iter().position(moves).map_or(remedies.len(), |place| place + 1);
    let told = remedies.iter().take(before).find(|one| one.mends.contains(&decides.check));
    // Where it is mended later on, the changes begin with the first one.
    let later = remedies.iter().any(|one| one.mends.contains(&decides.check));
    told.map(|one| &one.remedy)
        .or(decides.remedy.as_ref())
        .or_else(|| remedies.first().filter(|_| later).map(|one| &one.remedy))
        .map(|remedy| remedy.text.as_str())
}
