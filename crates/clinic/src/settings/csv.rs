//! Comma-separated values (RFC 4180) that a spreadsheet opens without running anything.

/// A line of cells; every cell in quotes.
pub(crate) fn line(out: &mut String, cells: &[&str]) {
    for (at, cell) in cells.iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push('"');
        // A spreadsheet takes such a beginning for a formula, also inside of quotes; an apostrophe makes it a text.
        if cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']) {
            out.push('\'');
        }
        for letter in cell.chars() {
            match letter {
                '"' => out.push_str("\"\""),
                // A zero byte ends the cell in some readers.
                '\0' => out.push('\u{fffd}'),
                other => out.push(other),
            }
        }
        out.push('"');
    }
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::line;

    fn cell(text: &str) -> String {
        let mut out = String::new();
        line(&mut out, &[text]);
        out
    }

    #[test]
    fn a_cell_never_begins_a_formula() {
        for start in ["=", "+", "-", "@", "\t", "\r"] {
            let text = format!("{start}cmd|' /C calc'!A0");
            assert_eq!(cell(&text), format!("\"'{text}\"\r\n"));
        }
        assert_eq!(cell("Ines Brandvold, PT"), "\"Ines Brandvold, PT\"\r\n");
        assert_eq!(cell("a=b"), "\"a=b\"\r\n");
    }

    #[test]
    fn quotes_are_doubled_and_lines_stay_in_their_cell() {
        assert_eq!(cell("say \"no\"\nthen"), "\"say \"\"no\"\"\nthen\"\r\n");
        let mut out = String::new();
        line(&mut out, &["a", "b"]);
        assert_eq!(out, "\"a\",\"b\"\r\n");
    }
}
