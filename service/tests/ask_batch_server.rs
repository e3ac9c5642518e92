//! `brimline ask batch --server`: the bytes of a run without a server, whatever happens on the way.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails that way")]

mod gateway;

use gateway::{Act, Gateway, service};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("brimline-{name}-{}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn brimline(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_brimline"));
    command.args(arguments).stdin(Stdio::null());
    for variable in ["http_proxy", "HTTP_PROXY", "https_proxy", "HTTPS_PROXY", "all_proxy", "ALL_PROXY"] {
        command.env_remove(variable);
    }
    command
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn said(run: &Output) -> String {
    String::from_utf8_lossy(&run.stderr).into_owned()
}

fn good(number: usize) -> Vec<u8> {
    format!(
        r#"{{"ref":{number},"question":"flash-point-margin","request":{{"liquid":"ethanol","room_temperature":"{} Cel"}}}}"#,
        10 + number % 15
    )
    .into_bytes()
}

fn written(file: &Path, lines: &[Vec<u8>], end: &[u8]) {
    fs::write(file, lines.join(end)).unwrap();
}

/// The reply of a run without a server.
fn here(asked: &Path) -> Vec<u8> {
    let run = brimline(&["ask", "batch", text(asked)]).output().unwrap();
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    run.stdout
}

/// The reply of a run with one, on standard output.
fn there(asked: &Path, url: &str) -> Output {
    brimline(&["ask", "batch", text(asked), "--server", url, "--retry-for-ms", "60000"]).output().unwrap()
}

/// Lines that are wrong in each way, and right ones between them.
fn mixed() -> Vec<Vec<u8>> {
    let mut lines = vec![
        [b"\xef\xbb\xbf", good(0).as_slice()].concat(),
        b"{\"question\":".to_vec(),
        Vec::new(),
        b"  \t".to_vec(),
        b"\xff\xfe".to_vec(),
        [b"\xef\xbb\xbf", good(5).as_slice()].concat(),
        format!("{{\"ref\":\"{}\"}}", "x".repeat(70_000)).into_bytes(),
        // Longer than a line may be, and blank as far as one may be read.
        [vec![b' '; 70_000], good(7)].concat(),
        [good(8), vec![b' '; 65_536]].concat(),
        br#"{"ref":{"a":[null,1.5e3]},"question":"batch","request":{}}"#.to_vec(),
        br#"{"ref":"r","question":"flash-margin","request":{},"more":1}"#.to_vec(),
        r#"{"ref":"Schüler\n☃","question":"spill","request":{"liquid":"propanone","amount":"50 mL","room":{"volume":"180 m3"},"detail":"full"}}"#.as_bytes().to_vec(),
        br#"{"ref":1,"ref":2,"question":"spill","request":{}}"#.to_vec(),
    ];
    lines.extend((13..60).map(good));
    lines
}

#[test]
fn a_service_gives_the_bytes_of_a_run_without_one() {
    let folder = Folder::new("both-ways");
    let asked = folder.file("asked");
    let url = format!("http://{}/", service());
    for end in ["\n", "\r\n"] {
        written(&asked, &mixed(), end.as_bytes());
        let run = there(&asked, &url);
        assert_eq!(run.status.code(), Some(0), "{}", said(&run));
        assert!(run.stdout == here(&asked));
        assert!(said(&run).starts_with("brimline: 58 lines, 49 answered, 9 refused"), "{}", said(&run));
    }
    // First lines of their own: two marks, a mark and nothing else, one that is too long behind its mark.
    let long = format!("\u{feff}{}", " ".repeat(65_536) + "1").into_bytes();
    for first in ["\u{feff}\u{feff}{}".as_bytes().to_vec(), "\u{feff}".as_bytes().to_vec(), long] {
        written(&asked, &[first, good(1), Vec::new(), Vec::new()], b"\n");
        let run = there(&asked, &url);
        assert!(run.stdout == here(&asked), "{}", said(&run));
    }
    for nothing in ["", "\n\n \n"] {
        fs::write(&asked, nothing).unwrap();
        assert!(there(&asked, &url).stdout == here(&asked));
    }
}

#[test]
fn lines_of_many_parts_keep_their_numbers() {
    let folder = Folder::new("parts");
    let asked = folder.file("asked");
    // More lines than one request takes; what stands at the seam begins with a mark.
    let lines: Vec<Vec<u8>> = (0..26_000)
        .map(|number| match number {
            24_990..25_010 => [b"\xef\xbb\xbf", good(number).as_slice()].concat(),
            _ if number % 100 == 0 => good(number),
            _ if number % 100 == 1 => Vec::new(),
            _ => b"nonsense".to_vec(),
        })
        .collect();
    written(&asked, &lines, b"\n");
    let gateway = Gateway::new(&[Act::Pass]);
    let run = there(&asked, &gateway.url());
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(run.stdout == here(&asked));
    let seen = gateway.seen();
    assert!(seen.len() == 2 && seen.iter().all(|one| one.body.len() < 16 << 20), "{}", seen.len());
    // Long lines make more parts.
    let pad = |number| [good(number), vec![b' '; 60_000]].concat();
    let long: Vec<Vec<u8>> = (0..150).map(pad).collect();
    written(&asked, &long, b"\n");
    let gateway = Gateway::new(&[Act::Pass]);
    assert!(there(&asked, &gateway.url()).stdout == here(&asked));
    assert_eq!(gateway.seen().len(), 3);
}

