//! How many to print: quantities side by side, what one of them does to price, dates, cash and room, plans
//! that are kept, offers, and what sales teach.

mod cash;
mod moving;
mod picture;
mod remarks;
mod sales;
mod stage;

use std::sync::{Arc, PoisonError};

use book::Book;
use book::cartons::Carton;
use book::object::Object;
use edition::dates::Foretold;
use edition::quantity::{
    Around, Cost, Draws, Ground, Held, Offer, Paid, QuantityError, Sales, Sheet, When,
};
use jiff::civil::Date;
use measure::Money;

pub use cash::CashView;
pub use moving::MovingView;
pub use picture::Picture;
use remarks::{remarks, rests_on};
pub use sales::{SaleTold, SaleView};
pub(crate) use stage::stage;

use crate::dates;
use crate::digest::Digest;
use crate::standing::Standing;
use crate::{Desk, DeskError, Edited, RunCost, moment};

/// Where chance begins: the same for every look, so that only decisions move the figures.
const SEED: u64 = 20_261_126;
/// Histories of the calendar: in full, and while something moves.
const FULL: u32 = 100_000;
const MOVING: u32 = 4_000;
/// Quantities that are laid side by side, beside those that somebody asked for.
const QUANTITIES: u64 = 40;

/// How many to print.
#[derive(Debug, Clone)]
pub struct QuantityView {
    /// Today.
    pub today: Date,
    /// What the choice stands on.
    pub ground: Ground,
    /// Copies wanted in all, the pledged ones among them: in one of twenty histories fewer, in half, in one
    /// of twenty more, and the mean.
    pub wanted: edition::quantity::Spread,
    /// Quantities side by side.
    pub sheet: Sheet,
    /// The best quantity as one picture.
    pub best: Picture,
    /// The quantity that is looked at as one picture: the one asked for, or that of the book, or the best.
    pub looked_at: Picture,
    /// Plans that are kept.
    pub plans: Vec<PlanView>,
    /// Publishers' offers, held against the best quantity.
    pub offers: Vec<(Offer, Held)>,
    /// Sales that are known, oldest first, taken back or not.
    pub sales: Vec<SaleView>,
    /// Where the costs come from, in a sentence.
    pub rests_on: String,
    /// What is to be known before anything is decided, each in a sentence.
    pub remarks: Vec<String>,
    /// The day by which the chance to sell out is asked, if the book names one.
    pub sold_out_by: Option<Date>,
}

/// A plan that is kept.
#[derive(Debug, Clone)]
pub struct PlanView {
    /// As the book file has it.
    pub wish: book::PlanWish,
    /// What it does; a sentence where it cannot be reckoned.
    pub picture: Result<Picture, String>,
}

/// Quantities side by side, and two of them looked at.
struct Weighed {
    sheet: Sheet,
    best: Picture,
    looked_at: Picture,
}

/// A demand that was drawn, and what it was drawn from.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    from: String,
    draws: Arc<Draws>,
}

/// What a choice stands on, and what that was reckoned from.
#[derive(Debug, Clone)]
pub(crate) struct Grounded {
    from: (Digest, Vec<Sales>),
    ground: Ground,
}

/// All that every quantity of one look has in common.
struct Look<'b> {
    book: &'b Book,
    ground: Ground,
    draws: Arc<Draws>,
    carton: Carton,
    told: Vec<dates::Told>,
    learned: Vec<Sales>,
    histories: u32,
}

impl Desk {
    /// Lays quantities side by side and looks at one of them: so many copies, or as many as the book asks
    /// for, or the best.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; what is missing in `[edition]`, in the words of
    /// [`edition::quantity::QuantityError`]; no price from anybody and no guess.
    pub fn quantity(&self, copies: Option<u64>) -> Result<QuantityView, DeskError> {
        self.quantity_view(copies, FULL)
    }

