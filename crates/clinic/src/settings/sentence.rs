//! What a line of the clinic's own journal says, in the reader's language and with names instead of identifiers.
//!
//! The journal keeps short English sentences that this program wrote itself. Each known form of them is read back
//! here. What is not of a known form (the text of an error, for example) stays as it was written.

use std::collections::BTreeMap;

use handrail_anatomy::Side;
use handrail_store::accounts::Account;
use handrail_store::journal::Record;
use handrail_store::{StoreError, Tx, caseload, links};
use handrail_words::{Arg, Words};
use jiff::civil::Date;

use crate::settings::lines::what;
use crate::settings::parts::signature;

/// What an author's identifier begins with when a patient's link acted.
const PATIENT: &str = "patient:";

/// Names behind the identifiers in the lines of an audit.
#[derive(Default)]
pub(crate) struct Names {
    /// Accounts by identifier.
    pub accounts: BTreeMap<String, Account>,
    /// Patients by episode.
    patients: BTreeMap<String, String>,
    /// Episodes by link.
    episodes: BTreeMap<String, String>,
}

impl Names {
    /// Names of accounts alone.
    pub fn of(all: Vec<Account>) -> Names {
        let accounts = all.into_iter().map(|it| (it.id.clone(), it)).collect();
        Names { accounts, ..Names::default() }
    }

    /// The same with the patients of the links that the lines speak of.
    ///
    /// # Errors
    /// Database errors.
    pub fn with_patients(all: Vec<Account>, lines: &[Record], tx: &mut dyn Tx) -> Result<Names, StoreError> {
        let mut names = Names::of(all);
        for line in lines.iter().filter(|it| it.kind == "link") {
            let says = what(line);
            let link = says.split([' ', ':']).next().unwrap_or_default();
            if names.episodes.contains_key(link) {
                continue;
            }
            let Some(found) = links::by_id(tx, link)? else { continue };
            if let Some(summary) = caseload::get(tx, &found.episode)? {
                names.patients.insert(found.episode.clone(), summary.name);
            }
            names.episodes.insert(found.id, found.episode);
        }
        Ok(names)
    }

    /// The clinic's own journal names accounts by identifier; records keep the name of then.
    pub fn name(&self, words: &Words, line: &Record) -> String {
        if line.by.name != line.by.id {
            return line.by.name.clone();
        }
        if let Some(link) = line.by.id.strip_prefix(PATIENT) {
            return text_of(words, "by-patient", &[("name", self.patient_of(link).into())]);
        }
        if let Some(it) = self.accounts.get(&line.by.id) {
            return signature(&it.name, &it.title);
        }
        let key = format!("c-settings-by-{}", line.by.id.replace(' ', "-"));
        words.try_text(&key, &[]).unwrap_or_else(|| line.by.id.clone())
    }

    /// Name of the patient whom a link belongs to; the link's own identifier where the patient is gone.
    fn patient_of(&self, link: &str) -> String {
        self.episodes.get(link).map_or_else(|| link.to_string(), |it| self.patient(it))
    }

    fn patient(&self, episode: &str) -> String {
        self.patients.get(episode).cloned().unwrap_or_else(|| episode.to_string())
    }

    /// What a line says; `None` where it is of no known form.
    pub fn sentence(&self, words: &Words, line: &Record) -> Option<String> {
        let text = what(line);
        let (key, args) = match line.kind.as_str() {
            "link" => self.link(words, &text)?,
            "account" | "logout" => account(words, &text)?,
            "setting" => ("clinic", vec![("changes", changes(words, text.strip_prefix("clinic: ")?)?)]),
            "content" | "signature" => content(words, &text)?,
            "view" => ("exported", vec![("filter", within(&text, "audit exported (", ")")?.into())]),
            "login_failed" => {
                ("present-wrong", vec![("address", text.strip_suffix(": wrong present password")?.into())])
            }
            "backup" => backup(&text)?,
            "verify" => verified(&text)?,
            _ => return None,
        };
        Some(text_of(words, &format!("said-{key}"), &args))
    }

