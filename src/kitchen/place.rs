//! A place in a file.

/// A place in a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct At {
    /// Position in the list of sources.
    pub(crate) file: u32,
    /// Byte offset.
    pub(crate) start: u32,
    /// Bytes.
    pub(crate) len: u32,
    /// Line, from 1; 0 for the file as a whole.
    pub(crate) line: u32,
    /// Column, from 1.
    pub(crate) column: u32,
}

impl At {
    /// Returns the place "somewhere in this file".
    pub(crate) fn file(file: usize) -> Self {
        Self {
            file: file as u32,
            ..Self::default()
        }
    }

    /// Returns the place of the kitchen as a whole.
    pub(crate) fn nowhere() -> Self {
        Self {
            file: u32::MAX,
            ..Self::default()
        }
    }
}
