//! The typed client against the real service, and against what is no service.

use crate::server::shared;
use brimline_client::{
    Burning, Client, Comparison, Cooling, Error, Evaporation, Exposure, FlashPointMargin, Outcome, Practical,
    Recheck, Regime, Retry, Room, RoomFlammableLimit, SafeFill, Same, Spill, Storage, Use, VapourPressure,
    Vessel,
};
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpListener;

fn client() -> Client {
    Client::new(&shared().url("")).unwrap()
}

fn from_json<T: serde::de::DeserializeOwned>(text: &str) -> T {
    serde_json::from_str(text).unwrap()
}

#[tokio::test]
async fn every_question_has_a_typed_method() {
    let brimline = client();
    let margin = brimline
        .flash_point_margin(&FlashPointMargin::of("ethanol").room_temperature("21 Cel"))
        .await
        .unwrap();
    assert_eq!(margin.verdict.outcome, Outcome::OverLimit);
    let asked: VapourPressure = from_json(r#"{"liquid": "acetone", "temperatures": ["20 Cel", "25 Cel"]}"#);
    assert_eq!(brimline.vapour_pressure(&asked).await.unwrap().points.len(), 2);
    let asked: RoomFlammableLimit =
        from_json(r#"{"liquid": "pentane", "room": {"volume": "190 m3"}, "released": "10 g"}"#);
    assert_eq!(brimline.room_flammable_limit(&asked).await.unwrap().basis.checks.len(), 2);
    let asked = SafeFill {
        room: Room { volume: Some("190 m3".into()), ..Room::default() },
        vessel: Vessel { capacity: "100 mL".into(), mouth_diameter: "5 cm".into(), material: None },
        vessels: 6,
        used: Use::Open,
        ..from_json(
            r#"{"liquid": "ethanol", "room": {}, "vessel": {"capacity": "", "mouth_diameter": ""}, "vessels": 1, "use": "open"}"#,
        )
    };
    assert_eq!(brimline.safe_fill(&asked).await.unwrap().governed_by.as_deref(), Some("near_field"));
    let asked: Evaporation =
        from_json(r#"{"liquid": "ethanol", "amount": "20 mL", "surface": {"diameter": "9 cm"}}"#);
    assert_eq!(brimline.evaporation(&asked).await.unwrap().regime, Regime::AirMovement);
    let asked: Exposure = from_json(
        r#"{"liquid": "ethanol", "room": {"volume": "190 m3", "temperature": "21 Cel"}, "generation_rate": "1 g/min", "duration": "40 min"}"#,
    );
    assert_eq!(brimline.exposure(&asked).await.unwrap().components.len(), 1);
    let asked: Spill = from_json(
        r#"{"liquid": "ethanol", "amount": "250 mL", "room": {"volume": "190 m3", "temperature": "21 Cel"}}"#,
    );
    assert_eq!(brimline.spill(&asked).await.unwrap().verdict.outcome, Outcome::OverLimit);
    let asked =
        Recheck { record: Some(brimline.spill(&asked).await.unwrap().basis.record), ..Recheck::default() };
    assert_eq!(brimline.recheck(&asked).await.unwrap().same, Same::Yes);
    assert!(brimline.changes().await.unwrap().items.len() > 20);
    let asked: Burning = from_json(
        r#"{"liquid": "ethanol", "amount": "6 mL", "vessel": {"capacity": "100 mL", "mouth_diameter": "7 cm"}, "nearest_person": "4 m"}"#,
    );
    assert!(brimline.burning(&asked).await.unwrap().energy.unwrap().value > 100.0);
    let asked: Practical = from_json(
        r#"{"room": {"volume": "190 m3"}, "people": {"nearest": "1 m"}, "steps": [{"do": "pour", "liquid": "hexane", "amount": "20 mL", "vessel": {"capacity": "100 mL", "mouth_diameter": "7 cm"}, "vessels": 9}]}"#,
    );
    assert_eq!(brimline.practical(&asked).await.unwrap().steps.len(), 1);
    let asked: Cooling = from_json(
        r#"{"vessel": {"material": "borosilicate glass", "mass": "110 g"}, "start_temperature": "250 Cel"}"#,
    );
    assert_eq!(brimline.cooling(&asked).await.unwrap().governed_by.as_deref(), Some("touch"));
    let asked: Storage = from_json(
        r#"{"liquid": "ethanol", "container": {"capacity": "1 L"}, "beside": ["propanone", "oxidisers"], "spark_free": true}"#,
    );
    let stored = brimline.storage(&asked).await.unwrap();
    assert_eq!(
        (stored.verdict.outcome, stored.largest_fill.map(|fill| fill.value)),
        (Outcome::OverLimit, Some(920.0))
    );
    let asked: Comparison = from_json(
        r#"{"liquids": ["ethanol", "propanone"], "use": "open", "amount": "5 mL", "room": {"volume": "190 m3", "temperature": "21 Cel"}, "nearest_ignition": "3 m"}"#,
    );
    let compared = brimline.comparison(&asked).await.unwrap();
    assert_eq!(compared.order.first().map(|step| step.liquids.clone()), Some(vec!["ethanol".to_owned()]));
    assert_eq!(brimline.substances("IPA").await.unwrap().items[0].id, "propan-2-ol");
    assert_eq!(brimline.substance("acetone").await.unwrap().id, "propanone");
    assert!(!brimline.rules().await.unwrap().items.is_empty());
    assert!(!brimline.units().await.unwrap().items.is_empty());
    assert_eq!(brimline.mixtures().await.unwrap().items.len(), 18);
}

#[tokio::test]
async fn a_refusal_is_typed_with_its_pointers_and_not_sent_again() {
    let refused = client()
        .flash_point_margin(&FlashPointMargin::of("ethanole").room_temperature("20 C"))
        .await
        .unwrap_err();
    assert!(!refused.is_retryable());
    let Error::Refused(problem) = refused else { panic!("{refused:?}") };
    let pointers: Vec<&str> = problem.errors.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(pointers, ["/liquid", "/room_temperature"]);
}

/// A server that answers with these replies, one a connection, and then no more.
async fn answering(replies: Vec<String>) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    tokio::spawn(async move {
        for reply in replies {
            let (mut stream, _) = listener.accept().await.unwrap();
            let mut head = [0; 4096];
            let _ = stream.read(&mut head).await;
            let _ = stream.write_all(reply.as_bytes()).await;
        }
    });
    format!("http://{address}")
}

fn raw(status: &str, headers: &str, body: &str) -> String {
    format!("HTTP/1.1 {status}\r\ncontent-length: {}\r\nconnection: close\r\n{headers}\r\n{body}", body.len())
}

#[tokio::test]
async fn what_is_busy_is_asked_again_and_what_is_no_service_is_told_apart() {
    let quick = Retry {
        first_pause: Duration::from_millis(5),
        longest_pause: Duration::from_millis(20),
        ..Retry::default()
    };
    let rules =
        raw("200 OK", "content-type: application/json\r\n", r#"{"items": [], "of a newer service": 1}"#);
    let address = answering(vec![raw("503 Service Unavailable", "retry-after: 0\r\n", ""), rules]).await;
    assert!(Client::new(&address).unwrap().retrying(quick).rules().await.unwrap().items.is_empty());
    let page = raw("404 Not Found", "content-type: text/html\r\n", "<h1>a proxy</h1>");
    let address = answering(vec![page]).await;
    let unexpected = Client::new(&address).unwrap().rules().await.unwrap_err();
    assert!(
        matches!(&unexpected, Error::Unexpected { status: 404, body, .. } if body.contains("proxy")),
        "{unexpected:?}"
    );
    let address = answering(vec![raw("503 Service Unavailable", "", ""); 3]).await;
    assert!(matches!(
        Client::new(&address).unwrap().retrying(quick).rules().await.unwrap_err(),
        Error::Busy { .. }
    ));
    let unreachable = Client::new("http://127.0.0.1:9")
        .unwrap()
        .retrying(Retry { tries: 1, ..quick })
        .rules()
        .await
        .unwrap_err();
    assert!(matches!(unreachable, Error::Unreachable(_)), "{unreachable:?}");
    assert!(Client::new("no address").is_err());
}
