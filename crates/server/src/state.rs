use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use desk::{ArtReport, Desk, Picture};

use crate::guard::Guard;
use crate::prices::Typed;
use crate::problem::Problem;
use crate::run::ServeError;
use crate::shell::Room;
use crate::work::{Outcome, Work};

/// What all requests share: the desk, the guard, the work in hand. Cheap to clone.
#[derive(Clone)]
pub struct State {
    inner: Arc<Inner>,
}

struct Inner {
    desk: Desk,
    guard: Guard,
    work: Work,
    notice: Mutex<Option<Notice>>,
    typed: Mutex<Option<Typed>>,
    art: Mutex<Option<Arc<ArtReport>>>,
    outcome: Mutex<Outcome>,
    former: Mutex<Option<Arc<Former>>>,
}

/// Dates and purse as they were before the last thing that was done about dates; kept as long as the page
/// is served.
#[derive(Debug)]
pub(crate) struct Former {
    /// The quantity of the book, as it was.
    pub was: Picture,
}

/// A sentence about what was just done. It stands in the room that shows it first until something
/// else is done, and goes when another room is entered.
#[derive(Debug, Clone)]
pub(crate) struct Notice {
    /// What was done or what stood in the way.
    pub said: String,
    /// What to do, or what became stale.
    pub more: Vec<String>,
    /// Whether the wish was refused.
    pub refused: bool,
    /// The room that showed it first.
    pub shown: Option<Room>,
}

impl State {
    /// A page over `desk` that answers only to `127.0.0.1:port`.
    ///
    /// # Errors
    /// The operating system gives no random bytes for the key.
    pub fn new(desk: Desk, port: u16) -> Result<Self, ServeError> {
        let guard = Guard::new(port).map_err(|why| ServeError::Key(why.to_string()))?;
        Ok(Self {
            inner: Arc::new(Inner {
                desk,
                guard,
                work: Work::default(),
                notice: Mutex::default(),
                typed: Mutex::default(),
                art: Mutex::default(),
                outcome: Mutex::default(),
                former: Mutex::default(),
            }),
        })
    }

    /// The address that opens the page, with its key: `http://127.0.0.1:PORT/enter?token=…`.
    pub fn entrance(&self) -> String {
        self.inner.guard.entrance()
    }

    pub(crate) fn desk(&self) -> &Desk {
        &self.inner.desk
    }

    pub(crate) fn guard(&self) -> &Guard {
        &self.inner.guard
    }

    pub(crate) fn work(&self) -> &Work {
        &self.inner.work
    }

    pub(crate) fn leave_notice(&self, notice: Notice) {
        *hold(&self.inner.notice) = Some(notice);
    }

    /// The sentence as this room shows it.
    pub(crate) fn notice(&self, room: Room) -> Option<Notice> {
        let mut kept = hold(&self.inner.notice);
        kept.as_mut()?.shown.get_or_insert(room);
        if kept.as_ref()?.shown != Some(room) {
            *kept = None;
        }
        kept.clone()
    }

    pub(crate) fn keep_former(&self, former: Former) {
        *hold(&self.inner.former) = Some(Arc::new(former));
    }

    pub(crate) fn former(&self) -> Option<Arc<Former>> {
        hold(&self.inner.former).clone()
    }

    /// What was typed in *Prices* and is not kept, since something in it is doubtful or refused.
    pub(crate) fn typed(&self) -> MutexGuard<'_, Option<Typed>> {
        hold(&self.inner.typed)
    }

    pub(crate) fn art(&self) -> Option<Arc<ArtReport>> {
        hold(&self.inner.art).clone()
    }

    pub(crate) fn keep_art(&self, report: ArtReport) -> Arc<ArtReport> {
        let report = Arc::new(report);
        *hold(&self.inner.art) = Some(Arc::clone(&report));
        report
    }

    pub(crate) fn outcome(&self) -> MutexGuard<'_, Outcome> {
        hold(&self.inner.outcome)
    }

    /// Calls the desk away from the threads that answer requests, since it reads and computes.
    pub(crate) async fn call<T, F>(&self, call: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&Self) -> Result<T, Problem> + Send + 'static,
    {
        let state = self.clone();
        match tokio::task::spawn_blocking(move || call(&state)).await {
            Ok(answer) => answer,
            Err(_) => Err(Problem::own_fault()),
        }
    }
}

/// A value behind a lock stays usable after another thread broke off: each is replaced whole.
fn hold<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}
