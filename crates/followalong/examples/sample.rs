//! Writes an invented session as a page and, beside it, what a run of it must count:
//! `sample PAGE.html EXPECT.json [WORDS.json]`. Patient, clinic and numbers are made up; the figure is a simple flat one.

use std::f32::consts::PI;

use handrail_followalong::*;
use jiff::civil::date;

/// A flat side view: joint places follow from directions in degrees, 0 = right, 90 = up.
#[derive(Clone, Copy)]
struct Pose {
    hip: [f32; 2],
    trunk: f32,
    face: f32,
    near: Leg,
    far: Leg,
    near_arm: [f32; 2],
    far_arm: [f32; 2],
}

#[derive(Clone, Copy)]
struct Leg {
    thigh: f32,
    shank: f32,
    foot: f32,
}

const THIGH: f32 = 62.0;
const SHANK: f32 = 60.0;

fn go(from: [f32; 2], direction: f32, length: f32) -> [f32; 2] {
    let radians = direction * PI / 180.0;
    [from[0] + length * radians.cos(), from[1] - length * radians.sin()]
}

/// The parts of the figure with their circles, far to near.
fn parts(pose: &Pose) -> Vec<(Part, Vec<[f32; 3]>)> {
    let mut out = Vec::new();
    let mut add = |layer: u8, paint: Paint, circles: &[([f32; 2], f32)]| {
        let part = Part { layer, paint, circles: circles.len() as u8 };
        out.push((part, circles.iter().map(|([x, y], r)| [*x, *y, *r]).collect()));
    };
    let chest = go(pose.hip, pose.trunk, 62.0);
    let shoulder = go(pose.hip, pose.trunk, 64.0);
    let neck = go(pose.hip, pose.trunk, 84.0);
    let skull = go(neck, pose.trunk, 14.0);
    for (arm, layer, paint) in [(pose.far_arm, 0, Paint::Far), (pose.near_arm, 3, Paint::Near)] {
        let elbow = go(shoulder, arm[0], 40.0);
        let wrist = go(elbow, arm[1], 36.0);
        add(layer, paint, &[(elbow, 5.6), (wrist, 4.2)]);
        add(layer, paint, &[(wrist, 4.4), (go(wrist, arm[1], 8.0), 4.8), (go(wrist, arm[1], 14.0), 2.8)]);
        add(layer, paint, &[(shoulder, 7.0), (elbow, 6.0)]);
        add(layer, Paint::Cloth, &[(shoulder, 9.0), (go(shoulder, arm[0], 18.0), 8.2)]);
    }
    for (leg, layer, paint) in [(pose.far, 0, Paint::Far), (pose.near, 2, Paint::Accent)] {
        let knee = go(pose.hip, leg.thigh, THIGH);
        let ankle = go(knee, leg.shank, SHANK);
        let heel = go(ankle, leg.foot + 180.0, 4.0);
        add(layer, paint, &[(heel, 6.0), (go(ankle, leg.foot, 16.0), 4.4), (go(ankle, leg.foot, 24.0), 3.2)]);
        add(layer, paint, &[(knee, 8.6), (go(knee, leg.shank, 18.0), 9.0), (ankle, 5.4)]);
        add(layer, paint, &[(pose.hip, 13.5), (knee, 9.4)]);
        add(layer, Paint::Cloth, &[(pose.hip, 15.0), (go(pose.hip, leg.thigh, 30.0), 13.6)]);
    }
    add(1, Paint::Near, &[(go(pose.hip, pose.trunk, 72.0), 7.5), (skull, 7.0)]);
    let crown = go(go(skull, pose.trunk, 3.5), pose.face + 180.0, 2.0);
    add(1, Paint::Hair, &[(crown, 13.5), (go(go(skull, pose.face + 180.0, 8.0), pose.trunk, -5.0), 7.0)]);
    let brow = go(go(skull, pose.face, 3.5), pose.trunk, -2.0);
    add(
        1,
        Paint::Near,
        &[
            (brow, 10.5),
            (go(brow, pose.face, 10.5), 2.4),
            (go(go(brow, pose.trunk, -7.0), pose.face, 4.0), 5.0),
        ],
    );
    add(1, Paint::Cloth, &[(pose.hip, 15.0), (go(pose.hip, pose.trunk, 30.0), 14.5), (chest, 16.5)]);
    out
}

