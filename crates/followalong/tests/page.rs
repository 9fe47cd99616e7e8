//! Whole pages: what they hold, what they refuse, how large they are.

#[path = "../examples/sample.rs"]
#[allow(dead_code)]
mod sample;

use handrail_followalong::*;

fn session() -> FollowSession {
    sample::session(serde_json::from_str(include_str!("../examples/words.en.json")).unwrap())
}

fn exercise(session: &mut FollowSession) -> &mut Exercise {
    match &mut session.steps[0] {
        FollowStep::Exercise(exercise) => exercise,
        _ => unreachable!("the sample begins with an exercise"),
    }
}

/// The data that the page's script reads.
fn page_data(page: &str) -> serde_json::Value {
    let (_, after) = page.split_once("id=\"session-data\">").unwrap();
    serde_json::from_str(after.split_once("</script>").unwrap().0).unwrap()
}

#[test]
fn the_page_holds_the_session_and_nothing_from_outside() {
    let session = session();
    let page = follow_html(&session).unwrap();
    assert!(page.starts_with("<!doctype html>\n<html lang=\"en\">"));
    for outside in ["http://", "https://", "src=", "@import", "url("] {
        let allowed = if outside == "http://" { "http://www.w3.org/2000/svg" } else { "" };
        let rest = if allowed.is_empty() { page.clone() } else { page.replace(allowed, "") };
        assert!(!rest.contains(outside), "the page holds {outside}");
    }
    let data = page_data(&page);
    assert_eq!(data["valid_until"], "2026-05-28");
    assert_eq!(data["steps"][0]["kind"], "exercise");
    assert_eq!(data["steps"][0]["reps"], 10);
    assert!(data["steps"][0]["clip"]["frames"].is_null(), "frames are packed");
    assert!(data["steps"][0]["clip"]["code"].is_string());
    assert!(data["steps"][2]["stages"][1]["picture"]["code"].is_string());
}

#[test]
fn hostile_words_stay_words() {
    let mut session = session();
    session.title = "</title><script>alert(1)</script>{{script}}".into();
    session.patient_label = "</script><script>alert(2)</script>\u{2028}".into();
    let page = follow_html(&session).unwrap();
    assert!(page.contains("<title>&lt;/title&gt;&lt;script&gt;alert(1)&lt;/script&gt;{{script}}</title>"));
    assert!(!page.contains("<script>alert"));
    assert!(!page.contains('\u{2028}'));
    assert_eq!(page.matches("</script>").count(), 2, "one data element and one script");
    assert_eq!(page_data(&page)["patient_label"], session.patient_label.as_str());
}

#[test]
fn eight_exercises_with_moves_stay_under_400_kb() {
    let mut session = session();
    let steps = std::mem::take(&mut session.steps);
    for k in 0..4 {
        for step in &steps {
            let mut step = step.clone();
            if let FollowStep::Exercise(exercise) = &mut step {
                exercise.id = format!("{}-{k}", exercise.id);
            }
            session.steps.push(step);
        }
    }
    let page = follow_html(&session).unwrap();
    let exercises = session.steps.iter().filter(|step| matches!(step, FollowStep::Exercise(_))).count();
    println!("{exercises} exercises and their moves: {} bytes", page.len());
    assert_eq!(exercises, 8);
    assert!(page.len() <= 400_000, "{} bytes", page.len());
}

