//! What an author can get wrong, said with its line; and what a body cannot reach.

mod common;

use common::*;
use handrail_anatomy::{Interval, Known, LoadClass, Side, Tissue};
use handrail_motion::spec::Limbs;
use handrail_motion::{Home, Motion, MotionSpec, Parameters, Published, SolveError, compile, solve};
use handrail_spans::{Problems, SourceText};

const HEAD: &str = r#"id = "test"
version = 1
region = "knee"
trains = ["knee_flexion_range"]
posture = "seated"
drive = "active"
muscles = { prime = ["hamstrings"] }
camera = { view = "side" }
sources = ["common practice, no source"]
"#;

fn read(text: &str) -> Result<Motion, Problems> {
    let source = SourceText::new("test.toml", text);
    let spec: MotionSpec = source.parse()?;
    compile(&source, &spec, &LIBRARY.postures)
}

fn problems(text: &str) -> Vec<(usize, String)> {
    match read(text) {
        Ok(_) => Vec::new(),
        Err(found) => found.0.iter().map(|it| (it.line, format!("{}: {}", it.field, it.message))).collect(),
    }
}

/// Line (from 1) of the first occurrence.
fn line_of(text: &str, what: &str) -> usize {
    text[..text.find(what).unwrap_or_else(|| panic!("{what} is not in the text"))].matches('\n').count() + 1
}

/// The mistake is reported, alone, at the line where it stands.
#[track_caller]
fn one_mistake(text: &str, at: &str, says: &str) {
    let found = problems(text);
    assert_eq!(found.len(), 1, "{found:?}");
    let (line, message) = &found[0];
    assert!(message.contains(says), "`{message}` does not say `{says}`");
    assert_eq!(*line, line_of(text, at), "{message}");
}

fn with_key(rest: &str) -> String {
    format!("{HEAD}\n[[key]]\nseconds = 2.0\n\n[[key]]\nseconds = 2.0\n{rest}")
}

#[test]
fn a_right_text_has_no_mistakes() {
    assert_eq!(problems(&with_key("working = { knee_flexion = 90 }\n")), []);
}

#[test]
fn unknown_landmark() {
    let text =
        with_key("\n[[contact]]\nlimb = \"working\"\npoint = \"elbo\"\non = \"floor\"\nhold = \"slides\"\n");
    one_mistake(&text, "\"elbo\"", "`elbo` is not a landmark");
    // In `place` the landmark is one of a closed list: the parser itself knows the place.
    let text = with_key("place = [{ limb = \"working\", point = \"heal\", along = \"up\", at = 0 }]\n");
    one_mistake(&text, "\"heal\"", "unknown variant `heal`");
}

#[test]
fn unknown_surface() {
    let text =
        with_key("\n[[contact]]\nlimb = \"working\"\npoint = \"heel\"\non = \"flor\"\nhold = \"slides\"\n");
    one_mistake(&text, "\"flor\"", "`flor` is not a surface");
}

#[test]
fn unknown_coordinate() {
    let text = with_key("").replace("sources", "solve = [\"working.knee_flexoin\"]\nsources");
    one_mistake(&text, "\"working.knee_flexoin\"", "names no coordinate");
    one_mistake(
        &with_key("working = { knee_bend = 20 }\n"),
        "working = { knee_bend",
        "not a motion of a limb",
    );
    one_mistake(
        &with_key("body = { waist = 20 }\n"),
        "body = { waist",
        "not a motion of trunk, neck or root",
    );
}

#[test]
fn bad_expression() {
    one_mistake(&with_key("working = { knee_flexion = \"90*\" }\n"), "\"90*\"", "neither a number");
    one_mistake(
        &with_key("working = { knee_flexion = \"bend\" }\n"),
        "\"bend\"",
        "`bend` is neither a number",
    );
    one_mistake(
        &with_key("working = { knee_flexion = \"thigh*shank\" }\n"),
        "thigh*",
        "multiplies two names",
    );
    let place = "place = [{ limb = \"working\", point = \"heel\", along = \"up\", at = \"hight\" }]\n";
    one_mistake(&with_key(place), "hight", "`hight` is neither");
}

