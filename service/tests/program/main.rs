//! The program as a process: who may ask, what it logs, what signals do.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test fails that way")]

mod access;
mod child;
mod log;
#[cfg(feature = "otel")]
mod otel;
mod signals;
