//! Parts of forms. A form that is refused comes back with what was typed in it.

use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::csrf;
use handrail_store::tokens::new_id;
use maud::{Markup, html};

/// Kinds of fields.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// One line.
    Text,
    /// A date.
    Date,
    /// A time of day.
    Time,
    /// Several lines.
    Long,
    /// A number, with a decimal comma or point.
    Number,
    /// A whole number.
    Count,
}

/// What was typed in a field.
pub fn typed<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.opt(name).unwrap_or("")
}

/// What was typed in a field, or what stands there at first.
pub fn typed_or<'a>(fields: &'a Fields, name: &str, first: &'a str) -> &'a str {
    fields.opt(name).unwrap_or(first)
}

/// A field with its label.
pub fn field(label: &str, name: &str, kind: Kind, value: &str, required: bool) -> Markup {
    hinted(label, "", name, kind, value, required)
}

/// A field with its label and a hint.
pub fn hinted(label: &str, hint: &str, name: &str, kind: Kind, value: &str, required: bool) -> Markup {
    html! {
        label {
            (label)
            @if !hint.is_empty() { span class="hint" { " " (hint) } }
            @match kind {
                Kind::Long => textarea name=(name) rows="3" required[required] { (value) },
                Kind::Date => input type="date" name=(name) value=(value) required[required];,
                Kind::Time => input type="time" name=(name) value=(value) required[required];,
                Kind::Number => input name=(name) inputmode="decimal" autocomplete="off" value=(value) required[required];,
                Kind::Count => input name=(name) inputmode="numeric" autocomplete="off" value=(value) required[required];,
                Kind::Text => input name=(name) autocomplete="off" value=(value) required[required];,
            }
        }
    }
}

/// A list to choose from: values and names.
pub fn choose(
    label: &str,
    name: &str,
    chosen: &str,
    blank: Option<&str>,
    items: &[(String, String)],
) -> Markup {
    html! {
        label {
            (label)
            select name=(name) {
                @if let Some(blank) = blank { option value="" { (blank) } }
                @for (value, says) in items { option value=(value) selected[value == chosen] { (says) } }
            }
        }
    }
}

/// Radio buttons under a question.
pub fn radios(label: &str, name: &str, chosen: &str, items: &[(String, String)]) -> Markup {
    html! {
        fieldset class="rec-radios" {
            legend { (label) }
            @for (value, says) in items {
                label class="tick" { input type="radio" name=(name) value=(value) checked[value == chosen]; (says) }
            }
        }
    }
}

/// A box to tick.
pub fn tick(label: &str, name: &str, value: &str, on: bool) -> Markup {
    html! { label class="tick" { input type="checkbox" name=(name) value=(value) checked[on]; (label) } }
}

/// The hidden fields of every form: its token, and a key by which the same form sent twice is written once.
pub fn hidden(desk: &Desk, fields: &Fields) -> Markup {
    let once = fields.opt("once").map(str::to_string).or_else(|| new_id().ok()).unwrap_or_default();
    html! { (csrf(desk)) input type="hidden" name="once" value=(once); }
}

/// Names and values of a list of keys under one prefix.
pub fn options(desk: &Desk, prefix: &str, ids: &[&str]) -> Vec<(String, String)> {
    ids.iter()
        .map(|it| ((*it).to_string(), desk.say(&format!("{prefix}-{}", it.replace('_', "-")))))
        .collect()
}

/// What is wrong with a form, said above it.
pub fn refusal(wrong: &[(String, String)]) -> Markup {
    html! {
        @if !wrong.is_empty() {
            div class="alert stop" role="alert" tabindex="-1" data-wrong {
                @for (what, mend) in wrong {
                    p { strong { (what) } @if !mend.is_empty() { br; (mend) } }
                }
            }
        }
    }
}
