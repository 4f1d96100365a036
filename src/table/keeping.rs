//! Keeping figures.
