//! A form as it was sent: named texts, with getters whose errors name the field.

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use jiff::civil::Date;

use crate::fault::Fault;

/// The fields of a form (`application/x-www-form-urlencoded`); a name may stand more than once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fields(pub BTreeMap<String, Vec<String>>);

impl Fields {
    /// Reads the body of a form.
    pub fn read(body: &[u8]) -> Fields {
        let mut fields: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, value) in form_urlencoded::parse(body) {
            fields.entry(name.into_owned()).or_default().push(value.into_owned());
        }
        Fields(fields)
    }

    /// All values of a name.
    pub fn all(&self, name: &str) -> &[String] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }

    /// The trimmed text, or `None` when it is missing or blank.
    pub fn opt(&self, name: &str) -> Option<&str> {
        self.all(name).first().map(|it| it.trim()).filter(|it| !it.is_empty())
    }

    /// Whether a box was ticked.
    pub fn ticked(&self, name: &str) -> bool {
        self.opt(name).is_some()
    }

    /// A text that must be there.
    ///
    /// # Errors
    /// It is missing or blank.
    pub fn text(&self, name: &str) -> Result<&str, Fault> {
        self.opt(name).ok_or_else(|| Fault::refused(format!("`{name}` is blank"), "fill it in"))
    }

    /// A date, if one was given.
    ///
    /// # Errors
    /// Not a date.
    pub fn date_opt(&self, name: &str) -> Result<Option<Date>, Fault> {
        let Some(text) = self.opt(name) else { return Ok(None) };
        let wrong =
            || Fault::refused(format!("`{name}`: `{text}` is not a date"), "write it like 2026-11-25");
        text.parse().map(Some).map_err(|_| wrong())
    }

    /// A date that must be there.
    ///
    /// # Errors
    /// Missing, or not a date.
    pub fn date(&self, name: &str) -> Result<Date, Fault> {
        self.text(name)?;
        self.date_opt(name)?.ok_or_else(|| Fault::refused(format!("`{name}` is blank"), "fill it in"))
    }

    /// A number, if one was given; a decimal comma is read as a point.
    ///
    /// # Errors
    /// Not a finite number.
    pub fn number_opt(&self, name: &str) -> Result<Option<f64>, Fault> {
        let Some(text) = self.opt(name) else { return Ok(None) };
        let value: Option<f64> = text.replace(',', ".").parse().ok().filter(|it: &f64| it.is_finite());
        let wrong = || Fault::refused(format!("`{name}`: `{text}` is not a number"), "write digits only");
        value.map(Some).ok_or_else(wrong)
    }

    /// A whole number, if one was given.
    ///
    /// # Errors
    /// Not a whole number of 0 or more.
    pub fn count_opt(&self, name: &str) -> Result<Option<u32>, Fault> {
        let Some(text) = self.opt(name) else { return Ok(None) };
        let wrong =
            || Fault::refused(format!("`{name}`: `{text}` is not a whole number"), "write digits only");
        text.parse().map(Some).map_err(|_| wrong())
    }
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Fault;

    async fn from_request(request: Request, state: &S) -> Result<Self, Fault> {
        let body = Bytes::from_request(request, state).await.map_err(|_| Fault::TooLarge)?;
        Ok(Fields::read(&body))
    }
}
