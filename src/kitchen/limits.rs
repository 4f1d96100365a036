//! Limits on what is read. None is an option: they keep a hostile or mistaken folder from
//! taking the machine's memory. Those of a larder hold for files as for everything else.

pub(crate) use crate::larder::limits::*;

/// Bytes of one file.
pub(crate) const FILE_BYTES: u64 = 8 << 20;
/// Bytes of all files together.
pub(crate) const FOLDER_BYTES: u64 = 64 << 20;
/// Files in a folder.
pub(crate) const FILES: usize = 1_000;
/// Keys, values, lists and mappings of all files together: some twenty times the bytes they are
/// written with are needed to keep the smallest.
pub(crate) const VALUES: usize = 1_000_000;
/// Bytes that steps may take, and what they need, with steps, tags, equipment and foods where they
/// are copied to what uses them: what stands in a component is part of every component it is in.
pub(crate) const UNFOLDED_BYTES: usize = 128 << 20;
/// Lists and mappings inside each other.
pub(crate) const NESTING: usize = 32;
/// Entries of any other list.
pub(crate) const LIST: usize = 1_000;
/// Tags, allergens or equipment of one entry.
pub(crate) const WORDS: usize = 100;
/// Own measures of a food or component.
pub(crate) const MEASURES: usize = 60;
/// Nutrition rules.
pub(crate) const NUTRITION: usize = 100;
/// Characters of a name.
pub(crate) const NAME: usize = 300;
/// Characters of a step or source.
pub(crate) const PROSE: usize = 5_000;