fn frame(t: f32, pose: &Pose) -> Frame {
    let tenths = |n: f32| (n * 10.0).round() as i16;
    Frame { t, order: None, v: parts(pose).into_iter().flat_map(|(_, c)| c).flatten().map(tenths).collect() }
}

/// Leg with the ankle at a place, knee upward (toward +90 degrees of the line).
fn leg_to(hip: [f32; 2], ankle: [f32; 2], foot_from_shank: f32) -> Leg {
    let (dx, dy) = (ankle[0] - hip[0], hip[1] - ankle[1]);
    let distance = dx.hypot(dy).min(THIGH + SHANK - 0.01);
    let line = dy.atan2(dx);
    let bend = ((THIGH * THIGH + distance * distance - SHANK * SHANK) / (2.0 * THIGH * distance)).acos();
    let thigh = (line + bend) * 180.0 / PI;
    let knee = go(hip, thigh, THIGH);
    let shank = (knee[1] - ankle[1]).atan2(ankle[0] - knee[0]) * 180.0 / PI;
    Leg { thigh, shank, foot: shank + foot_from_shank }
}

/// Smooth 0 to 1.
fn ease(share: f32) -> f32 {
    (1.0 - (PI * share.clamp(0.0, 1.0)).cos()) / 2.0
}

/// Frames of go, hold, return; `pose` takes the share of the way.
fn there_and_back(go_s: f32, hold_s: f32, back_s: f32, pose: impl Fn(f32) -> Pose) -> Vec<Frame> {
    let whole = go_s + hold_s + back_s;
    let count = (whole * 15.0).round() as usize;
    (0..=count)
        .map(|k| {
            let t = whole * k as f32 / count as f32;
            let share = if t < go_s { ease(t / go_s) } else { 1.0 - ease((t - go_s - hold_s) / back_s) };
            frame(t, &pose(share))
        })
        .collect()
}

fn clip(
    view_box: [f32; 4],
    back_svg: &str,
    front_svg: &str,
    frames: Vec<Frame>,
    pose: &Pose,
    alt: &str,
) -> Clip {
    Clip {
        view_box,
        back_svg: back_svg.into(),
        front_svg: front_svg.into(),
        parts: parts(pose).into_iter().map(|(part, _)| part).collect(),
        frames,
        alt: alt.into(),
    }
}

fn lying(share: f32) -> Pose {
    let hip = [176.0, 130.0];
    let straight = leg_to(hip, [297.5, 137.0], 80.0);
    Pose {
        hip,
        trunk: 180.0,
        face: 90.0,
        near: leg_to(hip, [297.0 - 52.0 * share, 137.0], 84.0),
        far: straight,
        near_arm: [-6.0, 2.0],
        far_arm: [-4.0, 2.0],
    }
}

fn sitting(hip: [f32; 2], share: f32) -> Pose {
    let bent = Leg { thigh: 0.0, shank: -88.0, foot: 0.0 };
    let shank = -88.0 + 76.0 * share;
    Pose {
        hip,
        trunk: 93.0,
        face: 0.0,
        near: Leg { thigh: 2.0, shank, foot: shank + 92.0 },
        far: bent,
        near_arm: [-82.0, -48.0],
        far_arm: [-78.0, -40.0],
    }
}

fn standing(hip: [f32; 2]) -> Pose {
    Pose {
        hip,
        trunk: 87.0,
        face: 0.0,
        near: Leg { thigh: -84.0, shank: -94.0, foot: 0.0 },
        far: Leg { thigh: -92.0, shank: -92.0, foot: 0.0 },
        near_arm: [-72.0, -30.0],
        far_arm: [-66.0, -26.0],
    }
}

