//! Mistakes in protocol and order files: each is found, in its line, with a way to mend it.

use handrail_protocol::*;
use handrail_spans::{Problems, SourceText};
use jiff::civil::date;

const GOOD: &str = r#"id = "demo"
title = "Demo"
version = "1"

[sources]
a = "Source A"

[[variant]]
name = "graft"
question = "Which?"
choices = ["one", "two"]
source = "a"
known = "read"

[[phase]]
id = "early"
title = "Early"
from_week = 0
to_week = 6
goals = ["quadriceps"]
dosage = { sets = 2, reps = 10, times_a_day = 2, days_a_week = 5, source = "a", known = "read" }
ceiling = { sets = 2, reps = 10, times_a_day = 2, days_a_week = 5, max_exercises = 5, source = "a", known = "read" }

[[phase]]
id = "late"
title = "Late"
from_week = 6
goals = ["quadriceps"]
dosage = { sets = 2, reps = 10, times_a_day = 2, days_a_week = 5, source = "a", known = "read" }
ceiling = { sets = 2, reps = 10, times_a_day = 2, days_a_week = 5, max_exercises = 5, source = "a", known = "read" }

[[restriction]]
id = "flexion-90"
ladder = "flexion"
phase = "early"
from_week = 0
to_week = 6
ends_by = "week"
only_if = { graft = "one" }
motion = { joint = "knee", direction = "flexion", max_deg = 90, drives = ["active"] }
source = "a"
known = "read"

[[restriction]]
id = "flexion-120"
ladder = "flexion"
phase = "late"
from_week = 6
to_week = 8
ends_by = "release"
only_if = { graft = "one" }
motion = { joint = "knee", direction = "flexion", max_deg = 120, drives = ["active"] }
source = "a"
known = "read"

[[criterion]]
id = "lag"
begins = "late"
says = "No lag"
measure = "lag"
at_most = 0
unit = "deg"
source = "a"
known = "read"

[[spread]]
topic = "Flexion"
concerns = ["flexion-90"]
taken = "90"
statements = [
  { says = "90", source = "a", known = "read" },
  { says = "100", source = "a", known = "read" },
]
"#;

fn line_of(text: &str, part: &str) -> usize {
    text[..text.find(part).unwrap_or_else(|| panic!("{part} is not in the text"))].matches('\n').count() + 1
}

/// Reads the good file with one part exchanged; the one problem, which must be in the line of `place`.
fn mistake(old: &str, new: &str, place: &str) -> String {
    assert!(GOOD.contains(old), "{old}");
    let text = GOOD.replacen(old, new, 1);
    let problems = read_protocol(&SourceText::new("demo.toml", text.as_str())).expect_err(new);
    let first = &problems.0[0];
    assert_eq!(first.line, line_of(&text, place), "{problems}");
    assert!(!first.mend.is_empty());
    format!("{}: {}", first.field, first.message)
}

#[test]
fn the_good_file_is_good() {
    let protocol = read_protocol(&SourceText::new("demo.toml", GOOD)).unwrap_or_else(|it| panic!("{it}"));
    assert!(protocol.is_draft());
    assert_eq!(protocol.restrictions[0].ends, Ends::Week);
    assert_eq!(protocol.spreads_of("flexion-90").count(), 1);
}

#[test]
fn a_signature_holds_for_its_version_only() {
    let signed = |version: &str| {
        let review =
            format!("[review]\nsigned_by = \"P. Clinician\"\non = 2026-11-01\nversion = \"{version}\"\n\n");
        let text = GOOD.replacen("[sources]", &(review + "[sources]"), 1);
        read_protocol(&SourceText::new("demo.toml", text)).unwrap().is_draft()
    };
    assert!(!signed("1"));
    assert!(signed("0"));
}

