//! A home program in the patient's own calendar: iCalendar, RFC 5545.
//!
//! One repeating event for each time of day. It ends with the last day on which the program is valid, so that
//! the calendar never outlives the sheet. It names no diagnosis and is marked private. A new version of the
//! program has the same UID and a higher SEQUENCE, so it replaces what the phone holds.
//!
//! Events and the escaping of texts are the work of the `icalendar` crate. What that crate leaves open is
//! done here, see `lines` (folding, alarms) and `zone` (VTIMEZONE).

mod lines;
mod zone;

use icalendar::{Class, Component, Event, EventStatus, Property};
use jiff::civil::{Date, DateTime, Time, Weekday};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};

/// What goes into the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgramCalendar {
    /// Names the program for good: the same in all its versions, in no other program. No patient name in it.
    pub uid: String,
    /// Version of the program; must rise with each change.
    pub sequence: u32,
    /// When this version was made.
    pub stamp: Timestamp,
    /// Language of `summary` and `description` (BCP 47: `en`, `es-US`).
    pub language: String,
    /// What the phone shows, also on its lock screen: no diagnosis, no body part ("Home program").
    pub summary: String,
    /// What the patient sees on opening the event.
    pub description: String,
    /// Days of the week on which to exercise.
    pub days: Vec<Weekday>,
    /// Times of day at which to exercise.
    pub times: Vec<Time>,
    /// Times of day in the version that this one replaces; empty for the first version. If there were more
    /// of them than now, the events of the surplus are cancelled.
    pub former_times: Vec<Time>,
    /// First day on which the program is valid.
    pub first: Date,
    /// Last day on which the program is valid, itself included: the next visit to the surgeon at the latest.
    pub last: Date,
    /// Length of one session in minutes.
    pub minutes: u32,
    /// Time zone by its IANA name; without it 08:00 is 08:00 wherever the phone is.
    pub zone: Option<String>,
    /// Minutes before the session at which the phone reminds. Phones may drop this on import.
    pub alarm_minutes_before: Option<u32>,
    /// True if the program no longer holds and all its events are to go.
    pub cancelled: bool,
    /// The software that wrote the file (PRODID).
    pub product_id: String,
}

/// Why there is no calendar.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CalendarError {
    /// A text that must say something is empty.
    #[error("`{field}` is empty; expected a text")]
    Empty {
        /// The field of [`ProgramCalendar`].
        field: &'static str,
    },
    /// A text holds a character that no calendar line may hold.
    #[error("`{field}` holds the control character U+{code:04X}; take it out")]
    Control {
        /// The field of [`ProgramCalendar`].
        field: &'static str,
        /// The character.
        code: u32,
    },
    /// Not a language tag.
    #[error(
        "`language` is {found:?}; expected a tag of letters, digits and hyphens such as \"en\" or \"es-US\""
    )]
    Language {
        /// What was given.
        found: String,
    },
    /// No day of the week.
    #[error("`days` is empty; expected at least one day of the week")]
    NoDays,
    /// No time of day.
    #[error("`times` is empty; expected at least one time of day")]
    NoTimes,
    /// The same time of day twice.
    #[error("{time} is twice in `{field}`; expected each time of day once")]
    TimeTwice {
        /// The field of [`ProgramCalendar`].
        field: &'static str,
        /// The time of day.
        time: Time,
    },
    /// A time of day with a part of a second, which a calendar cannot hold.
    #[error("{time} in `{field}` has a part of a second; expected whole seconds")]
    PartOfSecond {
        /// The field of [`ProgramCalendar`].
        field: &'static str,
        /// The time of day.
        time: Time,
    },
    /// A session of no length, or of more than a day.
    #[error("`minutes` is {found}; expected 1 to 1440")]
    Minutes {
        /// What was given.
        found: u32,
    },
    /// No chosen day of the week lies between the first and the last day.
    #[error("no chosen day of the week lies between {first} and {last}")]
    NoSession {
        /// First day of the program.
        first: Date,
        /// Last day of the program.
        last: Date,
    },
    /// No time zone of that name.
    #[error("`zone` is {found:?}; expected an IANA time zone name such as \"America/Chicago\"")]
    Zone {
        /// What was given.
        found: String,
    },
    /// A date that a calendar cannot hold (before the year 1 or after 9999).
    #[error("a date of the program is outside the years 1 to 9999")]
    Date,
}

