//! The lines of a batch as they are read.

use super::batch::Stopped;
use crate::question::batch::{LONGEST_LINE, MARK};
use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::path::Path;

/// Lines that one thread answers before the next ones are read.
const AT_A_TIME: usize = 256;
/// Buffer of what is read and written.
pub const BUFFER: usize = 256 * 1024;
/// What is kept of a longer line: more than the longest one, without the mark that the first one may begin with.
pub const CUT: usize = LONGEST_LINE + MARK.len() + 1;

/// The lines of a batch, each without its end; of one that is too long only as much as shows that it is.
pub struct Lines {
    from: Box<dyn BufRead>,
    /// Octets read so far.
    pub seen: u64,
}

impl Lines {
    /// The next line; none at the end.
    pub fn next(&mut self) -> io::Result<Option<Vec<u8>>> {
        let mut line = Vec::new();
        let mut any = false;
        loop {
            let read = self.from.fill_buf()?;
            if read.is_empty() {
                return Ok(any.then_some(line));
            }
            any = true;
            let end = read.iter().position(|byte| *byte == b'\n');
            let text = read.get(..end.unwrap_or(read.len())).unwrap_or_default();
            let room = CUT.saturating_sub(line.len());
            line.extend_from_slice(text.get(..room).unwrap_or(text));
            let used = text.len() + usize::from(end.is_some());
            self.from.consume(used);
            self.seen += used as u64;
            if end.is_some() {
                return Ok(Some(line));
            }
        }
    }

    /// Some lines; none at the end.
    pub fn part(&mut self) -> io::Result<Vec<Vec<u8>>> {
        let mut part = Vec::with_capacity(AT_A_TIME);
        while part.len() < AT_A_TIME {
            let Some(line) = self.next()? else { break };
            part.push(line);
        }
        Ok(part)
    }
}

/// What is read, its name, and how large it is where that is known.
pub fn input(file: Option<&Path>) -> Result<(String, Lines, Option<u64>), Stopped> {
    let Some(file) = file.filter(|file| file.as_os_str() != "-") else {
        let from = Box::new(BufReader::with_capacity(BUFFER, io::stdin()));
        return Ok(("standard input".to_owned(), Lines { from, seen: 0 }, None));
    };
    let name = shown(Some(file));
    let opened = File::open(file).map_err(|error| Stopped::Read(name.clone(), error))?;
    let size = opened.metadata().ok().filter(std::fs::Metadata::is_file).map(|file| file.len());
    let from = Box::new(BufReader::with_capacity(BUFFER, opened));
    Ok((name, Lines { from, seen: 0 }, size))
}

/// A file as it is named to the caller.
pub fn shown(file: Option<&Path>) -> String {
    file.map(|file| file.display().to_string()).unwrap_or_default()
}
