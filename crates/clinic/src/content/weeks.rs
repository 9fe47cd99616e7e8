//! Restrictions over the weeks after surgery, one row for each ladder of stages or single restriction.

use handrail_protocol::{Protocol, Restriction};
use handrail_words::Words;
use maud::{Markup, PreEscaped, html};

use crate::content::parts::{say, tell};

/// Width of the weeks, picture units. Names stand above their bars, so that a narrow screen shows weeks and not a
/// column of names.
const WEEKS: f64 = 750.0;
/// Height of a line of a name.
const LINE: f64 = 16.0;
/// Height of a bar with the gap beneath it.
const BAR: f64 = 30.0;
/// Width of a character of a label in a bar, at most.
const CHARACTER: f64 = 8.0;
/// Height of the scale.
const TOP: f64 = 56.0;
/// Weeks that are drawn wide; later ones share the rest.
const EARLY: u32 = 16;
/// Share of the width that the early weeks take where there are later ones.
const EARLY_SHARE: f64 = 0.68;

/// Restrictions of one row, in the order of the file.
struct Row<'a> {
    name: String,
    stages: Vec<&'a Restriction>,
}

fn rows<'a>(words: &Words, protocol: &'a Protocol) -> Vec<Row<'a>> {
    let mut rows: Vec<(String, Row<'a>)> = Vec::new();
    for it in &protocol.restrictions {
        let key = it.ladder.clone().unwrap_or_else(|| it.id.clone());
        match rows.iter_mut().find(|row| row.0 == key) {
            Some(row) => row.1.stages.push(it),
            None => {
                let value = if it.ladder.is_some() { String::new() } else { words.limit_value(&it.limit) };
                let name = match it.ladder.is_some() || value.is_empty() {
                    true => words.limit_on(&it.limit),
                    false => format!("{}: {value}", words.limit_on(&it.limit)),
                };
                rows.push((key, Row { name, stages: vec![it] }));
            }
        }
    }
    rows.into_iter().map(|it| it.1).collect()
}

struct Scale {
    last: u32,
}

impl Scale {
    fn of(protocol: &Protocol) -> Scale {
        let phases = protocol.phases.iter().map(|it| it.from_week + 2);
        let ends = protocol.restrictions.iter().filter_map(|it| it.to_week);
        Scale { last: phases.chain(ends).max().unwrap_or(EARLY).max(4) + 1 }
    }

    fn x(&self, week: u32) -> f64 {
        let week = f64::from(week.min(self.last));
        let (early, last) = (f64::from(EARLY), f64::from(self.last));
        if self.last <= EARLY + 4 {
            return WEEKS * week / last;
        }
        let wide = WEEKS * EARLY_SHARE;
        if week <= early {
            wide * week / early
        } else {
            wide + (WEEKS - wide) * (week - early) / (last - early)
        }
    }

    /// Weeks that the scale names.
    fn ticks(&self) -> Vec<u32> {
        let later = (EARLY + 8..self.last).step_by(8);
        (0..=EARLY.min(self.last)).step_by(2).chain(later).collect()
    }
}

/// A name in at most two lines that a narrow screen shows whole.
fn lines(name: &str) -> Vec<String> {
    const MOST: usize = 48;
    let mut lines = vec![String::new()];
    for word in name.split_whitespace() {
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + 1 + word.chars().count() > MOST {
            if lines.len() == 2 {
                lines[last].push('…');
                break;
            }
            lines.push(word.to_string());
        } else {
            let gap = if lines[last].is_empty() { "" } else { " " };
            lines[last].push_str(&format!("{gap}{word}"));
        }
    }
    lines
}

