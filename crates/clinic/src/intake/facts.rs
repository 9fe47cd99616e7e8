//! From the form to facts; every mistake at its field.

use std::collections::BTreeMap;

use crate::fields::Fields;
use crate::gate::Desk;
use crate::numbers::Numbers;
use crate::records::New;
use crate::rights::Right;
use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side};
use handrail_episode::fold::HEIGHTS;
use handrail_episode::{Fact, HomeFacts, Operation, Patient};
use handrail_library::Library;
use handrail_protocol::{Confirmation, Orders, Protocol, check_orders};
use handrail_words::Lang;
use jiff::civil::Date;

/// Field and what is wrong with it.
pub type Mistakes = Vec<(&'static str, String)>;

/// Reads the form.
pub struct Reader<'a> {
    desk: &'a Desk,
    fields: &'a Fields,
    people: &'a [String],
    numbers: Option<Numbers>,
    library: std::sync::Arc<Library>,
    mistakes: Mistakes,
}

impl<'a> Reader<'a> {
    /// A reader of a form.
    pub fn new(desk: &'a Desk, fields: &'a Fields, people: &'a [String], numbers: Option<Numbers>) -> Self {
        Reader { desk, fields, people, numbers, library: desk.library().clone(), mistakes: Vec::new() }
    }

    /// The first facts of an episode.
    ///
    /// # Errors
    /// Every mistake of the form.
    pub fn facts(mut self) -> Result<Vec<New>, Mistakes> {
        let today = self.desk.app.today();
        let patient = self.patient(today);
        let body = self.body();
        let home = self.home();
        let operation = self.operation(today);
        let therapist = self.therapist();
        let confirmed = operation.as_ref().map(|it| self.confirmations(it, today)).unwrap_or_default();
        let clinic = self.numbers.take().map(|it| it.fact(&therapist));
        if clinic.is_none() {
            self.say("clinic", "c-new-no-numbers");
        }
        let (Some(patient), Some(body), Some(operation), Some(clinic)) = (patient, body, operation, clinic)
        else {
            return Err(self.mistakes);
        };
        if !self.mistakes.is_empty() {
            return Err(self.mistakes);
        }
        let surgery = operation.surgery;
        let facts = [
            Fact::Patient(patient),
            Fact::Clinic(clinic),
            Fact::Body(body, SegmentTable::Winter),
            Fact::Home(home),
            Fact::Operation(operation),
        ];
        let confirmed = confirmed.into_iter().map(|it| New::fact(it.on, Fact::Confirmation(it)));
        Ok(facts.into_iter().map(|it| New::fact(surgery, it)).chain(confirmed).collect())
    }

    /// Notes a mistake in the words of the person.
    fn say(&mut self, field: &'static str, key: &str) {
        self.mistakes.push((field, self.desk.say(key)));
    }

    fn text(&mut self, field: &'static str) -> Option<String> {
        let found = self.fields.opt(field).map(str::to_string);
        if found.is_none() {
            self.say(field, "c-new-blank");
        }
        found
    }

    fn date(&mut self, field: &'static str) -> Option<Date> {
        let text = self.text(field)?;
        let date = text.parse().ok();
        if date.is_none() {
            self.say(field, "c-new-no-date");
        }
        date
    }

    fn number(&mut self, field: &'static str) -> Option<f64> {
        match self.fields.number_opt(field) {
            Ok(number) => number,
            Err(_) => {
                self.say(field, "c-new-no-number");
                None
            }
        }
    }

    fn patient(&mut self, today: Date) -> Option<Patient> {
        let name = self.text("patient_name");
        let born = self.date("born");
        if born.is_some_and(|it| it >= today || it < today.saturating_sub(jiff::Span::new().years(120))) {
            self.say("born", "c-new-born-odd");
        }
        let language = self.fields.opt("language").filter(|it| it.parse::<Lang>().is_ok());
        let language = language.unwrap_or(self.desk.lang.id()).to_string();
        // A box that was left blank by somebody who asked is not the same as a question nobody asked.
        let helper = match self.fields.opt("helper") {
            Some("nobody") => Some(String::new()),
            Some("somebody") => Some(self.fields.opt("helper_name").unwrap_or("yes").to_string()),
            _ => None,
        };
        let record = self.fields.opt("record").map(str::to_string);
        Some(Patient { name: name?, language, born, record, helper })
    }

    fn body(&mut self) -> Option<Person> {
        let (stature, mass) = (self.number("stature_cm"), self.number("mass_kg"));
        for (field, value) in [("stature_cm", stature), ("mass_kg", mass)] {
            if value.is_none() && !self.mistakes.iter().any(|it| it.0 == field) {
                self.say(field, "c-new-blank");
            }
        }
        let sex = match self.fields.opt("sex") {
            Some("female") => Some(Sex::Female),
            Some("male") => Some(Sex::Male),
            _ => {
                self.say("sex", "c-new-blank");
                None
            }
        };
        let person = Person {
            stature: stature? / 100.0,
            mass: mass?,
            sex: sex?,
            measured: MeasuredLengths::default(),
        };
        match Body::new(person, SegmentTable::Winter) {
            Ok(_) => Some(person),
            Err(error) => {
                let field = if error.field == "mass" { "mass_kg" } else { "stature_cm" };
                self.mistakes.push((field, error.message));
                None
            }
        }
    }

