//! The trade's arithmetic, held to printed tables and worked examples; the source stands beside each check.

mod calling;
mod current_loop;
mod functions;
mod platinum;
mod table;
mod thermistor;
mod thermocouple;
