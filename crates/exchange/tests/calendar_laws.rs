//! Laws of the calendar file: lines, texts, the days it holds, and what must never be in it.

use handrail_exchange::calendar::{CalendarError, ProgramCalendar, calendar};
use jiff::civil::{Date, Time, Weekday, date, time};
use jiff::{Timestamp, ToSpan};
use proptest::prelude::*;

const WEEK: [Weekday; 7] = [
    Weekday::Monday,
    Weekday::Tuesday,
    Weekday::Wednesday,
    Weekday::Thursday,
    Weekday::Friday,
    Weekday::Saturday,
    Weekday::Sunday,
];

fn program() -> ProgramCalendar {
    ProgramCalendar {
        uid: "program-1@clinic.example".to_owned(),
        sequence: 3,
        stamp: "2026-10-12T09:30:00Z".parse().unwrap(),
        language: "en".to_owned(),
        summary: "Home program".to_owned(),
        description: "Stop and call us if it hurts more.".to_owned(),
        days: vec![Weekday::Monday, Weekday::Wednesday, Weekday::Friday],
        times: vec![time(8, 0, 0, 0)],
        former_times: vec![],
        first: date(2026, 10, 13),
        last: date(2026, 11, 23),
        minutes: 25,
        zone: None,
        alarm_minutes_before: Some(10),
        cancelled: false,
        product_id: "-//Handrail//EN".to_owned(),
    }
}

fn unfolded(file: &str) -> Vec<String> {
    file.replace("\r\n ", "").split_terminator("\r\n").map(str::to_owned).collect()
}

/// Values of all lines of a name, parameters left out.
fn values(file: &str, name: &str) -> Vec<String> {
    let named = |line: &String| {
        let (key, value) = line.split_once(':')?;
        (key.split(';').next() == Some(name)).then(|| value.to_owned())
    };
    unfolded(file).iter().filter_map(named).collect()
}

fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        out.push(match c {
            '\\' => match chars.next() {
                Some('n' | 'N') => '\n',
                Some(other) => other,
                None => panic!("a lone backslash at the end"),
            },
            ';' | ',' => panic!("an unescaped {c:?}"),
            c => c,
        });
    }
    out
}

fn some_zone() -> impl Strategy<Value = Option<String>> {
    let names =
        ["America/Chicago", "Europe/Madrid", "Asia/Kolkata", "America/Phoenix", "Australia/Lord_Howe", "UTC"];
    prop::option::of(prop::sample::select(names.to_vec()).prop_map(str::to_owned))
}

