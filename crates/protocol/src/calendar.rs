//! Days and weeks after surgery, and dates as a text file writes them.
//!
//! The day of surgery is day 0. "Week w" is the w-th week: days `7 (w - 1)` to `7 w - 1`, so week 3 is days
//! 14 to 20. Protocol files count completed weeks instead: `from_week = 2, to_week = 6` means from day 14 up
//! to, but not including, day 42.

use std::fmt;

use jiff::ToSpan;
use jiff::civil::Date;
use serde::de::value::MapAccessDeserializer;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// Days from the surgery to `on`; negative before it.
pub fn day_after_surgery(surgery: Date, on: Date) -> i32 {
    surgery.until(on).map_or(0, |span| span.get_days())
}

/// The week a postoperative day lies in, one-based; day 0 is in week 1. Negative days have no week (0).
pub fn week_of_day(day: i32) -> i32 {
    if day < 0 { 0 } else { day / 7 + 1 }
}

/// First and last day of "week w", w from 1.
pub fn days_of_week(week: i32) -> (i32, i32) {
    (7 * (week - 1), 7 * week - 1)
}

/// The date on which so many weeks are complete: what `from_week` and `to_week` of a protocol file mean.
/// Saturates at the end of the calendar.
pub fn weeks_complete(surgery: Date, weeks: u32) -> Date {
    surgery.saturating_add(i64::from(weeks).saturating_mul(7).min(3_000_000).days())
}

/// A date in a text file: a TOML date (`2026-11-02`) or the same in quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DateText(pub Date);

impl Serialize for DateText {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for DateText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct DateVisitor;
        impl<'de> de::Visitor<'de> for DateVisitor {
            type Value = DateText;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a date such as 2026-11-02")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<DateText, E> {
                let date = text.parse::<Date>();
                date.map(DateText)
                    .map_err(|_| E::custom(format!("{text:?} is not a date such as 2026-11-02")))
            }

            fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<DateText, A::Error> {
                let written = toml::value::Datetime::deserialize(MapAccessDeserializer::new(map))?;
                self.visit_str(&written.to_string())
            }
        }
        deserializer.deserialize_any(DateVisitor)
    }
}

impl schemars::JsonSchema for DateText {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Date".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "format": "date",
            "description": "Calendar date, year-month-day, e.g. 2026-11-02"
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn week_three_is_days_14_to_20() {
        assert_eq!(days_of_week(3), (14, 20));
        let weeks: Vec<i32> = [-1, 0, 6, 7, 13, 14, 20, 21].map(week_of_day).to_vec();
        assert_eq!(weeks, [0, 1, 1, 2, 2, 3, 3, 4]);
    }

    #[test]
    fn days_are_counted_across_months_years_and_leap_days() {
        assert_eq!(day_after_surgery(date(2024, 2, 28), date(2024, 3, 1)), 2);
        assert_eq!(day_after_surgery(date(2026, 12, 30), date(2027, 1, 2)), 3);
        assert_eq!(day_after_surgery(date(2026, 11, 2), date(2026, 11, 1)), -1);
        assert_eq!(weeks_complete(date(2026, 11, 2), 6), date(2026, 12, 14));
    }

    #[test]
    fn a_date_reads_bare_and_quoted_and_refuses_a_time() {
        #[derive(Deserialize)]
        struct Entry {
            on: DateText,
        }
        for text in ["on = 2026-11-02", "on = \"2026-11-02\""] {
            assert_eq!(toml::from_str::<Entry>(text).unwrap().on.0, date(2026, 11, 2), "{text}");
        }
        for text in ["on = 2026-13-02", "on = 07:30:00", "on = \"Monday\"", "on = 3"] {
            assert!(toml::from_str::<Entry>(text).is_err(), "{text}");
        }
    }
}