#[test]
fn unknown_field() {
    one_mistake(&with_key("spead = 3\n"), "spead", "unknown field `spead`");
}

#[test]
fn active_motion_without_muscles() {
    let text = with_key("").replace("muscles = { prime = [\"hamstrings\"] }\n", "");
    one_mistake(&text, "id =", "own muscles work, but none is named");
    // Moved by something else, it needs none.
    assert_eq!(problems(&text.replace("drive = \"active\"", "drive = \"passive\"")), []);
}

#[test]
fn no_key_poses() {
    one_mistake(&format!("{HEAD}key = []\n"), "id =", "needs at least one key pose");
}

#[test]
fn a_repetition_that_takes_no_time() {
    one_mistake(&format!("{HEAD}\n[[key]]\nseconds = 0.0\n"), "id =", "takes no time");
    one_mistake(
        &format!("{HEAD}\n[[key]]\nseconds = -2.0\nhold = 3.0\n"),
        "id =",
        "not times of an exercise",
    );
}

#[test]
fn wrong_parameter_range() {
    let parameter = |low, usual, high, unit| {
        let table = format!(
            "\n[[parameter]]\nname = \"bend\"\nunit = \"{unit}\"\nlow = {low}\nhigh = {high}\nusual = {usual}\n"
        );
        with_key(&format!("working = {{ knee_flexion = \"bend\" }}\n{table}"))
    };
    assert_eq!(problems(&parameter(20.0, 80.0, 100.0, "deg")), []);
    one_mistake(&parameter(20.0, 120.0, 100.0, "deg"), "name = \"bend\"", "low 20 <= usual 120 <= high 100");
    one_mistake(&parameter(90.0, 80.0, 100.0, "deg"), "name = \"bend\"", "must hold");
    one_mistake(&parameter(20.0, 80.0, 100.0, "degrees"), "name = \"bend\"", "unit m, deg or kg");
}

#[test]
fn implausible_angle_unknown_posture_region_lift_drive_and_resistance() {
    one_mistake(&with_key("working = { knee_flexion = 200 }\n"), "working = {", "outside what a body can do");
    let text = with_key("").replace("\"seated\"", "\"seting\"");
    one_mistake(&text, "\"seting\"", "`seting` is not a posture");
    let text = with_key("").replace("\"knee\"", "\"nee\"");
    one_mistake(&text, "\"nee\"", "`nee` is not a region");
    let text = with_key("").replace("sources", "lift = [\"working.palm\"]\nsources");
    one_mistake(&text, "working.palm", "names nothing");
    let text = with_key("").replace("sources", "drives = { \"working.kne\" = \"passive\" }\nsources");
    one_mistake(&text, "working.kne", "names nothing");
    let text = with_key("").replace("sources", "resistance = { kind = \"band\" }\nsources");
    one_mistake(&text, "id =", "size of the resistance is not given");
    let text = with_key("").replace("sources = [\"common practice, no source\"]", "sources = []");
    one_mistake(&text, "id =", "no source is named");
}

#[test]
fn contact_without_what_it_holds_to() {
    let text = with_key("\n[[contact]]\nlimb = \"working\"\npoint = \"grip\"\nhold = \"distance\"\n");
    one_mistake(&text, "\"grip\"", "need `with`");
    let text = with_key("\n[[contact]]\nlimb = \"working\"\npoint = \"palm\"\nhold = \"slides\"\n");
    one_mistake(&text, "\"palm\"", "`slides` needs `on`");
}

#[test]
fn slips_in_faults() {
    let fault = |body: &str| with_key(&format!("\n[[fault]]\nid = \"wrong\"\n{body}\n"));
    one_mistake(&fault("parameters = { reach = 2 }"), "reach", "`reach` names nothing");
    one_mistake(&fault("lift = [\"working.palm\"]"), "working.palm", "names nothing");
    one_mistake(&fault("free = [\"working.nee\"]"), "working.nee", "names nothing");
    one_mistake(&fault("working = { knee = 2 }"), "working = { knee = 2", "not a motion of a limb");
}

