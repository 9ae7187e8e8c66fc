//! The pages and the folder they are published to.

mod browser;
mod coverage;
mod markup;
mod pages;
mod publishing;
mod units;