#[test]
fn each_mistake_is_reported_at_its_place() {
    let cases = [
        ("max_deg = 90", "max_deg = 900", "max_deg = 900", "motion.max_deg"),
        ("direction = \"flexion\"", "direction = \"dorsiflexion\"", "\"dorsiflexion\"", "motion.direction"),
        ("drives = [\"active\"]", "drives = []", "drives = []", "motion.drives"),
        (
            "ladder = \"flexion\"\nphase = \"early\"",
            "phase = \"early\"",
            "ends_by = \"week\"",
            "restriction.ends_by",
        ),
        ("phase = \"early\"\nfrom", "phase = \"soon\"\nfrom", "phase = \"soon\"", "restriction.phase"),
        (
            "to_week = 6\nends_by",
            "to_week = 5\nends_by",
            "from_week = 6\nto_week = 8",
            "restriction.from_week",
        ),
        ("to_week = 8", "to_week = 6", "to_week = 6\nends_by = \"release\"", "restriction.to_week"),
        (
            "to_week = 8\nends_by = \"release\"",
            "to_week = 8\nends_by = \"week\"",
            "ends_by = \"week\"\nonly_if = { graft = \"one\" }\nmotion = { joint = \"knee\", direction = \"flexion\", max_deg = 120",
            "restriction.ends_by",
        ),
        ("{ graft = \"one\" }", "{ graft = \"three\" }", "\"three\"", "only_if"),
        ("{ graft = \"one\" }", "{ side = \"one\" }", "side", "only_if"),
        (
            "id = \"flexion-120\"",
            "id = \"flexion-90\"",
            "id = \"flexion-90\"\nladder = \"flexion\"\nphase = \"late\"",
            "id",
        ),
        ("from_week = 6\ngoals", "from_week = 5\ngoals", "from_week = 5", "phase.from_week"),
        ("sets = 2", "sets = 3", "sets = 3", "phase.dosage.sets"),
        ("begins = \"late\"", "begins = \"early\"", "begins = \"early\"", "criterion.begins"),
        ("unit = \"deg\"\n", "", "id = \"lag\"", "criterion.unit"),
        ("concerns = [\"flexion-90\"]", "concerns = [\"x\"]", "\"x\"", "spread.concerns"),
        (
            "  { says = \"100\", source = \"a\", known = \"read\" },\n",
            "",
            "statements = [",
            "spread.statements",
        ),
        ("version = \"1\"", "version = \" \"", "version = \" \"", "version"),
        ("choices = [\"one\", \"two\"]", "choices = [\"one\"]", "choices = [\"one\"]", "variant.choices"),
    ];
    for (old, new, place, field) in cases {
        let message = mistake(old, new, place);
        assert!(message.starts_with(&format!("{field}: ")), "{new:?}: {message}");
    }
}

#[test]
fn unknown_fields_and_words_are_reported_at_their_place() {
    let cases = [
        ("ends_by = \"week\"", "ends_by = \"time\"", "\"time\""),
        ("max_deg = 90", "max_degrees = 90", "max_degrees"),
        ("known = \"read\"\n\n[[restriction]]", "known = \"guess\"\n\n[[restriction]]", "\"guess\""),
        ("goals = [\"quadriceps\"]", "goals = [\"biceps_curl\"]", "\"biceps_curl\""),
        ("joint = \"knee\"", "joint = \"elbows\"", "\"elbows\""),
    ];
    for (old, new, place) in cases {
        mistake(old, new, place);
    }
}

#[test]
fn a_restriction_holds_exactly_one_limit() {
    let both = mistake(
        "max_deg = 90, drives = [\"active\"] }",
        "max_deg = 90, drives = [\"active\"] }\nno_impact = true",
        "no_impact",
    );
    assert!(both.contains("one limit"), "{both}");
    let written =
        "motion = { joint = \"knee\", direction = \"flexion\", max_deg = 90, drives = [\"active\"] }\n";
    let none = mistake(written, "", "id = \"flexion-90\"");
    assert!(none.contains("limits nothing"), "{none}");
}