    fn link(&self, words: &Words, text: &str) -> Option<Form> {
        let (link, rest) = text.split_at(text.find([' ', ':'])?);
        if let Some(rest) = rest.strip_prefix(" made for ") {
            let (episode, until) = rest.split_once(", until ")?;
            let until = words.date_short(until.parse::<Date>().ok()?);
            let who = self.patient(episode);
            return Some(("link-made", vec![("patient", who.into()), ("until", until.into())]));
        }
        if let Some(episode) = rest.strip_prefix(" opened ") {
            return Some(("link-opened", vec![("patient", self.patient(episode).into())]));
        }
        let who = ("patient", Arg::from(self.patient_of(link)));
        if rest == " taken back" {
            return Some(("link-back", vec![who]));
        }
        if let Some(tries) = within(rest, ": wrong date of birth, ", " in a row") {
            return Some(("link-wrong", vec![who, number("n", tries)?]));
        }
        let tries = within(rest, " taken back after ", " wrong dates")?;
        Some(("link-locked", vec![who, number("n", tries)?]))
    }
}

fn text_of(words: &Words, key: &str, args: &[(&str, Arg)]) -> String {
    words.text(&format!("c-settings-{key}"), args)
}

/// A form of sentence: the end of its key, and its values.
type Form = (&'static str, Vec<(&'static str, Arg)>);

/// What stands between a beginning and an end.
fn within<'a>(text: &'a str, open: &str, close: &str) -> Option<&'a str> {
    text.strip_prefix(open)?.strip_suffix(close)
}

fn number(name: &'static str, text: &str) -> Option<(&'static str, Arg)> {
    Some((name, text.parse::<f64>().ok()?.into()))
}

fn role(words: &Words, id: &str) -> Option<String> {
    words.try_text(&format!("c-settings-role-{}", id.replace('_', "-")), &[])
}

fn account(words: &Words, text: &str) -> Option<Form> {
    if text == "own one-time codes turned off" {
        return Some(("own-codes-off", Vec::new()));
    }
    for (begin, key) in [
        ("own password changed; ", "own-password"),
        ("own one-time codes turned on; ", "own-codes-on"),
        ("", "sessions-ended"),
    ] {
        let count = within(text, begin, " other sessions ended").and_then(|it| number("n", it));
        if let Some(count) = count {
            return Some((key, vec![count]));
        }
    }
    if let Some((login, rest)) = text.split_once(" created as ") {
        let (id, name) = rest.split_once(": ").unwrap_or((rest, login));
        let role = role(words, id)?;
        return Some((
            "created",
            vec![("login", login.into()), ("role", role.into()), ("name", name.into())],
        ));
    }
    let (login, rest) = text.split_once(": ")?;
    let who = ("login", Arg::from(login));
    if rest == "may log in again" {
        return Some(("active", vec![who]));
    }
    if rest == "one-time codes turned off" {
        return Some(("codes-off", vec![who]));
    }
    for (begin, end, key) in [
        ("may no longer log in; ", " sessions ended", "inactive"),
        ("password reset; ", " sessions ended", "reset"),
        ("lock lifted after ", " wrong tries", "unlocked"),
    ] {
        if let Some(count) = within(rest, begin, end) {
            return Some((key, vec![who, number("n", count)?]));
        }
    }
    Some(("changed", vec![who, ("changes", changes(words, rest)?)]))
}

