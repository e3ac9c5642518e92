//! One check: is ethanol below its flash point in lab S3 of Ottermoor High today?
//!
//! `cargo run -p brimline-client --example one_check [-- http://127.0.0.1:8080]`: without an address it starts the program
//! `brimline` from the same build and stops it again.

use brimline_client::{Client, Error, FlashPointMargin};
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let given = std::env::args().nth(1);
    let (address, started) = match given {
        Some(address) => (address, None),
        None => {
            let (address, child) = start()?;
            (address, Some(child))
        }
    };
    let answered = check(&address).await;
    if let Some(mut child) = started {
        child.kill()?;
        child.wait()?;
    }
    Ok(answered?)
}

async fn check(address: &str) -> Result<(), Error> {
    let brimline = Client::new(address)?;
    let request = FlashPointMargin::of("ethanol").room_temperature("21 Cel").pressure("100.8 kPa");
    let reply = brimline.flash_point_margin(&request).await?;
    println!("{}", reply.verdict.sentence);
    if let Some(flash_point) = &reply.flash_point {
        println!(
            "flash point {} {} ({:?} to {:?})",
            flash_point.value, flash_point.unit, flash_point.low, flash_point.high
        );
    }
    // A refusal lists every fault with its place and what to write instead.
    match brimline.flash_point_margin(&FlashPointMargin::of("ethanole").room_temperature("20 C")).await {
        Err(Error::Refused(problem)) => {
            for fault in &problem.errors {
                println!("{} at {}: {} -> {:?}", fault.code, fault.pointer, fault.detail, fault.suggestion);
            }
        }
        other => println!("{other:?}"),
    }
    Ok(())
}

/// Starts the service on a free port and reads its address from the first line that it prints.
fn start() -> Result<(String, Child), Box<dyn std::error::Error>> {
    let program = std::env::current_exe()?.with_file_name("brimline");
    let beside = std::env::current_exe()?
        .parent()
        .and_then(|folder| folder.parent())
        .map(|folder| folder.join("brimline"));
    let program = beside.filter(|beside| beside.exists()).unwrap_or(program);
    let mut child = Command::new(program)
        .args(["--listen", "127.0.0.1:0", "--log", "warn"])
        .stdout(Stdio::piped())
        .spawn()?;
    let mut line = String::new();
    BufReader::new(child.stdout.take().ok_or("no standard output")?).read_line(&mut line)?;
    let address = line.trim().rsplit(' ').next().unwrap_or_default().to_owned();
    Ok((address, child))
}
