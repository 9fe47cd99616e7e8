//! What leaves and enters in open standards: FHIR R4, iCalendar, CSV.

pub mod calendar;