    /// Keeps a plan, or changes the one of that name: an edit of the book that can be taken back.
    ///
    /// # Errors
    /// As [`Desk::edit`].
    pub fn keep_plan(&self, name: &str, copies: u64) -> Result<Edited, DeskError> {
        self.say_of("plan", name, &[("copies", &copies.to_string())])
    }

    /// Drops a plan: an edit of the book that can be taken back.
    ///
    /// # Errors
    /// As [`Desk::edit`]; no such plan.
    pub fn drop_plan(&self, name: &str) -> Result<Edited, DeskError> {
        self.take_out("plan", name)
    }

    fn quantity_view(
        &self,
        copies: Option<u64>,
        histories: u32,
    ) -> Result<QuantityView, DeskError> {
        let standing = self.standing()?;
        let book = &standing.snapshot.book;
        let sales = self.sales()?;
        let look = self.look(&standing, &sales, histories)?;
        let Weighed {
            sheet,
            best,
            looked_at,
        } = self.weighed(&look, copies.or(book.ask.copies))?;
        let offers = book
            .edition
            .offers
            .iter()
            .map(|wish| {
                let offer = Offer::of(wish, book, look.ground.currency).map_err(wrong)?;
                let own = sheet.rows[sheet.best].cost;
                let held = offer.held(&look.ground, &look.draws, own, look.carton.room_each());
                Ok((offer, held))
            })
            .collect::<Result<Vec<_>, DeskError>>()?;
        let plans = book
            .edition
            .plans
            .iter()
            .map(|wish| PlanView {
                wish: wish.clone(),
                picture: self.plan(&look, wish).map_err(|error| error.to_string()),
            })
            .collect();
        let wanted = {
            let pledged = look.ground.pledged() as f64;
            let at = |share: f64| pledged + look.draws.quantile(share);
            edition::quantity::Spread {
                mean: pledged + look.draws.mean(),
                low: at(0.05),
                middle: at(0.5),
                high: at(0.95),
            }
        };
        Ok(QuantityView {
            today: moment::today(),
            wanted,
            sold_out_by: look.book.edition.sold_out_by,
            rests_on: rests_on(&best),
            remarks: {
                let mut remarks = remarks(&look, &sheet, &best);
                if sales.iter().any(|sale| !sale.taken_back) && sales::in_hand(&look.told).is_none()
                {
                    remarks.push(
                        "What was sold is taken for the sales of a whole season, since no day is known on which the \
                         books were in hand: foredge dates done in-hand --on DAY"
                            .to_owned(),
                    );
                }
                remarks
            },
            sheet,
            best,
            looked_at,
            plans,
            offers,
            sales,
            ground: look.ground,
        })
    }

    /// Lays quantities side by side and looks at the best and at the one that is said.
    fn weighed(&self, look: &Look<'_>, said: Option<u64>) -> Result<Weighed, DeskError> {
        let grid = grid(look, said);
        let priced = self.priced_runs(look, &grid)?;
        let costs: Vec<Cost> = priced.iter().map(|priced| priced.cost).collect();
        // Where the dates hang on the quantity, the sheet takes those of the one that is looked at.
        let middle = said.unwrap_or_else(|| look.ground.wanted().round().max(1.0) as u64);
        let known = |copies: u64| priced.iter().find(|priced| priced.cost.copies == copies);
        let pictured = |copies: u64| match known(copies) {
            Some(priced) => self.picture_of(look, priced.clone()),
            None => self.picture(look, copies, None),
        };
        let first = pictured(middle)?;
        let around = look.around(&first.when);
        let sheet = Sheet::of(&look.ground, &look.draws, &costs, around).map_err(wrong)?;
        let best_copies = sheet.rows[sheet.best].cost.copies;
        let best = if best_copies == middle {
            first.clone()
        } else {
            pictured(best_copies)?
        };
        let looked_at = match said {
            Some(_) => first,
            None => best.clone(),
        };
        Ok(Weighed {
            sheet,
            best,
            looked_at,
        })
    }

