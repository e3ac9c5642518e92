//! The rooms and plans of the Ottermoor Schools Group, checked overnight: one `safe-fill` for each row of a table, in batches.
//!
//! `cargo run -p brimline-client --example overnight [-- http://127.0.0.1:8080 [ROOMS.csv ANSWERS.ndjson SUMMARY.csv]]`: without an
//! address it starts the program `brimline` from the same build and stops it again; without files it reads `data/ottermoor.csv` and
//! writes below `target/`.
//!
//! Each answer is written as it comes, as a line of its own with the row that was asked. Interrupted, it goes on where it stopped: a
//! row whose answer stands whole in the file is not asked again, and half a line at its end is written anew.

mod service;

use brimline_client::batch::{Line, Told};
use brimline_client::quantities::{AirChanges, Area, Length, Temperature, Time, Volume};
use brimline_client::{Client, Error, Outcome, Problem, Retry, Room, SafeFill, Use, Vessel};
use indicatif::ProgressBar;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use service::Service;
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::{BufRead as _, BufReader, BufWriter, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

type Failed = Box<dyn std::error::Error + Send + Sync>;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Failed> {
    let mut given = std::env::args_os().skip(2).map(PathBuf::from);
    let files = match (given.next(), given.next(), given.next()) {
        (Some(rooms), Some(answers), Some(summary)) => Files { rooms, answers, summary },
        (None, ..) => Files::usual()?,
        _ => return Err("name three files: ROOMS.csv ANSWERS.ndjson SUMMARY.csv".into()),
    };
    let service = Service::found().map_err(|why| why.to_string())?;
    // Nobody waits for it: a service that restarts or is busy is borne for some minutes.
    let retry = Retry { tries: 12, longest_pause: Duration::from_secs(60), ..Retry::default() };
    let run = overnight(&Client::new(&service.address)?.retrying(retry), &files).await;
    service.stop()?;
    let run = run?;
    println!("{} rows: {} were answered before, {} now", run.found + run.asked, run.found, run.asked);
    for (school, outcomes) in &run.schools {
        let told: Vec<String> =
            outcomes.iter().map(|(outcome, count)| format!("{count} {outcome}")).collect();
        println!("{school}: {}", told.join(", "));
    }
    println!("{} and {} hold the rest", files.answers.display(), files.summary.display());
    Ok(())
}

/// What is read, and what is written.
pub struct Files {
    /// The rooms and plans, CSV.
    pub rooms: PathBuf,
    /// The answers, NDJSON.
    pub answers: PathBuf,
    /// What came of each row, CSV.
    pub summary: PathBuf,
}

impl Files {
    fn usual() -> std::io::Result<Self> {
        let target = Path::new("target");
        std::fs::create_dir_all(target)?;
        Ok(Self {
            rooms: Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/data/ottermoor.csv"),
            answers: target.join("overnight.ndjson"),
            summary: target.join("overnight.csv"),
        })
    }
}

/// What came of a run.
#[derive(Debug)]
pub struct Run {
    /// Rows whose answers stood in the file.
    pub found: usize,
    /// Rows that were asked.
    pub asked: usize,
    /// How often each outcome came, by school.
    pub schools: BTreeMap<String, BTreeMap<String, usize>>,
}

/// A row of the table: a plan for a room. An empty cell is not known and is taken on the cautious side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// The school.
    pub school: String,
    /// Its room.
    pub room: String,
    /// Volume of the room, walls to walls.
    pub volume_m3: f64,
    /// Its floor.
    pub floor_area_m2: Option<f64>,
    /// Its air changes.
    pub air_changes_per_h: Option<f64>,
    /// Its temperature.
    pub temperature_cel: Option<f64>,
    /// What is done there.
    pub plan: String,
    /// The liquid, as the service knows it.
    pub liquid: String,
    /// Open, heated or burnt.
    #[serde(rename = "use")]
    pub used: Use,
    /// Fill of each vessel.
    pub fill_ml: f64,
    /// How many vessels are out at once.
    pub vessels: u32,
    /// What one holds when brim-full.
    pub capacity_ml: f64,
    /// How wide its mouth is.
    pub mouth_cm: f64,
    /// How long they stand open.
    pub duration_min: f64,
    /// Distance of the nearest person.
    pub nearest_person_m: f64,
    /// Distance of the nearest ignition source.
    pub nearest_ignition_m: f64,
}

impl Row {
    fn request(&self) -> Result<SafeFill, Error> {
        let mut room = Room::of(Volume::cubic_metres(self.volume_m3)?);
        if let Some(area) = self.floor_area_m2 {
            room = room.floor_area(Area::square_metres(area)?);
        }
        if let Some(air_changes) = self.air_changes_per_h {
            room = room.air_changes(AirChanges::per_hour(air_changes)?);
        }
        if let Some(temperature) = self.temperature_cel {
            room = room.temperature(Temperature::celsius(temperature)?);
        }
        let vessel = Vessel::of(Volume::millilitres(self.capacity_ml)?, Length::centimetres(self.mouth_cm)?);
        Ok(SafeFill::of(self.liquid.as_str(), room, self.vessels, vessel, self.used)
            .filled(Volume::millilitres(self.fill_ml)?)
            .lasting(Time::minutes(self.duration_min)?)
            .nearest_person(Length::metres(self.nearest_person_m)?)
            .nearest_ignition(Length::metres(self.nearest_ignition_m)?))
    }
}

