//! What was made for looking and is kept for the next look, within one bound of memory.

use std::collections::{HashMap, VecDeque};
use std::hash::Hash;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use crate::DeskError;

/// Lets a few in at a time.
#[derive(Default)]
pub(super) struct Gate {
    inside: Mutex<usize>,
    left: Condvar,
}

/// Is inside until it is dropped.
pub(super) struct Inside<'a>(&'a Gate);

/// Previews and thumbnails that are made at once; others wait.
const AT_ONCE: usize = 2;

impl Gate {
    pub(super) fn enter(&self) -> Inside<'_> {
        let mut inside = locked(&self.inside);
        while *inside >= AT_ONCE {
            inside = self
                .left
                .wait(inside)
                .unwrap_or_else(PoisonError::into_inner);
        }
        *inside += 1;
        Inside(self)
    }
}

impl Drop for Inside<'_> {
    fn drop(&mut self) {
        *locked(&self.0.inside) -= 1;
        self.0.left.notify_one();
    }
}

/// What is kept says how large it is.
pub(super) trait Bytes {
    fn bytes(&self) -> usize;
}

/// What is being made is waited for; what could not be made is tried again.
type Slot<T> = Arc<Mutex<Option<Arc<T>>>>;

/// Made things by name; what was not looked at for the longest time is forgotten first.
pub(super) struct Kept<K, T> {
    shelf: Mutex<Shelf<K, T>>,
    most_bytes: usize,
}

struct Shelf<K, T> {
    slots: HashMap<K, Slot<T>>,
    /// Last looked at, last in line.
    order: VecDeque<K>,
}

impl<K: Copy + Eq + Hash, T: Bytes> Kept<K, T> {
    pub(super) fn new(most_bytes: usize) -> Self {
        Self {
            shelf: Mutex::new(Shelf {
                slots: HashMap::new(),
                order: VecDeque::new(),
            }),
            most_bytes,
        }
    }

    /// The thing of a name, made if it is not kept.
    pub(super) fn get(
        &self,
        name: K,
        make: impl FnOnce() -> Result<T, DeskError>,
    ) -> Result<Arc<T>, DeskError> {
        let slot = {
            let mut shelf = locked(&self.shelf);
            shelf.order.retain(|known| *known != name);
            shelf.order.push_back(name);
            shelf.slots.entry(name).or_default().clone()
        };
        let mut inside = locked(&slot);
        if let Some(made) = &*inside {
            return Ok(made.clone());
        }
        let made = match make() {
            Ok(made) => Arc::new(made),
            Err(error) => {
                drop(inside);
                self.forget(name);
                return Err(error);
            }
        };
        *inside = Some(made.clone());
        drop(inside);
        self.make_room();
        Ok(made)
    }

    fn forget(&self, name: K) {
        let mut shelf = locked(&self.shelf);
        shelf.slots.remove(&name);
        shelf.order.retain(|known| *known != name);
    }

    fn make_room(&self) {
        let mut shelf = locked(&self.shelf);
        let bytes = |slot: &Slot<T>| match slot.try_lock() {
            Ok(made) => made.as_ref().map_or(0, |made| made.bytes()),
            // Being made: counted when it is done.
            Err(_) => 0,
        };
        let mut total: usize = shelf.slots.values().map(bytes).sum();
        while total > self.most_bytes && shelf.order.len() > 1 {
            let Some(oldest) = shelf.order.pop_front() else {
                return;
            };
            if let Some(slot) = shelf.slots.remove(&oldest) {
                total -= bytes(&slot).min(total);
            }
        }
    }
}

pub(super) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Bytes for Vec<u8> {
        fn bytes(&self) -> usize {
            self.len()
        }
    }

    #[test]
    fn the_longest_unseen_is_forgotten_first_and_the_newest_never() {
        let kept = Kept::new(100);
        let get = |name: u8, size: usize| {
            let mut made = false;
            kept.get(name, || {
                made = true;
                Ok(vec![0; size])
            })
            .unwrap();
            made
        };
        assert!(get(1, 40) && get(2, 40));
        assert!(!get(1, 40));
        assert!(get(3, 40));
        assert!(!get(1, 40) && get(2, 40));
        assert!(get(4, 500));
        assert!(!get(4, 500));
        assert!(get(1, 40));
    }

    #[test]
    fn what_failed_is_tried_again() {
        let kept: Kept<u8, Vec<u8>> = Kept::new(100);
        assert!(kept.get(1, || Err(DeskError::stopped("it"))).is_err());
        assert!(kept.get(1, || Ok(vec![1])).is_ok());
    }
}
