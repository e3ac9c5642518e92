//! A service for an example: the one whose address was given, or the program `brimline` from the same build.

use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};

/// The address to ask, and the program where one was started.
pub struct Service {
    pub address: String,
    started: Option<Child>,
}

impl Service {
    /// The address of the first argument; without one the program is started.
    pub fn found() -> Result<Self, Box<dyn std::error::Error>> {
        if let Some(address) = std::env::args().nth(1) {
            return Ok(Self { address, started: None });
        }
        let (address, child) = start()?;
        Ok(Self { address, started: Some(child) })
    }

    /// Stops what was started.
    pub fn stop(self) -> std::io::Result<()> {
        if let Some(mut child) = self.started {
            child.kill()?;
            child.wait()?;
        }
        Ok(())
    }
}

/// Starts the service on a free port and reads its address from the first line that it prints.
fn start() -> Result<(String, Child), Box<dyn std::error::Error>> {
    let program = std::env::current_exe()?.with_file_name("brimline");
    let beside = std::env::current_exe()?
        .parent()
        .and_then(|folder| folder.parent())
        .map(|folder| folder.join("brimline"));
    let program = beside.filter(|beside| beside.exists()).unwrap_or(program);
    let mut child = Command::new(program)
        .args(["--listen", "127.0.0.1:0", "--log", "warn"])
        .stdout(Stdio::piped())
        .spawn()?;
    let mut line = String::new();
    BufReader::new(child.stdout.take().ok_or("no standard output")?).read_line(&mut line)?;
    let address = line.trim().rsplit(' ').next().unwrap_or_default().to_owned();
    Ok((address, child))
}
