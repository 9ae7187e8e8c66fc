//! The pages and the folder they are published to.

mod markup;
mod pages;
mod publishing;
