//! Room `library`.
