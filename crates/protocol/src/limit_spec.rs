//! A limit as a text file writes it, and the check that makes a [`Limit`] of it.
//!
//! Protocol restrictions and surgeon's orders use the same words:
//!
//! ```toml
//! weight_bearing = { limb = "leg", max_kg = 20 }
//! motion = { joint = "ankle", direction = "dorsiflexion", max_deg = 0, drives = ["passive", "active"] }
//! drive = { joint = "shoulder", forbidden = ["active", "resisted"] }
//! muscle = { names = ["calf"] }
//! device = { name = "boot", setting = "two 1 cm heel wedges", off_for_exercise = false, worn_asleep = true }
//! position = "kneeling"
//! combination = [{ joint = "shoulder", direction = "abduction", beyond_deg = 60 }]
//! resistance = { joint = "knee", directions = ["extension"], max_kg = 0 }
//! no_impact = true
//! activity = "driving"
//! tissue_load = { tissue = "achilles_tendon", max_bw = 1.2 }
//! exposure = { tissue = "achilles_tendon", peaks_bw = 400 }
//! ```
//!
//! Each entry holds exactly one of them.

use handrail_anatomy::{
    ACTIVITIES, ClinicalMotion, Device, Drive, Joint, LoadClass, LoadUnit, Position, Tissue, clinical_motion,
    clinical_motions,
};
use handrail_spans::{Problems, SourceText, Spanned};
use serde::{Deserialize, Serialize};

use crate::limits::{Beyond, ExposureOf, Limit, Loading, WeightBearing};

/// Limb that bears weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BearingLimb {
    /// The operated leg.
    Leg,
    /// The operated arm.
    Arm,
}

/// Weight through the operated limb; exactly one of the three amounts.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeightBearingSpec {
    /// `leg` or `arm`.
    pub limb: BearingLimb,
    /// `none`, `as_tolerated` or `full`. "Partial" is not an amount: give a number instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub amount: Option<Spanned<String>>,
    /// Largest load, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub max_kg: Option<Spanned<f64>>,
    /// Largest load, percent of body weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub max_percent_body_weight: Option<Spanned<f64>>,
}

/// Which load state of the joint a motion limit speaks of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LoadingSpec {
    /// Loaded and unloaded (the default).
    #[default]
    Any,
    /// Only with weight or resistance on the joint.
    Loaded,
    /// Only without.
    Unloaded,
}

/// A joint motion that may not pass an angle.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MotionSpec {
    /// Joint.
    pub joint: Joint,
    /// Clinical name of the direction, e.g. `dorsiflexion`.
    #[schemars(with = "String")]
    pub direction: Spanned<String>,
    /// Largest allowed degrees in that direction; negative means it must stop short of neutral.
    #[schemars(with = "f64")]
    pub max_deg: Spanned<f64>,
    /// Ways of moving it speaks of. Must be said: a limit on passive motion is not a limit on active motion.
    #[schemars(with = "Vec<Drive>")]
    pub drives: Spanned<Vec<Drive>>,
    /// Loaded, unloaded or any.
    #[serde(default)]
    pub loading: LoadingSpec,
}

/// Ways of moving a joint that are not allowed at all.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DriveSpec {
    /// Joint.
    pub joint: Joint,
    /// Directions it speaks of; left out means every motion of the joint.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<String>")]
    pub directions: Vec<Spanned<String>>,
    /// Forbidden ways.
    #[schemars(with = "Vec<Drive>")]
    pub forbidden: Spanned<Vec<Drive>>,
}

/// Muscles that must not be tensed.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MuscleSpec {
    /// Muscles or groups, e.g. `calf`, `rotator_cuff`, `biceps`.
    #[schemars(with = "Vec<String>")]
    pub names: Spanned<Vec<Spanned<String>>>,
    /// Ways of moving in which tensing them is still allowed; left out means none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub allowed: Vec<Drive>,
}