#[test]
fn several_mistakes_are_said_at_once_each_with_its_line() {
    let text = r#"id = "test"
version = 1
region = "nee"
trains = []
posture = "seated"
drive = "active"
camera = { view = "side" }
solve = ["working.kneeflexion"]
sources = []

[[parameter]]
name = "bend"
unit = "deg"
low = 90
high = 20
usual = 40

[[contact]]
limb = "working"
point = "elbo"
on = "floor"
hold = "slides"

[[contact]]
limb = "working"
point = "heel"
on = "flor"
hold = "slides"

[[key]]
seconds = 2.0
working = { knee_bend = 10, ankle_dorsiflexion = "bent" }
"#;
    let mut lines: Vec<usize> = problems(text).iter().map(|it| it.0).collect();
    lines.sort_unstable();
    // Muscles and sources are missing as a whole: line 1. Then region, solve, parameter, two contacts, two angles.
    assert_eq!(lines, [1, 1, 3, 8, 12, 20, 27, 32, 32], "{:?}", problems(text));
}

fn attempt(text: &str) -> Result<usize, SolveError> {
    let motion = read(text).unwrap_or_else(|problems| panic!("{problems}"));
    let body = &bodies()[1];
    let home = Home::usual(body.stature());
    solve(&motion, &motion.core, body, &home, Side::Right, &Parameters::new()).map(|it| it.samples.len())
}

#[test]
fn a_target_too_far_names_the_contact_and_the_centimetres() {
    let far = |at: &str| {
        with_key(&format!(
            "place = [{{ limb = \"working\", point = \"ankle_centre\", along = \"forward\", \
             from = {{ limb = \"working\", point = \"hip_centre\" }}, at = \"{at}\" }}]\n"
        ))
    };
    assert!(attempt(&far("thigh + 0.1")).is_ok());
    let error = attempt(&far("thigh + shank + 0.3")).unwrap_err();
    let SolveError::Unreachable { key, contact, by } = &error else { panic!("{error:?}") };
    assert_eq!(*key, 1);
    assert!(contact.contains("working ankle_centre") || contact.contains("working sole"), "{contact}");
    // Thigh and shank in one line reach short of it by 30 cm at least.
    assert!((0.10..0.8).contains(by), "{by}");
    let said = error.to_string();
    assert!(said.contains(&format!("{:.1} cm are missing", by * 100.0)), "{said}");
}

#[test]
fn a_table_out_of_reach_names_the_palm() {
    let motion = exercise("table-slide");
    let body = &bodies()[0];
    let mut home = Home::usual(body.stature());
    home.table_height = 2.2;
    let error = solve(motion, &motion.core, body, &home, Side::Right, &Parameters::new()).unwrap_err();
    let SolveError::Unreachable { contact, by, .. } = &error else { panic!("{error:?}") };
    assert!(contact.contains("palm on the table") || contact.contains("fingertip"), "{contact}");
    assert!(*by > 0.3, "{by}");
}

#[test]
fn a_pose_no_body_can_take_names_the_joint() {
    let motion = exercise("seated-heel-slide");
    let body = &bodies()[2];
    let home = Home::usual(body.stature());
    let too_far = Parameters::from([("slide".to_string(), 0.55)]);
    let error = solve(motion, &motion.core, body, &home, Side::Right, &too_far).unwrap_err();
    match &error {
        SolveError::Implausible { coordinate, deg } => {
            assert!(coordinate.starts_with("right "), "{coordinate}");
            assert!(deg.abs() > 50.0, "{deg}");
        }
        SolveError::Unreachable { contact, .. } => assert!(contact.contains("working"), "{contact}"),
    }
}

fn with_measured(rest: &str) -> String {
    with_key(&format!("\n[[measured]]\ntissue = \"anterior_cruciate\"\n{rest}"))
}

