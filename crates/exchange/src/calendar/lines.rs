//! Content lines: folding, and parts inside a component.
//!
//! Of the `icalendar` crate (0.17.17) three things are mended here and beside. Its folding lets the last
//! piece of a long line grow to 76 octets, one above the limit. It gives every component that lacks them a
//! DTSTAMP from the clock and a random UID, alarms included, where RFC 5545 has neither. It has no VTIMEZONE.

use icalendar::{Component, Event, Property};

/// The most octets on a line, without its end (RFC 5545, 3.1).
const LIMIT: usize = 75;

/// Appends an event, folded anew, with `inner` components ahead of its end.
pub(super) fn push_component(text: &mut String, event: &Event, inner: &str) {
    let written = unfolded(&Component::to_string(event));
    for line in written.split_terminator("\r\n") {
        if line == "END:VEVENT" {
            text.push_str(inner);
        }
        push(text, line);
    }
}

/// Appends a property with its value escaped.
pub(super) fn push_property(text: &mut String, property: Property) {
    // Writing to a string does not fail.
    let written: String = property.try_into().unwrap_or_default();
    push(text, unfolded(&written).trim_end_matches("\r\n"));
}

fn unfolded(written: &str) -> String {
    written.replace("\r\n ", "")
}

/// Appends a content line, folded so that no line has more than 75 octets and no character is cut.
pub(super) fn push(text: &mut String, line: &str) {
    let mut length = 0;
    for c in line.chars() {
        if length + c.len_utf8() > LIMIT {
            text.push_str("\r\n ");
            length = 1;
        }
        text.push(c);
        length += c.len_utf8();
    }
    text.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_75_octets_is_left_alone() {
        let mut text = String::new();
        push(&mut text, &"x".repeat(75));
        assert_eq!(text, format!("{}\r\n", "x".repeat(75)));
    }

    #[test]
    fn the_last_piece_is_no_longer_than_the_others() {
        // 75 octets, then 75 more: with the leading space the second piece would be 76.
        let mut text = String::new();
        push(&mut text, &"x".repeat(150));
        let lengths: Vec<usize> = text.split_terminator("\r\n").map(str::len).collect();
        assert_eq!(lengths, [75, 75, 2]);
    }

    #[test]
    fn characters_stay_whole() {
        let mut text = String::new();
        push(&mut text, &"ñ".repeat(40));
        let lengths: Vec<usize> = text.split_terminator("\r\n").map(str::len).collect();
        assert_eq!(lengths, [74, 7]);
    }

    #[test]
    fn long_values_are_escaped_and_folded_within_the_limit() {
        for length in 50..250 {
            let mut text = String::new();
            let value = format!("{},", "y".repeat(length));
            push_property(&mut text, Property::new("DESCRIPTION", value));
            assert!(text.split_terminator("\r\n").all(|line| line.len() <= LIMIT), "{text}");
            assert_eq!(unfolded(&text), format!("DESCRIPTION:{}\\,\r\n", "y".repeat(length)));
        }
    }

    #[test]
    fn inner_components_stand_ahead_of_the_end() {
        let mut event = Event::new();
        event.uid("a").add_property("DTSTAMP", "20261012T093000Z");
        let mut text = String::new();
        push_component(&mut text, &event, "BEGIN:VALARM\r\nEND:VALARM\r\n");
        assert!(text.ends_with("UID:a\r\nBEGIN:VALARM\r\nEND:VALARM\r\nEND:VEVENT\r\n"), "{text}");
    }
}
