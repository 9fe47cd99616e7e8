//! How much, in words: sets, repetitions, hold, pace, rest, times a day, days a week.

use handrail_motion::{Repetition, SpanKind};
use handrail_program::{Amount, Dose};

use crate::bundle::Words;

/// Shortest hold that is told, s.
const TOLD_HOLD: f64 = 0.5;

impl Words {
    /// The dose as pairs of a heading and a short piece: ("Sets", "2 sets"), ("Hold", "hold 3 seconds")...
    pub fn dose_lines(&self, dose: &Dose, repetition: &Repetition) -> Vec<(String, String)> {
        let mut out = Vec::new();
        let mut line = |id: &str, text: String| out.push((self.say(&format!("dose-title-{id}")), text));
        line("sets", self.text("dose-sets", &[("n", dose.sets.into())]));
        match dose.amount {
            Amount::Reps(reps) => line("amount", self.text("dose-reps", &[("n", reps.into())])),
            Amount::Seconds(seconds) => {
                line("amount", self.text("dose-seconds", &[("seconds", self.seconds(seconds).into())]));
            }
        }
        if let Some(hold) = longest(repetition, SpanKind::Hold).filter(|it| *it >= TOLD_HOLD) {
            line("hold", self.text("dose-hold", &[("seconds", self.seconds(hold).into())]));
        }
        if let Some(pace) = self.pace(repetition) {
            line("pace", pace);
        }
        if dose.sets > 1 {
            line("rest", self.text("dose-rest", &[("seconds", self.seconds(dose.rest).into())]));
        }
        line("day", self.text("dose-day", &[("n", dose.times_a_day.into())]));
        line("week", self.text("dose-week", &[("n", dose.days_a_week.into())]));
        out
    }

    /// Pace of a repetition: there and back where it has just these two moves, else its whole duration.
    fn pace(&self, repetition: &Repetition) -> Option<String> {
        let moves: Vec<f64> = repetition
            .spans
            .iter()
            .filter(|it| it.kind == SpanKind::Move)
            .map(|it| it.end - it.start)
            .collect();
        match moves.as_slice() {
            [] => None,
            [there, back] => {
                let args = [("there", self.seconds(*there).into()), ("back", self.seconds(*back).into())];
                Some(self.text("dose-pace", &args))
            }
            _ => {
                Some(self.text("dose-pace-whole", &[("seconds", self.seconds(repetition.duration()).into())]))
            }
        }
    }
}

fn longest(repetition: &Repetition, kind: SpanKind) -> Option<f64> {
    let spans = repetition.spans.iter().filter(|it| it.kind == kind);
    spans.map(|it| it.end - it.start).reduce(f64::max)
}
