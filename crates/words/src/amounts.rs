//! Numbers, lengths, masses, times and dates as the language writes them.

use jiff::civil::{Date, Weekday};

use crate::bundle::{Arg, Words};
use crate::lang::Lang;

/// To which side a figure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Round {
    /// To the smaller number (towards minus infinity).
    Down,
    /// To the larger number.
    Up,
}

impl Round {
    /// Rounds to a multiple of `step`; what differs from one by less than a thousandth step counts as that one.
    pub(crate) fn to(self, value: f64, step: f64) -> f64 {
        let steps = value / step;
        let nearest = libm::round(steps);
        if (steps - nearest).abs() < 1e-3 {
            return nearest * step;
        }
        match self {
            Round::Down => libm::floor(steps) * step,
            Round::Up => libm::ceil(steps) * step,
        }
    }
}

/// Pounds in a kilogram (exact definition of the pound).
const LB_PER_KG: f64 = 1.0 / 0.453_592_37;
/// Metres in an inch.
const M_PER_INCH: f64 = 0.0254;

impl Words {
    /// A number with at most so many decimals and the language's decimal sign, without trailing zeros.
    pub fn number(&self, value: f64, decimals: usize) -> String {
        let mut text = format!("{value:.decimals$}");
        if text.contains('.') {
            text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
        }
        if text == "-0" {
            text = "0".into();
        }
        match self.lang() {
            Lang::En => text,
            Lang::Es => text.replace('.', ","),
        }
    }

    /// An angle in words, without a sign: "10 degrees".
    pub fn degrees(&self, deg: f64) -> String {
        let shown = libm::round(deg.abs() * 10.0) / 10.0;
        self.text("degrees", &[("n", shown.into())])
    }

    /// A mass: "20 kg", in English also in pounds, rounded down so that neither figure is looser.
    pub fn mass(&self, kg: f64) -> String {
        let lb = Round::Down.to(kg * LB_PER_KG, if kg < 5.0 { 0.1 } else { 1.0 });
        let kg = Round::Down.to(kg, 0.05);
        self.text("mass", &[("kg", self.number(kg, 2).into()), ("lb", self.number(lb, 1).into())])
    }

    /// A length: "12 cm", in English also in inches (halves), both rounded to the given side.
    pub(crate) fn length(&self, metres: f64, round: Round) -> String {
        self.text("length", &self.length_args(metres, round))
    }

    /// Centimetres and inches of a length, as values of a text.
    pub(crate) fn length_args(&self, metres: f64, round: Round) -> [(&'static str, Arg); 2] {
        let cm = round.to(metres * 100.0, 1.0);
        let inch = round.to(metres / M_PER_INCH, 0.5);
        [("cm", self.number(cm, 0).into()), ("inch", self.number(inch, 1).into())]
    }

    /// A length that may be shorter but not longer than said: rounded down to whole centimetres.
    pub fn length_at_most(&self, metres: f64) -> String {
        self.length(metres, Round::Down)
    }

    /// A duration of less than a few minutes: "30 seconds".
    pub fn seconds(&self, seconds: f64) -> String {
        let shown = if seconds < 3.0 { libm::round(seconds * 2.0) / 2.0 } else { libm::round(seconds) };
        self.text("seconds", &[("n", shown.into())])
    }

    /// A duration in minutes, rounded up: "about 20 minutes".
    pub fn minutes_about(&self, minutes: f64) -> String {
        self.text("minutes-about", &[("n", Round::Up.to(minutes, 1.0).max(1.0).into())])
    }

    /// A date with its weekday: "Monday, December 14, 2026".
    pub fn date_long(&self, date: Date) -> String {
        let args = [
            ("weekday", self.weekday_long(date.weekday()).into()),
            ("month", self.say(&format!("month-{}", date.month())).into()),
            ("day", date.day().to_string().into()),
            ("year", date.year().to_string().into()),
        ];
        self.text("date-long", &args)
    }

    /// A date without weekday: "Dec 14, 2026".
    pub fn date_short(&self, date: Date) -> String {
        let args = [
            ("month", self.say(&format!("month-short-{}", date.month())).into()),
            ("day", date.day().to_string().into()),
            ("year", date.year().to_string().into()),
        ];
        self.text("date-short", &args)
    }

    /// Name of a weekday.
    pub fn weekday_long(&self, day: Weekday) -> String {
        self.say(&format!("weekday-{}", day.to_monday_one_offset()))
    }

    /// Name of a weekday in three letters.
    pub fn weekday_short(&self, day: Weekday) -> String {
        self.say(&format!("weekday-short-{}", day.to_monday_one_offset()))
    }

    /// Heading of a day in the week chart: "Mon 16".
    pub fn chart_day(&self, date: Date) -> String {
        format!("{} {}", self.weekday_short(date.weekday()), date.day())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn words(lang: Lang) -> Words {
        Words::from_texts(lang, &crate::bundle::built_in_ui(lang), &[]).unwrap_or_else(|it| panic!("{it}"))
    }

    #[test]
    fn each_language_writes_its_own_way() {
        let (en, es) = (words(Lang::En), words(Lang::Es));
        assert_eq!((en.number(2.50, 2), es.number(2.50, 2)), ("2.5".into(), "2,5".into()));
        assert_eq!((en.number(-0.01, 1), en.number(20.0, 1)), ("0".into(), "20".into()));
        assert_eq!(en.mass(20.0), "20 kg (44 lb)");
        assert_eq!(es.mass(2.2), "2,2 kg");
        assert_eq!(en.mass(2.2), "2.2 kg (4.8 lb)");
        assert_eq!(en.length(0.127, Round::Down), "12 cm (5 in)");
        assert_eq!(en.length(0.128, Round::Up), "13 cm (5.5 in)");
        assert_eq!((en.degrees(1.0), es.degrees(2.5)), ("1 degree".into(), "2,5 grados".into()));
        let day = date(2026, 12, 14);
        assert_eq!(en.date_long(day), "Monday, December 14, 2026");
        assert_eq!(es.date_long(day), "lunes, 14 de diciembre de 2026");
        assert_eq!((en.date_short(day), es.date_short(day)), ("Dec 14, 2026".into(), "14 dic 2026".into()));
        assert_eq!((en.chart_day(day), es.chart_day(day)), ("Mon 14".into(), "lun 14".into()));
    }

    #[test]
    fn rounding_never_leaves_its_side_but_forgives_the_last_bits() {
        assert_eq!(Round::Down.to(0.3 / 0.1 * 1.0, 1.0), 3.0);
        assert_eq!(Round::Up.to(-3.4, 1.0), -3.0);
        assert_eq!(Round::Down.to(-3.4, 1.0), -4.0);
    }
}