#[test]
fn all_mistakes_are_found_in_one_run() {
    let text = GOOD.replace("source = \"a\"", "source = \"b\"");
    let problems = read_protocol(&SourceText::new("demo.toml", text.as_str())).unwrap_err();
    assert_eq!(problems.0.len(), text.matches("source = \"b\"").count());
}

#[derive(serde::Deserialize)]
struct File {
    #[serde(default)]
    order: Vec<OrderSpec>,
    #[serde(default)]
    confirmed: Vec<ConfirmationSpec>,
    #[serde(default)]
    act: Vec<ActSpec>,
}

type Checked = (Vec<Option<Order>>, Vec<Option<Confirmation>>, Vec<Option<Act>>, Problems);

fn orders_file(text: &str) -> Checked {
    let source = SourceText::new("episode.toml", text);
    let file: File = source.parse().unwrap();
    let mut problems = Problems::default();
    let orders = file.order.iter().map(|it| it.check(&source, &mut problems)).collect();
    let confirmed = file.confirmed.iter().map(|it| it.check(&source, &mut problems)).collect();
    let acts = file.act.iter().map(|it| it.check(&source, &mut problems)).collect();
    (orders, confirmed, acts, problems)
}

#[test]
fn orders_confirmations_and_acts_are_read_from_text() {
    let (orders, confirmed, acts, problems) = orders_file(
        r#"
[[order]]
id = "weight"
by = "Dr. Sample"
on = 2026-11-10
document = "letter 1"
from = 2026-11-10
until = 2026-11-30
weight_bearing = { limb = "leg", max_kg = 15 }

[[confirmed]]
restriction = "splint"
by = "Dr. Sample"
on = "2026-11-03"
document = "operation note"

[[act]]
begin_phase = "motion"
by = "R. Example"
on = 2026-11-16
reason = "wound closed"
"#,
    );
    assert!(problems.0.is_empty(), "{problems}");
    let order = orders[0].as_ref().unwrap();
    assert_eq!(order.limit, Limit::LegWeightBearing(WeightBearing::Kilograms(15.0)));
    assert_eq!(order.until, Some(date(2026, 11, 30)));
    assert_eq!(confirmed[0].as_ref().unwrap().on, date(2026, 11, 3));
    assert_eq!(acts[0].as_ref().unwrap().kind, ActKind::BeginPhase { phase: "motion".into() });
}

#[test]
fn partial_weight_without_a_number_is_refused() {
    let entry = |weight: &str| {
        format!(
            "[[order]]\nid = \"w\"\nby = \"Dr. Sample\"\non = 2026-11-10\ndocument = \"letter\"\n\
             from = 2026-11-10\nweight_bearing = {{ limb = \"leg\", {weight} }}\n"
        )
    };
    for weight in [
        "amount = \"partial\"",
        "max_kg = -3",
        "max_percent_body_weight = 120",
        "max_kg = 1, amount = \"none\"",
    ] {
        let (orders, _, _, problems) = orders_file(&entry(weight));
        assert_eq!(orders, [None], "{weight}");
        assert_eq!(problems.0[0].line, 7, "{problems}");
    }
}

/// An order of one limit, written in line 7.
fn order_of(limit: &str) -> Checked {
    orders_file(&format!(
        "[[order]]\nid = \"load\"\nby = \"Dr. Sample\"\non = 2026-11-10\ndocument = \"letter\"\n\
         from = 2026-11-10\n{limit}\n"
    ))
}

