//! The rooms. Each reads the desk once and renders what it says.

pub(crate) mod art;
pub(crate) mod axis;
pub(crate) mod cash;
pub(crate) mod dates;
pub(crate) mod findings;
pub(crate) mod object;
pub(crate) mod order;
pub(crate) mod paper;
pub(crate) mod prices;
pub(crate) mod proofs;
pub(crate) mod quantity;
pub(crate) mod shape;
pub(crate) mod stands;
pub(crate) mod things;
