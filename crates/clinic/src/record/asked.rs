//! What a form asks for, or why it cannot be taken. All that is wrong with it is said at once.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::Desk;
use jiff::civil::Date;

/// Sentences on what is wrong and how to mend it.
pub type Wrong = Vec<(String, String)>;

/// Reads fields and collects what is wrong with them.
pub struct Asked<'a> {
    /// Who asks.
    pub desk: &'a Desk,
    /// Form.
    pub fields: &'a Fields,
    /// What is wrong so far.
    pub wrong: Wrong,
}

impl<'a> Asked<'a> {
    /// Of a form.
    pub fn new(desk: &'a Desk, fields: &'a Fields) -> Asked<'a> {
        Asked { desk, fields, wrong: Vec::new() }
    }

    /// Notes something wrong: keys of what is wrong and of how to mend it.
    pub fn refuse(&mut self, what: &str, mend: &str) {
        self.wrong.push((self.desk.say(what), self.desk.say(mend)));
    }

    /// A text that must be there; `label` is the key of its name on the form.
    pub fn text(&mut self, name: &str, label: &str) -> String {
        match self.fields.opt(name) {
            Some(it) => it.to_string(),
            None => {
                let label = self.desk.say(label);
                let what = self.desk.words().text("c-record-blank", &[("field", label.into())]);
                self.wrong.push((what, self.desk.say("c-record-fill-in")));
                String::new()
            }
        }
    }

    /// A text that may be there.
    pub fn text_opt(&self, name: &str) -> Option<String> {
        self.fields.opt(name).map(Into::into)
    }

    fn take<T>(&mut self, label: &str, read: Result<T, Fault>) -> Option<T> {
        match read {
            Ok(it) => Some(it),
            Err(_) => {
                let label = self.desk.say(label);
                let what = self.desk.words().text("c-record-not-readable", &[("field", label.into())]);
                self.wrong.push((what, self.desk.say("c-record-write-plainly")));
                None
            }
        }
    }

    /// A number, if one was given.
    pub fn number(&mut self, name: &str, label: &str) -> Option<f64> {
        self.take(label, self.fields.number_opt(name)).flatten()
    }

    /// A whole number up to `most`, if one was given.
    pub fn count(&mut self, name: &str, label: &str, most: u32) -> Option<u32> {
        let count = self.take(label, self.fields.count_opt(name)).flatten()?;
        if count <= most {
            return Some(count);
        }
        let args = [("field", self.desk.say(label).into()), ("most", most.into())];
        let what = self.desk.words().text("c-record-too-many", &args);
        self.wrong.push((what, self.desk.say("c-record-write-plainly")));
        None
    }

    /// A day from the surgery to today; today when blank.
    pub fn day(&mut self, name: &str, label: &str, surgery: Date) -> Date {
        let today = self.desk.app.today();
        let day = self.take(label, self.fields.date_opt(name)).flatten().unwrap_or(today);
        if day > today {
            self.refuse("c-record-in-future", "c-record-in-future-mend");
        } else if day < surgery {
            self.refuse("c-record-before-surgery", "c-record-before-surgery-mend");
        }
        day
    }

    /// A day, if one was given.
    pub fn day_opt(&mut self, name: &str, label: &str) -> Option<Date> {
        self.take(label, self.fields.date_opt(name)).flatten()
    }

    /// One of a list; anything else is refused.
    pub fn one_of<T: Copy>(&mut self, name: &str, label: &str, items: &[(&str, T)]) -> Option<T> {
        let given = self.text(name, label);
        let found = items.iter().find(|it| it.0 == given).map(|it| it.1);
        if found.is_none() && !given.is_empty() {
            let label = self.desk.say(label);
            let what = self.desk.words().text("c-record-not-readable", &[("field", label.into())]);
            self.wrong.push((what, self.desk.say("c-record-choose")));
        }
        found
    }

    /// What was asked, unless something is wrong.
    pub fn or<T>(self, value: T) -> Result<T, Wrong> {
        if self.wrong.is_empty() { Ok(value) } else { Err(self.wrong) }
    }
}
