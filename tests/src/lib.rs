//! What the three test binaries share.
