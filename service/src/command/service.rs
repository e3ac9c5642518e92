//! The running service of `--server`: how it is reached, and by whom it is asked.

use crate::settings::Ask;
use std::io;
use std::time::Duration;
use ureq::tls::{Certificate, RootCerts, TlsConfig};
use ureq::{Agent, RequestBuilder, typestate};

/// Exit code where the service did not answer.
pub const NO_ANSWER: u8 = 4;
/// The variable that may hold the token.
const TOKEN: &str = "BRIMLINE_TOKEN";
/// How long a connection may take, and the service to say or take something more.
const CONNECTED_WITHIN: Duration = Duration::from_secs(10);
const SILENT_FOR: Duration = Duration::from_secs(120);

/// Why a service cannot be asked with these settings.
#[derive(Debug, thiserror::Error)]
pub enum ServerFault {
    #[error("{0} cannot be read: {1}")]
    Read(String, io::Error),
    #[error(
        "with `--server` the service decides whether rules may be laxer: leave `--allow-relaxed-rules` off"
    )]
    Relaxed,
    #[error("a token is one word of visible ASCII characters; the one of {0} is not")]
    Token(String),
}

/// A running service.
pub struct Service {
    agent: Agent,
    base: String,
    authorization: Option<String>,
}

impl Service {
    /// The service that the settings name.
    pub fn of(settings: &Ask) -> Result<Option<Self>, ServerFault> {
        let Some(server) = &settings.server else { return Ok(None) };
        if settings.allow_relaxed_rules {
            return Err(ServerFault::Relaxed);
        }
        let config = Agent::config_builder()
            .http_status_as_error(false)
            // A token goes to the named service alone.
            .max_redirects(0)
            // A connection that was kept is often closed when the next part is ready.
            .max_idle_connections(0)
            .timeout_connect(Some(CONNECTED_WITHIN))
            .timeout_per_read(Some(SILENT_FOR))
            .timeout_per_write(Some(SILENT_FOR))
            .user_agent(concat!("brimline/", env!("CARGO_PKG_VERSION")))
            .tls_config(TlsConfig::builder().root_certs(trusted(server)).build())
            .build();
        let authorization = token(settings)?.map(|token| format!("Bearer {token}"));
        Ok(Some(Self { agent: config.into(), base: server.clone(), authorization }))
    }

    /// The address of a path.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    /// A request with a body.
    pub fn post(&self, url: &str) -> RequestBuilder<typestate::WithBody> {
        self.known(self.agent.post(url))
    }

    /// A request without one.
    pub fn get(&self, url: &str) -> RequestBuilder<typestate::WithoutBody> {
        self.known(self.agent.get(url))
    }

    fn known<B>(&self, request: RequestBuilder<B>) -> RequestBuilder<B> {
        match &self.authorization {
            Some(authorization) => request.header("authorization", authorization),
            None => request,
        }
    }
}

/// The certificates that the machine trusts, among them those of a school's own authority; where it has none, the public ones.
fn trusted(server: &str) -> RootCerts {
    if !server.starts_with("https:") {
        return RootCerts::WebPki;
    }
    let own = rustls_native_certs::load_native_certs().certs;
    if own.is_empty() {
        return RootCerts::WebPki;
    }
    own.iter().map(|one| Certificate::from_der(one).to_owned()).collect::<Vec<_>>().into()
}

fn token(settings: &Ask) -> Result<Option<String>, ServerFault> {
    let (text, from) = match &settings.token_from {
        Some(file) => {
            let name = file.display().to_string();
            (std::fs::read_to_string(file).map_err(|error| ServerFault::Read(name.clone(), error))?, name)
        }
        None => match std::env::var_os(TOKEN) {
            Some(text) => (text.to_string_lossy().into_owned(), TOKEN.to_owned()),
            None => return Ok(None),
        },
    };
    let token = text.trim();
    if token.is_empty() || !token.bytes().all(|byte| byte.is_ascii_graphic()) {
        return Err(ServerFault::Token(from));
    }
    Ok(Some(token.to_owned()))
}