/// An angle at which a device holds a joint.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoldSpec {
    /// Joint.
    pub joint: Joint,
    /// Clinical name of the direction.
    #[schemars(with = "String")]
    pub direction: Spanned<String>,
    /// Degrees in that direction.
    #[schemars(with = "f64")]
    pub deg: Spanned<f64>,
}

/// A device that is worn.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeviceSpec {
    /// Device.
    pub name: Device,
    /// Setting as it was ordered, in its own unit; wedges, centimetres and degrees do not convert.
    #[schemars(with = "String")]
    pub setting: Spanned<String>,
    /// Joint angles it holds, when they were given in degrees.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holds: Vec<HoldSpec>,
    /// May it come off for the home exercises? Must be said.
    pub off_for_exercise: bool,
    /// Is it worn in bed? Must be said.
    pub worn_asleep: bool,
}

/// One edge of a forbidden combination.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BeyondSpec {
    /// Joint.
    pub joint: Joint,
    /// Clinical name of the direction.
    #[schemars(with = "String")]
    pub direction: Spanned<String>,
    /// Degrees in that direction from which it counts.
    #[schemars(with = "f64")]
    pub beyond_deg: Spanned<f64>,
}

/// Outside resistance on a joint.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ResistanceSpec {
    /// Joint.
    pub joint: Joint,
    /// Directions it speaks of; left out means every motion of the joint.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<String>")]
    pub directions: Vec<Spanned<String>>,
    /// Largest resistance, kg; 0 means none.
    #[schemars(with = "f64")]
    pub max_kg: Spanned<f64>,
}

/// Largest load of a tissue in one repetition; exactly one of the four amounts, in the tissue's own unit.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TissueLoadSpec {
    /// Tissue.
    pub tissue: Tissue,
    /// Body weights; tissues whose load is a force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub max_bw: Option<Spanned<f64>>,
    /// The same force in percent of body weight (120 is 1.2 body weights).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub max_percent_bw: Option<Spanned<f64>>,
    /// Percent strain or percent of a maximal voluntary contraction, whichever the tissue is stated in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub max_percent: Option<Spanned<f64>>,
    /// Class of muscle activity, e.g. `low`: the upper end of its band. Muscles only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<LoadClass>")]
    pub max_class: Option<Spanned<LoadClass>>,
}

/// Largest sum over one week; exactly one of the four amounts, in the tissue's own unit.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExposureSpec {
    /// Tissue.
    pub tissue: Tissue,
    /// Sum of the largest load of each repetition, body weights; tissues whose load is a force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub peaks_bw: Option<Spanned<f64>>,
    /// The same in percent strain or percent of a maximal voluntary contraction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub peaks_percent: Option<Spanned<f64>>,
    /// Sum of load times time, body weights times seconds; tissues whose load is a force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub impulse_bw_s: Option<Spanned<f64>>,
    /// The same in percent times seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub impulse_percent_s: Option<Spanned<f64>>,
}

/// A limit as written: exactly one of the fields is present.
#[derive(Clone, Debug, Default, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitSpec {
    /// Weight through the operated limb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<WeightBearingSpec>")]
    pub weight_bearing: Option<Spanned<WeightBearingSpec>>,
    /// A motion that may not pass an angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<MotionSpec>")]
    pub motion: Option<Spanned<MotionSpec>>,
    /// Ways of moving that are not allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<DriveSpec>")]
    pub drive: Option<Spanned<DriveSpec>>,
    /// Muscles not to be tensed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<MuscleSpec>")]
    pub muscle: Option<Spanned<MuscleSpec>>,
    /// A device that is worn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<DeviceSpec>")]
    pub device: Option<Spanned<DeviceSpec>>,
    /// A position not to be taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<Position>")]
    pub position: Option<Spanned<Position>>,
    /// Motions that are forbidden only together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<Vec<BeyondSpec>>")]
    pub combination: Option<Spanned<Vec<BeyondSpec>>>,
    /// Outside resistance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<ResistanceSpec>")]
    pub resistance: Option<Spanned<ResistanceSpec>>,
    /// `true`: no running, hopping, jumping.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<bool>")]
    pub no_impact: Option<Spanned<bool>>,
    /// An activity that is not allowed, e.g. `driving`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub activity: Option<Spanned<String>>,
    /// Ceiling on the load of a tissue in one repetition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<TissueLoadSpec>")]
    pub tissue_load: Option<Spanned<TissueLoadSpec>>,
    /// Ceiling on the load of a tissue summed over one week.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<ExposureSpec>")]
    pub exposure: Option<Spanned<ExposureSpec>>,
}