impl From<jiff::Error> for CalendarError {
    fn from(_: jiff::Error) -> Self {
        CalendarError::Date
    }
}

/// The file of a home program, `text/calendar`, as UTF-8.
///
/// # Errors
/// Texts that are empty or hold control characters, no day or time of day, a time twice, a session without
/// length, a span of days without a session, an unknown time zone.
pub fn calendar(program: &ProgramCalendar) -> Result<String, CalendarError> {
    check(program)?;
    let zone = program.zone.as_deref().map(zone::find).transpose()?;
    let first = first_session(program)?;
    let mut text = String::new();
    lines::push(&mut text, "BEGIN:VCALENDAR");
    for (name, value) in [("VERSION", "2.0"), ("PRODID", &program.product_id), ("CALSCALE", "GREGORIAN")] {
        lines::push_property(&mut text, Property::new(name, value));
    }
    if let Some(zone) = &zone {
        text.push_str(&zone::definition(zone, first, program.last)?);
    }
    let now = in_order(&program.times);
    let former = in_order(&program.former_times);
    for slot in 0..now.len().max(former.len()) {
        let kept = now.get(slot).copied();
        let Some(time) = kept.or_else(|| former.get(slot).copied()) else { continue };
        let cancelled = program.cancelled || kept.is_none();
        let event = event(program, slot, first.to_datetime(time), cancelled, zone.as_ref())?;
        let alarm =
            program.alarm_minutes_before.filter(|_| !cancelled).map(|minutes| alarm(program, minutes));
        lines::push_component(&mut text, &event, alarm.as_deref().unwrap_or_default());
    }
    lines::push(&mut text, "END:VCALENDAR");
    Ok(text)
}

fn check(program: &ProgramCalendar) -> Result<(), CalendarError> {
    check_text("uid", &program.uid, &[])?;
    check_text("summary", &program.summary, &[])?;
    check_text("description", &program.description, &['\n', '\r', '\t'])?;
    check_text("product_id", &program.product_id, &[])?;
    let tag = &program.language;
    if tag.is_empty() || !tag.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') {
        return Err(CalendarError::Language { found: tag.clone() });
    }
    if program.days.is_empty() {
        return Err(CalendarError::NoDays);
    }
    if program.times.is_empty() {
        return Err(CalendarError::NoTimes);
    }
    check_times("times", &program.times)?;
    check_times("former_times", &program.former_times)?;
    if !(1..=1440).contains(&program.minutes) {
        return Err(CalendarError::Minutes { found: program.minutes });
    }
    let years = 1..=9998;
    if !years.contains(&program.first.year()) || !years.contains(&program.last.year()) {
        return Err(CalendarError::Date);
    }
    Ok(())
}

fn check_text(field: &'static str, text: &str, allowed: &[char]) -> Result<(), CalendarError> {
    if text.trim().is_empty() {
        return Err(CalendarError::Empty { field });
    }
    match text.chars().find(|c| c.is_control() && !allowed.contains(c)) {
        Some(c) => Err(CalendarError::Control { field, code: u32::from(c) }),
        None => Ok(()),
    }
}

fn check_times(field: &'static str, times: &[Time]) -> Result<(), CalendarError> {
    for (k, &time) in times.iter().enumerate() {
        if times[..k].contains(&time) {
            return Err(CalendarError::TimeTwice { field, time });
        }
        if time.subsec_nanosecond() != 0 {
            return Err(CalendarError::PartOfSecond { field, time });
        }
    }
    Ok(())
}

fn in_order(times: &[Time]) -> Vec<Time> {
    let mut times = times.to_vec();
    times.sort();
    times
}

