//! Placeholder: being written.
