//! What can be wrong in an episode file, said with its line.

mod common;

use common::*;

#[test]
fn the_file_itself_is_right() {
    let episode = read(FILE).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(episode.id, "test");
    assert_eq!(episode.programs.len(), 1);
}

#[test]
fn missing_surgery_date() {
    let text = without("surgery = \"2026-11-06\"\n");
    let problems = read(&text).unwrap_err();
    assert_eq!(problems.0.len(), 1);
    assert!(problems.0[0].message.contains("missing field `surgery`"), "{problems}");
    assert_eq!(problems.0[0].line, line_of(&text, "[operation]"), "{problems}");
}

#[test]
fn a_date_that_is_none() {
    one_mistake("\"2026-11-06\"", "\"2026-13-06\"", "\"2026-13-06\"", "2026-13-06");
    one_mistake("\"2026-11-06\"", "\"last Friday\"", "\"last Friday\"", "last Friday");
}

#[test]
fn unknown_side() {
    one_mistake("side = \"left\"", "side = \"both\"", "\"both\"", "unknown variant `both`");
}

#[test]
fn unknown_protocol_and_language() {
    one_mistake("\"achilles-repair\"", "\"achilles\"", "\"achilles\"", "no protocol `achilles`");
    one_mistake("language = \"en\"", "language = \"fr\"", "\"fr\"", "no words in `fr`");
}

/// A missing answer is no mistake of the file: it is a gap that blocks what depends on it.
#[test]
fn missing_variant_blocks_and_a_wrong_one_is_a_mistake() {
    let text = without_order()
        .replace("achilles-repair", "acl-reconstruction")
        .replace("\"motion\"", "\"strength\"");
    let text = text.replace("restriction = \"dorsiflexion-neutral\"", "restriction = \"no-impact\"");
    let episode = read(&text).unwrap_or_else(|problems| panic!("{problems}"));
    let envelope = envelope_of(&episode, "2026-11-25");
    let blocked: Vec<&str> = envelope.blocked.iter().map(|it| it.variant.as_str()).collect();
    assert!(blocked.contains(&"graft") && blocked.contains(&"meniscus"), "{blocked:?}");

    let with = |variants: &str| {
        text.replace("[[confirmed]]", &format!("[operation.variants]\n{variants}\n\n[[confirmed]]"))
    };
    let wrong = with("graft = \"hamstrings\"");
    let problems = read(&wrong).unwrap_err();
    assert_eq!(problems.0.len(), 1, "{problems}");
    assert!(problems.0[0].message.contains("\"hamstrings\" is not an answer"), "{problems}");
    assert!(problems.0[0].mend.contains("hamstring, patellar_tendon"), "{}", problems.0[0].mend);
    assert_eq!(problems.0[0].line, line_of(&wrong, "\"hamstrings\""));

    let unknown = with("graf = \"hamstring\"");
    let problems = read(&unknown).unwrap_err();
    assert!(problems.0[0].message.contains("no variant \"graf\""), "{problems}");
    assert_eq!(problems.0[0].line, line_of(&unknown, "graf ="));
}

/// Both orders stand in the file; neither is dropped in silence: the stricter holds, and it is noted.
#[test]
fn contradictory_orders_are_noted_and_the_stricter_holds() {
    let order = |id: &str, kg: u32| {
        format!(
            "\n[[order]]\nid = \"{id}\"\nby = \"Dr. Sample\"\non = \"2026-11-20\"\ndocument = \"letter {id}\"\n\
             from = \"2026-11-20\"\nweight_bearing = {{ limb = \"leg\", max_kg = {kg} }}\n"
        )
    };
    for (first, second) in [(30, 10), (10, 30)] {
        let text = format!("{}{}{}", without_order(), order("one", first), order("two", second));
        let episode = read(&text).unwrap_or_else(|problems| panic!("{problems}"));
        let envelope = envelope_of(&episode, "2026-11-25");
        let holding: Vec<&str> = envelope
            .in_force
            .iter()
            .filter(|it| matches!(it.limit, handrail_protocol::Limit::LegWeightBearing(_)))
            .map(|it| it.id.as_str())
            .collect();
        let (holds, yields) = if first < second { ("one", "two") } else { ("two", "one") };
        assert_eq!(holding, [holds]);
        let note = handrail_protocol::Note::Contradiction { holds: holds.into(), yields: yields.into() };
        assert!(envelope.notes.contains(&note), "{:?}", envelope.notes);
    }
}

#[test]
fn dates_before_the_surgery() {
    one_mistake(
        "on = \"2026-11-21\" # act",
        "on = \"2026-11-01\" # act",
        "by = \"Ines Brandvold, PT\" # act",
        "2026-11-01 is before the surgery",
    );
    one_mistake(
        "from = \"2026-11-20\"",
        "from = \"2026-11-02\"",
        "id = \"no-weight\"",
        "2026-11-02 is before the surgery",
    );
    one_mistake(
        "issued = \"2026-11-21\"",
        "issued = \"2026-11-03\"",
        "\"2026-11-03\"",
        "is before the surgery on 2026-11-06",
    );
    one_mistake(
        "next_visit = \"2026-12-04\"",
        "next_visit = \"2026-10-04\"",
        "\"2026-10-04\"",
        "is before the surgery",
    );
    one_mistake(
        "issued = \"2026-11-21\"",
        "issued = \"2026-11-21\"\nvalid_until = \"2026-11-20\"",
        "valid_until = ",
        "before the day of issue",
    );
}

