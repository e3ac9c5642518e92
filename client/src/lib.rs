//! Typed client of the Brimline service.
