//! The trade's arithmetic, held to printed tables and worked examples; the source stands beside each check.

mod calling;
mod current_loop;
mod forms;
mod functions;
mod guide;
mod heat;
mod platinum;
mod refrigerants;
mod small_sums;
mod table;
mod thermistor;
mod thermocouple;
mod three_phase;
