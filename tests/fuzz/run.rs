//! Runs a target for some time: what was kept first, then new inputs; a failure is made small and kept.

use proptest::strategy::Strategy;
use proptest::test_runner::{Config, RngSeed, TestCaseError, TestError, TestRunner};
use sha2::{Digest as _, Sha256};
use std::cell::RefCell;
use std::fs;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Longest time that an input may take: far above any that was seen, on a machine that does other things too.
const HANG: Duration = Duration::from_secs(120);

/// Longest time that is put up with; the slowest that was seen takes a sixtieth.
const SLOW: Duration = Duration::from_secs(30);

/// What became of an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    Answered,
    Refused,
    /// Not even enough for a refusal.
    Nothing,
}

/// The input that is tried, and since when.
type Watched = Arc<Mutex<Option<(Instant, Vec<u8>)>>>;

#[derive(Debug, Default)]
struct Counts {
    answered: u64,
    refused: u64,
    nothing: u64,
    slowest: (Duration, String),
}

fn kept(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fuzz/kept").join(name)
}

fn keep(name: &str, input: &[u8]) -> PathBuf {
    let digest: String = Sha256::digest(input).iter().take(6).map(|byte| format!("{byte:02x}")).collect();
    let file = kept(name).join(digest);
    fs::create_dir_all(kept(name)).unwrap();
    fs::write(&file, input).unwrap();
    file
}

fn shown(input: &[u8]) -> String {
    String::from_utf8_lossy(input).chars().take(600).collect()
}

/// Seconds of each target.
fn time() -> Duration {
    let seconds = std::env::var("BRIMLINE_FUZZ_SECONDS").ok().and_then(|text| text.parse().ok());
    Duration::from_secs(seconds.unwrap_or(2))
}

/// Checks what was kept, then inputs of a strategy until the time is over.
pub fn run(
    name: &str,
    inputs: impl Strategy<Value = Vec<u8>>,
    check: impl Fn(&[u8]) -> Result<Seen, String>,
) {
    let watched: Watched = Arc::default();
    watch(name.to_owned(), Arc::clone(&watched));
    let counts = RefCell::new(Counts::default());
    let timed = |input: &[u8]| {
        let start = Instant::now();
        *watched.lock().unwrap() = Some((start, input.to_vec()));
        let seen = check(input);
        *watched.lock().unwrap() = None;
        let seen = match start.elapsed() {
            long if long > SLOW => Err(format!("it took {long:?}")),
            _ => seen,
        };
        let mut counts = counts.borrow_mut();
        match seen {
            Ok(Seen::Answered) => counts.answered += 1,
            Ok(Seen::Refused) => counts.refused += 1,
            _ => counts.nothing += 1,
        }
        if start.elapsed() > counts.slowest.0 {
            counts.slowest = (start.elapsed(), shown(input));
        }
        seen
    };
    for file in fs::read_dir(kept(name)).into_iter().flatten().flatten() {
        let input = fs::read(file.path()).unwrap();
        timed(&input).unwrap_or_else(|why| panic!("{}: {why}", file.path().display()));
    }
    let until = Instant::now() + time();
    let config = Config {
        cases: 64,
        failure_persistence: None,
        rng_seed: RngSeed::Random,
        max_shrink_iters: 4000,
        ..Config::default()
    };
    while Instant::now() < until {
        // A runner counts its cases over all its runs.
        let ran = TestRunner::new(config.clone()).run(&inputs, |input| match Instant::now() < until {
            true => timed(&input).map(drop).map_err(TestCaseError::fail),
            false => Ok(()),
        });
        if let Err(TestError::Fail(why, input)) = ran {
            let file = keep(name, &input);
            panic!("{name}: {why}\nkept as {}: {}", file.display(), shown(&input));
        }
    }
    let Counts { answered, refused, nothing, slowest: (longest, input) } = counts.into_inner();
    println!("{name}: {answered} answered, {refused} refused, {nothing} without a reply");
    println!("{name}: longest {longest:?}: {input}");
    assert!(answered > 0 && refused > 0, "{name}: {answered} answered, {refused} refused: nothing was tried");
}

/// Ends the process where one input takes for ever; it is kept.
fn watch(name: String, watched: Watched) {
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_secs(1));
            let now = watched.lock().map(|now| now.clone()).unwrap_or_default();
            if let Some((_, input)) = now.filter(|(start, _)| start.elapsed() > HANG) {
                eprintln!("{name}: no answer within {HANG:?}, kept as {}", keep(&name, &input).display());
                std::process::exit(101);
            }
        }
    });
}
