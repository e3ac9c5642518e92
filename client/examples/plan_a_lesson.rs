//! A lesson in one call: three fuels are compared in lab S3 of Ottermoor High. The plan is asked once; the reply judges every
//! step, says what mends it, and lists what to set out and clear up. Then the changes are made and it is asked again.
//!
//! Asked one by one it would take a dozen calls: for each of the three liquids `storage` (what stands beside it), `spill` (its
//! stock bottle dropped), `safe-fill` (its dishes, with what is breathed near them) and `burning`; and then what no single
//! question knows: whether anything is poured after a flame, whether a hot dish is handled, and the sums of all steps.
//!
//! `cargo run -p brimline-client --example plan_a_lesson [-- http://127.0.0.1:8080]`: without an address it starts the program
//! `brimline` from the same build and stops it again.

mod service;

use brimline_client::{
    BurningVessel, Client, Doing, Error, Outcome, PlanIgnition, PlanRemedy, PlanStep, PlanStock, Practical,
    PracticalReply, Room,
};
use serde_json::{Value, json};
use service::Service;
use std::collections::BTreeMap;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let service = Service::found()?;
    let answered = lesson(&service.address).await;
    service.stop()?;
    answered.map(|_| ())
}

/// What came of the lesson.
pub struct Lesson {
    /// How many single questions the first call answered.
    pub questions: usize,
    /// The reply to the plan as it was written.
    pub before: PracticalReply,
    /// The reply to the plan with its changes made.
    pub after: Option<PracticalReply>,
}

/// Asks about the lesson and prints what a teacher and a technician need of it.
pub async fn lesson(address: &str) -> Result<Lesson, Box<dyn std::error::Error>> {
    let brimline = Client::new(address)?;
    let plan = plan();
    let before = brimline.practical(&plan).await?;
    show(&before);
    let answered = answered(&before);
    let questions = answered.values().sum();
    println!("\nOne call answered {questions} questions:");
    for ((step, question), times) in &answered {
        println!("  step {step}: {question}, {times} x");
    }
    let after = match mended(&plan, &before.remedies)? {
        Some(mended) => Some(changed(&brimline, &mended).await?),
        None => None,
    };
    Ok(Lesson { questions, before, after })
}

async fn changed(brimline: &Client, plan: &Practical) -> Result<PracticalReply, Error> {
    let reply = brimline.practical(plan).await?;
    println!("\nWith these changes: {}", reply.verdict.sentence);
    Ok(reply)
}

/// 4 mL of each fuel burn in two dishes, one fuel after the other. Two things are not as they should be: the stock of ethanol
/// stands too near, and the last dishes are cleared away after 5 min.
fn plan() -> Practical {
    const FUELS: [(&str, &str, &str, &str); 3] = [
        ("ethanol", "80 mL", "2 m", "20 min"),
        ("propan-2-ol", "90 mL", "6 m", "20 min"),
        ("butan-1-ol", "100 mL", "6 m", "5 min"),
    ];
    let mut steps: Vec<PlanStep> =
        FUELS.iter().map(|(fuel, ..)| PlanStep::of(Doing::Draw).liquid(*fuel, "8 mL")).collect();
    for (place, (fuel, capacity, _, wait)) in FUELS.iter().enumerate() {
        let dish = BurningVessel::of(*capacity, "7 cm").made_of("porcelain");
        let pour = PlanStep::of(Doing::Pour).liquid(*fuel, "4 mL").vessels(2, dish);
        steps.push(if place == 0 { pour } else { pour.with_all_flames_out() });
        steps.push(PlanStep::of(Doing::Burn));
        steps.push(PlanStep::of(Doing::Wait).lasting(*wait));
    }
    steps.push(PlanStep::of(Doing::Clear).with_all_flames_out());
    let lab = Room::of("190 m3")
        .temperature("21 Cel")
        .pressure("100.8 kPa")
        .air_changes("3 /h")
        .floor_area("70 m2");
    let stock = |(fuel, _, distance, _): &(&str, &str, &str, &str)| PlanStock {
        liquid: (*fuel).into(),
        container: "250 mL".to_owned(),
        distance: (*distance).to_owned(),
        open: None,
        returned: None,
    };
    Practical {
        name: Some("Comparing alcohol burners, lab S3".to_owned()),
        stock: Some(FUELS.iter().map(stock).collect()),
        ignition: Some(vec![PlanIgnition {
            kind: "gas tap".to_owned(),
            distance: "4 m".to_owned(),
            lit: Some(false),
        }]),
        mat: Some(true),
        beside: Some(vec!["copper chloride".into()]),
        clear_height: Some("2 m".to_owned()),
        ..Practical::of(lab, "3 m", steps)
    }
}

