//! The client's batches, quantities and blocking variant against the real service.

use crate::server::{shared, started};
use brimline_client::batch::{LARGEST_PART, LONGEST_LINE, Line, MOST_LINES};
use brimline_client::quantities::{
    AirChanges, AmountOfSubstance, Area, Length, Mass, MassRate, Power, Pressure, Share, Temperature, Time,
    Volume,
};
use brimline_client::{
    Burning, BurningVessel, Client, Error, FlashPointMargin, Heater, LiquidMixture, Outcome, Retry, Room,
    SafeFill, Spill, Use, Vessel, blocking,
};
use brimline_service::question::batch as service;
use serde_json::{Value, json};

fn client() -> Client {
    Client::new(&shared().url("")).unwrap()
}

#[test]
fn the_client_knows_the_bounds_of_the_service() {
    assert_eq!((MOST_LINES, LONGEST_LINE), (service::MOST_LINES, service::LONGEST_LINE));
    const { assert!(LARGEST_PART <= brimline_service::http::batch::LARGEST_BODY) };
}

#[tokio::test]
async fn a_batch_has_the_answers_of_its_lines() {
    let brimline = client();
    let margin = FlashPointMargin::of("ethanol").room_temperature(Temperature::celsius(21).unwrap());
    let spill = Spill::of("ethanol", Volume::millilitres(250).unwrap(), Room::of("190 m3"));
    let lines = [
        Line::of("margin", &margin).unwrap(),
        Line::of(json!({"room": "S3"}), &spill).unwrap(),
        Line::of(3, &FlashPointMargin::of("ethanole")).unwrap(),
        Line::json(4, "no such question", &json!({})).unwrap(),
        // A reference that JSON may write in several ways.
        Line::of(json!([1.5e3, "\u{e9}\n", null]), &margin).unwrap(),
    ];
    let mut answers = brimline.batch(lines);
    let mut told = Vec::new();
    while let Some(one) = answers.next().await {
        told.push(one.unwrap());
    }
    assert_eq!(told.len(), 5);
    let alone = brimline.flash_point_margin(&margin).await.unwrap();
    let in_batch = told[0].answer.as_ref().unwrap().read::<FlashPointMargin>().unwrap();
    assert_eq!(in_batch.verdict, alone.verdict);
    assert_eq!(in_batch.basis.record.question_digest, alone.basis.record.question_digest);
    assert_eq!(told[1].answer.as_ref().unwrap().outcome().unwrap().0, Outcome::OverLimit);
    assert!(!told[1].answer.as_ref().unwrap().is_within().unwrap());
    assert_eq!(told[1].reference, json!({"room": "S3"}));
    let problem = told[2].answer.as_ref().unwrap_err();
    assert_eq!((problem.status, problem.errors[0].pointer.as_str()), (422, "/liquid"));
    assert!(told[3].answer.is_err());
    assert_eq!(told[4].reference[1], "\u{e9}\n");
}

#[tokio::test]
async fn more_lines_than_a_request_may_hold() {
    let request = json!({"liquid": "ethanol", "room_temperature": "21 Cel"});
    let lines = (0..MOST_LINES + 3).map(|number| Line::json(number, "flash-point-margin", &request).unwrap());
    let mut answers = client().batch(lines);
    let mut count = 0_usize;
    while let Some(told) = answers.next().await {
        let told = told.unwrap();
        assert!(told.reference == count && told.answer.is_ok());
        count += 1;
    }
    assert_eq!(count, MOST_LINES + 3);
}

/// The request as the service understood it.
async fn understood<Q: brimline_client::Question>(request: &Q) -> Value {
    let line = Line::of(1, &with_detail(request)).unwrap();
    let told = client().batch([line]).next().await.unwrap().unwrap();
    let answer: Value = serde_json::from_str(told.answer.unwrap().json().get()).unwrap();
    answer["record"]["request"].clone()
}

/// The request, to be recorded.
fn with_detail<Q: brimline_client::Question>(request: &Q) -> Detailed<Q> {
    let mut fields = serde_json::to_value(request).unwrap();
    fields["detail"] = json!("full");
    Detailed(fields, std::marker::PhantomData)
}

struct Detailed<Q>(Value, std::marker::PhantomData<Q>);

impl<Q> serde::Serialize for Detailed<Q> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl<Q: brimline_client::Question> brimline_client::Question for Detailed<Q> {
    const NAME: &'static str = Q::NAME;
    type Answer = Q::Answer;
}

fn value(request: &Value, pointer: &str) -> f64 {
    let figure = request.pointer(pointer).unwrap_or_else(|| panic!("{pointer} in {request}"));
    figure["value"].as_f64().unwrap_or_else(|| panic!("{figure}"))
}