/// Where a check reports to: the text, the collected problems and the start of every field path.
struct Report<'a> {
    source: &'a SourceText,
    problems: &'a mut Problems,
}

impl Report<'_> {
    fn add<T>(&mut self, at: &Spanned<T>, field: &str, message: impl Into<String>, mend: impl Into<String>) {
        self.problems.0.push(self.source.problem(at.span(), field, message, mend));
    }

    fn motion(&mut self, field: &str, joint: Joint, direction: &Spanned<String>) -> Option<ClinicalMotion> {
        let found = clinical_motion(joint, direction.get_ref());
        if found.is_none() {
            let known: Vec<&str> =
                clinical_motions().iter().filter(|it| it.joint == joint).map(|it| it.motion).collect();
            self.add(
                direction,
                field,
                format!("the {} has no motion called {:?}", joint.id(), direction.get_ref()),
                format!("write one of: {}", known.join(", ")),
            );
        }
        found
    }

    fn motions(
        &mut self,
        field: &str,
        joint: Joint,
        directions: &[Spanned<String>],
    ) -> Option<Vec<ClinicalMotion>> {
        let found: Vec<_> = directions.iter().map(|it| self.motion(field, joint, it)).collect();
        found.into_iter().collect()
    }

    /// An angle that a body can have: a slip of the pen (900 for 90) must not become a limit.
    fn angle(&mut self, field: &str, deg: &Spanned<f64>) -> Option<f64> {
        let value = *deg.get_ref();
        if value.is_finite() && value.abs() <= 190.0 {
            return Some(value);
        }
        self.add(
            deg,
            field,
            format!("{value} is not an angle of a joint"),
            "write degrees between -190 and 190",
        );
        None
    }

    fn amount(&mut self, field: &str, value: &Spanned<f64>, unit: &str, largest: f64) -> Option<f64> {
        let number = *value.get_ref();
        if number.is_finite() && (0.0..=largest).contains(&number) {
            return Some(number);
        }
        self.add(
            value,
            field,
            format!("{number} {unit} is outside 0 to {largest}"),
            format!("write {unit} between 0 and {largest}"),
        );
        None
    }

    fn drives(&mut self, field: &str, drives: &Spanned<Vec<Drive>>) -> Option<Vec<Drive>> {
        if drives.get_ref().is_empty() {
            self.add(
                drives,
                field,
                "names no way of moving, so it would limit nothing",
                "list what it speaks of: passive, assisted, isometric, active, resisted",
            );
            return None;
        }
        let mut sorted = drives.get_ref().clone();
        sorted.sort_unstable();
        sorted.dedup();
        Some(sorted)
    }
}

impl LimitSpec {
    /// Names and places of the fields that are present.
    fn present(&self) -> Vec<(&'static str, std::ops::Range<usize>)> {
        let mut found = Vec::new();
        macro_rules! note {
            ($($field:ident)*) => { $(if let Some(it) = &self.$field { found.push((stringify!($field), it.span())); })* };
        }
        note!(
            weight_bearing motion drive muscle device position combination resistance no_impact activity
            tissue_load exposure
        );
        found
    }

    /// Checks the limit; every mistake goes to `problems`. `None` when there was one.
    ///
    /// With no limit at all nothing is reported, because this struct has no place in the text then: the
    /// caller reports it at the entry's `id` (see [`LimitSpec::is_empty`]).
    pub fn check(&self, source: &SourceText, problems: &mut Problems) -> Option<Limit> {
        let present = self.present();
        if let [first, second, ..] = present.as_slice() {
            problems.0.push(source.problem(
                second.1.clone(),
                second.0,
                format!("one entry holds one limit, but `{}` and `{}` are both here", first.0, second.0),
                "write a second entry with its own id for the second limit",
            ));
            return None;
        }
        self.check_one(&mut Report { source, problems })
    }

