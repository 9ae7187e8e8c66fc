//! All
