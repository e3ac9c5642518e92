//! `brimline ask batch` as a script calls it: order, bad lines, going on after a broken run, exit codes.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails that way")]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const LINES: usize = 2000;

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

fn brimline(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_brimline")).args(arguments).stdin(Stdio::null()).output().unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// One line in a thousand is bad, some are blank.
fn batch() -> String {
    let line = |number: usize| match number % 1000 {
        250 => "nonsense".to_owned(),
        251 => String::new(),
        _ => format!(
            r#"{{"ref":{number},"question":"flash-point-margin","request":{{"liquid":"ethanol","room_temperature":"{} Cel"}}}}"#,
            10 + number % 15
        ),
    };
    // With the mark that some programs write first.
    "\u{feff}".to_owned() + &(0..LINES).map(|number| line(number) + "\n").collect::<String>()
}

#[test]
fn every_line_is_answered_in_its_order_and_the_end_counts_them() {
    let folder = Folder::new("order");
    let (asked, told) = (folder.file("asked.ndjson"), folder.file("told.ndjson"));
    fs::write(&asked, batch()).unwrap();
    let run = brimline(&["ask", "batch", text(&asked), "--output", text(&told)]);
    assert_eq!(run.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&run.stderr), "brimline: 1998 lines, 1996 answered, 2 refused\n");
    let replies = fs::read_to_string(&told).unwrap();
    let numbers: Vec<usize> = replies
        .lines()
        .filter_map(|line| line.strip_prefix("{\"line\":")?.split(',').next()?.parse().ok())
        .collect();
    let expected: Vec<usize> =
        (0..LINES).filter(|number| number % 1000 != 251).map(|number| number + 1).collect();
    assert_eq!(numbers, expected);
    assert!(replies.ends_with("{\"end\":true,\"lines\":1998,\"answered\":1996,\"refused\":2}\n"));
    // The same bytes by standard input and output.
    let piped = Command::new(env!("CARGO_BIN_EXE_brimline"))
        .args(["ask", "batch"])
        .stdin(fs::File::open(&asked).unwrap())
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(piped.stdout).unwrap(), replies);
}

#[test]
fn a_broken_run_goes_on_where_it_ended_and_gives_the_same_bytes() {
    let folder = Folder::new("resume");
    let (asked, whole, broken) = (folder.file("asked"), folder.file("whole"), folder.file("broken"));
    fs::write(&asked, batch()).unwrap();
    assert!(brimline(&["ask", "batch", text(&asked), "--output", text(&whole)]).status.success());
    let replies = fs::read(&whole).unwrap();
    // Cut in the middle of a line, right after one, and before the end line.
    let ends: Vec<usize> = (0..replies.len()).filter(|at| replies[*at] == b'\n').map(|at| at + 1).collect();
    for cut in [0, replies.len() / 3, ends[700], ends[ends.len() - 2]] {
        fs::write(&broken, &replies[..cut]).unwrap();
        let again = brimline(&["ask", "batch", text(&asked), "--output", text(&broken), "--resume"]);
        assert_eq!(again.status.code(), Some(0), "{}", String::from_utf8_lossy(&again.stderr));
        assert!(fs::read(&broken).unwrap() == replies, "cut at {cut}");
    }
    let ended = brimline(&["ask", "batch", text(&asked), "--output", text(&whole), "--resume"]);
    assert_eq!(ended.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&ended.stderr).contains("end line already"));
    assert_eq!(fs::read(&whole).unwrap(), replies);
}

