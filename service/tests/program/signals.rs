//! What signals do while a batch is on its way.

use crate::child::{PATIENCE, Service};
use rustix::process::Signal;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::process::Stdio;
use std::time::{Duration, Instant};

const LINES: usize = 20_000;

/// A batch whose reply has begun and stands still, since nobody reads it.
fn begun(service: &Service) -> (TcpStream, Vec<u8>) {
    let line = "{\"question\":\"flash-point-margin\",\"request\":{\"liquid\":\"ethanol\",\"room_temperature\":\"21 Cel\"}}\n";
    let body = line.repeat(LINES);
    let length = body.len();
    let mut stream = service.connected();
    write!(
        stream,
        "POST /v1/batch HTTP/1.1\r\nhost: x\r\nconnection: close\r\ncontent-type: application/x-ndjson\r\ncontent-length: {length}\r\n\r\n{body}"
    )
    .unwrap();
    let mut first = vec![0; 1000];
    stream.read_exact(&mut first).unwrap();
    (stream, first)
}

#[test]
fn a_stream_finishes_whole_after_a_signal_and_the_service_ends_well() {
    let mut service = Service::started(&["--drain-delay-ms", "100"], Stdio::null());
    let (mut stream, mut reply) = begun(&service);
    service.signal(Signal::TERM);
    // Long enough that the delay is over: the stream holds it, and nothing new is let in.
    let start = Instant::now();
    while TcpStream::connect(&service.address).is_ok() {
        assert!(start.elapsed() < PATIENCE, "new connections are still taken");
        std::thread::sleep(Duration::from_millis(50));
    }
    assert!(service.child.try_wait().unwrap().is_none(), "it ended before the stream did");
    stream.read_to_end(&mut reply).unwrap();
    let text = String::from_utf8(reply).unwrap();
    let end = format!("{{\"end\":true,\"lines\":{LINES},\"answered\":{LINES},\"refused\":0}}");
    assert!(text.contains(&end), "the end line is missing");
    assert_eq!(text.matches("\"status\":200").count(), LINES);
    assert!(service.ended().success());
}

#[test]
fn a_second_signal_ends_it_at_once() {
    let mut service = Service::started(&["--drain-delay-ms", "600000"], Stdio::null());
    let (_stream, _) = begun(&service);
    service.signal(Signal::TERM);
    let start = Instant::now();
    while !service.get("/readyz", "").starts_with("HTTP/1.1 503") {
        assert!(start.elapsed() < PATIENCE, "it stays ready");
    }
    service.signal(Signal::INT);
    assert_eq!(service.ended().code(), Some(1));
}

#[test]
fn a_hangup_ends_a_service_without_files_to_read_anew() {
    // What is started so that hangups are ignored (nohup) goes on, and so does what it starts.
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:\t"));
    if ignored.and_then(|mask| u64::from_str_radix(mask, 16).ok()).is_some_and(|mask| mask & 1 == 1) {
        return;
    }
    let mut service = Service::started(&[], Stdio::null());
    service.signal(Signal::HUP);
    assert!(!service.ended().success());
}
