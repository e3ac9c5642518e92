//! Settings on who may ask, and over what.

use clap::builder::BoolishValueParser;
use clap::{ArgAction, Args};
use std::path::PathBuf;

/// Who may ask, and over what.
#[derive(Debug, Clone, Default, Args)]
pub struct Protection {
    /// File of the callers that may ask, `NAME sha256:HEX` a line (`brimline token NAME` makes one); read anew on SIGHUP.
    #[arg(long, env = "BRIMLINE_TOKEN_FILE", value_name = "FILE")]
    pub token_file: Option<PathBuf>,
    /// Listen on an address that is not loopback without a token file: whoever reaches it may ask.
    #[arg(long, env = "BRIMLINE_OPEN_TO_NETWORK", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub open_to_network: bool,
    /// Speak TLS: PEM file of the certificate and its chain, the service's own first; read anew on SIGHUP.
    #[arg(long, env = "BRIMLINE_TLS_CERT", value_name = "FILE", requires = "tls_key")]
    pub tls_cert: Option<PathBuf>,
    /// PEM file of the certificate's key; read anew on SIGHUP.
    #[arg(long, env = "BRIMLINE_TLS_KEY", value_name = "FILE", requires = "tls_cert")]
    pub tls_key: Option<PathBuf>,
}

/// Settings of `brimline token`.
#[derive(Debug, Clone, Args)]
pub struct Token {
    /// Who the token is for: 1 to 64 letters, digits, `.`, `_` and `-`; it stands in the log.
    pub name: String,
}
