//! What is taken on when more is asked than can be answered; the rest gets 503 at once.
//!
//! A worker of the framework takes any number of connections and answers one request after another, so that a flood would
//! wait in it without end. Three bounds keep what is taken on quick: requests in flight, the time that requests stand in the
//! queue of their worker, and the queue for long questions, which are computed on other threads.

use crate::limits::Limits;
use crate::question::Refusal;
use governor::{DefaultDirectRateLimiter, Quota, RateLimiter};
use prometheus::{IntCounterVec, IntGauge, Opts, Registry};
use std::cell::Cell;
use std::num::NonZeroU32;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::Semaphore;
use tokio::time::timeout;

/// Paths that are answered whatever the load.
const EXEMPT: [&str; 3] = ["/healthz", "/readyz", "/metrics"];
/// A queue of fewer requests is none: the thread was kept from running, and shedding would not help.
const FEWEST_QUEUED: u32 = 16;
/// A mark is a task of its own and costs as much as counting the request: one now and then tells as much.
const BETWEEN_MARKS: Duration = Duration::from_micros(500);
/// Long questions that may wait for each core: a small plan takes 2 to 3 ms, and whoever waits should have his answer within 50 ms.
const WAITING_A_CORE: u32 = 4;
/// Long questions that may wait beyond these at a stroke for each core.
const BURST_A_CORE: u32 = 12;
/// After this time as many may come at a stroke again: a flood that goes on finds the short queue, and keeps its waits short.
const BURST_AGAIN: Duration = Duration::from_secs(10);

/// What is taken on, and how much there is of it.
#[derive(Debug)]
pub struct Load {
    in_flight: IntGauge,
    running: IntGauge,
    waiting: IntGauge,
    shed: IntCounterVec,
    turns: Arc<Semaphore>,
    most_in_flight: i64,
    longest_queue: Duration,
    most_waiting: i64,
    burst: Option<DefaultDirectRateLimiter>,
    longest_wait: Duration,
    longest: Duration,
}

impl Load {
    /// Nothing taken on yet.
    ///
    /// # Errors
    /// Two metrics of one name, which no caller causes.
    pub fn new(limits: &Limits, registry: &Registry) -> prometheus::Result<Self> {
        let gauge = |name: &str, help: &str| {
            let gauge = IntGauge::new(name, help)?;
            registry.register(Box::new(gauge.clone()))?;
            Ok::<_, prometheus::Error>(gauge)
        };
        let shed = Opts::new("brimline_shed_total", "Requests told to come again later, by reason");
        let shed = IntCounterVec::new(shed, &["reason"])?;
        registry.register(Box::new(shed.clone()))?;
        for reason in ["in_flight", "queue", "waiting", "wait", "batches", "rate"] {
            shed.with_label_values(&[reason]).reset();
        }
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let of_cores = |each: u32| u32::try_from(cores).unwrap_or(u32::MAX).saturating_mul(each);
        let turns = limits.most_long.unwrap_or(cores).clamp(1, Semaphore::MAX_PERMITS);
        Ok(Self {
            in_flight: gauge(
                "brimline_in_flight",
                "Requests from their head to the last byte of their answer",
            )?,
            running: gauge("brimline_long_running", "Long questions that are computed")?,
            waiting: gauge("brimline_long_waiting", "Long questions that wait for their turn")?,
            shed,
            turns: Arc::new(Semaphore::new(turns)),
            most_in_flight: limits.most_in_flight.into(),
            longest_queue: Duration::from_millis(limits.longest_queue_ms),
            most_waiting: limits.most_waiting.unwrap_or(of_cores(WAITING_A_CORE)).into(),
            burst: NonZeroU32::new(limits.waiting_burst.unwrap_or(of_cores(BURST_A_CORE))).and_then(
                |burst| {
                    let quota = Quota::with_period(BURST_AGAIN / burst.get())?;
                    Some(RateLimiter::direct(quota.allow_burst(burst)))
                },
            ),
            longest_wait: Duration::from_millis(limits.longest_wait_ms),
            longest: Duration::from_millis(limits.request_timeout_ms),
        })
    }

    /// Counts a request that is not taken on.
    pub fn shed(&self, reason: &str) {
        self.shed.with_label_values(&[reason]).inc();
    }

    fn busy(&self, reason: &str, detail: String) -> Refusal {
        self.shed(reason);
        Refusal::whole("busy", detail)
    }

    /// A place among the requests that are answered.
    ///
    /// # Errors
    /// `busy`: there is none.
    pub fn place(&self) -> Result<Counted, Refusal> {
        let stood = stood();
        if stood > self.longest_queue {
            let detail = format!(
                "requests stand {} ms before they are answered, at most {} ms are let stand; try again later",
                stood.as_millis(),
                self.longest_queue.as_millis()
            );
            return Err(self.busy("queue", detail));
        }
        let place = Counted::new(&self.in_flight);
        if self.in_flight.get() > self.most_in_flight {
            self.shed("in_flight");
            return Err(all_taken(self.most_in_flight));
        }
        Ok(place)
    }

