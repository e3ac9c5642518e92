//! The client's examples against the real service.

use crate::server::shared;
use brimline_client::Outcome;

#[path = "../../client/examples/compare_liquids.rs"]
#[allow(dead_code, clippy::duplicate_mod, reason = "as an example it starts a service of its own")]
mod compare_liquids;

#[path = "../../client/examples/plan_a_lesson.rs"]
#[allow(dead_code, clippy::duplicate_mod, reason = "as an example it starts a service of its own")]
mod plan_a_lesson;

#[tokio::test]
async fn a_lesson_is_planned_in_one_call_where_it_would_take_a_dozen() {
    let lesson = plan_a_lesson::lesson(&shared().url("")).await.unwrap();
    // Of each of the three liquids: storage, spill of its stock, fill of its dishes, burning.
    assert_eq!(lesson.questions, 12);
    assert_eq!(lesson.before.verdict.outcome, Outcome::OverLimit);
    assert!(!lesson.before.remedies.is_empty());
    assert!(!lesson.before.set_out_list.is_empty() && !lesson.before.clear_up_list.is_empty());
    let after = lesson.after.unwrap().verdict.outcome;
    assert!(matches!(after, Outcome::NearLimit | Outcome::WithinLimit), "{after:?}");
}

#[tokio::test]
async fn five_liquids_are_compared_for_a_lab() {
    let compared = compare_liquids::compared(&shared().url("")).await.unwrap();
    assert_eq!(compared.rows.len(), 5);
    // IEC 60079-20-1: heptane flashes at -7 Cel, propanone below -20 Cel; alcohol with water later than alcohol.
    let least = compared.order.first().unwrap();
    assert!(least.liquids.iter().any(|name| name.contains("water")), "{:?}", compared.order);
    let last: Vec<&[String]> = compared.order.iter().rev().take(2).map(|step| &*step.liquids).collect();
    assert_eq!(last, [["propanone"], ["heptane"]]);
    assert_eq!(compared.order.iter().map(|step| step.liquids.len()).sum::<usize>(), 5);
}
