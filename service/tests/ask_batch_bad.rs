//! `brimline ask batch` over lines that are all wrong: each is answered in its place, in memory that does not grow with their number.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails that way")]

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, BufWriter, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// The ways in which a line is wrong; `long` stands for one of 70,000 octets.
const WAYS: [&[u8]; 10] = [
    b"nonsense",
    b"\xff\xfe\x00",
    b"{\"question\":",
    b"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[",
    br#"{"ref":"S3","question":"flash-point-margn","request":{"liquid":"ethanol"}}"#,
    br#"{"ref":"S3","question":"flash-point-margin","request":{"liquid":"ethanol","room_temperature":"20 C"}}"#,
    br#"{"question":"spill","request":{"liquid":"ethanol","amount":"5 ML","room":{"volume":"180 mL"}}}"#,
    br#"{"question":"spill","question":"spill","request":{}}"#,
    br#"{"question":"batch","request":{},"more":1e999}"#,
    b"long",
];

fn written(file: &Path, lines: usize) {
    let mut out = BufWriter::new(File::create(file).unwrap());
    for number in 0..lines {
        let way = WAYS[number % WAYS.len()];
        // Long ones are few: they are what a careless reader would keep. So are unknown names, for which the nearest are looked for.
        if number % 500 == 4 {
            out.write_all(br#"{"question":"spill","request":{"liquid":"ethanoll"}}"#).unwrap();
        } else if way == b"long" && number % 500 == 9 {
            out.write_all(&vec![b'x'; 70_000]).unwrap();
        } else {
            out.write_all(way).unwrap();
        }
        out.write_all(b"\n").unwrap();
    }
    out.flush().unwrap();
}

/// Highest resident memory of a process, kB, where it can still be told.
fn memory(id: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    let line =
        ["VmHWM:", "VmRSS:"].iter().find_map(|name| status.lines().find(|line| line.starts_with(name)))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Highest resident memory of a run, kB.
fn answered(asked: &Path, told: &Path) -> u64 {
    let _ = fs::remove_file(told);
    let mut child = Command::new(env!("CARGO_BIN_EXE_brimline"))
        .args(["ask", "batch", asked.to_str().unwrap(), "--output", told.to_str().unwrap()])
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut most = 0;
    let status = loop {
        most = most.max(memory(child.id()).unwrap_or(0));
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    assert_eq!(status.code(), Some(0));
    most
}

#[test]
fn fifty_thousand_bad_lines_are_refused_one_by_one_in_the_memory_of_five_thousand() {
    let folder = std::env::temp_dir().join(format!("brimline-bad-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let (asked, told) = (folder.join("asked"), folder.join("told"));
    written(&asked, 5000);
    let few = answered(&asked, &told);
    written(&asked, 50_000);
    let many = answered(&asked, &told);
    let mut lines = 0;
    for line in BufReader::new(File::open(&told).unwrap()).lines() {
        lines += 1;
        let line = line.unwrap();
        match lines {
            50_001 => assert_eq!(line, "{\"end\":true,\"lines\":50000,\"answered\":0,\"refused\":50000}"),
            number => assert!(
                line.starts_with(&format!("{{\"line\":{number},"))
                    && line.contains("\"status\":422,\"problem\":{"),
                "{line}"
            ),
        }
    }
    fs::remove_dir_all(&folder).unwrap();
    assert_eq!(lines, 50_001);
    // Ten times the lines are 8 MB more to read and 20 MB more to write: none of it is kept.
    assert!(few > 0 && many < few + 16 * 1024, "{few} kB for 5,000 lines, {many} kB for 50,000");
}