#[test]
fn ceilings_are_read_in_the_unit_of_their_tissue() {
    use ExposureOf::{Impulse, Peaks};
    use handrail_anatomy::{LoadClass, Tissue};
    let load = |tissue, max, class| Limit::TissueLoad { tissue, max, class };
    let sum = |tissue, per_week, of| Limit::Exposure { tissue, per_week, of };
    let (achilles, cuff) = (Tissue::AchillesTendon, Tissue::Supraspinatus);
    let cruciate = Tissue::AnteriorCruciate;
    let cases = [
        ("tissue_load = { tissue = \"achilles_tendon\", max_bw = 1.2 }", load(achilles, 1.2, None)),
        ("tissue_load = { tissue = \"achilles_tendon\", max_percent_bw = 120 }", load(achilles, 1.2, None)),
        ("tissue_load = { tissue = \"anterior_cruciate\", max_percent = 3 }", load(cruciate, 3.0, None)),
        ("tissue_load = { tissue = \"supraspinatus\", max_percent = 15 }", load(cuff, 15.0, None)),
        (
            "tissue_load = { tissue = \"supraspinatus\", max_class = \"moderate\" }",
            load(cuff, 40.0, Some(LoadClass::Moderate)),
        ),
        ("exposure = { tissue = \"achilles_tendon\", peaks_bw = 400 }", sum(achilles, 400.0, Peaks)),
        ("exposure = { tissue = \"achilles_tendon\", impulse_bw_s = 900 }", sum(achilles, 900.0, Impulse)),
        ("exposure = { tissue = \"supraspinatus\", peaks_percent = 3000 }", sum(cuff, 3000.0, Peaks)),
        ("exposure = { tissue = \"supraspinatus\", impulse_percent_s = 9000 }", sum(cuff, 9000.0, Impulse)),
    ];
    for (written, expected) in cases {
        let (orders, _, _, problems) = order_of(written);
        assert!(problems.0.is_empty(), "{written}: {problems}");
        assert_eq!(orders[0].as_ref().unwrap().limit, expected, "{written}");
        // And back: what a program writes reads as the same limit.
        let text = toml::to_string(&LimitSpec::from(&expected)).unwrap();
        let (orders, _, _, problems) = order_of(&inline(&text));
        assert!(problems.0.is_empty(), "{text}: {problems}");
        assert_eq!(orders[0].as_ref().unwrap().limit, expected, "{text}");
    }
}

/// A table as [`toml`] writes it (`[name]` and lines) in one line (`name = { ... }`).
fn inline(text: &str) -> String {
    let mut lines = text.lines();
    let name = lines.next().unwrap().trim_matches(['[', ']']);
    format!("{name} = {{ {} }}", lines.filter(|it| !it.is_empty()).collect::<Vec<_>>().join(", "))
}

#[test]
fn a_ceiling_in_a_wrong_unit_without_or_with_two_amounts_is_refused() {
    let cases = [
        ("tissue_load = { tissue = \"achilles_tendon\" }", "tissue_load"),
        ("tissue_load = { tissue = \"achilles_tendon\", max_bw = 1, max_percent_bw = 100 }", "tissue_load"),
        (
            "tissue_load = { tissue = \"supraspinatus\", max_percent = 15, max_class = \"low\" }",
            "tissue_load",
        ),
        ("tissue_load = { tissue = \"achilles_tendon\", max_percent = 15 }", "tissue_load.max_percent"),
        ("tissue_load = { tissue = \"achilles_tendon\", max_class = \"low\" }", "tissue_load.max_class"),
        ("tissue_load = { tissue = \"anterior_cruciate\", max_class = \"low\" }", "tissue_load.max_class"),
        ("tissue_load = { tissue = \"supraspinatus\", max_bw = 1 }", "tissue_load.max_bw"),
        (
            "tissue_load = { tissue = \"anterior_cruciate\", max_percent_bw = 9 }",
            "tissue_load.max_percent_bw",
        ),
        ("tissue_load = { tissue = \"achilles_tendon\", max_bw = 120 }", "tissue_load.max_bw"),
        ("tissue_load = { tissue = \"achilles_tendon\", max_bw = -1 }", "tissue_load.max_bw"),
        ("tissue_load = { tissue = \"supraspinatus\", max_percent = 150 }", "tissue_load.max_percent"),
        ("exposure = { tissue = \"achilles_tendon\" }", "exposure"),
        ("exposure = { tissue = \"achilles_tendon\", peaks_bw = 4, impulse_bw_s = 4 }", "exposure"),
        ("exposure = { tissue = \"achilles_tendon\", peaks_percent = 4 }", "exposure.peaks_percent"),
        ("exposure = { tissue = \"supraspinatus\", impulse_bw_s = 4 }", "exposure.impulse_bw_s"),
        ("exposure = { tissue = \"achilles_tendon\", peaks_bw = nan }", "exposure.peaks_bw"),
    ];
    for (written, field) in cases {
        let (orders, _, _, problems) = order_of(written);
        assert_eq!(orders, [None], "{written}");
        let first = &problems.0[0];
        assert_eq!((first.line, first.field.as_str()), (7, field), "{written}: {problems}");
        assert!(!first.mend.is_empty(), "{written}");
    }
    let known = "motion = { joint = \"knee\", direction = \"flexion\", max_deg = 90, drives = [\"active\"] }";
    for written in [
        "tissue_load = { tissue = \"patellar_tendon\", max_newton = 900 }",
        "tissue_load = { tissue = \"shin\", max_bw = 1 }",
        "tissue_load = { tissue = \"supraspinatus\", max_class = \"little\" }",
        "exposure = { tissue = \"patellar_tendon\", per_week = 9 }",
    ] {
        mistake(known, written, written);
    }
}