    /// True when no limit is written.
    pub fn is_empty(&self) -> bool {
        self.present().is_empty()
    }

    fn check_one(&self, report: &mut Report<'_>) -> Option<Limit> {
        if let Some(it) = &self.weight_bearing {
            return check_weight(it, report);
        }
        if let Some(it) = &self.motion {
            return check_motion(it.get_ref(), report);
        }
        if let Some(it) = &self.drive {
            let it = it.get_ref();
            let motions = report.motions("drive.directions", it.joint, &it.directions);
            let forbidden = report.drives("drive.forbidden", &it.forbidden);
            return Some(Limit::Drive { joint: it.joint, motions: motions?, forbidden: forbidden? });
        }
        if let Some(it) = &self.muscle {
            return check_muscle(it.get_ref(), report);
        }
        if let Some(it) = &self.device {
            return check_device(it.get_ref(), report);
        }
        if let Some(it) = &self.position {
            return Some(Limit::Position(*it.get_ref()));
        }
        if let Some(it) = &self.combination {
            return check_combination(it, report);
        }
        if let Some(it) = &self.resistance {
            let it = it.get_ref();
            let motions = report.motions("resistance.directions", it.joint, &it.directions);
            let max_kg = report.amount("resistance.max_kg", &it.max_kg, "kg", 200.0);
            return Some(Limit::Resistance { joint: it.joint, motions: motions?, max_kg: max_kg? });
        }
        if let Some(it) = &self.no_impact {
            if *it.get_ref() {
                return Some(Limit::Impact);
            }
            report.add(
                it,
                "no_impact",
                "`false` limits nothing",
                "write `no_impact = true` or delete the entry",
            );
            return None;
        }
        if let Some(it) = &self.activity {
            if ACTIVITIES.contains(&it.get_ref().as_str()) {
                return Some(Limit::Activity(it.get_ref().clone()));
            }
            report.add(
                it,
                "activity",
                format!("{:?} is not an activity name", it.get_ref()),
                format!("write one of: {}", ACTIVITIES.join(", ")),
            );
            return None;
        }
        if let Some(it) = &self.tissue_load {
            return check_tissue_load(it, report);
        }
        if let Some(it) = &self.exposure {
            return check_exposure(it, report);
        }
        None
    }
}

fn check_weight(spec: &Spanned<WeightBearingSpec>, report: &mut Report<'_>) -> Option<Limit> {
    let it = spec.get_ref();
    let given = [it.amount.is_some(), it.max_kg.is_some(), it.max_percent_body_weight.is_some()];
    if given.iter().filter(|&&here| here).count() != 1 {
        report.add(
            spec,
            "weight_bearing",
            "needs exactly one of `amount`, `max_kg`, `max_percent_body_weight`",
            "write the number that was ordered; without a number \"partial\" means nothing, so ask for one",
        );
        return None;
    }
    let weight = if let Some(kg) = &it.max_kg {
        WeightBearing::Kilograms(report.amount("weight_bearing.max_kg", kg, "kg", 300.0)?)
    } else if let Some(percent) = &it.max_percent_body_weight {
        let field = "weight_bearing.max_percent_body_weight";
        WeightBearing::PercentBodyWeight(report.amount(field, percent, "percent of body weight", 100.0)?)
    } else {
        let amount = it.amount.as_ref()?;
        match amount.get_ref().as_str() {
            "none" => WeightBearing::None,
            "as_tolerated" => WeightBearing::AsTolerated,
            "full" => WeightBearing::Full,
            other => {
                report.add(
                    amount,
                    "weight_bearing.amount",
                    format!("{other:?} is not an amount"),
                    "write `none`, `as_tolerated` or `full`, or give `max_kg` or `max_percent_body_weight`",
                );
                return None;
            }
        }
    };
    Some(match it.limb {
        BearingLimb::Leg => Limit::LegWeightBearing(weight),
        BearingLimb::Arm => Limit::ArmWeightBearing(weight),
    })
}

