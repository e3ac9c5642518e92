//! Which liquid is the least hazardous for a surface that is cleaned in lab S3 of Ottermoor High? A table, the order with the reason
//! of each step, and what could not be compared. Whether a liquid cleans is for the teacher to say.
//!
//! `cargo run -p brimline-client --example compare_liquids [-- http://127.0.0.1:8080]`: without an address it starts the program
//! `brimline` from the same build and stops it again.

mod service;

use brimline_client::quantities::{AirChanges, Area, Length, Pressure, Temperature, Time, Volume};
use brimline_client::{
    Client, ComparedLiquid, Comparison, ComparisonReply, Error, Liquid, LiquidMixture, Quantity, Room, Use,
};
use service::Service;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let service = Service::found()?;
    let compared = compared(&service.address).await;
    service.stop()?;
    show(&compared?);
    Ok(())
}

/// The comparison of lab S3.
pub async fn compared(address: &str) -> Result<ComparisonReply, Error> {
    let lab = Room::of(Volume::cubic_metres(190)?)
        .temperature(Temperature::celsius(21)?)
        .pressure(Pressure::kilopascals(100.8)?)
        .air_changes(AirChanges::per_hour(3)?)
        .floor_area(Area::square_metres(70)?);
    let watered =
        LiquidMixture::poured("propan-2-ol", Volume::millilitres(70)?).and("water", Volume::millilitres(30)?);
    let liquids: [Liquid; 5] =
        ["ethanol".into(), "propan-2-ol".into(), "propanone".into(), "heptane".into(), watered.into()];
    let request = Comparison::of(liquids, Use::Open, Volume::millilitres(5)?, lab)
        .lasting(Time::minutes(20)?)
        .nearest_person(Length::metres(1)?)
        .nearest_ignition(Length::metres(3)?);
    Client::new(address)?.comparison(&request).await
}

fn show(reply: &ComparisonReply) {
    println!("{}\n", reply.verdict.sentence);
    println!("{:<28} {:>12} {:>10} {:>12} {:>10}", "", "flash point", "margin", "room share", "breathed");
    for row in &reply.rows {
        let ComparedLiquid { name, flash_point, margin, room_share, exposure_index, .. } = row;
        let [flash_point, margin, room_share, breathed] =
            [flash_point, margin, room_share, exposure_index].map(|figure| short(figure.as_ref()));
        println!("{name:<28} {flash_point:>12} {margin:>10} {room_share:>12} {breathed:>10}");
    }
    println!("\nFrom the least to the most hazardous:");
    for (place, step) in (1..).zip(&reply.order) {
        println!("  {place}. {}: {}", step.liquids.join(", "), step.reason);
    }
    for other in &reply.not_compared {
        println!("  {} has no place: {}", other.liquid, other.reason);
    }
}

fn short(figure: Option<&Quantity>) -> String {
    figure.map_or_else(|| "-".to_owned(), |figure| format!("{} {}", figure.value, figure.unit))
}
