//! Loads on tissues in words: their names, amounts with units, ceilings, and why a load is not known.

use handrail_anatomy::{LoadClass, LoadUnit, Side, Tissue};
use handrail_motion::NotKnown;
use handrail_protocol::ExposureOf;

use crate::bundle::Words;
use crate::names::{capital, key};

impl Words {
    /// Plain name of a tissue on a side, with its article: "the tendon at your left heel".
    pub fn tissue_on_side(&self, tissue: Tissue, side: Side) -> String {
        self.text(&key("tissue", tissue.id()), &[("side", side.into())])
    }

    /// Clinical name of a tissue, without a side: "Achilles tendon".
    pub fn tissue_name(&self, tissue: Tissue) -> String {
        self.say(&key("c-tissue", tissue.id()))
    }

    /// The same with its side: "left Achilles tendon"; the spine has none.
    pub fn tissue_name_on_side(&self, tissue: Tissue, side: Side) -> String {
        let name = self.tissue_name(tissue);
        if tissue.joints().iter().all(|it| it.is_axial()) {
            return name;
        }
        self.text("c-with-side", &[("what", name.into()), ("side", side.into())])
    }

    /// Clinical word for a class of muscle activity: "low to moderate".
    pub fn load_class_name(&self, class: LoadClass) -> String {
        self.say(&key("c-load-class", class.id()))
    }

    /// Unit of a load: "BW", "% MVIC".
    pub fn load_unit(&self, unit: LoadUnit) -> String {
        self.say(match unit {
            LoadUnit::BodyWeights => "c-unit-body-weights",
            LoadUnit::PercentStrain => "c-unit-percent-strain",
            LoadUnit::PercentMvic => "c-unit-percent-mvic",
        })
    }

    /// A load with its unit: "1.2 BW". Body weights have two decimals, percentages one.
    pub fn load_amount(&self, value: f64, unit: LoadUnit) -> String {
        let decimals = if unit == LoadUnit::BodyWeights { 2 } else { 1 };
        let args = [("n", self.number(value, decimals).into()), ("unit", self.load_unit(unit).into())];
        self.text("c-value", &args)
    }

    /// A sum over a week with its unit: "400 BW", "900 BW·s".
    pub fn exposure_amount(&self, value: f64, tissue: Tissue, of: ExposureOf) -> String {
        let unit = self.load_unit(tissue.unit());
        let unit = match of {
            ExposureOf::Peaks => unit,
            ExposureOf::Impulse => self.text("c-unit-times-seconds", &[("unit", unit.into())]),
        };
        self.text("c-value", &[("n", self.number(value, 0).into()), ("unit", unit.into())])
    }

    /// Why a load cannot be stated, as a clause for clinicians.
    pub fn load_not_known(&self, why: NotKnown) -> String {
        self.say(&key("c-load-not-known", why.id()))
    }

    /// A ceiling on one repetition, for the patient.
    pub(crate) fn load_sentence(&self, tissue: Tissue, max: f64, side: Side) -> String {
        let text = if max <= 0.0 { "load-none" } else { "load-at-most" };
        self.text(text, &[("tissue", self.tissue_on_side(tissue, side).into())])
    }

    /// A ceiling on one week, for the patient.
    pub(crate) fn exposure_limit_sentence(&self, tissue: Tissue, per_week: f64, side: Side) -> String {
        if per_week <= 0.0 {
            return self.load_sentence(tissue, per_week, side);
        }
        self.text("exposure-at-most", &[("tissue", self.tissue_on_side(tissue, side).into())])
    }

    /// What a ceiling on one repetition allows, for clinicians.
    pub(crate) fn load_value(&self, tissue: Tissue, max: f64, class: Option<LoadClass>) -> String {
        let mut args = vec![("value", self.load_amount(max, tissue.unit()).into())];
        let Some(class) = class else { return self.text("c-at-most-load", &args) };
        args.push(("class", self.load_class_name(class).into()));
        self.text("c-at-most-load-class", &args)
    }

    /// What a ceiling on one week allows, for clinicians.
    pub(crate) fn exposure_value(&self, tissue: Tissue, per_week: f64, of: ExposureOf) -> String {
        let value = self.exposure_amount(per_week, tissue, of);
        self.text(&key("c-at-most-week", of.id()), &[("value", value.into())])
    }

    /// A week's sum over its ceiling, for clinicians: what was compared, and what would make the program
    /// acceptable. `computed` is the upper bound of the sum; `side` is the operated side.
    pub fn exposure_reason(
        &self,
        tissue: Tissue,
        of: ExposureOf,
        computed: f64,
        limit: f64,
        side: Side,
    ) -> String {
        let args = [
            ("tissue", self.tissue_name_on_side(tissue, side).into()),
            ("computed", self.exposure_amount(computed, tissue, of).into()),
            ("limit", self.exposure_amount(limit, tissue, of).into()),
        ];
        let fact = capital(&self.text(&key("c-reason-exposure", of.id()), &args));
        format!("{fact}. {}", self.say("c-hint-exposure"))
    }

    /// That a limit is tight, for clinicians. `share` of the simulated repetitions, 0 to 1, would pass it.
    pub fn tight_clinician(&self, share: f64) -> String {
        self.text("c-tight", &[("share", self.number(share * 100.0, 1).into())])
    }

    /// That a limit is tight, for the patient.
    pub fn tight_patient(&self) -> String {
        self.say("tight")
    }
}