fn check_motion(it: &MotionSpec, report: &mut Report<'_>) -> Option<Limit> {
    let motion = report.motion("motion.direction", it.joint, &it.direction);
    let max_deg = report.angle("motion.max_deg", &it.max_deg);
    let drives = report.drives("motion.drives", &it.drives);
    let loading = match it.loading {
        LoadingSpec::Any => Loading::Any,
        LoadingSpec::Loaded => Loading::Loaded,
        LoadingSpec::Unloaded => Loading::Unloaded,
    };
    Some(Limit::Motion { motion: motion?, max_deg: max_deg?, drives: drives?, loading })
}

fn check_muscle(it: &MuscleSpec, report: &mut Report<'_>) -> Option<Limit> {
    let mut muscles = Vec::new();
    let mut good = !it.names.get_ref().is_empty();
    if !good {
        report.add(&it.names, "muscle.names", "names no muscle", "write at least one muscle or group");
    }
    for name in it.names.get_ref() {
        match handrail_anatomy::muscles::muscle_group(name.get_ref()) {
            Some(group) => muscles.extend(group),
            None => {
                good = false;
                report.add(
                    name,
                    "muscle.names",
                    format!("no muscle or group is called {:?}", name.get_ref()),
                    "write a muscle such as `soleus`, or a group: calf, rotator_cuff, quadriceps_group, \
                     shoulder_muscles",
                );
            }
        }
    }
    muscles.sort_unstable();
    muscles.dedup();
    let mut allowed = it.allowed.clone();
    allowed.sort_unstable();
    allowed.dedup();
    good.then_some(Limit::Muscle { muscles, allowed })
}

fn check_device(it: &DeviceSpec, report: &mut Report<'_>) -> Option<Limit> {
    let mut holds = Vec::new();
    let mut good = true;
    for hold in &it.holds {
        let motion = report.motion("device.holds.direction", hold.joint, &hold.direction);
        let deg = report.angle("device.holds.deg", &hold.deg);
        match motion.zip(deg) {
            Some(pair) => holds.push(pair),
            None => good = false,
        }
    }
    if it.setting.get_ref().trim().is_empty() {
        good = false;
        report.add(
            &it.setting,
            "device.setting",
            "is blank, and a blank setting is not \"any setting\"",
            "write the setting as it was ordered, or `not stated`",
        );
    }
    good.then(|| Limit::Device {
        device: it.name,
        holds,
        off_for_exercise: it.off_for_exercise,
        worn_asleep: it.worn_asleep,
        setting: it.setting.get_ref().clone(),
    })
}

fn check_combination(spec: &Spanned<Vec<BeyondSpec>>, report: &mut Report<'_>) -> Option<Limit> {
    if spec.get_ref().len() < 2 {
        report.add(
            spec,
            "combination",
            "needs two or more motions",
            "list every motion of the combination; a single forbidden motion is a `motion` limit",
        );
        return None;
    }
    let mut edges = Vec::new();
    for edge in spec.get_ref() {
        let motion = report.motion("combination.direction", edge.joint, &edge.direction);
        let deg = report.angle("combination.beyond_deg", &edge.beyond_deg);
        edges.push(motion.zip(deg).map(|(motion, deg)| Beyond { motion, deg }));
    }
    edges.into_iter().collect::<Option<Vec<_>>>().map(Limit::Combination)
}

/// A written amount: its field, its value and the unit it is written in.
type Amount<'a> = (&'static str, &'a Spanned<f64>, AmountUnit);

/// Unit in which a load is written. Percent is one word for two units: strain and muscle activity.
#[derive(Clone, Copy, PartialEq, Eq)]
enum AmountUnit {
    BodyWeights,
    PercentBodyWeight,
    Percent,
}

impl AmountUnit {
    fn fits(self, unit: LoadUnit) -> bool {
        (self == AmountUnit::Percent) != (unit == LoadUnit::BodyWeights)
    }