#[test]
fn a_ladder_of_ceilings_keeps_to_one_tissue() {
    let flexion = |deg| {
        format!(
            "motion = {{ joint = \"knee\", direction = \"flexion\", max_deg = {deg}, drives = [\"active\"] }}"
        )
    };
    let ceilings = |second: &str| {
        let first = "tissue_load = { tissue = \"patellar_tendon\", max_bw = 1 }";
        GOOD.replacen(&flexion(90), first, 1).replacen(&flexion(120), second, 1)
    };
    let read = |text: String| read_protocol(&SourceText::new("demo.toml", text));
    let good = read(ceilings("tissue_load = { tissue = \"patellar_tendon\", max_bw = 2 }"));
    assert_eq!(good.unwrap_or_else(|it| panic!("{it}")).restrictions.len(), 2);
    for other in [
        "tissue_load = { tissue = \"quadriceps_tendon\", max_bw = 2 }",
        "exposure = { tissue = \"patellar_tendon\", peaks_bw = 200 }",
    ] {
        let problems = read(ceilings(other)).unwrap_err();
        assert_eq!(problems.0[0].field, "restriction.ladder", "{problems}");
    }
}

#[test]
fn an_order_of_nothing_an_act_without_reason_and_a_backward_date_are_refused() {
    let (orders, _, acts, problems) = orders_file(
        "[[order]]\nid = \"blank\"\nby = \"Dr. Sample\"\non = 2026-11-10\ndocument = \"letter\"\n\
         from = 2026-11-10\nuntil = 2026-11-09\n\n[[act]]\nrelease = \"x\"\nby = \"R. Example\"\non = 2026-11-12\n",
    );
    assert_eq!((orders.len(), acts), (1, vec![None]));
    assert_eq!(orders[0], None);
    let found: Vec<_> = problems.0.iter().map(|it| (it.line, it.field.as_str())).collect();
    assert_eq!(found, [(2, "order"), (7, "order.until"), (11, "act.reason")]);
}

#[test]
fn the_schema_names_every_field_a_restriction_may_have() {
    let schema = serde_json::to_value(schemars::schema_for!(ProtocolSpec)).unwrap();
    let fields = &schema["$defs"]["RestrictionSpec"]["properties"];
    for name in [
        "id",
        "motion",
        "weight_bearing",
        "only_if",
        "until_phase",
        "activity",
        "no_impact",
        "tissue_load",
        "exposure",
    ] {
        assert!(fields[name].is_object(), "{name}");
    }
    assert_eq!(schema["properties"]["restriction"]["type"], "array");
}
