//! Room `figures`.
