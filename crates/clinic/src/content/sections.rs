//! The part of a file of words that speaks of one exercise: cut out, or blanked where another file speaks of it.

use std::collections::BTreeSet;

/// The exercise that a line's header opens (`[exercise.quad-set.faults]`); `Some(None)` for any other header.
fn header(line: &str) -> Option<Option<&str>> {
    let inside = line.trim_start().strip_prefix('[')?;
    if inside.starts_with('[') {
        return Some(None);
    }
    let name = inside.split(']').next()?.trim();
    let Some(rest) = name.strip_prefix("exercise.") else { return Some(None) };
    let id = match rest.strip_prefix('"') {
        Some(quoted) => quoted.split('"').next().unwrap_or(""),
        None => rest.split('.').next().unwrap_or(""),
    };
    Some(Some(id.trim()))
}

/// Exercises that a file of words speaks of.
pub fn ids(text: &str) -> BTreeSet<String> {
    text.lines().filter_map(header).flatten().map(str::to_string).collect()
}

/// Lines of one exercise; `None` when the file does not speak of it.
pub fn cut_out(text: &str, id: &str) -> Option<String> {
    let mut inside = false;
    let mut out = String::new();
    for line in text.lines() {
        if let Some(of) = header(line) {
            inside = of == Some(id);
        }
        if inside {
            out.push_str(line);
            out.push('\n');
        }
    }
    let out = out.trim_end();
    (!out.is_empty()).then(|| format!("{out}\n"))
}

/// The text with the lines of these exercises left empty, so that all other lines keep their numbers.
pub fn blank(text: &str, ids: &BTreeSet<String>) -> String {
    if ids.is_empty() {
        return text.to_string();
    }
    let mut inside = false;
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        if let Some(of) = header(line) {
            inside = of.is_some_and(|it| ids.contains(it));
        }
        if !inside {
            out.push_str(line);
        }
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[verbs]\nlift = \"Lift\"\n\n[exercise.a]\ntitle = \"A\"\n[exercise.a.faults]\nx = \"y\"\n\n[exercise.ab]\ntitle = \"B\"\n";

    #[test]
    fn one_exercise_is_cut_out_whole_and_alone() {
        assert_eq!(
            cut_out(TEXT, "a").unwrap(),
            "[exercise.a]\ntitle = \"A\"\n[exercise.a.faults]\nx = \"y\"\n"
        );
        assert_eq!(cut_out(TEXT, "ab").unwrap(), "[exercise.ab]\ntitle = \"B\"\n");
        assert!(cut_out(TEXT, "b").is_none());
        assert_eq!(ids(TEXT), BTreeSet::from(["a".into(), "ab".into()]));
    }

    #[test]
    fn blanked_lines_keep_the_numbers_of_the_others() {
        let blanked = blank(TEXT, &BTreeSet::from(["a".into()]));
        let lines: Vec<&str> = blanked.lines().collect();
        assert_eq!((lines[1], lines[3], lines[6], lines[8]), ("lift = \"Lift\"", "", "", "[exercise.ab]"));
    }
}
