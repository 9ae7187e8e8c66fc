//! Reads the tables of `tests/cases/trade`: `#` lines name the source, the next line the columns.

/// One line of a table.
pub struct Row<'a> {
    columns: &'a [String],
    cells: Vec<String>,
}

/// Calls `check` on every line of the table; a table without lines fails.
pub fn each_row(text: &str, mut check: impl FnMut(&Row<'_>)) -> usize {
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).map(cells);
    let columns = lines.next().expect("a line of column names");
    let mut count = 0;
    for cells in lines {
        assert_eq!(cells.len(), columns.len(), "{cells:?}");
        check(&Row { columns: &columns, cells });
        count += 1;
    }
    assert!(count > 0, "the table is empty");
    count
}

impl Row<'_> {
    pub fn text(&self, column: &str) -> &str {
        let at = self.columns.iter().position(|name| name == column);
        &self.cells[at.unwrap_or_else(|| panic!("no column {column}"))]
    }

    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text:?} is no number"))
    }

    /// Holds `value` to the number in `column`, to the last digit it is printed with (half a unit of it, and a hair
    /// for the halves that the printer rounded the other way).
    pub fn holds(&self, column: &str, value: f64) {
        let text = self.text(column);
        let decimals = text.split_once('.').map_or(0, |(_, fraction)| fraction.len());
        let half = 0.5001 * 10f64.powi(-i32::try_from(decimals).expect("a few decimals"));
        let off = (value - self.number(column)).abs();
        assert!(off <= half, "{:?}: {column} is {value}, the table says {text}", self.cells);
    }
}

/// The cells of a line: commas between, quotes round a cell with a comma in it.
fn cells(line: &str) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => found.push(String::new()),
            _ => found.last_mut().expect("one at least").push(c),
        }
    }
    found
}
