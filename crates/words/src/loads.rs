//! Loads on tissues in words: their names, amounts with units, ceilings, and why a load is not known.

use handrail_anatomy::{Interval, LoadClass, LoadUnit, Side, Tissue};
use handrail_motion::{LoadBasis, NotKnown};
use handrail_program::Kind;
use handrail_protocol::ExposureOf;

use crate::amounts::Round;
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

    /// The same in few letters, for a chart.
    pub fn load_unit_short(&self, unit: LoadUnit) -> String {
        match unit {
            LoadUnit::PercentStrain => self.say("c-unit-short-percent-strain"),
            other => self.load_unit(other),
        }
    }

    /// Unit of a sum over a week in few letters: "BW", "BW·s".
    pub fn exposure_unit_short(&self, unit: LoadUnit, of: ExposureOf) -> String {
        let unit = self.load_unit_short(unit);
        match of {
            ExposureOf::Peaks => unit,
            ExposureOf::Impulse => self.text("c-unit-times-seconds", &[("unit", unit.into())]),
        }
    }

    /// Both bounds of a load with their unit, rounded outwards: "0.31 to 0.52 BW".
    pub fn load_bounds(&self, load: Interval, unit: LoadUnit) -> String {
        let decimals = if unit == LoadUnit::BodyWeights { 2 } else { 1 };
        self.bounds(load, decimals, self.load_unit(unit))
    }

    /// Both bounds of a sum over a week with their unit, rounded outwards: "120 to 231 BW".
    pub fn exposure_bounds(&self, sum: Interval, unit: LoadUnit, of: ExposureOf) -> String {
        self.bounds(sum, sum_decimals(sum.high), self.exposure_unit_short(unit, of))
    }

    fn bounds(&self, it: Interval, decimals: usize, unit: String) -> String {
        let step = libm::pow(10.0, -(decimals as f64));
        let low = self.number(Round::Down.to(it.low, step), decimals);
        let high = self.number(Round::Up.to(it.high, step), decimals);
        let figure = match low == high {
            true => high,
            false => self.text("c-bounds", &[("low", low.into()), ("high", high.into())]),
        };
        self.text("c-value", &[("n", figure.into()), ("unit", unit.into())])
    }

    /// Where a load comes from, in a word: "computed".
    pub fn basis_name(&self, basis: LoadBasis) -> String {
        self.say(&key("c-basis", basis.id()))
    }

    /// The answer for an exercise, in a word: "limited".
    pub fn kind_name(&self, kind: Kind) -> String {
        self.say(&key("c-kind", kind.id()))
    }

    /// What is known where only an order is, as a clause: "more than A, less than B". The names are those of
    /// exercises; those that have no words stand as they are.
    pub fn load_order(&self, above: &[String], below: &[String], side: Side) -> String {
        let names = |ids: &[String]| {
            let titles: Vec<String> =
                ids.iter().map(|id| self.quoted(&self.exercise_title(id, side))).collect();
            self.all_of(&titles)
        };
        let args = [("above", names(above).into()), ("below", names(below).into())];
        self.text(
            match (above.is_empty(), below.is_empty()) {
                (_, true) => "c-order-more",
                (true, false) => "c-order-less",
                (false, false) => "c-order-between",
            },
            &args,
        )
    }

    /// Title of an exercise for the working side; its id where it has no words in this language.
    pub fn exercise_title(&self, id: &str, working: Side) -> String {
        self.exercise(id, working).map_or_else(|| id.to_string(), |it| it.title)
    }

    /// A title within a sentence, in the marks of the language.
    pub fn quoted(&self, what: &str) -> String {
        self.text("c-quoted", &[("what", what.into())])
    }

    /// What stands below every page of facts: the surgeon first, and the chief things not checked.
    pub fn closing(&self) -> String {
        self.say("c-closing")
    }

    /// A sum over a week with its unit: "400 BW", "900 BW·s".
    pub fn exposure_amount(&self, value: f64, tissue: Tissue, of: ExposureOf) -> String {
        let unit = self.load_unit(tissue.unit());
        let unit = match of {
            ExposureOf::Peaks => unit,
            ExposureOf::Impulse => self.text("c-unit-times-seconds", &[("unit", unit.into())]),
        };
        self.text("c-value", &[("n", self.number(value, sum_decimals(value)).into()), ("unit", unit.into())])
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

/// Decimals of a sum over a week: none where it is large.
fn sum_decimals(sum: f64) -> usize {
    match sum {
        it if it < 1.0 => 2,
        it if it < 10.0 => 1,
        _ => 0,
    }
}