const BED: &str = r#"<rect class="prop" x="14" y="146" width="326" height="22" rx="8"/><rect class="prop" x="26" y="168" width="10" height="34"/><rect class="prop" x="318" y="168" width="10" height="34"/><rect class="prop" x="24" y="126" width="74" height="20" rx="10"/>"#;
const CHAIR: &str = r#"<rect class="prop" x="76" y="148" width="86" height="12" rx="5"/><rect class="prop" x="74" y="62" width="11" height="98" rx="5"/><rect class="prop" x="80" y="160" width="9" height="62"/><rect class="prop" x="146" y="160" width="9" height="62"/><path class="line" d="M30 222H320"/>"#;
const WALKER: &str = r#"<path class="line" d="M176 116h34M180 116l-8 106M206 116l14 106M177 160h34"/>"#;
const BED_EDGE: &str = r#"<rect class="prop" x="20" y="148" width="142" height="26" rx="8"/><rect class="prop" x="34" y="174" width="10" height="48"/><rect class="prop" x="140" y="174" width="10" height="48"/><path class="line" d="M10 222H320"/>"#;

fn phases(words: [&str; 3], seconds: [f32; 3]) -> Vec<Phase> {
    let kinds = [PhaseKind::Move, PhaseKind::Hold, PhaseKind::Move];
    words
        .iter()
        .zip(seconds)
        .zip(kinds)
        .map(|((say, seconds), kind)| Phase { say: (*say).into(), seconds, kind })
        .collect()
}