#[tokio::test]
async fn every_quantity_is_understood_as_it_is_meant() {
    // Each unit of the client, with what it is in the unit of the record.
    let room = |temperature: Temperature, pressure: Pressure| {
        FlashPointMargin::of("ethanol").room_temperature(temperature).pressure(pressure)
    };
    for (request, cel, kpa) in [
        (room(Temperature::celsius(21.5).unwrap(), Pressure::kilopascals(100.8).unwrap()), 21.5, 100.8),
        (room(Temperature::kelvin(294.15).unwrap(), Pressure::hectopascals(1008).unwrap()), 21.0, 100.8),
        (room(Temperature::celsius(-5).unwrap(), Pressure::pascals(1e5).unwrap()), -5.0, 100.0),
    ] {
        let said = understood(&request).await;
        assert_eq!((value(&said, "/room/temperature"), value(&said, "/room/pressure")), (cel, kpa));
    }
    let lab = Room::of(Volume::cubic_metres(190).unwrap())
        .temperature(Temperature::celsius(21).unwrap())
        .air_changes(AirChanges::per_hour(3).unwrap())
        .floor_area(Area::square_metres(70).unwrap())
        .relative_humidity(Share::per_cent(60).unwrap());
    let beaker = Vessel::of(Volume::litres(0.1).unwrap(), Length::millimetres(50).unwrap());
    let fill = SafeFill::of("ethanol", lab, 6, beaker, Use::Heated)
        .heated_by(Heater::WaterBath)
        .heated_to(Temperature::celsius(50).unwrap())
        .heater_power(Power::watts(300).unwrap())
        .lasting(Time::hours(0.5).unwrap())
        .nearest_person(Length::metres(2).unwrap())
        .nearest_ignition(Length::centimetres(400).unwrap())
        .filled(Volume::millilitres(20).unwrap());
    let said = understood(&fill).await;
    for (pointer, meant) in [
        ("/room/volume", 190.0),
        ("/room/air_changes", 3.0),
        ("/room/floor_area", 70.0),
        ("/room/relative_humidity", 60.0),
        ("/vessel/capacity", 100.0),
        ("/vessel/mouth_diameter", 5.0),
        ("/heated_to", 50.0),
        ("/heater_power", 0.3),
        ("/duration", 30.0),
        ("/nearest_person", 2.0),
        ("/nearest_ignition", 4.0),
        ("/fill", 20.0),
    ] {
        assert_eq!(value(&said, pointer), meant, "{pointer}");
    }
    for lasting in [Time::minutes(30).unwrap(), Time::seconds(1800).unwrap()] {
        assert_eq!(value(&understood(&fill.clone().lasting(lasting)).await, "/duration"), 30.0);
    }
    let wick = BurningVessel::of("100 mL", "2 cm")
        .wick(Area::square_centimetres(2).unwrap())
        .losing(MassRate::grams_per_minute(0.5).unwrap());
    let said = understood(&Burning::of("ethanol", Volume::millilitres(30).unwrap(), wick)).await;
    assert_eq!(value(&said, "/vessel/wick_area"), 2.0);
    for amount in [Mass::grams(200).unwrap(), Mass::kilograms(0.2).unwrap()] {
        assert_eq!(
            value(&understood(&Spill::of("ethanol", amount, Room::of("190 m3"))).await, "/amount"),
            200.0
        );
    }
    let equal = AmountOfSubstance::moles(1).unwrap();
    let half = FlashPointMargin::of(LiquidMixture::poured("ethanol", equal).and("water", equal));
    let reply = client().flash_point_margin(&half).await.unwrap();
    assert_eq!(reply.liquid.components[0].mole_fraction, 0.5);
}

#[test]
fn the_blocking_client_gives_the_same_answers() {
    let brimline = blocking::Client::new(&shared().url("")).unwrap();
    let margin = FlashPointMargin::of("ethanol").room_temperature("21 Cel");
    let alone = brimline.flash_point_margin(&margin).unwrap();
    assert_eq!(alone.verdict.outcome, Outcome::OverLimit);
    let lines = (0..100).map(|number| Line::of(number, &margin).unwrap());
    let told: Vec<_> = brimline.batch(lines).collect::<Result<_, _>>().unwrap();
    assert_eq!(told.len(), 100);
    let in_batch = told[99].answer.as_ref().unwrap().read::<FlashPointMargin>().unwrap();
    assert_eq!(in_batch.verdict, alone.verdict);
    assert_eq!(brimline.substance("acetone").unwrap().id, "propanone");
}

#[tokio::test]
async fn who_asks_more_than_is_allowed_is_told_how_long_to_wait() {
    let service = started(&["--requests-per-second", "1"]);
    let hasty = Client::new(&service.url("")).unwrap().retrying(Retry::never());
    let margin = FlashPointMargin::of("ethanol");
    let mut refused = None;
    for _ in 0..50 {
        if let Err(why) = hasty.flash_point_margin(&margin).await {
            refused = Some(why);
            break;
        }
    }
    let why = refused.unwrap();
    assert!(matches!(why, Error::Busy { status: 429, retry_after: Some(_), detail: Some(_) }), "{why:?}");
    // Who waits as long is answered.
    assert!(Client::new(&service.url("")).unwrap().flash_point_margin(&margin).await.is_ok());
}
