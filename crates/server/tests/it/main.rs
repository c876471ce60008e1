//! The page as a router, without a socket.

mod acts;
mod around;
mod asking;
mod guard;
mod on_paper;
mod pictures;
mod prices;
mod proofs;
mod quantity;
mod rooms;
mod work;