    /// How many of it make one in the unit of the tissue.
    fn per_tissue_unit(self) -> f64 {
        if self == AmountUnit::PercentBodyWeight { 100.0 } else { 1.0 }
    }

    fn word(self) -> &'static str {
        match self {
            AmountUnit::BodyWeights => "body weights",
            AmountUnit::PercentBodyWeight => "percent of body weight",
            AmountUnit::Percent => "percent",
        }
    }
}

/// In which unit the load of a tissue is stated, for messages.
fn stated_in(unit: LoadUnit) -> &'static str {
    match unit {
        LoadUnit::BodyWeights => "body weights",
        LoadUnit::PercentStrain => "percent strain",
        LoadUnit::PercentMvic => "percent of a maximal contraction",
    }
}

/// Largest peak of one repetition that is not a slip of the pen: running is published at up to about 10 BW.
const LARGEST_PEAK_BW: f64 = 20.0;
/// Largest percentage, of strain or of a maximal contraction.
const LARGEST_PERCENT: f64 = 100.0;
/// Largest weekly sum that is not a slip of the pen, in every unit.
const LARGEST_SUM: f64 = 1_000_000.0;

fn check_tissue_load(spec: &Spanned<TissueLoadSpec>, report: &mut Report<'_>) -> Option<Limit> {
    let it = spec.get_ref();
    let amounts: [(&'static str, &Option<Spanned<f64>>, AmountUnit, f64); 3] = [
        ("tissue_load.max_bw", &it.max_bw, AmountUnit::BodyWeights, LARGEST_PEAK_BW),
        (
            "tissue_load.max_percent_bw",
            &it.max_percent_bw,
            AmountUnit::PercentBodyWeight,
            LARGEST_PEAK_BW * 100.0,
        ),
        ("tissue_load.max_percent", &it.max_percent, AmountUnit::Percent, LARGEST_PERCENT),
    ];
    let given = amounts.iter().filter(|it| it.1.is_some()).count() + usize::from(it.max_class.is_some());
    if given != 1 {
        report.add(
            spec,
            "tissue_load",
            "needs exactly one of `max_bw`, `max_percent_bw`, `max_percent`, `max_class`",
            format!("the load of `{}` is stated in {}", it.tissue.id(), stated_in(it.tissue.unit())),
        );
        return None;
    }
    if let Some(class) = &it.max_class {
        let limit = Limit::tissue_load_class(it.tissue, *class.get_ref());
        if limit.is_none() {
            let mend = "write a number in that unit: classes of muscle activity do not convert";
            wrong_unit(class, "tissue_load.max_class", it.tissue, mend, report);
        }
        return limit;
    }
    let (field, value, unit, largest) =
        amounts.into_iter().find_map(|(field, it, unit, most)| Some((field, it.as_ref()?, unit, most)))?;
    let max = load_amount((field, value, unit), it.tissue, largest, report)?;
    Some(Limit::TissueLoad { tissue: it.tissue, max, class: None })
}

fn check_exposure(spec: &Spanned<ExposureSpec>, report: &mut Report<'_>) -> Option<Limit> {
    use ExposureOf::{Impulse, Peaks};
    let it = spec.get_ref();
    let amounts = [
        ("exposure.peaks_bw", &it.peaks_bw, AmountUnit::BodyWeights, Peaks),
        ("exposure.peaks_percent", &it.peaks_percent, AmountUnit::Percent, Peaks),
        ("exposure.impulse_bw_s", &it.impulse_bw_s, AmountUnit::BodyWeights, Impulse),
        ("exposure.impulse_percent_s", &it.impulse_percent_s, AmountUnit::Percent, Impulse),
    ];
    let mut given =
        amounts.into_iter().filter_map(|(field, it, unit, of)| Some((field, it.as_ref()?, unit, of)));
    let (Some((field, value, unit, of)), None) = (given.next(), given.next()) else {
        report.add(
            spec,
            "exposure",
            "needs exactly one of `peaks_bw`, `peaks_percent`, `impulse_bw_s`, `impulse_percent_s`",
            format!("the load of `{}` is stated in {}", it.tissue.id(), stated_in(it.tissue.unit())),
        );
        return None;
    };
    let per_week = load_amount((field, value, unit), it.tissue, LARGEST_SUM, report)?;
    Some(Limit::Exposure { tissue: it.tissue, per_week, of })
}

/// An amount in the unit of the tissue.
fn load_amount(
    (field, value, unit): Amount<'_>,
    tissue: Tissue,
    largest: f64,
    report: &mut Report<'_>,
) -> Option<f64> {
    if !unit.fits(tissue.unit()) {
        let mend = match tissue.unit() {
            LoadUnit::BodyWeights => "write body weights: a force does not convert into this unit",
            _ => "write percent: a force does not convert into this unit",
        };
        wrong_unit(value, field, tissue, mend, report);
        return None;
    }
    report.amount(field, value, unit.word(), largest).map(|it| it / unit.per_tissue_unit())
}

fn wrong_unit<T>(at: &Spanned<T>, field: &str, tissue: Tissue, mend: &str, report: &mut Report<'_>) {
    let message = format!("the load of `{}` is stated in {}", tissue.id(), stated_in(tissue.unit()));
    report.add(at, field, message, mend);
}

/// Small letters, digits, `_` and `-`, starting with a letter: what ids and names in files look like.
pub(crate) fn is_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(|first| first.is_ascii_lowercase())
        && chars.all(|it| it.is_ascii_lowercase() || it.is_ascii_digit() || it == '_' || it == '-')
}

