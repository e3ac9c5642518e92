//! The contract over real HTTP: every operation, every kind of refusal, headers, caching, the document, stopping.

mod access;
mod batch;
mod client;
mod coded;
mod deploy;
mod document;
mod document_3_0;
mod examples;
mod faults;
mod golden;
mod house;
mod lists;
mod operations;
mod overload;
mod pictures;
mod rates;
mod recheck;
mod records;
mod refusals;
mod server;
mod sheet;
mod standing_still;
mod stopping;
mod tls;
mod versions;