fn some_program() -> impl Strategy<Value = ProgramCalendar> {
    let days = prop::sample::subsequence(WEEK.to_vec(), 1..=7);
    let times = prop::collection::btree_set(0_i8..24, 1..4);
    let span = (0_i64..2000, 7_i64..120);
    let texts = ("[ -~ñáé¿\u{1F9B5}\n\r\t]{0,300}", "[ -~ñáé¿]{0,90}");
    (days, times, span, texts, 1_u32..90, some_zone(), prop::option::of(0_u32..120), any::<bool>()).prop_map(
        |(days, times, (after, length), (description, summary), minutes, zone, alarm, cancelled)| {
            let first = date(2024, 1, 1).checked_add(after.days()).unwrap();
            ProgramCalendar {
                days,
                times: times.into_iter().map(|hour| time(hour, 15, 0, 0)).collect(),
                first,
                last: first.checked_add(length.days()).unwrap(),
                description: format!("x{description}"),
                summary: format!("x{summary}"),
                minutes,
                zone,
                alarm_minutes_before: alarm,
                cancelled,
                ..program()
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lines_are_short_and_characters_whole(program in some_program()) {
        let file = calendar(&program).unwrap();
        prop_assert!(file.ends_with("\r\n"));
        let without_ends = file.replace("\r\n", "");
        prop_assert!(!without_ends.contains(['\r', '\n']));
        for line in file.as_bytes().split(|&b| b == b'\n') {
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            prop_assert!(line.len() <= 75, "{} octets", line.len());
            prop_assert!(std::str::from_utf8(line).is_ok());
        }
    }

    #[test]
    fn texts_come_back_as_they_were(program in some_program()) {
        let file = calendar(&program).unwrap();
        let description = program.description.replace("\r\n", "\n").replace('\r', "\n");
        for slot in 0..program.times.len() {
            prop_assert_eq!(unescaped(&values(&file, "SUMMARY")[slot]), program.summary.clone());
        }
        let found: Vec<String> = values(&file, "DESCRIPTION").iter().map(|text| unescaped(text)).collect();
        prop_assert_eq!(found.iter().filter(|&text| *text == description).count(), program.times.len());
    }

    #[test]
    fn the_rule_ends_with_the_program(program in some_program()) {
        let file = calendar(&program).unwrap();
        let rules = values(&file, "RRULE");
        prop_assert_eq!(rules.len(), program.times.len());
        for rule in rules {
            prop_assert!(!rule.contains("COUNT"));
            let until = rule.split(';').find_map(|part| part.strip_prefix("UNTIL=")).unwrap();
            prop_assert_eq!(until.ends_with('Z'), program.zone.is_some());
            // Never more than a day past the last one, in whatever zone; to the day without a zone.
            let day = Date::strptime("%Y%m%d", &until[..8]).unwrap();
            let past = program.last.until(day).unwrap().get_days();
            prop_assert!(past.abs() <= i32::from(program.zone.is_some()));
        }
    }

    #[test]
    fn the_first_start_is_a_session(program in some_program()) {
        let file = calendar(&program).unwrap();
        // The zone's own starts come first.
        let starts = values(&file, "DTSTART");
        for start in starts.iter().rev().take(program.times.len()) {
            let day = Date::strptime("%Y%m%d", &start[..8]).unwrap();
            prop_assert!(day >= program.first && day <= program.last);
            prop_assert!(program.days.contains(&day.weekday()));
            let earlier = program.first.series(1.day()).take_while(|&d| d < day);
            prop_assert!(earlier.into_iter().all(|d| !program.days.contains(&d.weekday())));
        }
    }

    #[test]
    fn an_alarm_has_what_it_needs_and_no_more(program in some_program()) {
        let lines = unfolded(&calendar(&program).unwrap());
        let mut alarms = 0;
        for (k, line) in lines.iter().enumerate() {
            if line != "BEGIN:VALARM" {
                continue;
            }
            alarms += 1;
            let inside = lines[k + 1..].iter().take_while(|line| *line != "END:VALARM");
            let mut names: Vec<&str> = inside.map(|line| line.split([':', ';']).next().unwrap()).collect();
            names.sort_unstable();
            prop_assert_eq!(names, ["ACTION", "DESCRIPTION", "TRIGGER"]);
        }
        let wanted = program.alarm_minutes_before.is_some() && !program.cancelled;
        prop_assert_eq!(alarms, if wanted { program.times.len() } else { 0 });
    }

    #[test]
    fn the_same_program_gives_the_same_file(program in some_program()) {
        prop_assert_eq!(calendar(&program), calendar(&program));
    }
}

#[test]
fn a_plain_file_reads_like_this() {
    let expected = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Handrail//EN",
        "CALSCALE:GREGORIAN",
        "BEGIN:VEVENT",
        "CLASS:PRIVATE",
        "DESCRIPTION;LANGUAGE=en:Stop and call us if it hurts more.",
        "DTEND:20261014T082500",
        "DTSTAMP:20261012T093000Z",
        "DTSTART:20261014T080000",
        "RRULE:FREQ=WEEKLY;UNTIL=20261123T080000;BYDAY=MO,WE,FR",
        "SEQUENCE:3",
        "STATUS:CONFIRMED",
        "SUMMARY;LANGUAGE=en:Home program",
        "TRANSP:TRANSPARENT",
        "UID:program-1@clinic.example-1",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "TRIGGER:-PT10M",
        "DESCRIPTION;LANGUAGE=en:Home program",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
    ];
    assert_eq!(unfolded(&calendar(&program()).unwrap()), expected);
}

#[test]
fn a_zone_brings_its_change_of_the_clock() {
    let zoned = ProgramCalendar { zone: Some("America/Chicago".to_owned()), ..program() };
    let file = calendar(&zoned).unwrap();
    // 8:00 on 23 November is 14:00 UTC: winter time, though the program began in summer time.
    assert!(values(&file, "RRULE")[0].contains("UNTIL=20261123T140000Z"));
    assert_eq!(values(&file, "DTSTART"), ["20260308T020000", "20261101T020000", "20261014T080000"]);
    assert_eq!(values(&file, "TZOFFSETFROM"), ["-0600", "-0500"]);
    assert_eq!(values(&file, "TZOFFSETTO"), ["-0500", "-0600"]);
    assert_eq!(values(&file, "TZNAME"), ["CDT", "CST"]);
    assert!(unfolded(&file).contains(&"DTSTART;TZID=America/Chicago:20261014T080000".to_owned()));
}

#[test]
fn a_new_version_replaces_the_old_one() {
    let old = ProgramCalendar { times: vec![time(8, 0, 0, 0), time(18, 0, 0, 0)], ..program() };
    let new = ProgramCalendar {
        sequence: 4,
        times: vec![time(9, 0, 0, 0)],
        former_times: old.times.clone(),
        ..program()
    };
    let (old, new) = (calendar(&old).unwrap(), calendar(&new).unwrap());
    assert_eq!(values(&old, "UID"), values(&new, "UID"));
    assert_eq!(values(&new, "SEQUENCE"), ["4", "4"]);
    // The second time of day is gone: its event must leave the phone too.
    assert_eq!(values(&new, "STATUS"), ["CONFIRMED", "CANCELLED"]);
}

#[test]
fn a_cancelled_program_rings_no_more() {
    let file = calendar(&ProgramCalendar { cancelled: true, ..program() }).unwrap();
    assert_eq!(values(&file, "STATUS"), ["CANCELLED"]);
    assert!(!file.contains("VALARM"));
}

#[test]
fn what_makes_no_calendar_is_refused() {
    let refused = |change: fn(&mut ProgramCalendar)| {
        let mut program = program();
        change(&mut program);
        calendar(&program).unwrap_err()
    };
    assert_eq!(refused(|p| p.uid.clear()), CalendarError::Empty { field: "uid" });
    assert_eq!(
        refused(|p| p.summary.push_str("\r\nATTENDEE:x")),
        CalendarError::Control { field: "summary", code: 13 }
    );
    assert_eq!(refused(|p| p.language = "en;X=1".into()), CalendarError::Language { found: "en;X=1".into() });
    assert_eq!(refused(|p| p.days.clear()), CalendarError::NoDays);
    assert_eq!(refused(|p| p.times.clear()), CalendarError::NoTimes);
    assert_eq!(
        refused(|p| p.times.push(p.times[0])),
        CalendarError::TimeTwice { field: "times", time: time(8, 0, 0, 0) }
    );
    let odd: Time = time(8, 0, 0, 5);
    assert!(
        matches!(refused(|p| p.times = vec![time(8, 0, 0, 5)]), CalendarError::PartOfSecond { time, .. } if time == odd)
    );
    assert_eq!(refused(|p| p.minutes = 0), CalendarError::Minutes { found: 0 });
    assert_eq!(
        refused(|p| p.last = p.first),
        CalendarError::NoSession { first: date(2026, 10, 13), last: date(2026, 10, 13) }
    );
    assert!(matches!(refused(|p| p.last = date(2026, 10, 1)), CalendarError::NoSession { .. }));
    assert_eq!(
        refused(|p| p.zone = Some("Mars/Base".into())),
        CalendarError::Zone { found: "Mars/Base".into() }
    );
    assert_eq!(refused(|p| p.last = date(9999, 12, 31)), CalendarError::Date);
}

#[test]
fn a_stamp_is_written_in_utc() {
    let stamp: Timestamp = "2026-10-12T23:30:00-05:00".parse().unwrap();
    let file = calendar(&ProgramCalendar { stamp, ..program() }).unwrap();
    assert_eq!(values(&file, "DTSTAMP"), ["20261013T043000Z"]);
}
