//! Starting, draining and stopping.
//!
//! actix refuses new connections at once on a signal, so that `/readyz` would never be seen as 503: its own signals
//! are off; a flag, a delay and then the stop do what the contract says.

use super::observe::{Metrics, observe};
use super::routes;
use crate::settings::Serve;
use actix_web::dev::ServerHandle;
use actix_web::middleware::{Condition, from_fn};
use actix_web::{App, HttpServer, web};
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

/// Connections held at once, over all workers.
const MOST_CONNECTIONS: usize = 10_000;

/// What every handler can see.
#[derive(Debug)]
pub struct State {
    /// The settings.
    pub settings: Serve,
    /// Whether the service is about to stop.
    pub draining: AtomicBool,
    /// What is counted.
    pub metrics: Metrics,
}

/// Begins to drain, as a signal does; a second call ends at once.
#[derive(Debug, Clone)]
pub struct Stopper {
    state: Arc<State>,
    handle: ServerHandle,
    asked: Arc<AtomicUsize>,
}

impl Stopper {
    /// `/readyz` turns 503 for the drain delay, then no new connections; what is in flight finishes.
    pub async fn drain(&self) {
        if self.asked.fetch_add(1, Ordering::SeqCst) > 0 {
            self.handle.stop(false).await;
            return;
        }
        self.state.draining.store(true, Ordering::SeqCst);
        tracing::info!(drain_delay_ms = self.state.settings.drain_delay_ms, "draining");
        tokio::time::sleep(Duration::from_millis(self.state.settings.drain_delay_ms)).await;
        self.handle.stop(true).await;
    }
}

/// Serves until it is stopped; blocks.
///
/// # Errors
/// The address cannot be listened on.
pub fn run(settings: Serve, ready: impl FnOnce(SocketAddr, Stopper)) -> io::Result<()> {
    actix_web::rt::System::new().block_on(serve(settings, ready))
}

async fn serve(settings: Serve, ready: impl FnOnce(SocketAddr, Stopper)) -> io::Result<()> {
    let metrics = Metrics::new().map_err(io::Error::other)?;
    let state = Arc::new(State { settings, draining: AtomicBool::new(false), metrics });
    let settings = &state.settings;
    let data = web::Data::from(Arc::clone(&state));
    let own = settings.metrics_listen.is_none();
    let origins = settings.allow_origin.clone();
    let workers = settings
        .workers
        .unwrap_or_else(|| std::thread::available_parallelism().map_or(1, usize::from))
        .max(1);
    let server = HttpServer::new(move || {
        App::new()
            .app_data(data.clone())
            .wrap(from_fn(observe))
            .wrap(Condition::new(!origins.is_empty(), cors(&origins)))
            .configure(|config| routes::routes(config, own))
    })
    .workers(workers)
    .max_connections(MOST_CONNECTIONS.div_ceil(workers))
    .client_request_timeout(Duration::from_millis(settings.header_timeout_ms))
    .shutdown_timeout(settings.shutdown_timeout_ms.div_ceil(1000))
    .disable_signals()
    .bind(settings.listen)?;
    let address = server.addrs().first().copied().unwrap_or(settings.listen);
    let server = server.run();
    let stopper = Stopper { state: Arc::clone(&state), handle: server.handle(), asked: Arc::default() };
    metrics_server(&state)?;
    actix_web::rt::spawn(on_signals(stopper.clone()));
    ready(address, stopper);
    server.await
}

/// The separate server of `--metrics-listen`; it ends with the process.
fn metrics_server(state: &Arc<State>) -> io::Result<()> {
    let Some(listen) = state.settings.metrics_listen else { return Ok(()) };
    let data = web::Data::from(Arc::clone(state));
    let server = HttpServer::new(move || App::new().app_data(data.clone()).configure(routes::metrics));
    let server = server.workers(1).disable_signals().bind(listen)?.run();
    actix_web::rt::spawn(server);
    Ok(())
}

fn cors(origins: &[String]) -> actix_cors::Cors {
    let cors = actix_cors::Cors::default()
        .allowed_methods(["GET", "HEAD", "POST"])
        .allowed_headers(["content-type", "accept", "if-none-match", "x-request-id"])
        .expose_headers(["etag", "x-request-id", "link"])
        .max_age(600);
    origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
}

/// The first SIGTERM or SIGINT drains, the second ends at once.
async fn on_signals(stopper: Stopper) {
    use tokio::signal::unix::{SignalKind, signal};
    let (Ok(mut term), Ok(mut int)) = (signal(SignalKind::terminate()), signal(SignalKind::interrupt()))
    else {
        tracing::error!("signals cannot be heard: stop the process by force");
        return;
    };
    loop {
        tokio::select! {
            _ = term.recv() => {}
            _ = int.recv() => {}
        }
        if stopper.state.draining.load(Ordering::SeqCst) {
            std::process::exit(1);
        }
        let stopper = stopper.clone();
        actix_web::rt::spawn(async move { stopper.drain().await });
        // The spawned task sets the flag on its first turn; a second signal must find it set.
        actix_web::rt::task::yield_now().await;
    }
}