/// A value that was not read from a text, so it has no place there.
fn unplaced<T>(value: T) -> Spanned<T> {
    Spanned::new(0..0, value)
}

fn names(motions: &[ClinicalMotion]) -> Vec<Spanned<String>> {
    motions.iter().map(|it| unplaced(it.motion.to_string())).collect()
}

impl From<&Limit> for LimitSpec {
    /// The limit as it would be written, for JSON and for files made by a program.
    fn from(limit: &Limit) -> LimitSpec {
        let mut spec = LimitSpec::default();
        match limit {
            Limit::LegWeightBearing(weight) => {
                spec.weight_bearing = Some(unplaced(written_weight(BearingLimb::Leg, *weight)));
            }
            Limit::ArmWeightBearing(weight) => {
                spec.weight_bearing = Some(unplaced(written_weight(BearingLimb::Arm, *weight)));
            }
            Limit::Motion { motion, max_deg, drives, loading } => {
                spec.motion = Some(unplaced(MotionSpec {
                    joint: motion.joint,
                    direction: unplaced(motion.motion.to_string()),
                    max_deg: unplaced(*max_deg),
                    drives: unplaced(drives.clone()),
                    loading: match loading {
                        Loading::Any => LoadingSpec::Any,
                        Loading::Loaded => LoadingSpec::Loaded,
                        Loading::Unloaded => LoadingSpec::Unloaded,
                    },
                }));
            }
            Limit::Drive { joint, motions, forbidden } => {
                spec.drive = Some(unplaced(DriveSpec {
                    joint: *joint,
                    directions: names(motions),
                    forbidden: unplaced(forbidden.clone()),
                }));
            }
            Limit::Muscle { muscles, allowed } => {
                spec.muscle = Some(unplaced(MuscleSpec {
                    names: unplaced(muscles.iter().map(|it| unplaced(it.id().to_string())).collect()),
                    allowed: allowed.clone(),
                }));
            }
            Limit::Device { device, holds, off_for_exercise, worn_asleep, setting } => {
                let holds = holds.iter().map(|(motion, deg)| HoldSpec {
                    joint: motion.joint,
                    direction: unplaced(motion.motion.to_string()),
                    deg: unplaced(*deg),
                });
                spec.device = Some(unplaced(DeviceSpec {
                    name: *device,
                    setting: unplaced(setting.clone()),
                    holds: holds.collect(),
                    off_for_exercise: *off_for_exercise,
                    worn_asleep: *worn_asleep,
                }));
            }
            Limit::Position(position) => spec.position = Some(unplaced(*position)),
            Limit::Combination(edges) => {
                let edges = edges.iter().map(|edge| BeyondSpec {
                    joint: edge.motion.joint,
                    direction: unplaced(edge.motion.motion.to_string()),
                    beyond_deg: unplaced(edge.deg),
                });
                spec.combination = Some(unplaced(edges.collect()));
            }
            Limit::Resistance { joint, motions, max_kg } => {
                spec.resistance = Some(unplaced(ResistanceSpec {
                    joint: *joint,
                    directions: names(motions),
                    max_kg: unplaced(*max_kg),
                }));
            }
            Limit::Impact => spec.no_impact = Some(unplaced(true)),
            Limit::Activity(name) => spec.activity = Some(unplaced(name.clone())),
            Limit::TissueLoad { tissue, max, class } => {
                spec.tissue_load = Some(unplaced(written_load(*tissue, *max, *class)));
            }
            Limit::Exposure { tissue, per_week, of } => {
                spec.exposure = Some(unplaced(written_exposure(*tissue, *per_week, *of)));
            }
        }
        spec
    }
}