    /// What every quantity of one look has in common.
    fn look<'b>(
        &self,
        standing: &'b Standing,
        sales: &[SaleView],
        histories: u32,
    ) -> Result<Look<'b>, DeskError> {
        let snapshot = &standing.snapshot;
        let book = &snapshot.book;
        let learned = self.learned(book, sales)?;
        let ground = self.ground(standing, &learned)?;
        Ok(Look {
            book,
            draws: self.draws(&ground),
            carton: Carton::of(&Object::of(book, &snapshot.plan)),
            told: self.told()?,
            ground,
            learned,
            histories,
        })
    }

    /// A plan with its own price and days.
    fn plan(&self, look: &Look<'_>, wish: &book::PlanWish) -> Result<Picture, DeskError> {
        let mut book = look.book.clone();
        if let Some(send) = wish.send {
            book.dates.send = Some(send);
        }
        let ground = match wish.price {
            Some(price) => Ground::of(look.book, Some(price), &look.learned).map_err(wrong)?,
            None => look.ground.clone(),
        };
        let look = Look {
            book: &book,
            ground,
            draws: look.draws.clone(),
            told: look.told.clone(),
            learned: look.learned.clone(),
            ..*look
        };
        self.picture(&look, wish.copies, wish.printer.as_deref())
    }

    /// What the choice stands on; reckoned anew only when the book or what was sold changes, since a share
    /// is fitted to each audience's three points.
    fn ground(&self, standing: &Standing, learned: &[Sales]) -> Result<Ground, DeskError> {
        let mut kept = self
            .room
            .ground
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = &*kept
            && known.from.0 == standing.digest
            && known.from.1 == learned
        {
            return Ok(known.ground.clone());
        }
        let ground = Ground::of(&standing.snapshot.book, None, learned).map_err(wrong)?;
        *kept = Some(Grounded {
            from: (standing.digest, learned.to_vec()),
            ground: ground.clone(),
        });
        Ok(ground)
    }

    /// The demand of a ground; drawn anew only when the ground changes.
    fn draws(&self, ground: &Ground) -> Arc<Draws> {
        let from = format!("{:?} {}", ground.audiences, ground.together);
        let mut kept = self
            .room
            .draws
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(drawn) = &*kept
            && drawn.from == from
        {
            return drawn.draws.clone();
        }
        let draws = Arc::new(Draws::of(ground, SEED));
        *kept = Some(Drawn {
            from,
            draws: draws.clone(),
        });
        draws
    }

    /// What every run costs that somebody has priced.
    fn priced_runs(&self, look: &Look<'_>, runs: &[u64]) -> Result<Vec<Priced>, DeskError> {
        let printer = look.book.dates.printer.as_deref();
        let costs = self.run_costs(runs, printer)?;
        let mut priced = Vec::with_capacity(runs.len());
        for (copies, cost) in runs.iter().zip(costs) {
            if let Some(found) = Priced::of(look, *copies, cost)? {
                priced.push(found);
            }
        }
        Ok(priced)
    }
}

impl Look<'_> {
    fn around<'w>(&self, when: &'w When) -> Around<'w> {
        let by = self.book.edition.sold_out_by;
        Around {
            when,
            volume: self.carton.room_each(),
            // Nothing is sold out before it is there.
            sold_out_by: by.filter(|day| *day > when.in_hand),
        }
    }
}

/// A run with its price, and who gave it.
#[derive(Debug, Clone)]
struct Priced {
    cost: Cost,
    /// The answer; `None` for a guess.
    by: Option<RunCost>,
}