fn lines(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

fn heel_slide() -> Exercise {
    let limit_line = r#"<path class="accent" d="M236 160v26" stroke-dasharray="6 5"/><path class="accent" d="M268 178h-22m6-6-7 6 7 6"/>"#;
    Exercise {
        id: "heel-slide".into(),
        title: "Heel slide".into(),
        side: Side::Right,
        side_words: "Right knee".into(),
        clip: clip(
            [0.0, 20.0, 352.0, 192.0],
            BED,
            limit_line,
            there_and_back(3.0, 5.0, 3.0, lying),
            &lying(0.0),
            "A person on their back on a bed slides the right heel toward the seat and back.",
        ),
        sets: 2,
        first_set: 1,
        all_sets: 2,
        reps: 10,
        dose_words: "2 sets of 10. Hold each one for 5 seconds.".into(),
        phases: phases(["Slide in", "Hold", "Slide out"], [3.0, 5.0, 3.0]),
        breath_s: 1.5,
        rest_s: 30.0,
        instructions: lines(&[
            "Lie on your back on the bed.",
            "Slide your right heel toward you.",
            "Then slide it back.",
        ]),
        cues: lines(&["Keep your heel on the bed.", "Breathe out as you slide in."]),
        limit: Some("Do not bend the knee past 70 degrees. Stop at the line.".into()),
    }
}

fn knee_straighten() -> Exercise {
    let pose = |share| sitting([112.0, 134.0], share);
    Exercise {
        id: "knee-straighten".into(),
        title: "Straighten the knee in a chair".into(),
        side: Side::Right,
        side_words: "Right knee".into(),
        clip: clip(
            [24.0, 12.0, 290.0, 220.0],
            CHAIR,
            r#"<path class="accent" d="M252 208a84 84 0 0 0 20-38m5 9-5-9-9 4"/>"#,
            there_and_back(2.0, 3.0, 2.5, pose),
            &pose(0.0),
            "A person on a chair straightens the right knee and lowers the foot again.",
        ),
        sets: 3,
        first_set: 1,
        all_sets: 3,
        reps: 8,
        dose_words: "3 sets of 8. Hold each one for 3 seconds.".into(),
        phases: phases(["Up", "Hold", "Down"], [2.0, 3.0, 2.5]),
        breath_s: 1.5,
        rest_s: 45.0,
        instructions: lines(&["Sit tall on the chair.", "Lift your right foot until the knee is straight."]),
        cues: lines(&["Keep your thigh on the seat.", "Go down slow."]),
        limit: Some("No weight on the ankle.".into()),
    }
}

fn bed_to_chair() -> Move {
    let still = |back: &str, front: &str, pose: &Pose, alt: &str| {
        Some(clip([10.0, -22.0, 310.0, 254.0], back, front, vec![frame(0.0, pose)], pose, alt))
    };
    let on_bed = sitting([112.0, 134.0], 0.0);
    let up = standing([138.0, 102.0]);
    let stage = |say: &str, seconds, picture| MoveStage { say: say.into(), seconds, picture };
    Move {
        title: "From bed to chair".into(),
        side_words: "Brace on. Put half your weight on the right leg.".into(),
        stages: vec![
            stage(
                "Sit on the edge of the bed.",
                8.0,
                still(BED_EDGE, "", &on_bed, "A person sits on the edge of a bed."),
            ),
            stage(
                "Hold the walker and stand up.",
                8.0,
                still(
                    r#"<path class="line" d="M10 222H320"/>"#,
                    WALKER,
                    &up,
                    "A person stands with a walker.",
                ),
            ),
            stage(
                "Walk to the chair and sit down.",
                10.0,
                still(CHAIR, "", &on_bed, "A person sits on a chair."),
            ),
        ],
        waits: true,
        limit: Some("Use the walker for each step.".into()),
    }
}

/// The whole invented session.
pub fn session(labels: Labels) -> FollowSession {
    FollowSession {
        session_id: "sample-3".into(),
        lang: "en".into(),
        title: "Your knee session".into(),
        patient_label: "Ana P.".into(),
        side: Side::Right,
        side_words: "Right knee".into(),
        version: 3,
        issued: date(2026, 5, 12),
        date: date(2026, 5, 14),
        valid_until: date(2026, 5, 28),
        clinic: Clinic {
            name: "Millbrook Therapy".into(),
            phone: "555 0142".into(),
            out_of_hours: "555 0199".into(),
            emergency: "911".into(),
        },
        draft_notice: Some("Draft, not yet reviewed by a clinician of this clinic.".into()),
        pain_limit: Some(5),
        limits: lines(&[
            "Put at most half your weight on the right leg.",
            "Bend the right knee no more than 70 degrees.",
            "Wear the brace when you stand or walk.",
        ]),
        stop_rules: lines(&[
            "the pain is sharp or new",
            "the pain is more than 5",
            "your foot feels numb or cold",
            "you feel dizzy",
            "the cut opens or leaks",
        ]),
        limits_assumed: lines(&["Do not kneel."]),
        after: lines(&[
            "The pain is sharp or new.",
            "Your foot feels numb or cold.",
            "The cut opens or leaks.",
        ]),
        warnings: vec![
            WarnGroup {
                id: "breath".into(),
                urgency: Urgency::Emergency,
                question: "Do you have any of these now?".into(),
                signs: lines(&[
                    "Short of breath all at once",
                    "Chest pain",
                    "You cough up blood",
                    "You passed out",
                ]),
                call: "Call 911 now. Do not drive.".into(),
                phone: Some("911".into()),
            },
            WarnGroup {
                id: "calf-or-cut".into(),
                urgency: Urgency::SameDay,
                question: "Do you have any of these?".into(),
                signs: lines(&[
                    "One calf is newly swollen, sore or warm",
                    "Red skin that spreads from the cut",
                    "Fever or chills",
                    "A fall or a pop in the knee",
                ]),
                call: "Call your surgeon's team today.".into(),
                phone: Some("555 0142".into()),
            },
        ],
        labels,
        steps: vec![
            FollowStep::Exercise(heel_slide()),
            FollowStep::Rest(Rest {
                title: "Rest".into(),
                seconds: 20.0,
                say: Some("Next you move to the chair.".into()),
            }),
            FollowStep::Move(bed_to_chair()),
            FollowStep::Exercise(knee_straighten()),
        ],
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let (Some(page), Some(expect)) = (args.next(), args.next()) else {
        return Err("usage: sample PAGE.html EXPECT.json [WORDS.json]".into());
    };
    let words = match args.next() {
        Some(path) => std::fs::read_to_string(path)?,
        None => include_str!("words.en.json").to_owned(),
    };
    let session = session(serde_json::from_str(&words)?);
    std::fs::write(&page, follow_html(&session)?)?;
    std::fs::write(&expect, serde_json::to_string_pretty(&expected_counts(&session))?)?;
    Ok(())
}