/// The first day of a session. DTSTART must itself be one, else it would be counted as one too many.
fn first_session(program: &ProgramCalendar) -> Result<Date, CalendarError> {
    let none = CalendarError::NoSession { first: program.first, last: program.last };
    let week = program.first.series(1.day()).take(7);
    let found = week.take_while(|&day| day <= program.last).find(|day| program.days.contains(&day.weekday()));
    found.ok_or(none)
}

/// The repeating event of one time of day.
fn event(
    program: &ProgramCalendar,
    slot: usize,
    start: DateTime,
    cancelled: bool,
    zone: Option<&TimeZone>,
) -> Result<Event, CalendarError> {
    let end = start.checked_add(i64::from(program.minutes).minutes())?;
    // A line break inside a text is one character, whatever the system that it was typed on.
    let description = program.description.replace("\r\n", "\n").replace('\r', "\n");
    let mut event = Event::new();
    event
        .uid(&format!("{}-{}", program.uid, slot + 1))
        .sequence(program.sequence)
        .add_property("DTSTAMP", utc(program.stamp))
        .append_property(in_language("SUMMARY", &program.summary, &program.language))
        .append_property(in_language("DESCRIPTION", &description, &program.language))
        .append_property(local("DTSTART", start, zone))
        .append_property(local("DTEND", end, zone))
        .add_property("RRULE", rule(program, start.time(), zone)?)
        // Seen by others neither in words nor as a busy hour.
        .class(Class::Private)
        .add_property("TRANSP", "TRANSPARENT");
    event.status(if cancelled { EventStatus::Cancelled } else { EventStatus::Confirmed });
    Ok(event.done())
}

/// COUNT is never used: the rule ends by the day to which the program is valid, not by a number of sessions.
fn rule(program: &ProgramCalendar, time: Time, zone: Option<&TimeZone>) -> Result<String, CalendarError> {
    let mut days = program.days.clone();
    days.sort_by_key(|day| day.to_monday_zero_offset());
    days.dedup();
    let days: Vec<&str> = days.into_iter().map(day_code).collect();
    // UNTIL takes part in the rule and has the form of DTSTART: local if that is, in UTC if that has a zone.
    let until = program.last.to_datetime(time);
    let until = match zone {
        None => local_form(until),
        Some(zone) => utc(zone.to_timestamp(until)?),
    };
    Ok(format!("FREQ=WEEKLY;UNTIL={until};BYDAY={}", days.join(",")))
}

fn day_code(day: Weekday) -> &'static str {
    match day {
        Weekday::Monday => "MO",
        Weekday::Tuesday => "TU",
        Weekday::Wednesday => "WE",
        Weekday::Thursday => "TH",
        Weekday::Friday => "FR",
        Weekday::Saturday => "SA",
        Weekday::Sunday => "SU",
    }
}

/// A reminder (VALARM): all three of its properties are required.
fn alarm(program: &ProgramCalendar, minutes: u32) -> String {
    let sign = if minutes == 0 { "" } else { "-" };
    let mut text = String::new();
    lines::push(&mut text, "BEGIN:VALARM");
    lines::push(&mut text, "ACTION:DISPLAY");
    lines::push(&mut text, &format!("TRIGGER:{sign}PT{minutes}M"));
    lines::push_property(&mut text, in_language("DESCRIPTION", &program.summary, &program.language));
    lines::push(&mut text, "END:VALARM");
    text
}

fn in_language(key: &str, text: &str, language: &str) -> Property {
    Property::new(key, text).add_parameter("LANGUAGE", language).done()
}

fn local(key: &str, at: DateTime, zone: Option<&TimeZone>) -> Property {
    let mut property = Property::new(key, local_form(at));
    if let Some(name) = zone.and_then(TimeZone::iana_name) {
        property.add_parameter("TZID", name);
    }
    property
}

fn local_form(at: DateTime) -> String {
    at.strftime("%Y%m%dT%H%M%S").to_string()
}

fn utc(at: Timestamp) -> String {
    at.strftime("%Y%m%dT%H%M%SZ").to_string()
}