impl Priced {
    /// By the answers, or else by the guess of the book.
    fn of(look: &Look<'_>, copies: u64, cost: Option<RunCost>) -> Result<Option<Self>, DeskError> {
        let currency = look.ground.currency;
        let other = |what: &str, found| {
            wrong(QuantityError::Currency {
                what: what.to_owned(),
                found,
                wanted: currency,
            })
        };
        if let Some(cost) = cost {
            if cost.total.currency() != currency {
                return Err(other(
                    "what copies cost (`currency` in `[landing]`)",
                    cost.total.currency(),
                ));
            }
            return Ok(Some(Self {
                cost: Cost {
                    copies,
                    good: cost.good,
                    total: cost.total,
                    to_printer: cost.to_printer,
                },
                by: Some(cost),
            }));
        }
        let Some(guess) = look.book.edition.guess else {
            return Ok(None);
        };
        let total = guess
            .each
            .times(i64::try_from(copies).unwrap_or(i64::MAX))
            .and_then(|running| guess.fixed.plus(running))
            .map_err(|error| {
                DeskError::new(
                    "book.toml",
                    error.to_string(),
                    "Mend `guess_fixed` and `guess_each`.".to_owned(),
                )
            })?;
        if total.currency() != currency {
            return Err(other("what copies are guessed to cost", total.currency()));
        }
        Ok(Some(Self {
            cost: Cost {
                copies,
                good: copies,
                total,
                to_printer: total,
            },
            by: None,
        }))
    }
}

/// The quantities that are laid side by side: round numbers over what may be wanted, with those that the
/// book asks for, those of plans, and the rule of thumb.
fn grid(look: &Look<'_>, said: Option<u64>) -> Vec<u64> {
    let pledged = look.ground.pledged() as f64;
    let low = (pledged + look.draws.quantile(0.02)) * 0.5;
    let high = pledged + look.draws.quantile(0.98);
    let asked = look.book.ask.quantities();
    let high = high.max(asked.iter().copied().max().unwrap_or(0) as f64) * 1.1;
    let step = round_step((high - low) / QUANTITIES as f64);
    let first = ((low / step as f64).floor() as u64 * step).max(step);
    let mut grid: Vec<u64> = (0..=QUANTITIES + 4)
        .map(|place| first + place * step)
        .take_while(|copies| *copies as f64 <= high + step as f64)
        .collect();
    grid.extend(asked);
    grid.extend(said);
    grid.extend(look.book.edition.plans.iter().map(|plan| plan.copies));
    grid.push(look.ground.rule().1.max(1));
    grid.sort_unstable();
    grid.dedup();
    grid
}

/// A step that reads well: 5, 10, 20, 25, 50 and their tenfolds.
fn round_step(wished: f64) -> u64 {
    let mut tens = 1.0;
    loop {
        for step in [1.0, 2.0, 2.5, 5.0] {
            let step = 5.0 * tens * step;
            if step >= wished || step > 1e7 {
                return step.max(1.0) as u64;
            }
        }
        tens *= 10.0;
    }
}

/// The days that money hangs on, on the middle dates of a calendar.
fn when(foretold: &Foretold, to_printer: Money) -> When {
    let whole = to_printer.decimal().approximate();
    When {
        order: foretold
            .due
            .first()
            .map_or(foretold.send, |due| due.middle.min(foretold.send)),
        in_hand: foretold.histories.ends.by(0.5),
        paid: foretold
            .due
            .iter()
            .map(|due| Paid {
                name: due.name.clone(),
                day: due.middle,
                share: if whole > 0.0 {
                    due.sum.decimal().approximate() / whole
                } else {
                    0.0
                },
            })
            .collect(),
    }
}

/// What cannot be reckoned, as an error of the book file.
fn wrong(error: QuantityError) -> DeskError {
    let hint = match &error {
        QuantityError::NoAudience => {
            "Name one: foredge say audience \"letter to readers\" people=8000 low=0.5% likely=1% high=3%"
        }
        QuantityError::NoChannel => "Name one: foredge say channel \"own shop\" kind=\"own shop\"",
        QuantityError::NoPrice => "Say it: foredge set edition.price \"EUR 48\"",
        QuantityError::NoCost => {
            "Ask printers (foredge ask --all), or guess: foredge set edition.guess_fixed \"EUR 4000\" and \
             edition.guess_each \"EUR 9\""
        }
        _ => "Mend it in `[edition]`, `[[audience]]`, `[[channel]]` or `[[offer]]`.",
    };
    DeskError::new("book.toml", error.to_string(), hint.to_owned())
}