#[test]
fn what_cannot_be_done_is_said_and_nothing_is_overwritten() {
    let folder = Folder::new("refused");
    let (asked, told, short) = (folder.file("asked"), folder.file("told"), folder.file("short"));
    fs::write(&asked, batch()).unwrap();
    fs::write(&told, "what somebody needs\n").unwrap();
    let said = |run: &Output| (run.status.code(), String::from_utf8_lossy(&run.stderr).into_owned());
    let (code, why) = said(&brimline(&["ask", "batch", text(&asked), "--output", text(&told)]));
    assert!(code == Some(2) && why.contains("is there already"), "{why}");
    assert_eq!(fs::read_to_string(&told).unwrap(), "what somebody needs\n");
    let (code, why) = said(&brimline(&["ask", "batch", text(&folder.file("none"))]));
    assert!(code == Some(2) && why.contains("cannot be read"), "{why}");
    let (code, why) = said(&brimline(&["ask", "batch", text(&asked), "--resume"]));
    assert!(code == Some(2) && why.contains("--output"), "{why}");
    let (code, why) = said(&brimline(&["ask", "spill", text(&asked), "--resume"]));
    assert!(code == Some(2) && why.contains("ask batch"), "{why}");
    // Replies of a longer batch than this one.
    fs::write(&short, "{}\n").unwrap();
    fs::write(folder.file("longer"), "{\"line\":1,\"status\":200}\n{\"line\":2,\"status\":200}\n").unwrap();
    let longer = folder.file("longer");
    let (code, why) = said(&brimline(&["ask", "batch", text(&short), "--output", text(&longer), "--resume"]));
    assert!(code == Some(2) && why.contains("does not hold replies of this batch"), "{why}");
    // The batch was edited in between: another line stands where one was answered.
    fs::write(&short, "{\"ref\":\"S3\"}\n").unwrap();
    let other = folder.file("other");
    fs::write(&other, "{\"line\":1,\"ref\":\"S4\",\"status\":200}\n").unwrap();
    let (code, why) = said(&brimline(&["ask", "batch", text(&short), "--output", text(&other), "--resume"]));
    assert!(code == Some(2) && why.contains("does not hold replies of this batch"), "{why}");
    assert!(fs::read_to_string(&other).unwrap().contains("S4"));
    // A line of the earlier reply is missing, or it answers more lines than there are: no run went that far.
    fs::write(&short, "{\"ref\":1}\n{\"ref\":2}\n").unwrap();
    for line in ["2", "3", "18446744073709551615"] {
        fs::write(&other, format!("{{\"line\":{line},\"ref\":2,\"status\":200}}\n")).unwrap();
        let (code, why) =
            said(&brimline(&["ask", "batch", text(&short), "--output", text(&other), "--resume"]));
        assert!(code == Some(2) && why.contains("does not hold replies of this batch"), "{line}: {why}");
    }
    // A file that holds something else is left as it is.
    let (code, _) = said(&brimline(&["ask", "batch", text(&asked), "--output", text(&told), "--resume"]));
    assert_eq!((code, fs::read_to_string(&told).unwrap().as_str()), (Some(2), "what somebody needs\n"));
}

#[test]
fn a_script_may_fail_on_a_check_over_its_limit_and_close_the_pipe() {
    let folder = Folder::new("fail");
    let asked = folder.file("asked");
    // Ethanol flashes at 12 Cel (IEC 60079-20-1:2010, Annex B): at 25 Cel it is over any margin.
    let over =
        r#"{"question":"flash-point-margin","request":{"liquid":"ethanol","room_temperature":"25 Cel"}}"#;
    fs::write(&asked, format!("{over}\n")).unwrap();
    assert_eq!(brimline(&["ask", "batch", text(&asked)]).status.code(), Some(0));
    let failed = brimline(&["ask", "batch", text(&asked), "--fail-on", "over_limit"]);
    assert_eq!(failed.status.code(), Some(1));
    // 2 Cel is 10 K below. A line that is refused is not over its limit, nor within one.
    let within = over.replace("25 Cel", "2 Cel");
    for (lines, of_over, of_not_within) in [
        (within.clone(), 0, 0),
        (format!("{within}\n{over}"), 1, 1),
        (format!("{within}\n{}", over.replace("ethanol", "ethanoll")), 0, 1),
        (format!("{within}\n{{"), 0, 1),
        (r#"{"question":"vapour-pressure","request":{"liquid":"ethanol"}}"#.to_owned(), 0, 1),
        // Nothing was asked: that is no yes.
        (String::new(), 1, 1),
        ("\n\n".to_owned(), 1, 1),
    ] {
        fs::write(&asked, &lines).unwrap();
        for (word, expected) in [("over_limit", of_over), ("not_within", of_not_within)] {
            let run = brimline(&["ask", "batch", text(&asked), "--fail-on", word]);
            assert_eq!(run.status.code(), Some(expected), "{word}: {lines}");
        }
    }
    fs::write(&asked, "").unwrap();
    assert_eq!(brimline(&["ask", "batch", text(&asked)]).status.code(), Some(0));
    let empty = brimline(&["ask", "batch", text(&asked), "--fail-on", "not_within"]);
    assert!(String::from_utf8_lossy(&empty.stderr).contains("has no lines"));
    // A run that goes on counts what an earlier one has found.
    let told = folder.file("told");
    fs::write(&asked, format!("{over}\n{within}\n")).unwrap();
    let first = brimline(&["ask", "batch", text(&asked)]).stdout;
    let cut = first.iter().position(|octet| *octet == b'\n').unwrap() + 1;
    for (word, kept) in [("over_limit", cut), ("not_within", cut)] {
        fs::write(&told, &first[..kept]).unwrap();
        let resumed =
            brimline(&["ask", "batch", text(&asked), "--output", text(&told), "--resume", "--fail-on", word]);
        assert_eq!((resumed.status.code(), fs::read(&told).unwrap()), (Some(1), first.clone()), "{word}");
    }
    let mut child = Command::new(env!("CARGO_BIN_EXE_brimline"))
        .args(["ask", "batch"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut input = child.stdin.take().unwrap();
    for _ in 0..5000 {
        if writeln!(input, "{over}").is_err() {
            break;
        }
    }
    drop(input);
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(0));
    assert!(!String::from_utf8_lossy(&ended.stderr).contains("panicked"));
}