    /// Computes a long answer on another thread when its turn comes. A caller who goes gives up his place in the queue; what is
    /// being computed is computed to its end and keeps its turn until then.
    ///
    /// # Errors
    /// `busy`, `took-too-long`.
    pub async fn long<T: Send + 'static>(
        &self,
        compute: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        let start = Instant::now();
        let turn = if let Ok(turn) = Arc::clone(&self.turns).try_acquire_owned() {
            turn
        } else {
            let _place = Counted::new(&self.waiting);
            let beyond = self.waiting.get() > self.most_waiting;
            if beyond && self.burst.as_ref().is_none_or(|burst| burst.check().is_err()) {
                let detail = format!(
                    "{} long questions wait already, as many as may; try again later",
                    self.most_waiting
                );
                return Err(self.busy("waiting", detail));
            }
            match timeout(self.longest_wait, Arc::clone(&self.turns).acquire_owned()).await {
                Ok(Ok(turn)) => turn,
                _ => {
                    let waited = self.longest_wait.as_millis();
                    let detail =
                        format!("the question waited {waited} ms for its turn in vain; try again later");
                    return Err(self.busy("wait", detail));
                }
            }
        };
        let running = Counted::new(&self.running);
        let computed = tokio::task::spawn_blocking(move || {
            let computed = compute();
            drop((turn, running));
            computed
        });
        match timeout(self.longest.saturating_sub(start.elapsed()), computed).await {
            Ok(Ok(computed)) => computed,
            Ok(Err(_)) => Err(Refusal::whole("busy", "the question could not be computed just now")),
            Err(_) => Err(too_late(self.longest)),
        }
    }
}

/// The refusal of a request beyond those that are answered at once.
#[must_use]
pub fn all_taken(most: i64) -> Refusal {
    let detail = format!("{most} requests are answered at once and as many are asked; try again later");
    Refusal::whole("busy", detail)
}

/// The refusal of a long question that takes too long.
#[must_use]
pub fn too_late(longest: Duration) -> Refusal {
    Refusal::whole("took-too-long", format!("the answer was not there after {} ms", longest.as_millis()))
}

/// One more in a gauge as long as it lives.
#[derive(Debug)]
pub struct Counted(IntGauge);

impl Counted {
    fn new(gauge: &IntGauge) -> Self {
        gauge.inc();
        Self(gauge.clone())
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        self.0.dec();
    }
}

/// The queue of a worker: connections that have something to read, one after the other. A mark put behind all that stand in
/// it comes to its front after as long as a request stands.
#[derive(Debug, Default)]
struct Queue {
    marked: Cell<Option<Instant>>,
    /// When the last one was put.
    put: Cell<Option<Instant>>,
    before: Cell<Option<(Instant, Duration)>>,
    since: Cell<u32>,
}

thread_local! {
    static QUEUE: Queue = const {
        Queue { marked: Cell::new(None), put: Cell::new(None), before: Cell::new(None), since: Cell::new(0) }
    };
}

/// How long a request that is taken up now has stood, as far as the last two marks tell; nothing where the queue was short.
fn stood() -> Duration {
    QUEUE.with(|queue| {
        let now = Instant::now();
        // What the last mark told holds for as long as it stood itself: those behind it stood about as long.
        let before = queue.before.get().filter(|(came, stood)| now.duration_since(*came) <= *stood);
        let before = before.map_or(Duration::ZERO, |(_, stood)| stood);
        let Some(marked) = queue.marked.get() else {
            if queue.put.get().is_some_and(|put| now.duration_since(put) < BETWEEN_MARKS) {
                return before;
            }
            queue.put.set(Some(now));
            queue.marked.set(Some(now));
            queue.since.set(0);
            actix_web::rt::spawn(async move { QUEUE.with(|queue| queue.came(marked_at(now))) });
            return before;
        };
        queue.since.set(queue.since.get().saturating_add(1));
        if queue.since.get() < FEWEST_QUEUED { before } else { before.max(now.duration_since(marked)) }
    })
}

fn marked_at(marked: Instant) -> (Instant, Duration) {
    let now = Instant::now();
    (now, now.duration_since(marked))
}

impl Queue {
    fn came(&self, told: (Instant, Duration)) {
        self.marked.set(None);
        self.before.set((self.since.get() >= FEWEST_QUEUED).then_some(told));
    }
}

/// A mark on a reply to a request that was not taken on: it is counted, and a line in the log would cost what shedding saves.
#[derive(Debug, Clone, Copy)]
pub struct NotTaken;

/// Whether a path is answered whatever the load.
#[must_use]
pub fn exempt(path: &str) -> bool {
    EXEMPT.contains(&path)
}
