//! Work on several items at once, handed over in order, within a bound of memory.

use std::collections::BTreeMap;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// How much may be in work at once.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Load {
    /// Threads that make items.
    pub workers: usize,
    /// Most bytes that items in making may need together. A single larger item is made alone.
    pub bytes: u64,
}

struct State<T, E> {
    next: usize,
    taken: usize,
    bytes: u64,
    making: usize,
    ready: BTreeMap<usize, Result<T, E>>,
    halted: bool,
}

struct Shared<T, E> {
    state: Mutex<State<T, E>>,
    changed: Condvar,
}

impl<T, E> Shared<T, E> {
    fn lock(&self) -> MutexGuard<'_, State<T, E>> {
        // A panic elsewhere halts the whole run; the numbers in here stay usable.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wait<'a>(&self, state: MutexGuard<'a, State<T, E>>) -> MutexGuard<'a, State<T, E>> {
        self.changed
            .wait(state)
            .unwrap_or_else(PoisonError::into_inner)
    }
}

/// Halts the run when the thread that holds it unwinds, so that nobody waits for it for ever.
struct HaltOnPanic<'a, T, E>(&'a Shared<T, E>);

impl<T, E> Drop for HaltOnPanic<'_, T, E> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.lock().halted = true;
            self.0.changed.notify_all();
        }
    }
}

/// Makes items on several threads and takes them, in order, on this one.
///
/// `needs[i]` is how many bytes item `i` needs while it is made. No more items wait to be taken
/// than there are workers. The first error, in order, ends the run.
pub(crate) fn run<T: Send, E: Send>(
    needs: &[u64],
    load: Load,
    make: impl Fn(usize) -> Result<T, E> + Sync,
    mut take: impl FnMut(usize, T) -> Result<(), E>,
) -> Result<(), E> {
    let shared = Shared {
        state: Mutex::new(State {
            next: 0,
            taken: 0,
            bytes: 0,
            making: 0,
            ready: BTreeMap::new(),
            halted: false,
        }),
        changed: Condvar::new(),
    };
    std::thread::scope(|scope| {
        for _ in 0..load.workers.max(1).min(needs.len()) {
            scope.spawn(|| work(&shared, needs, load, &make));
        }
        let _halt = HaltOnPanic(&shared);
        let result = hand_over(&shared, needs.len(), &mut take);
        shared.lock().halted = true;
        shared.changed.notify_all();
        result
    })
}

fn work<T, E>(
    shared: &Shared<T, E>,
    needs: &[u64],
    load: Load,
    make: &(impl Fn(usize) -> Result<T, E> + Sync),
) {
    let _halt = HaltOnPanic(shared);
    loop {
        let mut state = shared.lock();
        let item = loop {
            if state.halted || state.next == needs.len() {
                return;
            }
            // Items begin in order, so that the one that is waited for never waits for room that
            // later ones hold.
            let item = state.next;
            let near = item < state.taken + 2 * load.workers.max(1);
            let fits = state.making == 0 || state.bytes + needs[item] <= load.bytes;
            if near && fits {
                break item;
            }
            state = shared.wait(state);
        };
        state.next += 1;
        state.making += 1;
        state.bytes += needs[item];
        drop(state);
        let made = make(item);
        let mut state = shared.lock();
        state.making -= 1;
        state.bytes -= needs[item];
        state.ready.insert(item, made);
        drop(state);
        shared.changed.notify_all();
    }
}

fn hand_over<T, E>(
    shared: &Shared<T, E>,
    count: usize,
    take: &mut impl FnMut(usize, T) -> Result<(), E>,
) -> Result<(), E> {
    for item in 0..count {
        let mut state = shared.lock();
        let made = loop {
            if let Some(made) = state.ready.remove(&item) {
                break made;
            }
            if state.halted {
                // Only a panic halts the run before all is taken; the scope passes it on.
                return Ok(());
            }
            state = shared.wait(state);
        };
        drop(state);
        take(item, made?)?;
        shared.lock().taken = item + 1;
        shared.changed.notify_all();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicU64, Ordering};

    const LOAD: Load = Load {
        workers: 3,
        bytes: 100,
    };

    #[test]
    fn items_arrive_in_order_whatever_order_they_are_made_in() {
        let mut got = Vec::new();
        run::<_, ()>(
            &[1; 40],
            LOAD,
            |item| {
                std::thread::sleep(std::time::Duration::from_micros(
                    (40 - item as u64) * 37 % 900,
                ));
                Ok(item)
            },
            |item, made| {
                assert_eq!(item, made);
                got.push(made);
                Ok(())
            },
        )
        .unwrap();
        assert_eq!(got, (0..40).collect::<Vec<_>>());
    }

    #[test]
    fn memory_stays_within_the_bound_unless_one_item_alone_is_larger() {
        let needs: Vec<u64> = (0..60).map(|item| 20 + item * 7 % 90).collect();
        let (now, most) = (AtomicU64::new(0), AtomicU64::new(0));
        run::<_, ()>(
            &needs,
            LOAD,
            |item| {
                let at = now.fetch_add(needs[item], Ordering::SeqCst) + needs[item];
                most.fetch_max(at, Ordering::SeqCst);
                std::thread::sleep(std::time::Duration::from_micros(200));
                now.fetch_sub(needs[item], Ordering::SeqCst);
                Ok(())
            },
            |_, ()| Ok(()),
        )
        .unwrap();
        let alone = *needs.iter().max().unwrap();
        assert!(most.load(Ordering::SeqCst) <= LOAD.bytes.max(alone));
    }

    #[test]
    fn the_first_error_ends_the_run() {
        let made = AtomicU64::new(0);
        let result = run(
            &[1; 1000],
            LOAD,
            |item| {
                made.fetch_add(1, Ordering::SeqCst);
                if item == 5 { Err("five") } else { Ok(()) }
            },
            |_, ()| Ok(()),
        );
        assert_eq!(result, Err("five"));
        assert!(made.load(Ordering::SeqCst) < 20);
    }

    #[test]
    #[should_panic(expected = "a scoped thread panicked")]
    fn a_panic_is_passed_on_and_nobody_waits_for_ever() {
        let _ = run::<(), ()>(
            &[1; 10],
            LOAD,
            |item| {
                assert!(item != 3, "our own bug");
                Ok(())
            },
            |_, ()| Ok(()),
        );
    }
}
