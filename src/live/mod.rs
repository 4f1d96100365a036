//! The week on one screen, solved again at every change: what a cook asks and undoes ([`asking`],
//! [`session`]), what is found ([`found`]), what is shown ([`view`]), who may ask ([`guard`]), and
//! the one part that takes in and gives out ([`server`]).
//!
//! Kept: a question has a number, and an answer to an older one changes nothing; whatever is asked
//! here a command line asks too, and gets the same week; nothing is written but what *keep as rules*
//! showed before. Files, the clock and what is printed are the host's ([`Host`]).

pub mod asking;
pub mod difference;
pub mod found;
pub mod guard;
pub mod keep;
mod phrases;
pub mod server;
pub mod session;
mod store;
pub mod view;

use std::time::Duration;

use crate::larder::Larder;

/// What a screen is for: the kitchen's files, the clock and the search's means.
pub trait Host: Send + Sync {
    /// Reads the kitchen.
    ///
    /// # Errors
    /// What is wrong with its files, as text.
    fn read(&self) -> Result<Larder, String>;

    /// Returns something that differs once the kitchen's files do.
    fn stamp(&self) -> u64;

    /// Returns the names of the kitchen's files and their texts; none where nothing may be kept.
    fn texts(&self) -> Vec<(String, String)>;

    /// Reads the kitchen as it would be with this text in the place of one of its files.
    ///
    /// # Errors
    /// What would be wrong, as text.
    fn read_with(&self, name: &str, text: &str) -> Result<Larder, String>;

    /// Writes a text in the place of one of the kitchen's files, whole or not at all.
    ///
    /// # Errors
    /// Why nothing was written.
    fn write(&self, name: &str, text: &str) -> Result<(), String>;

    /// Returns the time since some moment; it never goes back.
    fn now(&self) -> Duration;

    /// How long a search may take.
    fn limit(&self) -> Duration;

    /// Threads to search with; 0 is all.
    fn threads(&self) -> usize;

    /// The kitchen's folder as a command line names it; none for the demo.
    fn folder(&self) -> Option<String>;
}
