//! Lists that clones share.

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// A list that clones share until one of them changes it: a change of a kitchen copies what it
/// touches and no more, and what is still shared is known to be as it was.
#[derive(Debug)]
pub struct List<T>(Arc<Vec<T>>);

impl<T> List<T> {
    /// Returns whether both are one list in memory: then neither was changed since they parted.
    pub(super) fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl<T> Clone for List<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> Default for List<T> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<T> From<Vec<T>> for List<T> {
    fn from(list: Vec<T>) -> Self {
        Self(Arc::new(list))
    }
}

impl<T, const N: usize> From<[T; N]> for List<T> {
    fn from(list: [T; N]) -> Self {
        Vec::from(list).into()
    }
}

impl<T> FromIterator<T> for List<T> {
    fn from_iter<I: IntoIterator<Item = T>>(list: I) -> Self {
        list.into_iter().collect::<Vec<T>>().into()
    }
}

impl<T> Deref for List<T> {
    type Target = Vec<T>;

    fn deref(&self) -> &Vec<T> {
        &self.0
    }
}

/// Copies the list first if others share it.
impl<T: Clone> DerefMut for List<T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        Arc::make_mut(&mut self.0)
    }
}

impl<'a, T> IntoIterator for &'a List<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<'a, T: Clone> IntoIterator for &'a mut List<T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

#[cfg(test)]
mod tests {
    use super::List;

    #[test]
    fn a_list_is_another_only_until_one_of_them_is_changed() {
        let list = List::from([1, 2]);
        let mut other = list.clone();
        assert!(other.is(&list));
        other[0] = 3;
        assert!(!other.is(&list));
        assert_eq!((list[0], other[0]), (1, 3));
        // Changed back it is not known to be the same: what is told apart is told for good.
        other[0] = 1;
        assert!(!other.is(&list));
    }
}