fn show(reply: &PracticalReply) {
    println!("{}", reply.verdict.sentence);
    println!(
        "{:?}, governed by {}",
        reply.verdict.outcome,
        reply.governed_by.as_deref().unwrap_or("nothing")
    );
    for step in &reply.steps {
        println!("  {}. {}", step.step, step.sentence);
    }
    println!("\nOver a limit:");
    for check in reply.basis.checks.iter().filter(|check| check.status == Outcome::OverLimit) {
        let remedy = check.remedy.as_ref().map_or("no single change mends it", |remedy| remedy.text.as_str());
        println!("  {} ({}): {remedy}", check.check, check.question);
    }
    println!("\nChanges that bring the plan within its limits, in their order:");
    for change in &reply.remedies {
        println!("  {} [{} = {}]", change.remedy.text, change.remedy.field, change.remedy.to);
        for also in &change.also {
            println!("    with it [{} = {}]", also.field, also.to);
        }
    }
    for (title, lines) in [("Set out", &reply.set_out_list), ("Clear up", &reply.clear_up_list)] {
        println!("\n{title}:");
        for line in lines {
            println!("  {line}");
        }
    }
}

/// How often each question was asked for each step, by the checks of the reply: a check that stands there twice is of two calls.
/// What the plan checks by itself is no call that could have been made alone.
fn answered(reply: &PracticalReply) -> BTreeMap<(u32, String), usize> {
    let mut calls = BTreeMap::new();
    for step in &reply.steps {
        let mut times: BTreeMap<(&str, &str), usize> = BTreeMap::new();
        let places = step.checks.iter().filter_map(|place| usize::try_from(*place).ok());
        for check in places.filter_map(|place| reply.basis.checks.get(place)) {
            if check.question != "practical" {
                *times.entry((check.question.as_ref(), check.check.as_ref())).or_default() += 1;
            }
        }
        for ((question, _), times) in times {
            let most = calls.entry((step.step, question.to_owned())).or_default();
            *most = times.max(*most);
        }
    }
    calls
}

/// The plan with its changes made, in their order; none where a change moves, adds, removes or states something, which is left to a person.
fn mended(plan: &Practical, remedies: &[PlanRemedy]) -> Result<Option<Practical>, serde_json::Error> {
    let mut plan = serde_json::to_value(plan)?;
    for change in remedies {
        let moves = change.remedy.to.starts_with("before ");
        if moves || matches!(change.remedy.change.as_ref(), "insert" | "remove" | "state") {
            return Ok(None);
        }
        set(&mut plan, &change.remedy.field, &change.remedy.to);
        for also in &change.also {
            set(&mut plan, &also.field, &also.to);
        }
    }
    serde_json::from_value(plan).map(Some)
}

/// Sets the field that a pointer leads to: a switch or a number as such, a quantity as text.
fn set(plan: &mut Value, pointer: &str, to: &str) {
    let value = serde_json::from_str(to).unwrap_or_else(|_| json!(to));
    if let Some((parent, name)) = pointer.rsplit_once('/')
        && let Some(Value::Object(fields)) = plan.pointer_mut(parent)
    {
        fields.insert(name.to_owned(), value);
    }
}
