//! Writes calendars of invented programs and what they must hold: `calendar_files DIR`.
//!
//! Each `NAME.ics` has a `NAME.json` beside it for `tests/outside/calendar_check.py`.

use handrail_exchange::calendar::{ProgramCalendar, calendar};
use jiff::civil::{Weekday, date, time};
use serde_json::json;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let dir = std::env::args().nth(1).ok_or("usage: calendar_files DIR")?;
    let dir = std::path::Path::new(&dir);
    std::fs::create_dir_all(dir)?;
    for (name, program) in programs() {
        std::fs::write(dir.join(format!("{name}.ics")), calendar(&program)?)?;
        let facts = serde_json::to_string_pretty(&facts(&program))?;
        std::fs::write(dir.join(format!("{name}.json")), facts)?;
    }
    Ok(())
}

/// The program as plain facts. The check works the starts out from them by itself.
fn facts(p: &ProgramCalendar) -> serde_json::Value {
    let days: Vec<i8> = p.days.iter().map(|day| day.to_monday_zero_offset()).collect();
    let clock = |times: &[jiff::civil::Time]| times.iter().map(|t| t.to_string()).collect::<Vec<_>>();
    json!({
        "uid": p.uid,
        "sequence": p.sequence,
        "stamp": p.stamp.to_string(),
        "language": p.language,
        "summary": p.summary,
        "description": p.description.replace("\r\n", "\n").replace('\r', "\n"),
        "days": days,
        "times": clock(&p.times),
        "former_times": clock(&p.former_times),
        "first": p.first.to_string(),
        "last": p.last.to_string(),
        "minutes": p.minutes,
        "zone": p.zone,
        "alarm_minutes_before": p.alarm_minutes_before,
        "cancelled": p.cancelled,
    })
}

fn programs() -> Vec<(&'static str, ProgramCalendar)> {
    let plain = ProgramCalendar {
        uid: "program-4711@clinic.example".to_owned(),
        sequence: 0,
        stamp: "2026-10-12T09:30:00Z".parse().expect("a moment"),
        language: "en".to_owned(),
        summary: "Home program".to_owned(),
        description: "Do the six exercises on your sheet; rest, then walk.\n\
                      Stop and call the clinic if it hurts more: 555-0100.\n\
                      Short of breath or pain in the chest? Call 911."
            .to_owned(),
        days: vec![Weekday::Friday, Weekday::Monday, Weekday::Wednesday],
        times: vec![time(8, 0, 0, 0)],
        former_times: vec![],
        first: date(2026, 10, 13),
        last: date(2026, 11, 23),
        minutes: 25,
        zone: None,
        alarm_minutes_before: Some(10),
        cancelled: false,
        product_id: "-//Handrail//Home program//EN".to_owned(),
    };
    let every_day = vec![
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];
    // The clock goes back on 1 November 2026 in Chicago and on 25 October 2026 in Madrid.
    let zoned = ProgramCalendar {
        zone: Some("America/Chicago".to_owned()),
        days: every_day.clone(),
        times: vec![time(19, 30, 0, 0), time(8, 0, 0, 0), time(13, 15, 0, 0)],
        ..plain.clone()
    };
    let spanish = ProgramCalendar {
        language: "es".to_owned(),
        summary: "Programa en casa, mañana y noche; sin prisa".to_owned(),
        description: "Haga los ejercicios de la hoja.\r\nDeténgase y llame a la clínica si le duele más. \
                      ¿Le falta el aire? Llame al 911.\r\nLa línea más larga de todas, con eñes y acentos: \
                      ñandú, pingüino, corazón, añil, cigüeña, árbol, última, según, índice. \\ fin"
            .to_owned(),
        zone: Some("Europe/Madrid".to_owned()),
        ..plain.clone()
    };
    let southern = ProgramCalendar {
        zone: Some("Australia/Lord_Howe".to_owned()),
        first: date(2026, 3, 30),
        last: date(2026, 4, 12),
        days: every_day,
        ..plain.clone()
    };
    let no_clock_change = ProgramCalendar { zone: Some("Asia/Kolkata".to_owned()), ..plain.clone() };
    let at_midnight = ProgramCalendar { times: vec![time(23, 50, 0, 0)], minutes: 45, ..zoned.clone() };
    let fewer_times = ProgramCalendar {
        sequence: 1,
        times: vec![time(9, 0, 0, 0)],
        former_times: zoned.times.clone(),
        ..zoned.clone()
    };
    let cancelled = ProgramCalendar { sequence: 2, cancelled: true, ..zoned.clone() };
    let one_day = ProgramCalendar {
        first: date(2026, 10, 14),
        last: date(2026, 10, 14),
        alarm_minutes_before: None,
        ..plain.clone()
    };
    vec![
        ("plain", plain),
        ("zoned", zoned),
        ("spanish", spanish),
        ("southern", southern),
        ("no_clock_change", no_clock_change),
        ("at_midnight", at_midnight),
        ("fewer_times", fewer_times),
        ("cancelled", cancelled),
        ("one_day", one_day),
    ]
}
