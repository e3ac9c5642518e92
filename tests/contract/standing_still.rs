//! Readers that stop reading, and a process without file descriptors left.

use crate::faults::{in_flight, until_none};
use crate::server::{Service, shared, started};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream as Blocking;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpSocket, TcpStream};

/// Asks and reads nothing of the answer, with a small buffer, until the answer stands still.
async fn stands_still(service: &Service, asked: &[u8]) -> TcpStream {
    let socket = TcpSocket::new_v4().unwrap();
    socket.set_recv_buffer_size(4096).unwrap();
    let mut socket = socket.connect(service.address).await.unwrap();
    socket.write_all(asked).await.unwrap();
    let start = Instant::now();
    while in_flight(service).await < 1.0 {
        assert!(start.elapsed() < Duration::from_secs(30), "it is answered");
    }
    socket
}

/// The service ends what it answers to a reader who does not read, and he does not get it whole.
async fn is_cut(service: &Service, mut socket: TcpStream, whole: usize) {
    until_none(service).await;
    let mut got = 0;
    let mut part = vec![0; 64 * 1024];
    while let Ok(read) = socket.read(&mut part).await {
        got += read;
        if read == 0 {
            break;
        }
    }
    assert!(got < whole, "{got} of {whole}");
}

#[tokio::test]
async fn who_stops_reading_a_large_answer_is_cut() {
    let service = started(&["--reader-timeout-ms", "1500"]);
    let document = reqwest::get(shared().url("/openapi.json")).await.unwrap().bytes().await.unwrap().len();
    // Several in one packet: together they are more than all buffers between here and there.
    let asked = "GET /openapi.json HTTP/1.1\r\nhost: x\r\n\r\n".repeat(5);
    let socket = stands_still(&service, asked.as_bytes()).await;
    is_cut(&service, socket, document * 5).await;
}

#[tokio::test]
async fn who_stops_reading_a_batch_is_cut_and_his_place_is_given_on() {
    let service = started(&["--reader-timeout-ms", "1500", "--most-batches", "1"]);
    let lines = "{\"question\":\"flash-point-margin\",\"request\":{\"liquid\":\"ethanol\"}}\n".repeat(20_000);
    let head = format!(
        "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ncontent-length: {}\r\n\r\n",
        lines.len()
    );
    let socket = stands_still(&service, format!("{head}{lines}").as_bytes()).await;
    is_cut(&service, socket, 20_000 * 2000).await;
    let again =
        reqwest::Client::new().post(service.url("/v1/batch")).header("content-type", "application/x-ndjson");
    assert_eq!(again.body("\n").send().await.unwrap().status(), 200);
}

#[tokio::test]
async fn who_reads_slowly_but_reads_gets_all() {
    let service = started(&["--reader-timeout-ms", "1500"]);
    let mut socket =
        stands_still(&service, b"GET /openapi.json HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n").await;
    let start = Instant::now();
    let mut text = Vec::new();
    let mut part = vec![0; 256 * 1024];
    // Twice as long as a reader may take nothing.
    loop {
        let read = socket.read(&mut part).await.unwrap();
        text.extend_from_slice(&part[..read]);
        if read == 0 {
            break;
        }
        if start.elapsed() < Duration::from_secs(3) {
            tokio::time::sleep(Duration::from_millis(300)).await;
        }
    }
    assert!(start.elapsed() > Duration::from_secs(3) && text.ends_with(b"}\n"), "{}", text.len());
}

/// The program in a shell that leaves it few file descriptors.
fn with_few_descriptors() -> Option<(Child, String)> {
    let folder = std::env::current_exe().ok()?.parent()?.parent()?.to_owned();
    let program = folder.join("brimline");
    let line = format!(
        "ulimit -n 64; exec '{}' --listen 127.0.0.1:0 --log error --drain-delay-ms 0",
        program.display()
    );
    let mut child =
        Command::new("sh").args(["-c", &line]).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
    let mut first = String::new();
    BufReader::new(child.stdout.take()?).read_line(&mut first).ok()?;
    let address = first.trim().strip_prefix("brimline: listening on http://").map(str::to_owned);
    let Some(address) = address else {
        let _ = child.kill();
        let _ = child.wait();
        return None;
    };
    Some((child, address))
}

fn asked(address: &str) -> std::io::Result<String> {
    let mut socket = Blocking::connect(address)?;
    socket.set_read_timeout(Some(Duration::from_secs(5)))?;
    socket.write_all(
        b"GET /v1/flash-point-margin?liquid=ethanol HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n",
    )?;
    let mut text = String::new();
    socket.read_to_string(&mut text)?;
    Ok(text)
}

#[test]
fn without_file_descriptors_it_waits_and_goes_on_answering_afterwards() {
    // `cargo test` for the workspace builds the program; where it was not built there is nothing to start.
    let Some((mut child, address)) = with_few_descriptors() else {
        eprintln!("the program is not built: cargo build");
        return;
    };
    let held: Vec<_> = (0..200).filter_map(|_| Blocking::connect(&address).ok()).collect();
    assert!(held.len() > 100);
    std::thread::sleep(Duration::from_millis(1500));
    let running = child.try_wait().unwrap().is_none();
    drop(held);
    let start = Instant::now();
    let mut last = asked(&address);
    while !last.as_ref().is_ok_and(|text| text.starts_with("HTTP/1.1 200"))
        && start.elapsed() < Duration::from_secs(40)
    {
        std::thread::sleep(Duration::from_millis(200));
        last = asked(&address);
    }
    let _ = child.kill();
    let _ = child.wait();
    assert!(running, "it ended");
    let text = last.unwrap();
    assert!(text.starts_with("HTTP/1.1 200") && text.ends_with('}'), "{text}");
}