#[test]
fn each_fault_is_refused_with_its_place() {
    type Break = fn(&mut FollowSession);
    let cases: &[(&str, Break)] = &[
        ("session_id", |s| s.session_id = "a b".into()),
        ("lang", |s| s.lang = "e\"n".into()),
        ("valid_until", |s| s.valid_until = s.date.yesterday().unwrap()),
        ("pain_limit", |s| s.pain_limit = Some(11)),
        ("date", |s| s.issued = s.date.tomorrow().unwrap()),
        ("stop_rules", |s| s.stop_rules.clear()),
        ("after", |s| s.after.clear()),
        ("warnings", |s| s.warnings.clear()),
        ("warnings[1].id", |s| s.warnings[1].id = s.warnings[0].id.clone()),
        ("warnings[0].signs", |s| s.warnings[0].signs.clear()),
        ("clinic.emergency", |s| s.clinic.emergency = " ".into()),
        ("labels.count", |s| s.labels.count = "{n}".into()),
        ("labels.stop", |s| s.labels.stop = String::new()),
        ("labels.reasons", |s| drop(s.labels.reasons.pop())),
        ("steps", |s| s.steps.clear()),
        ("steps[3].id", |s| {
            if let FollowStep::Exercise(e) = &mut s.steps[3] {
                e.id = "heel-slide".into();
            }
        }),
        ("steps[0].side", |s| exercise(s).side = Side::Left),
        ("steps[0].sets", |s| exercise(s).sets = 0),
        ("steps[0].first_set", |s| exercise(s).first_set = 2),
        ("steps[0].reps", |s| exercise(s).reps = 101),
        ("steps[0].phases", |s| exercise(s).phases.clear()),
        ("steps[0].phases[1].seconds", |s| exercise(s).phases[1].seconds = f32::NAN),
        ("steps[0].rest_s", |s| exercise(s).rest_s = -1.0),
        ("steps[0].clip.parts[2]", |s| exercise(s).clip.parts[2].circles = 5),
        ("steps[0].clip.frames[4]", |s| exercise(s).clip.frames[4].v.truncate(3)),
        ("steps[0].clip.frames[4]", |s| exercise(s).clip.frames[4].t = 0.0),
        ("steps[0].clip.frames[1]", |s| exercise(s).clip.frames[1].order = Some(vec![1])),
        ("steps[0].clip.back_svg", |s| exercise(s).clip.back_svg = "<g/onload = 'x()'/>".into()),
        ("steps[0].clip.front_svg", |s| exercise(s).clip.front_svg = "<image HREF='a.png'/>".into()),
        ("steps[0].clip.alt", |s| exercise(s).clip.alt.clear()),
        ("steps[2].stages", |s| {
            if let FollowStep::Move(change) = &mut s.steps[2] {
                change.stages.clear();
            }
        }),
    ];
    for (place, break_it) in cases {
        let mut broken = session();
        break_it(&mut broken);
        let faults = follow_html(&broken).expect_err(place);
        assert!(faults.0.iter().any(|fault| fault.place == *place), "{place}: {faults}");
    }
}

#[test]
fn all_faults_are_told_at_once() {
    let mut broken = session();
    broken.session_id.clear();
    exercise(&mut broken).side = Side::Left;
    exercise(&mut broken).sets = 0;
    let faults = check_session(&broken).unwrap_err();
    assert_eq!(faults.0.len(), 3, "{faults}");
}

/// Reads a packed clip back the way the page's script does.
fn unpack(code: &str, width: usize) -> Vec<Vec<i32>> {
    let digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let (mut numbers, mut value, mut shift) = (Vec::new(), 0i32, 0);
    for character in code.chars() {
        let digit = digits.find(character).unwrap() as i32;
        value |= (digit & 31) << shift;
        shift += 5;
        if digit & 32 == 0 {
            numbers.push(if value & 1 == 1 { -((value + 1) >> 1) } else { value >> 1 });
            (value, shift) = (0, 0);
        }
    }
    let mut frames: Vec<Vec<i32>> = numbers.chunks(width).map(<[i32]>::to_vec).collect();
    for k in 1..frames.len() {
        let before = frames[k - 1].clone();
        frames[k].iter_mut().zip(before).for_each(|(value, previous)| *value += previous);
    }
    frames
}

#[test]
fn packed_frames_give_every_frame_back_within_a_fifth_of_a_unit() {
    let mut session = session();
    let data = page_data(&follow_html(&session).unwrap());
    let packed = &data["steps"][0]["clip"];
    let clip = &exercise(&mut session).clip;
    let frames = unpack(packed["code"].as_str().unwrap(), clip.frames[0].v.len());
    let times: Vec<f32> = serde_json::from_value(packed["times"].clone()).unwrap();
    assert_eq!(frames.len(), times.len());
    assert!(frames.len() < clip.frames.len(), "the hold is left out");
    for frame in &clip.frames {
        let k = times.partition_point(|t| *t <= frame.t + 0.0006).clamp(1, times.len() - 1) - 1;
        let share = ((frame.t - times[k]) / (times[k + 1] - times[k])).clamp(0.0, 1.0);
        for (i, v) in frame.v.iter().enumerate() {
            let drawn = frames[k][i] as f32 + share * (frames[k + 1][i] - frames[k][i]) as f32;
            // 2 tenths from left-out frames, a little more from times rounded to milliseconds.
            assert!((drawn - f32::from(*v)).abs() <= 3.0, "at {} s: {drawn} for {v}", frame.t);
        }
    }
}

#[test]
fn both_sets_of_sample_words_are_complete() {
    for words in [include_str!("../examples/words.en.json"), include_str!("../examples/words.es.json")] {
        let labels: Labels = serde_json::from_str(words).unwrap();
        check_session(&sample::session(labels)).unwrap();
        for never in ["diagnos", "treat", "safe", "cleared", "guarante", "you may now", "segur", "garant"] {
            assert!(!words.to_lowercase().contains(never), "{never}");
        }
    }
}
