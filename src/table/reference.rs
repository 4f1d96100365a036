//! Reference intakes.
