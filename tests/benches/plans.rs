//! CPU time of whole plans: the 500 random plans of the properties, each asked as it is and once more with its changes made.
//!
//! Seeds may follow the command: then only these plans are asked.

use brimline_service::question::{self, Context, Written};
use brimline_tests::plans;
use rustix::time::{ClockId, clock_gettime};
use serde_json::Value;
use std::time::Duration;

/// As the service has it.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const PLANS: u64 = 500;

/// What this thread has spent on a processor: other work on the machine does not count.
fn spent() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.unsigned_abs(), now.tv_nsec.unsigned_abs().try_into().unwrap_or(0))
}

/// The reply with what it took, where the plan can be done.
fn asked(plan: &Value) -> Option<(Value, Duration)> {
    let start = spent();
    let answer = question::ask("practical", plan, Written::Json, Context { relaxed_rules_allowed: false });
    let took = spent().checked_sub(start)?;
    Some((serde_json::from_slice(&answer.ok()?.json).ok()?, took))
}

/// Prints a distribution and the seeds of the plans that took longest.
fn told(name: &str, mut all: Vec<(Duration, u64)>) {
    all.sort_unstable();
    let at = |share: usize| all[(all.len() - 1) * share / 100].0;
    let longest: Vec<u64> = all.iter().rev().take(6).map(|(_, seed)| *seed).collect();
    println!(
        "{name}: {} plans, median {:?}, 95 % {:?}, 99 % {:?}, longest {:?} (seeds {longest:?})",
        all.len(),
        at(50),
        at(95),
        at(99),
        at(100)
    );
}

fn main() {
    let named: Vec<u64> = std::env::args().filter_map(|argument| argument.parse().ok()).collect();
    let seeds = if named.is_empty() { (0..PLANS).collect() } else { named };
    let (mut with, mut without) = (Vec::new(), Vec::new());
    // The first question reads the catalogue.
    let _ = asked(&plans::random(0));
    for seed in seeds {
        let plan = plans::random(seed);
        let Some((reply, took)) = asked(&plan) else { continue };
        if reply["outcome"] != "over_limit" {
            without.push((took, seed));
            continue;
        }
        with.push((took, seed));
        let mended = plans::mended(&plan, reply["remedies"].as_array().map_or(&[], Vec::as_slice));
        if let Some((again, took)) = asked(&mended)
            && again["outcome"] != "over_limit"
        {
            without.push((took, seed));
        }
    }
    told("with changes", with);
    told("without changes", without);
}