/// A line of the answers: the row that was asked, and what was told.
#[derive(Debug, Serialize, Deserialize)]
struct Answered {
    row: usize,
    asked: Row,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    answer: Option<Box<RawValue>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    problem: Option<Box<Problem>>,
}

/// Asks every row that has no answer yet, and writes the summary.
pub async fn overnight(brimline: &Client, files: &Files) -> Result<Run, Failed> {
    let rows = csv::Reader::from_path(&files.rooms)?.into_deserialize().collect::<Result<Vec<Row>, _>>()?;
    let found = answered_before(&files.answers, &rows)?;
    let lines = rows.iter().enumerate().skip(found).map(|(place, row)| Line::of(place + 1, &row.request()?));
    let lines = lines.collect::<Result<Vec<Line>, Error>>()?;
    let mut answers = brimline.batch(lines);
    let mut out = BufWriter::new(OpenOptions::new().create(true).append(true).open(&files.answers)?);
    // It draws nothing where standard error is no terminal.
    let bar = ProgressBar::new(rows.len() as u64).with_position(found as u64);
    let mut asked = 0;
    for (place, row) in rows.iter().enumerate().skip(found) {
        let told = match answers.next().await {
            Some(Ok(told)) => written(&mut out, place + 1, row, told),
            Some(Err(why)) => Err(why.into()),
            None => Err("the batch ended early".into()),
        };
        if let Err(why) = told {
            out.flush()?;
            return Err(format!("row {}: {why}; run it again to go on from there", place + 1).into());
        }
        asked += 1;
        bar.inc(1);
    }
    out.flush()?;
    bar.finish_and_clear();
    Ok(Run { found, asked, schools: summary(files)? })
}

fn written(out: &mut impl std::io::Write, row: usize, asked: &Row, told: Told) -> Result<(), Failed> {
    let (answer, problem) = match told.answer {
        Ok(answer) => (Some(answer.json().to_owned()), None),
        // The service failed at it, which is no answer to keep.
        Err(problem) if problem.status >= 500 => return Err(problem.detail.into()),
        Err(problem) => (None, Some(problem)),
    };
    let line = serde_json::to_string(&Answered { row, asked: asked.clone(), answer, problem })?;
    Ok(writeln!(out, "{line}")?)
}

/// How many rows have their answers in the file; what stands behind the last whole line is cut off.
fn answered_before(path: &Path, rows: &[Row]) -> Result<usize, Failed> {
    if !path.exists() {
        return Ok(0);
    }
    let (mut found, mut whole) = (0, 0);
    let mut from = BufReader::new(File::open(path)?);
    let mut line = Vec::new();
    while from.read_until(b'\n', &mut line)? > 0 && line.ends_with(b"\n") {
        let answered: Answered = serde_json::from_slice(&line)?;
        if answered.row != found + 1 || rows.get(found) != Some(&answered.asked) {
            let answers = path.display();
            return Err(
                format!("line {} of {answers} answers another row: use another file", found + 1).into()
            );
        }
        found += 1;
        whole += line.len() as u64;
        line.clear();
    }
    OpenOptions::new().write(true).open(path)?.set_len(whole)?;
    Ok(found)
}

/// What came of each row, for a spreadsheet; counted by school.
fn summary(files: &Files) -> Result<BTreeMap<String, BTreeMap<String, usize>>, Failed> {
    #[derive(Deserialize)]
    struct Head {
        outcome: Outcome,
        sentence: String,
    }
    let mut schools: BTreeMap<String, BTreeMap<String, usize>> = BTreeMap::new();
    let mut out = csv::Writer::from_path(&files.summary)?;
    out.write_record(["row", "school", "room", "plan", "liquid", "outcome", "sentence"])?;
    for line in BufReader::new(File::open(&files.answers)?).lines() {
        let answered: Answered = serde_json::from_str(&line?)?;
        let (outcome, sentence) = match (&answered.answer, answered.problem) {
            (Some(answer), _) => {
                let head: Head = serde_json::from_str(answer.get())?;
                // An outcome of a newer service has no word here.
                let outcome = serde_json::to_value(head.outcome).ok();
                let outcome = outcome.as_ref().and_then(|word| word.as_str()).unwrap_or("other").to_owned();
                (outcome, head.sentence)
            }
            (None, Some(problem)) => ("refused".to_owned(), Error::Refused(problem).to_string()),
            (None, None) => return Err("a line of the answers has none".into()),
        };
        let Answered { row, asked, .. } = answered;
        *schools.entry(asked.school.clone()).or_default().entry(outcome.clone()).or_default() += 1;
        out.write_record([
            &row.to_string(),
            &asked.school,
            &asked.room,
            &asked.plan,
            &asked.liquid,
            &outcome,
            &sentence,
        ])?;
    }
    out.flush()?;
    Ok(schools)
}