#[test]
fn impossible_body() {
    one_mistake("stature = 1.68", "stature = 17", "stature = 17", "17 m is outside 1.2..2.3 m");
    one_mistake("mass = 71", "mass = 710", "mass = 710", "710 kg is outside 30..300 kg");
    one_mistake("stature = 1.68", "stature = nan", "stature = nan", "is outside");
    one_mistake(
        "sex = \"female\"",
        "sex = \"female\"\nmeasured = { thigh = 0.9 }",
        "thigh = 0.9",
        "0.9 m is outside",
    );
    one_mistake("seat_height = 0.45", "seat_height = 45", "45\n", "45 m is not a height");
}

#[test]
fn unknown_exercise_says_which_one_was_meant() {
    let text = FILE.replace("\"side-lying-clam\"", "\"side-lieing-clam\"");
    let problems = read(&text).unwrap_err();
    assert_eq!(problems.0.len(), 1, "{problems}");
    assert!(problems.0[0].message.contains("no exercise `side-lieing-clam`"));
    assert!(problems.0[0].mend.contains("did you mean `side-lying-clam`?"), "{}", problems.0[0].mend);
    assert_eq!(problems.0[0].line, line_of(&text, "side-lieing-clam"));
}

#[test]
fn parameters_that_are_not_or_do_not_fit() {
    let set = |parameters: &str| format!("id = \"side-lying-clam\"\nparameters = {{ {parameters} }}");
    one_mistake(
        "id = \"side-lying-clam\"",
        &set("open = 70"),
        "\"side-lying-clam\"",
        "open = 70 is outside 10 to 40 deg",
    );
    one_mistake(
        "id = \"side-lying-clam\"",
        &set("opne = 20"),
        "\"side-lying-clam\"",
        "`opne` is not a parameter",
    );
}

#[test]
fn malformed_toml() {
    one_mistake("mass = 71", "mass = = 71", "= 71", "");
    one_mistake("[body]", "[body", "[body", "");
    one_mistake("mass = 71", "mass = 71\nmass = 72", "mass = 72", "duplicate key");
    one_mistake("mass = 71", "mass = \"71\"", "\"71\"", "expected f64");
    one_mistake("mass = 71", "mass = 71\nwieght = 3", "wieght", "unknown field `wieght`");
}

#[test]
fn orders_confirmations_and_acts_are_held_against_the_protocol() {
    one_mistake(
        "\"dorsiflexion-neutral\"",
        "\"dorsiflexion-netral\"",
        "\"dorsiflexion-netral\"",
        "no restriction",
    );
    one_mistake(
        "begin_phase = \"motion\"",
        "begin_phase = \"motoin\"",
        "by = \"Ines Brandvold, PT\" # act",
        "no phase \"motoin\"",
    );
    one_mistake(
        "replaces = \"weight-none\"",
        "replaces = \"weight-nun\"",
        "id = \"no-weight\"",
        "no restriction or order",
    );
    one_mistake(
        "weight_bearing = { limb = \"leg\", amount = \"none\" }\n",
        "",
        "id = \"no-weight\"",
        "orders nothing",
    );
    one_mistake("amount = \"none\"", "amount = \"some\"", "some", "");
    one_mistake(
        "document = \"wound check\" # order",
        "document = \" \" # order",
        "\" \" # order",
        "is blank",
    );
}

#[test]
fn an_override_needs_a_person_a_reason_and_an_exercise() {
    let waiver = |exercise: &str, by: &str, reason: &str| {
        format!(
            "{FILE}\n[[waiver]]\nexercise = \"{exercise}\"\nrestriction = \"x\"\non = \"2026-11-21\"\nby = \"{by}\"\nreason = \"{reason}\"\n"
        )
    };
    assert!(read(&waiver("side-lying-clam", "I. B.", "a reason")).is_ok());
    for (by, reason) in [("", "a reason"), ("I. B.", "  ")] {
        let text = waiver("side-lying-clam", by, reason);
        let problems = read(&text).unwrap_err();
        assert_eq!(problems.0.len(), 1, "{problems}");
        assert!(problems.0[0].message.contains("needs a person and a reason"), "{problems}");
        assert_eq!(problems.0[0].line, line_of(&text, "[[waiver]]") + 1);
    }
    assert!(
        read(&waiver("side-lying-clan", "I. B.", "a reason")).unwrap_err().0[0]
            .mend
            .contains("side-lying-clam")
    );
}

#[test]
fn all_mistakes_are_said_at_once() {
    let text = FILE
        .replace("language = \"en\"", "language = \"fr\"")
        .replace("stature = 1.68", "stature = 17")
        .replace("seat_height = 0.45", "seat_height = 45")
        .replace("\"side-lying-clam\"", "\"side-lieing-clam\"")
        .replace("\"dorsiflexion-neutral\"", "\"dorsiflexion-netral\"");
    let mut lines: Vec<usize> = read(&text).unwrap_err().0.iter().map(|it| it.line).collect();
    lines.sort_unstable();
    let mut wanted: Vec<usize> =
        ["\"fr\"", "stature = 17", "seat_height = 45", "side-lieing-clam", "dorsiflexion-netral"]
            .iter()
            .map(|it| line_of(&text, it))
            .collect();
    wanted.sort_unstable();
    assert_eq!(lines, wanted);
}