/// "role: `a` -> `b`, name: `c` -> `d`" with the fields' names, and roles by name.
fn changes(words: &Words, text: &str) -> Option<Arg> {
    if text == "saved without a change" {
        return words.try_text("c-settings-said-no-change", &[]).map(Arg::from);
    }
    let pieces: Vec<&str> = text.split('`').collect();
    let (last, changed) = pieces.split_last()?;
    if !last.is_empty() || changed.is_empty() || changed.len() % 4 != 0 {
        return None;
    }
    let mut out = Vec::new();
    for one in changed.chunks(4) {
        let &[field, before, arrow, after] = one else { return None };
        let field = field.trim_start_matches(", ").strip_suffix(": ")?;
        if arrow != " -> " {
            return None;
        }
        let value = |text: &str| {
            let named = (field == "role").then(|| role(words, text)).flatten();
            words.quoted(&named.unwrap_or_else(|| text.to_string()))
        };
        let name = words.try_text(&format!("c-settings-field-{}", field.replace(' ', "-")), &[])?;
        out.push(format!("{name}: {} → {}", value(before), value(after)));
    }
    Some(out.join("; ").into())
}

fn content(words: &Words, text: &str) -> Option<Form> {
    let (kind, rest) = text.split_once(' ')?;
    let (id, rest) = rest.split_once(' ')?;
    let name = match kind {
        "exercise" => words.exercise_title(id, Side::Left),
        "protocol" => words.operation_name(id),
        _ => return None,
    };
    let name = ("name", Arg::from(words.quoted(&name)));
    if let Some(by) = rest.strip_prefix("saved by ") {
        return Some(("saved", vec![name, ("by", by.into())]));
    }
    let (version, by) = rest.strip_prefix("version ")?.split_once(" signed by ")?;
    Some(("signed", vec![name, ("version", version.into()), ("by", by.into())]))
}

fn backup(text: &str) -> Option<Form> {
    let (file, rest) = text.split_once(": ")?;
    let (entries, digest) = rest.split_once(" entries, digest ")?;
    Some(("backup", vec![("file", file.into()), number("n", entries)?, ("digest", digest.into())]))
}

fn verified(text: &str) -> Option<Form> {
    let (entries, rest) = text.split_once(" entries in ")?;
    let (streams, rest) = rest.split_once(" streams, ")?;
    let (faults, digest) = rest.split_once(" faults, digest ")?;
    Some((
        "verified",
        vec![
            number("entries", entries)?,
            number("streams", streams)?,
            number("faults", faults)?,
            ("digest", digest.into()),
        ],
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_words::Lang;

    #[test]
    fn changes_are_told_with_names_and_a_broken_list_is_not_guessed_at() {
        let words = Words::load(Lang::Es).expect("words");
        let Some(Arg::Text(told)) = changes(&words, "role: `clinic_lead` -> `therapist`") else {
            panic!("a known form")
        };
        assert!(!told.contains("clinic_lead") && !told.contains("role:"), "{told}");
        assert!(changes(&words, "role: `clinic_lead` -> `thera").is_none());
        assert!(changes(&words, "role: `a` => `b`").is_none());
        assert!(changes(&words, "colour: `a` -> `b`").is_none());
    }

    #[test]
    fn every_form_that_is_written_is_read_back() {
        let words = Words::load(Lang::En).expect("words");
        for text in [
            "ines created as therapist",
            "paths created as assistant: Tamsin Averill",
            "own password changed; 2 other sessions ended",
            "own one-time codes turned on; 0 other sessions ended",
            "own one-time codes turned off",
            "3 other sessions ended",
            "ines: may log in again",
            "ines: may no longer log in; 1 sessions ended",
            "ines: password reset; 1 sessions ended",
            "ines: one-time codes turned off",
            "ines: lock lifted after 5 wrong tries",
            "ines: saved without a change",
        ] {
            assert!(account(&words, text).is_some(), "{text}");
        }
        let names = Names::default();
        for text in [
            "abc made for marta, until 2026-12-01",
            "abc opened marta",
            "abc taken back",
            "abc: wrong date of birth, 2 in a row",
            "abc taken back after 5 wrong dates",
        ] {
            assert!(names.link(&words, text).is_some(), "{text}");
        }
        assert!(content(&words, "exercise quad-set version 1 signed by Ines Brandvold, PT").is_some());
        assert!(backup("clinic.db failed: disk full").is_none());
    }
}