#[test]
fn whatever_breaks_on_the_way_no_line_is_lost_doubled_or_moved() {
    let folder = Folder::new("breaks");
    let asked = folder.file("asked");
    written(&asked, &mixed(), b"\n");
    let gateway = Gateway::new(&[
        Act::Close,
        Act::Say("HTTP/1.1 503 Service Unavailable\r\nretry-after: 1\r\ncontent-length: 0\r\n\r\n"),
        Act::Break(0),
        Act::Break(5000),
        Act::Say(
            "HTTP/1.1 502 Bad Gateway\r\ncontent-type: text/html\r\ncontent-length: 15\r\n\r\n<html>oh</html>",
        ),
        Act::Break(12_000),
        Act::Say("HTTP/1.1 429 Too Many Requests\r\nretry-after: 0\r\ncontent-length: 2\r\n\r\n{}"),
        Act::Say("HTTP/1.1 504 Gateway Timeout\r\ntransfer-encoding: chunked\r\n\r\n"),
        Act::Say(
            "HTTP/1.1 200 OK\r\ncontent-type: application/x-ndjson\r\ncontent-length: 9\r\n\r\n{\"line\":1",
        ),
        Act::Say("nothing of the kind\r\n\r\n"),
        Act::Pass,
    ]);
    let run = there(&asked, &gateway.url());
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(run.stdout == here(&asked), "{}", String::from_utf8_lossy(&run.stdout));
    let seen = gateway.seen();
    assert_eq!(seen.len(), 11, "{}", said(&run));
    // Only what is left is asked again.
    let lines: Vec<usize> = seen
        .iter()
        .map(|one| one.body.split(|byte| *byte == b'\n').filter(|line| line.len() > 1).count())
        .collect();
    assert!(lines.windows(2).all(|two| two[0] >= two[1]) && lines[0] == 58 && lines[10] < 58, "{lines:?}");
    assert!(said(&run).contains("503") && said(&run).contains("asking again in 1.0 s"), "{}", said(&run));
}

#[test]
fn every_place_where_a_reply_may_break_gives_the_same_bytes() {
    let folder = Folder::new("places");
    let asked = folder.file("asked");
    written(&asked, &[good(1), b"nonsense".to_vec(), good(3)], b"\n");
    let whole = here(&asked);
    // The reply is sent in chunks with their lengths before them: a little more than its octets.
    for octets in (0..whole.len() + 40).step_by(whole.len() / 12) {
        let gateway = Gateway::new(&[Act::Break(octets), Act::Pass]);
        let run = there(&asked, &gateway.url());
        assert!(run.status.success() && run.stdout == whole, "{octets}: {}", said(&run));
    }
}

#[test]
fn a_service_that_dies_for_good_leaves_what_came_and_a_later_run_goes_on() {
    let folder = Folder::new("dies");
    let (asked, told) = (folder.file("asked"), folder.file("told"));
    written(&asked, &mixed(), b"\n");
    let whole = here(&asked);
    let gateway = Gateway::new(&[Act::Break(whole.len() / 2), Act::Close]);
    let (url, good_url) = (gateway.url(), format!("http://{}", service()));
    let run = |url: &str, more: &[&str]| {
        let all = [
            "ask",
            "batch",
            text(&asked),
            "--output",
            text(&told),
            "--retry-for-ms",
            "1500",
            "--server",
            url,
        ];
        brimline(&[&all, more].concat()).output().unwrap()
    };
    let died = run(&url, &[]);
    assert_eq!(died.status.code(), Some(4), "{}", said(&died));
    assert!(said(&died).contains("were not answered") && said(&died).contains("--resume"), "{}", said(&died));
    let kept = fs::read(&told).unwrap();
    assert!(
        !kept.is_empty() && kept.ends_with(b"\n") && whole.starts_with(&kept) && kept.len() < whole.len()
    );
    // It is still dead: nothing is lost by trying.
    assert_eq!(run(&url, &["--resume"]).status.code(), Some(4));
    assert!(fs::read(&told).unwrap() == kept);
    let again = run(&good_url, &["--resume"]);
    assert_eq!(again.status.code(), Some(0), "{}", said(&again));
    assert!(fs::read(&told).unwrap() == whole);
    // What one way began, the other one ends.
    fs::write(&told, &whole[..whole.len() / 3]).unwrap();
    let local = ["ask", "batch", text(&asked), "--output", text(&told), "--resume"];
    assert!(brimline(&local).output().unwrap().status.success());
    assert!(fs::read(&told).unwrap() == whole);
}

