//! The page: template, styles and scripts of `assets/`, and the session as data.

use serde::Serialize;

use crate::check::{SessionFaults, check_session};
use crate::digest::{base64, sha256};
use crate::pack::{PackedClip, pack};
use crate::session::{Clip, FollowSession, FollowStep};

const TEMPLATE: &str = include_str!("../assets/page.html");
const STYLE: &str = include_str!("../assets/page.css");
/// One scope for all scripts; nothing becomes global but the log and the test clock.
const SCRIPT: &str = concat!(
    "'use strict';\n(() => {\n",
    include_str!("../assets/figure.js"),
    include_str!("../assets/qr.js"),
    include_str!("../assets/plan.js"),
    include_str!("../assets/voice.js"),
    include_str!("../assets/app.js"),
    "})();\n"
);

/// Text as HTML content or attribute value.
fn escape_html(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// JSON that cannot end its script element and is a valid JavaScript literal too.
fn escape_json(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for character in json.chars() {
        match character {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                out.push_str(&format!("\\u{:04x}", character as u32))
            }
            other => out.push(other),
        }
    }
    out
}

/// Replaces each `{{name}}` of the template once; values are never searched for further names.
fn fill_template(template: &str, value_of: impl Fn(&str) -> String) -> String {
    let mut out = String::with_capacity(template.len() * 8);
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let Some((name, tail)) = after.split_once("}}") else {
            out.push_str("{{");
            rest = after;
            continue;
        };
        out.push_str(&value_of(name));
        rest = tail;
    }
    out.push_str(rest);
    out
}

/// The clip of every exercise and stage, in the order of the session.
fn clips(session: &FollowSession) -> Vec<Option<&Clip>> {
    let mut out = Vec::new();
    for step in &session.steps {
        match step {
            FollowStep::Exercise(exercise) => out.push(Some(&exercise.clip)),
            FollowStep::Move(change) => out.extend(change.stages.iter().map(|stage| stage.picture.as_ref())),
            FollowStep::Rest(_) => {}
        }
    }
    out
}

/// The session as the script reads it: the plain data with each clip replaced by its packed form.
fn session_json(session: &FollowSession) -> String {
    let mut data = to_value(session);
    let mut packed =
        clips(session).into_iter().map(|clip| to_value(&clip.map(pack as fn(&Clip) -> PackedClip<'_>)));
    let steps = data["steps"].as_array_mut().expect("steps are a list");
    for step in steps {
        if let Some(clip) = step.get_mut("clip") {
            *clip = packed.next().expect("one clip for each exercise");
        }
        if let Some(stages) = step.get_mut("stages").and_then(serde_json::Value::as_array_mut) {
            for stage in stages {
                stage["picture"] = packed.next().expect("one picture for each stage");
            }
        }
    }
    data.to_string()
}

fn to_value<T: Serialize>(value: &T) -> serde_json::Value {
    serde_json::to_value(value).expect("plain data without maps always becomes JSON")
}

/// Nothing is loaded, nothing is sent, and only the page's own script runs.
fn policy() -> String {
    let digest = base64(&sha256(SCRIPT.as_bytes()));
    format!(
        "default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; img-src data:; \
         base-uri 'none'; form-action 'none'"
    )
}

/// The page of a session: one file, without any outside part.
///
/// # Errors
/// All faults of the session at once; no page is made then.
///
/// # Panics
/// Never for a session that passes [`check_session`].
pub fn follow_html(session: &FollowSession) -> Result<String, SessionFaults> {
    check_session(session)?;
    Ok(fill_template(TEMPLATE, |name| match name {
        "lang" => escape_html(&session.lang),
        "title" => escape_html(&session.title),
        "policy" => policy(),
        "style" => STYLE.to_owned(),
        "no_script" => escape_html(&session.labels.no_script),
        "session" => escape_json(&session_json(session)),
        "script" => SCRIPT.to_owned(),
        other => unreachable!("the template holds no {other}"),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_cannot_leave_its_element() {
        let json = serde_json::to_string("</script><!--<b>\u{2028}\u{2029}&").unwrap();
        let escaped = escape_json(&json);
        assert_eq!(escaped, r#""\u003c/script\u003e\u003c!--\u003cb\u003e\u2028\u2029\u0026""#);
        let back: String = serde_json::from_str(&escaped).unwrap();
        assert_eq!(back, "</script><!--<b>\u{2028}\u{2029}&");
    }

    #[test]
    fn values_are_not_searched_for_names() {
        let page =
            fill_template("<{{a}}|{{b}}>", |name| if name == "a" { "{{b}}".into() } else { "2".into() });
        assert_eq!(page, "<{{b}}|2>");
    }

    #[test]
    fn the_script_holds_no_end_of_its_element() {
        assert!(!SCRIPT.contains("</script") && !SCRIPT.contains("<!--"));
        assert!(!STYLE.contains("</style"));
    }

    #[test]
    fn page_and_scripts_use_every_label_and_no_other() {
        let words = include_str!("../examples/words.en.json");
        let labels: crate::Labels = serde_json::from_str(words).unwrap();
        let text = format!("{TEMPLATE}{SCRIPT}");
        for (name, _, _) in labels.each() {
            let by_urgency = name.starts_with("call_") && text.contains("L[`call_${");
            let used = text.contains(&format!("L.{name}"))
                || text.contains(&format!("data-label=\"{name}\""))
                || text.contains(&format!("{{{{{name}}}}}"));
            assert!(used || by_urgency, "label `{name}` is never shown");
        }
        let known: Vec<&str> = labels.each().into_iter().map(|(name, _, _)| name).collect();
        let names = |mark: &str| -> Vec<String> {
            text.split(mark)
                .skip(1)
                .map(|rest| rest.chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect())
                .collect()
        };
        for name in names("data-label=\"").into_iter().chain(names(" L.")).chain(names("(L.")) {
            assert!(known.contains(&name.as_str()) || name == "reasons", "`{name}` is shown but is no label");
        }
    }
}