    fn home(&mut self) -> HomeFacts {
        const FIELDS: [&str; 4] = ["seat_cm", "bed_cm", "table_cm", "step_cm"];
        let mut heights = [None; 4];
        for ((height, field), (_, low, high)) in heights.iter_mut().zip(FIELDS).zip(HEIGHTS) {
            *height = self.number(field).map(|it| it / 100.0);
            if height.is_some_and(|it| !(low..=high).contains(&it)) {
                let args = [("low", (low * 100.0).into()), ("high", (high * 100.0).into())];
                self.mistakes.push((field, self.desk.words().text("c-new-height-odd", &args)));
            }
        }
        let asked = self.fields.ticked("equipment_asked");
        let stairs = self.fields.count_opt("stairs").unwrap_or_else(|_| {
            self.say("stairs", "c-new-no-number");
            None
        });
        let [seat_height, bed_height, table_height, step_height] = heights;
        let equipment = asked.then(|| self.fields.all("equipment").iter().cloned().collect());
        HomeFacts { seat_height, bed_height, table_height, step_height, equipment, stairs }
    }

    fn operation(&mut self, today: Date) -> Option<Operation> {
        let protocol = self.text("protocol");
        let side = match self.fields.opt("side") {
            Some("left") => Some(Side::Left),
            Some("right") => Some(Side::Right),
            _ => {
                self.say("side", "c-new-side");
                None
            }
        };
        let surgery = self.date("surgery");
        if surgery.is_some_and(|it| it > today) {
            self.say("surgery", "c-new-surgery-later");
        }
        let surgeon = self.text("surgeon");
        let next_visit = match self.fields.date_opt("next_visit") {
            Ok(date) => date,
            Err(_) => {
                self.say("next_visit", "c-new-no-date");
                None
            }
        };
        if let (Some(surgery), Some(visit)) = (surgery, next_visit)
            && visit < surgery
        {
            self.say("next_visit", "c-new-visit-early");
        }
        let protocol = protocol.and_then(|it| {
            let known = self.library.protocols.contains_key(&it);
            if !known {
                self.say("protocol", "c-new-no-protocol");
            }
            known.then_some(it)
        })?;
        let variants = self.variants(&self.library.protocols[&protocol]);
        Some(Operation { protocol, side: side?, surgery: surgery?, surgeon: surgeon?, next_visit, variants })
    }

    /// Answers that are among the choices; one that was not given stays open, and what depends on it is refused.
    fn variants(&self, protocol: &Protocol) -> BTreeMap<String, String> {
        let answer = |name: &str| self.fields.opt(&format!("variant.{name}")).map(str::to_string);
        let known = protocol.variants.iter().filter_map(|it| {
            let answer = answer(&it.name).filter(|answer| it.choices.contains(answer))?;
            Some((it.name.clone(), answer))
        });
        known.collect()
    }

    fn therapist(&mut self) -> String {
        let chosen = self.fields.opt("therapist").filter(|it| self.people.iter().any(|name| name == it));
        match chosen {
            Some(it) => it.to_string(),
            None if self.desk.may(Right::Plan) => self.desk.staff.name.clone(),
            None => {
                self.say("therapist", "c-new-therapist");
                String::new()
            }
        }
    }

    /// Restrictions that were ticked as confirmed, with who said so and in which document.
    fn confirmations(&mut self, operation: &Operation, today: Date) -> Vec<Confirmation> {
        let ticked: Vec<String> = self.fields.all("confirm").to_vec();
        if ticked.is_empty() {
            return Vec::new();
        }
        if !self.desk.may(Right::Restrict) {
            self.say("document", "c-new-not-yours");
            return Vec::new();
        }
        let document = self.text("document");
        let on = self.date("document_on");
        if on.is_some_and(|it| it > today) {
            self.say("document_on", "c-new-document-later");
        }
        let (Some(document), Some(on)) = (document, on) else { return Vec::new() };
        let by = operation.surgeon.clone();
        let confirmed: Vec<Confirmation> = ticked
            .into_iter()
            .map(|restriction| Confirmation { restriction, by: by.clone(), on, document: document.clone() })
            .collect();
        let mut orders = Orders::new(operation.surgery, operation.side);
        orders.variants = operation.variants.clone();
        orders.confirmed = confirmed.clone();
        for mistake in check_orders(&self.library.protocols[&operation.protocol], &orders) {
            self.mistakes.push(("document", format!("{} ({})", mistake.message, mistake.mend)));
        }
        confirmed
    }
}