#[test]
fn what_asking_again_does_not_mend_is_said_at_once() {
    let folder = Folder::new("for-good");
    let asked = folder.file("asked");
    written(&asked, &[good(1), good(2)], b"\n");
    let ndjson = "200 OK\r\ncontent-type: application/x-ndjson";
    let problem = "401 Unauthorized\r\ncontent-type: application/problem+json";
    for (head, body, why) in [
        ("200 OK\r\ncontent-type: text/html", "<html>hello</html>", "text/html"),
        (problem, r#"{"detail":"give your token"}"#, "give your token"),
        ("308 Permanent Redirect\r\nlocation: http://127.0.0.1:9/elsewhere", "", "elsewhere"),
        ("503 Service Unavailable\r\nretry-after: 86400", "", "503"),
        (
            ndjson,
            "{\"line\":2,\"ref\":2,\"status\":200,\"answer\":{\"outcome\":\"unknown\"}}\n",
            "another line",
        ),
        (
            ndjson,
            "{\"line\":1,\"ref\":\"S4\",\"status\":200,\"answer\":{\"outcome\":\"unknown\"}}\n",
            "another line",
        ),
        (ndjson, "{\"end\":true,\"lines\":0,\"answered\":0,\"refused\":0}\n", "0 of 2 lines"),
    ] {
        let reply = format!("HTTP/1.1 {head}\r\ncontent-length: {}\r\n\r\n{body}", body.len());
        let gateway = Gateway::new(&[Act::Say(reply.leak())]);
        let run = there(&asked, &gateway.url());
        assert_eq!(run.status.code(), Some(4), "{head}: {}", said(&run));
        assert!(said(&run).contains(why) && said(&run).contains("line 1 "), "{why}: {}", said(&run));
        assert!(run.stdout.is_empty() && gateway.seen().len() == 1);
    }
}

#[test]
fn a_token_goes_along_and_is_never_shown() {
    let folder = Folder::new("token");
    let (asked, token, told) = (folder.file("asked"), folder.file("token"), folder.file("told"));
    written(&asked, &[good(1)], b"\n");
    fs::write(&token, "from-a-file\n").unwrap();
    let gateway = Gateway::new(&[Act::Pass]);
    let url = gateway.url();
    let all = ["ask", "batch", text(&asked), "--server", url.as_str()];
    assert!(brimline(&all).output().unwrap().status.success());
    assert!(brimline(&all).env("BRIMLINE_TOKEN", "from-a-variable").output().unwrap().status.success());
    let named = [&all[..], &["--token-from", text(&token), "--output", text(&told)]].concat();
    assert!(brimline(&named).env("BRIMLINE_TOKEN", "from-a-variable").output().unwrap().status.success());
    let sent = gateway.seen().iter().map(|one| one.head.to_lowercase()).collect::<Vec<_>>();
    assert!(!sent[0].contains("authorization"), "{}", sent[0]);
    assert!(sent[1].contains("authorization: bearer from-a-variable\r\n"), "{}", sent[1]);
    assert!(sent[2].contains("authorization: bearer from-a-file\r\n"), "{}", sent[2]);
    for wrong in ["", "two words", "schlüssel"] {
        let run = brimline(&all).env("BRIMLINE_TOKEN", wrong).output().unwrap();
        assert_eq!(run.status.code(), Some(2), "{wrong}");
        assert!(said(&run).contains("BRIMLINE_TOKEN") && (wrong.is_empty() || !said(&run).contains(wrong)));
    }
    let none = folder.file("none");
    let run = brimline(&[&all[..], &["--token-from", text(&none)]].concat()).output().unwrap();
    assert!(run.status.code() == Some(2) && said(&run).contains("cannot be read"), "{}", said(&run));
}

#[test]
fn what_does_not_go_together_is_refused() {
    let folder = Folder::new("together");
    let asked = folder.file("asked");
    written(&asked, &[good(1)], b"\n");
    let url = format!("http://{}", service());
    let relaxed = brimline(&["ask", "batch", text(&asked), "--server", &url, "--allow-relaxed-rules"])
        .output()
        .unwrap();
    assert!(relaxed.status.code() == Some(2) && said(&relaxed).contains("decides"), "{}", said(&relaxed));
    for flags in [["--liquid", "ethanol"], ["--format", "table"]] {
        let one = brimline(&[&["ask", "batch", text(&asked)], flags.as_slice()].concat()).output().unwrap();
        assert!(one.status.code() == Some(2) && said(&one).contains("in its lines"), "{}", said(&one));
    }
    let address = brimline(&["ask", "batch", text(&asked), "--server", "127.0.0.1:8080"]).output().unwrap();
    assert!(address.status.code() == Some(2) && said(&address).contains("https://"), "{}", said(&address));
    // A check over its limit fails the script here as well (ethanol flashes at 12 Cel).
    written(&asked, &[good(14)], b"\n");
    let over = ["ask", "batch", text(&asked), "--server", &url, "--fail-on", "over_limit"];
    assert_eq!(brimline(&over).output().unwrap().status.code(), Some(1));
}
