//! TLS: the certificate and its key, read at the start and anew on SIGHUP.

use rustls::ServerConfig;
use rustls::crypto::{CryptoProvider, ring};
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use std::fs;
use std::io;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError, RwLock};

/// Permission bit: others may read.
const OTHERS_READ: u32 = 0o004;

/// What the service shows to those who connect.
#[derive(Debug)]
pub struct Certificate {
    cert: PathBuf,
    key: PathBuf,
    provider: Arc<CryptoProvider>,
    shown: RwLock<Arc<CertifiedKey>>,
}

impl Certificate {
    /// Reads both files.
    ///
    /// # Errors
    /// One of them is not taken, or they do not belong together; the text says which and why.
    pub fn new(cert: PathBuf, key: PathBuf) -> io::Result<Arc<Self>> {
        let provider = Arc::new(ring::default_provider());
        let shown = read(&cert, &key, &provider)?;
        Ok(Arc::new(Self { cert, key, provider, shown: RwLock::new(Arc::new(shown)) }))
    }

    /// Reads both files anew; if that fails, connections go on seeing what they saw.
    pub fn read_again(&self) {
        match read(&self.cert, &self.key, &self.provider) {
            Ok(read) => {
                tracing::info!("the certificate was read anew");
                *self.shown.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(read);
            }
            Err(error) => tracing::error!(%error, "the certificate stays as it was"),
        }
    }

    /// What is shown now.
    #[must_use]
    pub fn shown(&self) -> Arc<CertifiedKey> {
        Arc::clone(&self.shown.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// How the server speaks TLS.
    ///
    /// # Errors
    /// None that a caller causes.
    pub fn config(self: &Arc<Self>) -> io::Result<ServerConfig> {
        let config = ServerConfig::builder_with_provider(Arc::clone(&self.provider))
            .with_safe_default_protocol_versions()
            .map_err(io::Error::other)?
            .with_no_client_auth();
        Ok(config.with_cert_resolver(Arc::<Self>::clone(self)))
    }
}

impl ResolvesServerCert for Certificate {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(self.shown())
    }
}

fn read(cert: &Path, key: &Path, provider: &CryptoProvider) -> io::Result<CertifiedKey> {
    let fault = |file: &Path, what: String| io::Error::other(format!("{}: {what}", file.display()));
    let chain: Vec<_> = CertificateDer::pem_file_iter(cert)
        .and_then(Iterator::collect)
        .map_err(|error| fault(cert, format!("the certificate cannot be read: {error}")))?;
    if chain.is_empty() {
        return Err(fault(
            cert,
            "there is no certificate in it; it is a PEM file with the chain, the service's own first"
                .to_owned(),
        ));
    }
    let secret = PrivateKeyDer::from_pem_file(key)
        .map_err(|error| fault(key, format!("the key cannot be read, it is a PEM file: {error}")))?;
    if fs::metadata(key).is_ok_and(|about| about.permissions().mode() & OTHERS_READ != 0) {
        tracing::warn!(file = %key.display(), "everybody on this machine may read the key");
    }
    CertifiedKey::from_der(chain, secret, provider).map_err(|error| match error {
        rustls::Error::InconsistentKeys(_) => {
            fault(key, format!("this key does not belong to the certificate {}", cert.display()))
        }
        error => fault(cert, format!("certificate and key cannot be used: {error}")),
    })
}
