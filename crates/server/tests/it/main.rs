//! The page as a router, without a socket.

mod acts;
mod asking;
mod guard;
mod pictures;
mod rooms;
mod work;
