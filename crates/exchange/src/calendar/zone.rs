//! The definition of a time zone (VTIMEZONE) for the days of a program.
//!
//! Each change of the clock in those days is written out with its moment, so the definition needs no rule
//! and is exact for old and new laws alike.

use super::{CalendarError, lines, local_form};
use jiff::civil::Date;
use jiff::tz::{Offset, TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, ToSpan};

/// A zone by its IANA name, from the rules that the program brings along.
pub(super) fn find(name: &str) -> Result<TimeZone, CalendarError> {
    TimeZoneDatabase::bundled().get(name).map_err(|_| CalendarError::Zone { found: name.to_owned() })
}

/// The component, with the rule in force on the first day and each change up to the last.
pub(super) fn definition(zone: &TimeZone, first: Date, last: Date) -> Result<String, CalendarError> {
    let begin = zone.to_timestamp(first.to_datetime(jiff::civil::Time::midnight()))?;
    let end = zone.to_timestamp(last.checked_add(2.days())?.to_datetime(jiff::civil::Time::midnight()))?;
    let mut text = String::new();
    lines::push(&mut text, "BEGIN:VTIMEZONE");
    lines::push(&mut text, &format!("TZID:{}", zone.iana_name().unwrap_or_default()));
    // `preceding` is strict; a change at the very beginning belongs to the days of the program.
    let in_force = zone.preceding(begin.checked_add(1.second())?).next();
    push_observance(&mut text, zone, in_force.map(|change| change.timestamp()), begin)?;
    for change in zone.following(begin).take_while(|change| change.timestamp() < end) {
        push_observance(&mut text, zone, Some(change.timestamp()), begin)?;
    }
    lines::push(&mut text, "END:VTIMEZONE");
    Ok(text)
}

/// The rule that a change of the clock brings; without a change, the rule that has always held.
fn push_observance(
    text: &mut String,
    zone: &TimeZone,
    change: Option<Timestamp>,
    begin: Timestamp,
) -> Result<(), CalendarError> {
    let rule = zone.to_offset_info(change.unwrap_or(begin));
    let (from, onset) = match change {
        Some(at) => {
            let from = zone.to_offset_info(at.checked_sub(1.second())?).offset();
            (from, from.to_datetime(at))
        }
        None => (rule.offset(), jiff::civil::date(1970, 1, 1).at(0, 0, 0, 0)),
    };
    let kind = if rule.dst().is_dst() { "DAYLIGHT" } else { "STANDARD" };
    lines::push(text, &format!("BEGIN:{kind}"));
    lines::push(text, &format!("DTSTART:{}", local_form(onset)));
    lines::push(text, &format!("TZOFFSETFROM:{}", offset_form(from)));
    lines::push(text, &format!("TZOFFSETTO:{}", offset_form(rule.offset())));
    lines::push(text, &format!("TZNAME:{}", rule.abbreviation()));
    lines::push(text, &format!("END:{kind}"));
    Ok(())
}

/// Hours and minutes, and seconds if there are any (local mean time of old).
fn offset_form(offset: Offset) -> String {
    let seconds = offset.seconds();
    let sign = if seconds < 0 { '-' } else { '+' };
    let seconds = seconds.abs();
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    let rest = if rest == 0 { String::new() } else { format!("{rest:02}") };
    format!("{sign}{hours:02}{minutes:02}{rest}")
}
