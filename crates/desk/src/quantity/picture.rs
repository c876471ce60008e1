//! One quantity, one picture: price, printer, dates, cash and room at once.

use edition::cash::{Curve, Flow};
use edition::dates::Foretold;
use edition::quantity::{Cost, PACES, Path, Row, When};

use super::{Look, Priced, remarks, when, wrong};
use crate::dates::{self, foretell};
use crate::{Desk, DeskError, RunCost};

/// One quantity with all that hangs on it.
#[derive(Debug, Clone)]
pub struct Picture {
    /// What it costs and risks.
    pub row: Row,
    /// The answer it is priced by; `None` for a guess of the book file.
    pub cost: Option<RunCost>,
    /// The calendar with this quantity and this printer.
    pub foretold: Foretold,
    /// The days that money hangs on.
    pub when: When,
    /// How the purse stands at each of [`PACES`] of the demand.
    pub purses: [Curve; 3],
    /// What flows at the middle pace.
    pub flows: Vec<Flow>,
    /// Copies in a carton.
    pub to_a_carton: u64,
    /// Cartons.
    pub cartons: u64,
    /// Room of all cartons when they come, in cubic metres.
    pub room: f64,
    /// What to be careful about when they come.
    pub caution: String,
}

impl Desk {
    /// Reckons one quantity, by the answers of one printer if it is named.
    pub(super) fn picture(
        &self,
        look: &Look<'_>,
        copies: u64,
        printer: Option<&str>,
    ) -> Result<Picture, DeskError> {
        let printer = printer.or(look.book.dates.printer.as_deref());
        let found = self
            .run_costs(&[copies], printer)?
            .into_iter()
            .next()
            .flatten();
        let priced = Priced::of(look, copies, found)?
            .ok_or_else(|| wrong(edition::quantity::QuantityError::NoCost))?;
        self.picture_of(look, priced)
    }

    /// The same for a quantity whose price is known already.
    pub(super) fn picture_of(&self, look: &Look<'_>, priced: Priced) -> Result<Picture, DeskError> {
        let cost = priced.cost;
        let foretold = self.foretold_with(look, &priced)?;
        let when = when(&foretold, cost.to_printer);
        let row = Row::of(&look.ground, &look.draws, cost, look.around(&when));
        let path = Path::new(&look.ground, cost, look.carton.room_each());
        let wanted = |pace: f64| look.draws.quantile(pace);
        let cartons = look.carton.cartons(cost.copies);
        let caution: Vec<String> = remarks::unmet(row.unmet)
            .into_iter()
            .chain([look.carton.caution(cost.copies)])
            .collect();
        Ok(Picture {
            purses: PACES.map(|pace| path.purse(&when, wanted(pace))),
            flows: path.flows(&when, wanted(PACES[1])),
            row,
            foretold,
            when,
            to_a_carton: look.carton.copies,
            cartons,
            room: look.carton.room * cartons as f64,
            caution: caution.join(" "),
            cost: priced.by,
        })
    }

    fn foretold_with(&self, look: &Look<'_>, priced: &Priced) -> Result<Foretold, DeskError> {
        let sum = priced.cost.to_printer;
        foretell(
            look.book,
            &look.told,
            priced.cost.copies,
            priced.by.as_ref(),
            Some(sum),
            look.histories,
        )
        .map_err(dates::wrong)
    }
}

impl Picture {
    /// What it costs.
    pub const fn cost_of(&self) -> Cost {
        self.row.cost
    }

    /// Whose price it is.
    pub fn printer(&self) -> &str {
        self.cost
            .as_ref()
            .map_or("a guess", |cost| cost.name.as_str())
    }
}