/// The timeline; the table beneath it says the same in words.
pub fn timeline(words: &Words, protocol: &Protocol) -> Markup {
    let (rows, scale) = (rows(words, protocol), Scale::of(protocol));
    let names: Vec<Vec<String>> = rows.iter().map(|it| lines(&it.name)).collect();
    let of_rows: f64 = names.iter().map(|it| LINE * it.len() as f64 + BAR).sum();
    // The first and the last week's number reach beyond the scale.
    let (width, height) = (WEEKS + 20.0, TOP + of_rows + 8.0);
    let mut out = String::new();
    let mut push = |text: String| out.push_str(&text);
    let escape = handrail_figures::svg::escape;
    // Phases as bands with their number; the list of phases names them.
    for (index, phase) in protocol.phases.iter().enumerate() {
        let (from, to) = (scale.x(phase.from_week), scale.x(phase.to_week.unwrap_or(scale.last)));
        let shade = if index % 2 == 0 { "#eef4f4" } else { "#ffffff" };
        push(format!(
            r##"<rect x="{from:.1}" y="26" width="{:.1}" height="{:.1}" fill="{shade}"/><text x="{:.1}" y="20" text-anchor="middle" font-weight="700">{}</text>"##,
            to - from,
            height - 30.0,
            (from + to) / 2.0,
            index + 1
        ));
    }
    for week in scale.ticks() {
        let x = scale.x(week);
        push(format!(
            r##"<line x1="{x:.1}" x2="{x:.1}" y1="46" y2="{:.1}" stroke="#d5dbdd"/><text x="{x:.1}" y="42" text-anchor="middle" font-size="13">{week}</text>"##,
            height - 4.0
        ));
    }
    let mut below = TOP;
    for (row, name) in rows.iter().zip(&names) {
        for (line, text) in name.iter().enumerate() {
            push(format!(
                r##"<text x="2" y="{:.1}" font-size="14" stroke="#ffffff" stroke-width="4" paint-order="stroke">{}</text>"##,
                below + 12.0 + LINE * line as f64,
                escape(text)
            ));
        }
        let y = below + LINE * name.len() as f64 - 4.0;
        below += LINE * name.len() as f64 + BAR;
        for (stage, it) in row.stages.iter().enumerate() {
            let (from, to) = (scale.x(it.from_week), scale.x(it.to_week.unwrap_or(scale.last)));
            let fill = if stage % 2 == 0 { "#0c4a5b" } else { "#4f7f8c" };
            // Restrictions that hang on an answer are framed, not filled.
            let conditional = !it.only_if.is_empty();
            let paint = if conditional {
                r##"fill="#ffffff" stroke="#0c4a5b" stroke-width="2" stroke-dasharray="5 3""##.to_string()
            } else {
                format!(r#"fill="{fill}""#)
            };
            let title = format!(
                "{}: {} ({})",
                words.limit_on(&it.limit),
                words.limit_value(&it.limit),
                weeks(words, it.from_week, it.to_week)
            );
            push(format!(
                r#"<rect x="{:.1}" y="{:.1}" width="{:.1}" height="20" rx="4" {paint}><title>{}</title></rect>"#,
                from + 1.0,
                y + 6.0,
                (to - from - 2.0).max(3.0),
                escape(&title)
            ));
            let label = match &it.limit {
                handrail_protocol::Limit::Motion { max_deg, .. } => format!("{}°", words.number(*max_deg, 0)),
                // Of a ladder the name tells no value: each stage tells its own.
                limit if it.ladder.is_some() => escape(&words.limit_value(limit)),
                _ => String::new(),
            };
            let room = to - from - 6.0;
            if !label.is_empty() && room > CHARACTER * label.chars().count() as f64 {
                let ink = if conditional { "#0c4a5b" } else { "#ffffff" };
                push(format!(
                    r#"<text x="{:.1}" y="{:.1}" text-anchor="middle" font-size="13" font-weight="700" fill="{ink}">{label}</text>"#,
                    (from + to) / 2.0,
                    y + 21.0
                ));
            }
        }
    }
    html! {
        div class="scroll" tabindex="0" role="group" aria-label=(say(words, "timeline")) {
            svg class="weeks" viewBox={ "-10 0 " (width) " " (height) } role="img" aria-label=(say(words, "timeline-alt")) fill="#16262e" font-size="14" {
                (PreEscaped(out))
            }
        }
        p class="small quiet" { (say(words, "timeline-key")) }
    }
}

/// "weeks 2 to 6", "from week 6".
pub fn weeks(words: &Words, from: u32, to: Option<u32>) -> String {
    match to {
        Some(to) => tell(words, "weeks", &[("from", from.to_string().into()), ("to", to.to_string().into())]),
        None => tell(words, "weeks-from", &[("from", from.to_string().into())]),
    }
}
