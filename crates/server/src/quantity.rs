//! Plans kept and dropped, and copies that were sold.

use axum::Form;
use axum::extract::State as Shared;
use axum::extract::rejection::FormRejection;
use axum::http::HeaderMap;
use axum::response::Response;
use desk::SaleTold;
use jiff::civil::Date;
use serde::Deserialize;

use crate::State;
use crate::act::{self, Answer};
use crate::problem::Problem;

const ROOM: &str = "/quantity";

/// A plan, as its form sends it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Plan {
    name: String,
    copies: u64,
}

/// Copies that were sold, as their form sends them.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Sold {
    audience: String,
    copies: String,
    on: String,
    sold_out: String,
    /// Number of a sale that is taken back.
    number: u32,
}

/// `POST /quantity/keep`.
pub(crate) async fn keep(
    state: Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Plan>, FormRejection>,
) -> Response {
    answer(state, headers, form, |state, plan| {
        let name = plan.name.trim();
        if name.is_empty() {
            return Err(Problem::unreadable("The plan has no name."));
        }
        let edited = state.desk().keep_plan(name, plan.copies)?;
        Ok(Answer::of(edited))
    })
    .await
}

/// `POST /quantity/drop`.
pub(crate) async fn drop(
    state: Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Plan>, FormRejection>,
) -> Response {
    answer(state, headers, form, |state, plan| {
        let edited = state.desk().drop_plan(&plan.name)?;
        Ok(Answer::of(edited))
    })
    .await
}

/// `POST /quantity/sold`.
pub(crate) async fn sold(
    state: Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Sold>, FormRejection>,
) -> Response {
    answer(state, headers, form, |state, sold| {
        let copies = sold.copies.trim().replace(',', "");
        let copies: u64 = copies
            .parse()
            .map_err(|_| Problem::unreadable("How many copies were sold cannot be read."))?;
        let day: Date = if sold.on.is_empty() {
            desk::today()
        } else {
            sold.on
                .parse()
                .map_err(|_| Problem::unreadable("The day cannot be read."))?
        };
        let out = !sold.sold_out.is_empty();
        let told = state.desk().sold(&sold.audience, copies, day, out, "")?;
        Ok(Answer::said(taught(&told)))
    })
    .await
}

/// `POST /quantity/sold-back`.
pub(crate) async fn sold_back(
    state: Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Sold>, FormRejection>,
) -> Response {
    answer(state, headers, form, |state, sold| {
        let told = state.desk().take_sale_back(sold.number)?;
        Ok(Answer::said(format!(
            "Took sale {} back. {}",
            told.number,
            taught(&told)
        )))
    })
    .await
}

/// What a sale has taught, in a sentence.
fn taught(told: &SaleTold) -> String {
    let share = |share: f64| format!("{:.2} %", share * 100.0);
    format!(
        "Of `{}`, {} are expected to buy now (nine of ten cases {} to {}); before it was {}.",
        told.audience,
        share(told.after.mean()),
        share(told.after.quantile(0.05)),
        share(told.after.quantile(0.95)),
        share(told.before.mean())
    )
}

async fn answer<F: Send + 'static>(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<F>, FormRejection>,
    deed: impl FnOnce(&State, F) -> Result<Answer, Problem> + Send + 'static,
) -> Response {
    let back = |_: &F| ROOM.to_owned();
    let deed = move |state: &State, form| deed(state, form).map(Some);
    act::answer(state, headers, form, ROOM, back, deed).await
}
