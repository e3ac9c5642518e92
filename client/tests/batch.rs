//! A batch as a stream: cut into parts, answered as it is read, asked again from where it broke off.

use crate::errors::hasty;
use brimline_client::batch::{LARGEST_PART, LONGEST_LINE, Line, MOST_LINES, Told};
use brimline_client::{Client, Error, FlashPointMargin, Outcome, Retry, Spill};
use futures_util::StreamExt as _;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpListener;
use wiremock::matchers::{header, path};
use wiremock::{Mock, MockServer, Request, Respond, ResponseTemplate};

/// Answers each line by its number and `ref`; the first replies are cut after so many octets or have another status.
#[derive(Clone, Default)]
struct Service {
    /// What becomes of the first replies.
    spoilt: Arc<Mutex<Vec<Spoilt>>>,
    /// How many lines each part had.
    parts: Arc<Mutex<Vec<usize>>>,
    largest: Arc<AtomicUsize>,
}

#[derive(Clone)]
enum Spoilt {
    /// Cut after so many octets.
    Cut(usize),
    Status(u16),
    /// These lines in place of the answers.
    Said(&'static str),
}

const TYPE: &str = "application/x-ndjson";

/// The reply line of the real service, with fewer fields: a line whose `ref` is "bad" is refused.
fn reply(number: usize, line: &str) -> String {
    let asked: Value = serde_json::from_str(line).unwrap();
    let reference = &asked["ref"];
    let said = if reference == "bad" {
        json!({"line": number, "ref": reference, "status": 422, "problem": {
            "type": "/problems/unknown-substance", "code": "unknown-substance", "title": "…", "status": 422, "detail": "no such liquid",
            "errors": [{"code": "unknown-substance", "pointer": "/liquid", "detail": "no such liquid"}]
        }})
    } else {
        json!({"line": number, "ref": reference, "status": 200, "answer": {"outcome": "within_limit", "sentence": line}})
    };
    format!("{said}\n")
}

impl Respond for Service {
    fn respond(&self, request: &Request) -> ResponseTemplate {
        let body = std::str::from_utf8(&request.body).unwrap();
        let lines: Vec<&str> = body.lines().collect();
        self.parts.lock().unwrap().push(lines.len());
        self.largest.fetch_max(body.len(), Ordering::Relaxed);
        let mut text: String = (1..).zip(&lines).map(|(number, line)| reply(number, line)).collect();
        text +=
            &json!({"end": true, "lines": lines.len(), "answered": lines.len(), "refused": 0}).to_string();
        text.push('\n');
        let mut spoilt = self.spoilt.lock().unwrap();
        if !spoilt.is_empty() {
            match spoilt.remove(0) {
                Spoilt::Cut(octets) => text.truncate(octets),
                Spoilt::Status(status) => return ResponseTemplate::new(status),
                Spoilt::Said(said) => text = said.to_owned(),
            }
        }
        ResponseTemplate::new(200).set_body_raw(text, TYPE)
    }
}

async fn started(spoilt: &[Spoilt]) -> (MockServer, Service, Client) {
    let service = Service::default();
    *service.spoilt.lock().unwrap() = spoilt.to_vec();
    let server = MockServer::start().await;
    let asked = Mock::given(path("/v1/batch")).and(header("content-type", TYPE));
    asked.respond_with(service.clone()).mount(&server).await;
    let client = Client::new(&server.uri()).unwrap().retrying(hasty());
    (server, service, client)
}

fn lines(count: usize) -> impl Iterator<Item = Line> {
    let request = json!({"liquid": "ethanol"});
    (0..count).map(move |number| Line::json(number, "flash-point-margin", &request).unwrap())
}

/// The references, which must be the numbers of the lines less one.
fn in_order(told: &[Told]) -> bool {
    told.iter().zip(1_u64..).all(|(told, number)| told.line == number && told.reference == number - 1)
}

async fn all(answers: impl futures_core::Stream<Item = Result<Told, Error>>) -> Vec<Told> {
    answers.map(|told| told.unwrap()).collect().await
}

#[tokio::test]
async fn lines_are_cut_into_parts_within_the_bounds() {
    let (_server, service, client) = started(&[]).await;
    let told = all(client.batch(lines(MOST_LINES + 7)).into_stream()).await;
    assert!(told.len() == MOST_LINES + 7 && in_order(&told));
    assert_eq!(*service.parts.lock().unwrap(), [MOST_LINES, 7]);
    // 200 lines of 30 kB are 6 MB: two parts by their octets.
    let wide = json!({"liquid": "x".repeat(30_000)});
    let wide = (0..200).map(|number| Line::json(number, "spill", &wide).unwrap());
    assert_eq!(client.batch(wide).into_stream().count().await, 200);
    assert_eq!(service.parts.lock().unwrap().len(), 4);
    assert!(service.largest.load(Ordering::Relaxed) <= LARGEST_PART);
}

#[tokio::test]
async fn answers_and_refusals_are_typed_and_have_their_references() {
    let (_server, _, client) = started(&[]).await;
    let request = FlashPointMargin::of("ethanol");
    let mut answers = client.batch([
        Line::of("good", &request).unwrap(),
        Line::of("bad", &request).unwrap(),
        Line::of(Value::Null, &request).unwrap(),
    ]);
    let told = answers.next().await.unwrap().unwrap();
    let answer = told.answer.unwrap();
    assert_eq!((told.line, told.reference), (1, json!("good")));
    assert_eq!(answer.outcome().unwrap().0, Outcome::WithinLimit);
    // It does not say that it is complete.
    assert!(!answer.is_within().unwrap());
    assert!(answer.json().get().starts_with(r#"{"outcome":"within_limit""#));
    let other = answer.read::<Spill>().unwrap_err();
    assert_eq!(other.to_string(), "the answer is one to flash-point-margin and was read as one to spill");
    assert!(matches!(answer.read::<FlashPointMargin>(), Err(Error::NotUnderstood { .. })));
    let told = answers.next().await.unwrap().unwrap();
    assert_eq!(told.answer.unwrap_err().errors[0].pointer, "/liquid");
    assert_eq!(answers.next().await.unwrap().unwrap().reference, Value::Null);
    assert!(answers.next().await.is_none() && answers.told() == 3);
}

#[tokio::test]
async fn a_line_that_is_too_long_is_told_where_it_is_made() {
    let why = Line::json(1, "spill", &json!({"liquid": "x".repeat(LONGEST_LINE)})).unwrap_err();
    assert!(matches!(why, Error::LineTooLong { octets } if octets > LONGEST_LINE), "{why:?}");
    assert!(why.to_string().ends_with("at most 65536 are taken"));
}

#[tokio::test]
async fn a_reply_that_breaks_off_says_how_many_lines_came() {
    // Cut in the first line, at its break, in the middle of some later line, and before the end line of all ten.
    let whole: Vec<String> = (1..)
        .zip(lines(10))
        .map(|(number, _)| reply(number, &format!(r#"{{"ref": {}}}"#, number - 1)))
        .collect();
    let one = whole[0].len();
    assert!(one > 20, "a cut in the first line is one");
    let (_server, service, client) = started(&[Spoilt::Cut(10)]).await;
    let mut answers = client.retrying(Retry::never()).batch(lines(10));
    let why = answers.next().await.unwrap().unwrap_err();
    assert_eq!(
        why.to_string(),
        "the batch ended after 0 answered or refused lines: the reply broke off: it has no end line"
    );
    assert!(why.is_retryable());
    assert!(answers.next().await.is_none(), "an end until it is resumed");
    // Asked again from the first line without an answer.
    *service.spoilt.lock().unwrap() = vec![Spoilt::Cut(1000)];
    answers.resume();
    let mut told = Vec::new();
    let why = loop {
        match answers.next().await.unwrap() {
            Ok(one) => told.push(one),
            Err(why) => break why,
        }
    };
    let Error::Incomplete { answered, .. } = why else { panic!("{why:?}") };
    assert!(answered > 1 && answered < 10 && answered == told.len() as u64);
    answers.resume();
    while let Some(one) = answers.next().await {
        told.push(one.unwrap());
    }
    assert!(told.len() == 10 && in_order(&told));
    let left = 10 - usize::try_from(answered).unwrap();
    assert_eq!(*service.parts.lock().unwrap(), [10, 10, left], "no line with an answer is asked again");
}

#[tokio::test]
async fn what_broke_off_is_asked_again_by_itself() {
    use Spoilt::{Cut, Status};
    let spoilt = [Status(503), Cut(700), Status(502), Cut(900), Cut(0), Cut(1500)];
    let (_server, service, client) = started(&spoilt).await;
    let told = all(client.batch(lines(30)).into_stream()).await;
    assert!(told.len() == 30 && in_order(&told));
    assert!(service.spoilt.lock().unwrap().is_empty(), "each was met");
}

#[tokio::test]
async fn a_service_that_stays_busy_ends_the_batch() {
    let (_server, service, client) = started(&vec![Spoilt::Status(503); 9]).await;
    let why = client.batch(lines(3)).next().await.unwrap().unwrap_err();
    assert_eq!(why.to_string(), "the batch ended after 0 answered or refused lines: the service is busy");
    assert_eq!(service.parts.lock().unwrap().len(), 3, "three tries");
}

#[tokio::test]
async fn a_reply_to_other_lines_is_never_taken_for_an_answer() {
    let others = [
        (r#"{"line":1,"ref":7,"answer":{}}"#, "a line of it answers another line"),
        (r#"{"line":2,"ref":0,"answer":{}}"#, "a line of it answers another line"),
        (r#"{"line":1,"ref":0}"#, "a line has neither answer nor problem"),
        (r#"{"end":true,"lines":0}"#, "it ends after 0 of 2 lines"),
        ("<html>", "expected value"),
    ];
    for (said, why) in others {
        let said: &str = Box::leak(format!("{said}\n").into_boxed_str());
        let (_server, service, client) = started(&[Spoilt::Said(said)]).await;
        let told = client.batch(lines(2)).next().await.unwrap().unwrap_err().to_string();
        assert!(told.contains("cannot be read by this client") && told.contains(why), "{told}");
        assert_eq!(service.parts.lock().unwrap().len(), 1, "asking again does not mend it");
    }
}

#[tokio::test]
async fn a_page_in_place_of_lines() {
    let server = MockServer::start().await;
    let page = ResponseTemplate::new(200).set_body_raw("<h1>Sign in</h1>", "text/html");
    Mock::given(path("/v1/batch")).respond_with(page).expect(1).mount(&server).await;
    let why = Client::new(&server.uri()).unwrap().batch(lines(2)).next().await.unwrap().unwrap_err();
    assert!(why.to_string().ends_with("another program than the service answered: status 200, text/html"));
}

#[tokio::test]
async fn a_silent_service() {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let client = Client::new(&address).unwrap().retrying(Retry::never());
    let mut answers = client.batch(lines(2)).silent_for(Duration::from_millis(100));
    let why = answers.next().await.unwrap().unwrap_err();
    assert!(why.is_retryable() && why.to_string().ends_with("did not answer within 0.1 s"), "{why}");
}

#[tokio::test]
async fn nothing_is_read_ahead_of_the_caller() {
    // A server that writes without end, and counts what it could write.
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let written = Arc::new(AtomicUsize::new(0));
    let counted = Arc::clone(&written);
    tokio::spawn(async move {
        let (mut stream, _) = listener.accept().await.unwrap();
        let mut head = vec![0; 1 << 20];
        let _ = stream.read(&mut head).await;
        let head = format!("HTTP/1.1 200 OK\r\ncontent-type: {TYPE}\r\n\r\n");
        stream.write_all(head.as_bytes()).await.unwrap();
        let padding = "x".repeat(10_000);
        for number in 1.. {
            let line = json!({"line": number, "ref": number - 1, "answer": {"sentence": padding}});
            if stream.write_all(format!("{line}\n").as_bytes()).await.is_err() {
                break;
            }
            counted.fetch_add(10_000, Ordering::Relaxed);
        }
    });
    let client = Client::new(&address).unwrap();
    let mut answers = client.batch(lines(20_000));
    for _ in 0..3 {
        answers.next().await.unwrap().unwrap();
    }
    tokio::time::sleep(Duration::from_millis(500)).await;
    let first = written.load(Ordering::Relaxed);
    tokio::time::sleep(Duration::from_millis(500)).await;
    // What the kernel holds for both ends is some megabytes; the whole reply would be 200.
    assert_eq!(first, written.load(Ordering::Relaxed), "it writes on though nobody reads");
    assert!(first < 40_000_000, "{first}");
    for _ in 0..3000 {
        answers.next().await.unwrap().unwrap();
    }
    assert!(written.load(Ordering::Relaxed) > first, "it goes on when it is read");
}

#[tokio::test]
async fn lines_may_come_as_a_stream_and_a_call_may_be_given_up() {
    let (_server, service, client) = started(&[]).await;
    let mut answers = client.batch_of_stream(futures_util::stream::iter(lines(40)));
    let mut told = Vec::new();
    for round in 0_u64.. {
        // Given up after ever longer waits, in the middle of whatever it does.
        match tokio::time::timeout(Duration::from_micros(50 * round), answers.next()).await {
            Ok(Some(one)) => told.push(one.unwrap()),
            Ok(None) => break,
            Err(_) => {}
        }
    }
    assert!(told.len() == 40 && in_order(&told));
    assert!(service.parts.lock().unwrap().iter().all(|lines| *lines == 40));
}
