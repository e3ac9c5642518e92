//! One check: is ethanol below its flash point in lab S3 of Ottermoor High today?
//!
//! `cargo run -p brimline-client --example one_check [-- http://127.0.0.1:8080]`: without an address it starts the program
//! `brimline` from the same build and stops it again.

mod service;

use brimline_client::quantities::{Pressure, Temperature};
use brimline_client::{Client, Error, FlashPointMargin};
use service::Service;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let service = Service::found()?;
    let answered = check(&service.address).await;
    service.stop()?;
    Ok(answered?)
}

async fn check(address: &str) -> Result<(), Error> {
    let brimline = Client::new(address)?;
    let request = FlashPointMargin::of("ethanol")
        .room_temperature(Temperature::celsius(21)?)
        .pressure(Pressure::kilopascals(100.8)?);
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
