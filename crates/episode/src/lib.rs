//! Room `episode`.