const FROM: &str = "source = \"Beynnon et al. 1997\"\nknown = \"memory\"\n";

#[test]
fn a_published_load_is_read() {
    let motion =
        read(&with_measured(&format!("low = 2.8\nhigh = 4.0\n{FROM}why = \"one laboratory\"\n"))).unwrap();
    let row = &motion.measured[0];
    assert_eq!((row.tissue, row.limb, row.known), (Tissue::AnteriorCruciate, Limbs::Working, Known::Memory));
    assert_eq!(row.interval(), Some(Interval { low: 2.8, high: 4.0 }));
    assert_eq!(row.why.as_deref(), Some("one laboratory"));
    let muscle = "[[measured]]\ntissue = \"supraspinatus\"\nlimb = \"both\"\nclass = \"moderate\"\n";
    let motion = read(&with_key(&format!("\n{muscle}{FROM}"))).unwrap();
    assert_eq!(motion.measured[0].load, Published::Class(LoadClass::Moderate));
    assert_eq!(motion.measured[0].interval(), Some(Interval { low: 20.0, high: 40.0 }));
    let motion = read(&with_measured(&format!("above = [\"quad-set\"]\n{FROM}"))).unwrap();
    assert_eq!(motion.measured[0].interval(), None);
}

#[test]
fn a_published_load_that_says_not_one_thing() {
    let row = "tissue = \"anterior_cruciate\"";
    one_mistake(&with_measured(FROM), row, "nothing is stated");
    one_mistake(&with_measured(&format!("low = 1.0\n{FROM}")), row, "one bound is missing");
    one_mistake(&with_measured(&format!("low = 4.0\nhigh = 2.8\n{FROM}")), row, "0 <= low <= high");
    one_mistake(&with_measured(&format!("low = -1.0\nhigh = 2.8\n{FROM}")), row, "0 <= low <= high");
    one_mistake(
        &with_measured(&format!("low = 1\nhigh = 2\nbelow = [\"lunge\"]\n{FROM}")),
        row,
        "more than one kind",
    );
    one_mistake(&with_measured(&format!("class = \"low\"\n{FROM}")), row, "only muscle activity has classes");
}

#[test]
fn a_published_load_without_a_publication() {
    let row = "tissue = \"anterior_cruciate\"";
    let bounds = "low = 1\nhigh = 2\n";
    one_mistake(&with_measured(&format!("{bounds}source = \" \"\nknown = \"read\"\n")), row, "has a source");
    let practice = format!("{bounds}source = \"common practice, no source\"\nknown = \"practice\"\n");
    one_mistake(&with_measured(&practice), row, "has a source");
    one_mistake(
        &with_measured(&format!("{bounds}known = \"read\"\n")),
        "[[measured]]",
        "missing field `source`",
    );
}

#[test]
fn a_published_order_that_stands_on_its_head() {
    let row = "tissue = \"anterior_cruciate\"";
    one_mistake(&with_measured(&format!("above = [\"test\"]\n{FROM}")), row, "above or below itself");
    let both = "above = [\"lunge\"]\nbelow = [\"lunge\"]\n";
    one_mistake(&with_measured(&format!("{both}{FROM}")), row, "another one on both sides");
}

#[test]
fn two_published_loads_for_one_tissue() {
    let second =
        "[[measured]]\nlimb = \"both\"\nlow = 0\nhigh = 9 # again\ntissue = \"anterior_cruciate\" # second\n";
    let text = with_measured(&format!("low = 1\nhigh = 2\n{FROM}\n{second}{FROM}"));
    one_mistake(&text, "tissue = \"anterior_cruciate\" # second", "has a row above");
}

#[test]
fn a_tissue_that_nobody_knows() {
    let text = with_key(&format!("\n[[measured]]\ntissue = \"funny_bone\"\nlow = 1\nhigh = 2\n{FROM}"));
    one_mistake(&text, "funny_bone", "unknown variant `funny_bone`");
}
