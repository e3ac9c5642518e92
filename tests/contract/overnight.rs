//! The client's example that asks overnight: interrupted anywhere, it ends as if it had not been.

use crate::server::shared;
use brimline_client::{Client, Retry, Use};
use brimline_tests::plans::Dice;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

#[path = "../../client/examples/overnight.rs"]
#[allow(dead_code, clippy::duplicate_mod, reason = "an example that is run for itself has a main")]
mod example;

use example::{Files, Row, overnight};

fn brimline() -> Client {
    Client::new(&shared().url("")).unwrap()
}

/// A folder of its own, removed with what is in it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("brimline-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        Self(folder)
    }

    fn files(&self, rooms: &Path, name: &str) -> Files {
        let file = |end: &str| self.0.join(format!("{name}.{end}"));
        Files { rooms: rooms.to_owned(), answers: file("ndjson"), summary: file("csv") }
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

const LIQUIDS: [&str; 6] = ["ethanol", "propan-2-ol", "propanone", "heptane", "butan-1-ol", "no such liquid"];

/// Rows of invented schools; one liquid of six is not known.
fn rows(count: u64) -> Vec<Row> {
    let dice = &mut Dice(7);
    let mut pick = |low, high| dice.between(low, high) as f64;
    (0..count)
        .map(|number| Row {
            school: format!("Ottermoor School {}", number % 40),
            room: format!("Lab {}", number % 7),
            volume_m3: pick(120, 260),
            floor_area_m2: (number % 3 > 0).then(|| pick(45, 90)),
            air_changes_per_h: (number % 4 > 0).then(|| pick(1, 6)),
            temperature_cel: Some(pick(170, 280) / 10.0),
            plan: "leaf-pigment chromatography, \"small\" dishes".to_owned(),
            liquid: LIQUIDS[pick(0, 5) as usize].to_owned(),
            used: Use::Open,
            fill_ml: pick(1, 20),
            vessels: pick(1, 8) as u32,
            capacity_ml: 100.0,
            mouth_cm: 5.0,
            duration_min: pick(5, 40),
            nearest_person_m: pick(5, 30) / 10.0,
            nearest_ignition_m: pick(1, 5),
        })
        .collect()
}

fn table(path: &Path, rows: &[Row]) {
    let mut out = csv::Writer::from_path(path).unwrap();
    rows.iter().for_each(|row| out.serialize(row).unwrap());
    out.flush().unwrap();
}

fn same(one: &Files, other: &Files) {
    // Not `assert_eq`: it would print megabytes.
    assert!(fs::read(&one.answers).unwrap() == fs::read(&other.answers).unwrap(), "the answers differ");
    assert!(fs::read(&one.summary).unwrap() == fs::read(&other.summary).unwrap(), "the summaries differ");
}

/// A run that was not interrupted, and its answers.
async fn whole(folder: &Folder, count: usize) -> (Files, String) {
    let rooms = folder.0.join("rooms.csv");
    table(&rooms, &rows(count as u64));
    let whole = folder.files(&rooms, "whole");
    let run = overnight(&brimline(), &whole).await.unwrap();
    assert_eq!((run.found, run.asked, run.schools.len()), (0, count, 40));
    let text = fs::read_to_string(&whole.answers).unwrap();
    assert_eq!(text.lines().count(), count);
    let refused = run.schools.values().filter_map(|outcomes| outcomes.get("refused")).sum::<usize>();
    assert_eq!(refused, text.lines().filter(|line| line.contains(r#""liquid":"no such liquid""#)).count());
    assert!(refused > count / 10 && fs::read_to_string(&whole.summary).unwrap().lines().count() == count + 1);
    (whole, text)
}

/// The same answers, cut so many octets behind a line, and gone on with.
async fn cut(folder: &Folder, (whole, text): &(Files, String), kept: usize, more: impl Fn(usize) -> usize) {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let octets = lines[..kept].concat().len() + more(lines[kept].len());
    let broken = folder.files(&whole.rooms, &format!("cut-{kept}"));
    fs::write(&broken.answers, &text[..text.floor_char_boundary(octets)]).unwrap();
    let run = overnight(&brimline(), &broken).await.unwrap();
    assert_eq!((run.found, run.asked), (kept, lines.len() - kept), "no row is asked twice");
    same(whole, &broken);
}

#[tokio::test]
async fn an_interrupted_run_ends_as_one_that_was_not() {
    let folder = Folder::new("overnight");
    let whole = whole(&folder, 5000).await;
    cut(&folder, &whole, 1700, |length| length / 2).await;
}

#[tokio::test]
async fn wherever_it_is_stopped_it_goes_on() {
    let folder = Folder::new("overnight-stopped");
    let whole = whole(&folder, 400).await;
    cut(&folder, &whole, 0, |_| 1).await;
    cut(&folder, &whole, 300, |_| 0).await;
    cut(&folder, &whole, 399, |length| length - 1).await;
    // Stopped again and again while it runs.
    let stopped = folder.files(&whole.0.rooms, "stopped");
    let (mut stops, mut octets) = (0, Vec::new());
    let run = loop {
        let time = Duration::from_millis(10 * 2_u64.pow(stops));
        match tokio::time::timeout(time, overnight(&brimline(), &stopped)).await {
            Ok(run) => break run.unwrap(),
            Err(_) => stops += 1,
        }
        octets.push(fs::metadata(&stopped.answers).map_or(0, |file| file.len()));
    };
    assert!(stops > 0 && octets.is_sorted(), "{stops} stops, {octets:?}");
    assert_eq!(run.found + run.asked, 400);
    same(&whole.0, &stopped);
    let run = overnight(&brimline(), &stopped).await.unwrap();
    assert_eq!((run.found, run.asked), (400, 0), "nothing is left to ask");
    same(&whole.0, &stopped);
}

#[tokio::test]
async fn answers_to_other_rows_are_not_gone_on_with() {
    let folder = Folder::new("overnight-other");
    let rooms = folder.0.join("rooms.csv");
    let mut some = rows(3);
    table(&rooms, &some);
    let files = folder.files(&rooms, "answers");
    overnight(&brimline(), &files).await.unwrap();
    some[1].fill_ml += 1.0;
    table(&rooms, &some);
    let why = overnight(&brimline(), &files).await.unwrap_err().to_string();
    assert!(why.starts_with("line 2 of ") && why.ends_with("answers another row: use another file"), "{why}");
    // A number that is none is told before anything is asked.
    some[1].fill_ml = f64::NAN;
    table(&rooms, &some);
    let why = overnight(&brimline(), &folder.files(&rooms, "nan")).await.unwrap_err().to_string();
    assert_eq!(why, "NaN mL is no quantity: the number must be finite");
}

#[tokio::test]
async fn a_service_that_is_down_is_told_with_the_row_to_go_on_from() {
    let folder = Folder::new("overnight-down");
    let rooms = folder.0.join("rooms.csv");
    table(&rooms, &rows(2));
    let files = folder.files(&rooms, "answers");
    let down = Client::new("http://127.0.0.1:9").unwrap().retrying(Retry::never());
    let why = overnight(&down, &files).await.unwrap_err().to_string();
    assert!(why.starts_with("row 1: the batch ended after 0 answered or refused lines: "), "{why}");
    assert!(why.ends_with("; run it again to go on from there"), "{why}");
    let run = overnight(&brimline(), &files).await.unwrap();
    assert_eq!((run.found, run.asked), (0, 2));
}

#[tokio::test]
async fn the_table_of_the_example_is_answered() {
    let folder = Folder::new("overnight-usual");
    let rooms = Path::new(env!("CARGO_MANIFEST_DIR")).join("../client/examples/data/ottermoor.csv");
    let run = overnight(&brimline(), &folder.files(&rooms, "usual")).await.unwrap();
    assert_eq!((run.asked, run.schools.len()), (13, 4));
    assert!(run.schools.values().all(|outcomes| !outcomes.contains_key("refused")), "{:?}", run.schools);
}
