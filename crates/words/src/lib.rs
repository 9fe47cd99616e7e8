//! Room `words`.