fn written_load(tissue: Tissue, max: f64, class: Option<LoadClass>) -> TissueLoadSpec {
    let mut spec =
        TissueLoadSpec { tissue, max_bw: None, max_percent_bw: None, max_percent: None, max_class: None };
    match class {
        Some(class) if class.percent_mvic().high == max => spec.max_class = Some(unplaced(class)),
        _ if tissue.unit() == LoadUnit::BodyWeights => spec.max_bw = Some(unplaced(max)),
        _ => spec.max_percent = Some(unplaced(max)),
    }
    spec
}

fn written_exposure(tissue: Tissue, per_week: f64, of: ExposureOf) -> ExposureSpec {
    let mut spec = ExposureSpec {
        tissue,
        peaks_bw: None,
        peaks_percent: None,
        impulse_bw_s: None,
        impulse_percent_s: None,
    };
    let field = match (of, tissue.unit() == LoadUnit::BodyWeights) {
        (ExposureOf::Peaks, true) => &mut spec.peaks_bw,
        (ExposureOf::Peaks, false) => &mut spec.peaks_percent,
        (ExposureOf::Impulse, true) => &mut spec.impulse_bw_s,
        (ExposureOf::Impulse, false) => &mut spec.impulse_percent_s,
    };
    *field = Some(unplaced(per_week));
    spec
}

fn written_weight(limb: BearingLimb, weight: WeightBearing) -> WeightBearingSpec {
    let mut spec = WeightBearingSpec { limb, amount: None, max_kg: None, max_percent_body_weight: None };
    let mut word = |text: &str| spec.amount = Some(unplaced(text.to_string()));
    match weight {
        WeightBearing::None => word("none"),
        WeightBearing::AsTolerated => word("as_tolerated"),
        WeightBearing::Full => word("full"),
        WeightBearing::Kilograms(kg) => spec.max_kg = Some(unplaced(kg)),
        WeightBearing::PercentBodyWeight(percent) => spec.max_percent_body_weight = Some(unplaced(percent)),
    }
    spec
}

impl Serialize for Limit {
    /// As [`LimitSpec`], the way a file writes it.
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        LimitSpec::from(self).serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Limit {
    /// From the form of [`LimitSpec`], whatever the format; what a file would refuse is refused here.
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        use serde::de::Error as _;
        // The places of `Spanned` exist in TOML only, so other formats go through it.
        let table = toml::Table::deserialize(deserializer)?;
        let text = toml::to_string(&table).map_err(D::Error::custom)?;
        let source = SourceText::new("limit", text);
        let spec: LimitSpec = source.parse().map_err(|it| D::Error::custom(first_message(&it)))?;
        let mut problems = Problems::default();
        match spec.check(&source, &mut problems) {
            Some(limit) if problems.0.is_empty() => Ok(limit),
            _ => Err(D::Error::custom(first_message(&problems))),
        }
    }
}

fn first_message(problems: &Problems) -> String {
    problems.0.first().map_or_else(|| "limits nothing".into(), ToString::to_string)
}
