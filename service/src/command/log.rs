//! The log: lines for standard error, written by a thread of their own.
//!
//! A full disk, a closed pipe or a reader that stands still must neither stop nor slow the service: lines that cannot be written, or do
//! not fit in the queue, are lost and counted.

use crate::settings::{LogFormat, Serve};
use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::time::{Duration, Instant};
use tracing_subscriber::fmt::MakeWriter;
use tracing_subscriber::layer::SubscriberExt as _;
use tracing_subscriber::util::SubscriberInitExt as _;
use tracing_subscriber::{EnvFilter, Layer as _, fmt};

/// Lines that wait at most: some 2 MB.
const MOST_WAITING: usize = 8192;
/// How long the end waits for the last lines.
const LAST_LINES: Duration = Duration::from_secs(1);

/// What goes to the thread that writes.
enum Told {
    Line(Vec<u8>),
    /// Everything before it has been written when the answer comes.
    Written(SyncSender<()>),
}

/// Where lines are handed over.
#[derive(Clone)]
struct Queue {
    lines: SyncSender<Told>,
    lost: Arc<AtomicU64>,
}

/// The log as long as the service runs.
pub struct Log {
    queue: Queue,
    #[cfg(feature = "otel")]
    spans: Option<opentelemetry_sdk::trace::SdkTracerProvider>,
}

/// Begins to log as the settings say.
///
/// # Errors
/// The thread cannot be started, or spans cannot be sent where that was asked for.
pub fn begun(settings: &Serve) -> Result<Log, String> {
    let queue =
        started(settings.log_format).map_err(|error| format!("the log cannot be written: {error}"))?;
    let format = fmt::layer().with_writer(queue.clone());
    let format = match settings.log_format {
        LogFormat::Text => format.boxed(),
        LogFormat::Json => format.json().flatten_event(true).boxed(),
    };
    let log =
        tracing_subscriber::registry().with(format.with_filter(EnvFilter::new(directives(&settings.log))));
    #[cfg(feature = "otel")]
    {
        use crate::http::otel;
        let spans = otel::provider()?;
        log.with(spans.as_ref().map(otel::layer)).init();
        Ok(Log { queue, spans })
    }
    #[cfg(not(feature = "otel"))]
    {
        log.init();
        Ok(Log { queue })
    }
}

impl Log {
    /// Waits a little for what has not been written yet.
    pub fn ended(self) {
        #[cfg(feature = "otel")]
        if let Some(spans) = self.spans {
            let _ = spans.shutdown_with_timeout(LAST_LINES);
        }
        let end = Instant::now() + LAST_LINES;
        let (written, seen) = sync_channel(1);
        let mut last = Told::Written(written);
        // A full queue gets its chance to drain; one that stands still holds the end up no longer than that.
        while let Err(TrySendError::Full(told)) = self.queue.lines.try_send(last) {
            if Instant::now() >= end {
                return;
            }
            last = told;
            std::thread::sleep(Duration::from_millis(5));
        }
        let _ = seen.recv_timeout(end.saturating_duration_since(Instant::now()));
    }
}

/// What is logged at a level.
fn directives(level: &str) -> String {
    // Spans go to a collector, not to the log.
    let no_spans = format!("{level},brimline_span=off");
    match level {
        "debug" | "trace" => no_spans,
        // A request that cannot be parsed is the caller's error: actix would log each one as an error of the service.
        _ => format!("{no_spans},actix_http=off"),
    }
}

fn started(format: LogFormat) -> io::Result<Queue> {
    let (lines, told) = sync_channel(MOST_WAITING);
    let lost = Arc::new(AtomicU64::new(0));
    let queue = Queue { lines, lost: Arc::clone(&lost) };
    std::thread::Builder::new()
        .name("log".to_owned())
        .spawn(move || written(&told, &lost, format, || io::stderr().lock()))?;
    Ok(queue)
}

/// Writes what is told, as long as somebody can tell anything.
fn written<W: Write>(told: &Receiver<Told>, lost: &AtomicU64, format: LogFormat, out: impl Fn() -> W) {
    while let Ok(next) = told.recv() {
        match next {
            Told::Line(line) => {
                let before = lost.swap(0, Ordering::Relaxed);
                let noted = if before > 0 { out().write_all(gap(before, format).as_bytes()) } else { Ok(()) };
                if noted.is_err() {
                    lost.fetch_add(before, Ordering::Relaxed);
                }
                if noted.and_then(|()| out().write_all(&line)).is_err() {
                    lost.fetch_add(1, Ordering::Relaxed);
                }
            }
            Told::Written(seen) => {
                let _ = seen.try_send(());
            }
        }
    }
}

/// A line that says how many are missing before it.
fn gap(lost: u64, format: LogFormat) -> String {
    match format {
        LogFormat::Text => format!("WARN brimline: log lines lost lost_lines={lost}\n"),
        LogFormat::Json => {
            format!("{{\"level\":\"WARN\",\"message\":\"log lines lost\",\"lost_lines\":{lost}}}\n")
        }
    }
}

impl Write for Queue {
    fn write(&mut self, line: &[u8]) -> io::Result<usize> {
        // Never an error: the formatter would report it on the very stream that is broken, and panic there.
        if let Err(TrySendError::Full(_) | TrySendError::Disconnected(_)) =
            self.lines.try_send(Told::Line(line.to_vec()))
        {
            self.lost.fetch_add(1, Ordering::Relaxed);
        }
        Ok(line.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl MakeWriter<'_> for Queue {
    type Writer = Self;

    fn make_writer(&self) -> Self {
        self.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;

    #[test]
    fn what_does_not_fit_is_lost_counted_and_told_before_the_next_line() {
        let (lines, told) = sync_channel(2);
        let mut queue = Queue { lines, lost: Arc::default() };
        for line in ["one\n", "two\n", "three\n", "four\n"] {
            assert_eq!(queue.write(line.as_bytes()).unwrap(), line.len());
        }
        let lost = Arc::clone(&queue.lost);
        assert_eq!(lost.load(Ordering::Relaxed), 2);
        drop(queue);
        let text = Mutex::new(Vec::new());
        written(&told, &lost, LogFormat::Text, || To(&text));
        let text = String::from_utf8(text.into_inner().unwrap()).unwrap();
        assert_eq!(text, "WARN brimline: log lines lost lost_lines=2\none\ntwo\n");
    }

    struct To<'t>(&'t Mutex<Vec<u8>>);

    impl Write for To<'_> {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.lock().unwrap().write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
}
