//! English texts of the sample.

use super::*;

pub fn handout() -> Handout {
    Handout {
        lang: "en".to_owned(),
        paper: Paper::A4,
        print: Print::Normal,
        labels: labels(),
        head: Head {
            title: "Home exercise program".to_owned(),
            clinic: "Sample Hill Physical Therapy".to_owned(),
            patient: "Rosa Vale".to_owned(),
            side: "Left leg".to_owned(),
            operation: "Repair of the left heel cord on March 2, 2026. This is week 3.".to_owned(),
            version: "3".to_owned(),
            date: "March 18, 2026".to_owned(),
            valid_until: "March 30, 2026".to_owned(),
            signed: Some(
                "Planned and signed by Jon Ferris, physical therapist, on March 18, 2026.".to_owned(),
            ),
            draft: Some("Draft, not yet reviewed by a clinician of this clinic.".to_owned()),
            foot: texts(&["Emergency: call 911.", "Questions: 555 0142.", "Surgeon's team: 555 0177."]),
        },
        overview: Overview {
            surgeon_first:
                "Your surgeon's order comes first. If this sheet says something else, follow your surgeon \
                            and call us."
                    .to_owned(),
            stop: texts(&[
                "Stop if you feel a snap, a sharp pain or new numbness.",
                "Stop if pain goes over 3 out of 10.",
                "Then call the surgeon's team: 555 0177. Page {warnings_page} tells you when to call 911.",
            ]),
            limits: vec![
                limit(
                    "Wear the boot when you stand, walk and sleep.",
                    "your surgeon tells you to stop",
                    "Dr. A. Brandt, March 4, 2026",
                    false,
                ),
                limit(
                    "Do not bend the foot up past the flat line (0°).",
                    "your surgeon changes it",
                    "Dr. A. Brandt, March 4, 2026",
                    false,
                ),
                limit(
                    "Put no more than 20 kg (44 lb) on the left leg.",
                    "your visit on March 30",
                    "Dr. A. Brandt, March 16, 2026",
                    false,
                ),
                limit(
                    "Do not push the foot down against a band.",
                    "we test it together",
                    "general plan for heel cord repair",
                    true,
                ),
            ],
            time: "about 25 minutes, 3 times a day".to_owned(),
            needs: "your boot, both crutches, a towel, a firm chair".to_owned(),
        },
        warnings: warnings(),
        steps: steps(),
        week: week(),
        therapist: therapist(),
    }
}

fn labels() -> Labels {
    let t = str::to_owned;
    Labels {
        page: t("Page {page} of {pages}"),
        patient: t("Patient"),
        side: t("Side"),
        operation: t("Operation"),
        version: t("Version"),
        date: t("Date"),
        valid_until: t("Valid until"),
        clinic: t("Clinic"),
        limits: t("Your limits today"),
        until: t("Until"),
        from: t("From"),
        assumed: t("assumed, not confirmed"),
        stop: t("Stop and call"),
        session: t("Your session"),
        time: t("Time"),
        needs: t("You need"),
        step: t("Step"),
        exercise: t("Exercise"),
        how_much: t("How much"),
        exercises: t("Exercises"),
        change: t("Move"),
        start: t("Start"),
        end: t("End"),
        not_like_this: t("Not like this"),
        how: t("How"),
        limit: t("Limit"),
        why: t("Why"),
        do_not: t("Do not"),
        warnings: t("Warning signs"),
        week: t("Your week"),
        rest: t("rest"),
        therapist: t("For the therapist"),
        angles: t("Angles checked"),
        net_moments: t("Peak net joint moments, left side (N·m per kg of body mass)"),
        loads: t("Load on protected tissues in one repetition"),
        peak_load: t("Peak load"),
        tissue: t("Tissue"),
        mark: t("No."),
        quantity: t("Quantity"),
        reached: t("Reached"),
        basis: t("Basis"),
        limits_in_force: t("Limits in force"),
        limit_on: t("Limit on"),
        value: t("Value"),
        source: t("Source"),
        how_checked: t("How this was checked"),
        overrides: t("Overrides"),
        none: t("None."),
        sources: t("Sources"),
        known: t("Known"),
        not_checked: t("Not checked"),
    }
}

fn warnings() -> Warnings {
    Warnings {
        intro: "Read this page before you start. If you are not sure which group fits, use the higher one."
            .to_owned(),
        emergency: WarningGroup {
            title: "Emergency: now".to_owned(),
            action: "Call 911 now. Do not drive yourself.".to_owned(),
            phones: vec![phone("Emergency", "911")],
            signs: texts(&[
                "You are short of breath all at once.",
                "Your chest hurts, more when you breathe in.",
                "You cough up blood, or you faint.",
                "Your toes are blue, cold or numb.",
                "The pain is far worse than before, and pills do not help.",
                "You have chills that shake you, or you are confused.",
            ]),
        },
        same_day: WarningGroup {
            title: "Call the same day".to_owned(),
            action: "Stop the exercises. Call today. Do not wait for your next visit.".to_owned(),
            phones: vec![
                phone("Surgeon's team, 8 am to 5 pm", "555 0177"),
                phone("Nights and weekends", "555 0199"),
            ],
            signs: texts(&[
                "You felt a snap or a kick at the heel cord.",
                "You fell on the left leg, or put all your weight on it.",
                "The calf is newly swollen, sore or warm.",
                "Red skin that spreads, or a smell from the wound.",
                "The wound opens or soaks the dressing.",
                "Fever of 38 °C (100.4 °F) or more.",
                "The boot is broken or does not fit.",
            ]),
        },
        next_visit: WarningGroup {
            title: "Tell us at your next visit".to_owned(),
            action: "Write it on the week chart. If it gets worse, call the same day.".to_owned(),
            phones: vec![phone("Sample Hill Physical Therapy", "555 0142")],
            signs: texts(&[
                "The leg is a little more swollen at night.",
                "The skin on the outer foot feels numb, as it did after surgery.",
                "You missed three sessions or more.",
                "An exercise got harder, not easier.",
            ]),
        },
    }
}

fn steps() -> Vec<Step> {
    vec![
        exercise(&Plain {
            title: "Toe bends",
            position: "On the bed, on your back. Boot on.",
            alt: [
                "A person lies on the back. The left leg is straight and the toes point up.",
                "The toes of the left foot are bent down.",
                "The whole foot is pulled up, which is wrong.",
            ],
            wrong: "the whole foot moves.",
            steps: &[
                "Let the left leg rest.",
                "Bend all the toes down.",
                "Hold for 2 seconds.",
                "Let go and rest.",
            ],
            dose: &["20 times", "1 set", "3 times a day"],
            limit: &["The foot stays still in the boot."],
            why: "It keeps the blood moving.",
            do_not: &["Do not pull the foot up."],
            pose: [2.0, 2.0, 0.0, 15.0],
        }),
        exercise(&Plain {
            title: "Thigh squeeze",
            position: "On the bed, on your back. Boot on. A rolled towel is under the left knee.",
            alt: [
                "A person lies on the back with a rolled towel under the left knee.",
                "The knee is pressed down into the towel and the thigh is tight.",
                "The heel is dug into the bed, which is wrong.",
            ],
            wrong: "the heel digs in.",
            steps: &[
                "Lie flat and let your arms rest.",
                "Press the back of the left knee into the towel.",
                "Feel the front of the thigh get tight.",
                "Hold for 5 seconds. Keep on breathing.",
                "Let go for 5 seconds.",
            ],
            dose: &["10 times", "2 sets", "hold 5 seconds", "3 times a day"],
            limit: &["The ankle does not move. It stays in the boot."],
            why: "The thigh gets weak fast when you walk less. This slows it down.",
            do_not: &["Do not push with the heel.", "Do not hold your breath."],
            pose: [0.0, 4.0, 0.0, 0.0],
        }),
        exercise(&Plain {
            title: "Straight leg lift",
            position: "On the bed, on your back. Boot on. The right knee is bent.",
            alt: [
                "A person lies on the back with the left leg straight on the bed.",
                "The straight left leg is lifted 30 degrees.",
                "The left leg is lifted with a bent knee and a hollow back, which is wrong.",
            ],
            wrong: "the leg goes too high.",
            steps: &[
                "Make the left thigh tight.",
                "Lift the straight leg as high as your right knee.",
                "Count to 2.",
                "Lower it while you count to 4.",
            ],
            dose: &["10 times", "3 sets", "rest 60 seconds", "1 time a day"],
            limit: &["Stop at 30°. That is about the height of the right knee."],
            why: "It keeps the hip and the thigh strong with no load on the heel cord.",
            do_not: &["Do not let the back lift off the bed.", "Do not drop the leg."],
            pose: [2.0, 30.0, 0.0, 0.0],
        }),
        change(
            "Roll onto your right side.",
            &["Keep the boot on.", "Bend both knees and roll as one piece.", "Put a pillow under your head."],
        ),
        exercise(&Plain {
            title: "Side leg lift",
            position: "On the bed, on your right side. Boot on.",
            alt: [
                "A person lies on the right side with both legs straight.",
                "The left leg is lifted to the side.",
                "The body rolls back while the leg lifts, which is wrong.",
            ],
            wrong: "the hip rolls back.",
            steps: &[
                "Keep the left leg in line with your body.",
                "Lift it as wide as one hand.",
                "Lower it slowly.",
            ],
            dose: &["8 times", "2 sets", "rest 60 seconds", "1 time a day"],
            limit: &["Lift no more than 25°."],
            why: "Strong hips help you walk with crutches.",
            do_not: &["Do not turn the toes to the ceiling."],
            pose: [4.0, 24.0, 0.0, 0.0],
        }),
        change(
            "Sit up and move to the chair with both crutches.",
            &[
                "Sit on the edge of the bed for 1 minute.",
                "Stand up on the right leg.",
                "Turn with small steps and sit.",
            ],
        ),
        exercise(&Plain {
            title: "Foot down and back",
            position: "On the chair. Boot off. The left heel rests on the right knee.",
            alt: [
                "A person sits on a chair with the left foot hanging down in front.",
                "The left foot is pointed down.",
                "The foot is pulled up past the flat line, which is wrong.",
            ],
            wrong: "the foot goes up past flat.",
            steps: &[
                "Let the foot hang.",
                "Point the foot down as far as it goes with ease.",
                "Come back slowly.",
                "Stop well before the flat line.",
            ],
            dose: &["10 times", "2 sets", "3 times a day"],
            limit: &["Never past the flat line (0°). Stop 5° before it: ≤ -5°."],
            why: "Gentle moves help the cord heal along its length.",
            do_not: &["Do not pull with a towel.", "Do not push with your hand."],
            pose: [6.0, 6.0, 10.0, 40.0],
        }),
        exercise(&Plain {
            title: "Knee straight",
            position: "On the chair. Boot on.",
            alt: [
                "A person sits on a chair with both feet on the floor.",
                "The left knee is straight and the boot is lifted.",
                "The person leans far back, which is wrong.",
            ],
            wrong: "you lean back.",
            steps: &["Sit tall.", "Straighten the left knee.", "Hold for 3 seconds.", "Lower it slowly."],
            dose: &["12 times", "2 sets", "hold 3 seconds", "2 times a day"],
            limit: &["As straight as it goes with no pain."],
            why: "It trains the thigh for when you walk again.",
            do_not: &["Do not swing the leg."],
            pose: [0.0, 14.0, 0.0, 0.0],
        }),
        exercise(&Plain {
            title: "Shoulder blade squeeze",
            position: "On the chair. Boot on. Feet on the floor.",
            alt: [
                "A person sits tall with the arms at the sides.",
                "The shoulder blades are drawn together.",
                "The shoulders are pulled up to the ears, which is wrong.",
            ],
            wrong: "the shoulders go up.",
            steps: &[
                "Sit tall.",
                "Draw the shoulder blades back and down.",
                "Hold for 3 seconds.",
                "Let go.",
            ],
            dose: &["10 times", "2 sets", "1 time a day"],
            limit: &["No load on the left leg. Both feet just rest."],
            why: "Crutches tire the arms and the back. This helps.",
            do_not: &["Do not lift the shoulders."],
            pose: [3.0, 8.0, 0.0, 0.0],
        }),
        change("Stand up with both crutches.", &["Boot on.", "Push up with the right leg and both hands."]),
        exercise(&Plain {
            title: "Weight shift on a scale",
            position: "Stand with both crutches. Boot on. The left foot is on a scale.",
            alt: [
                "A person stands with two crutches. The left boot is on a bathroom scale.",
                "The body leans to the left and the scale shows 20 kilograms.",
                "All the weight is on the left leg, which is wrong.",
            ],
            wrong: "all the weight is on the left.",
            steps: &[
                "Stand tall between the crutches.",
                "Lean slowly to the left.",
                "Watch the scale. Stop at 20 kg (44 lb).",
                "Hold for 5 seconds.",
                "Lean back to the right.",
            ],
            dose: &["5 times", "2 sets", "hold 5 seconds", "2 times a day"],
            limit: &["No more than 20 kg (44 lb) on the left leg."],
            why: "You learn how much weight is right for now.",
            do_not: &["Do not let go of the crutches.", "Do not do it alone the first time."],
            pose: [5.0, 12.0, 0.0, 0.0],
        }),
    ]
}

fn week() -> WeekChart {
    WeekChart {
        intro: "Tick a box when a session is done. Write the pain number in the row below. Bring this page to your \
                next visit."
            .to_owned(),
        days: texts(&["Thu 19", "Fri 20", "Sat 21", "Sun 22", "Mon 23", "Tue 24", "Wed 25"]),
        times: texts(&["am", "noon", "pm"]),
        rows: vec![
            row("1 Toe bends", &[], [true, true, true]),
            row("2 Thigh squeeze", &[], [true, true, true]),
            row("3 Straight leg lift", &[3], [true, false, false]),
            row("4 Side leg lift", &[1, 3, 5], [true, false, false]),
            row("5 Foot down and back", &[], [true, true, true]),
            row("6 Knee straight", &[3], [true, false, true]),
            row("7 Shoulder blade squeeze", &[3], [false, false, true]),
            row("8 Weight shift on a scale", &[3], [true, false, true]),
        ],
        diary: texts(&["Worst pain today, 0 to 10", "Notes"]),
    }
}

fn therapist() -> TherapistPage {
    TherapistPage {
        angles: vec![
            angle(["1 Toe bends", "Ankle dorsiflexion, left", "-20°", "≤ 0°", "computed"]),
            angle(["3 Straight leg lift", "Hip flexion, left", "30°", "≤ 70°", "computed"]),
            angle(["4 Side leg lift", "Hip abduction, left", "25°", "no order", "computed"]),
            angle(["5 Foot down and back", "Ankle dorsiflexion, left", "-5°", "≤ 0°", "computed"]),
            angle(["8 Weight shift on a scale", "Load on the left leg", "20 kg", "≤ 20 kg", "ordered"]),
        ],
        limits: vec![
            limit_row([
                "Ankle dorsiflexion",
                "≤ 0°",
                "surgeon's release",
                "Dr. A. Brandt, letter of March 4, 2026",
            ]),
            limit_row([
                "Weight bearing",
                "≤ 20 kg",
                "visit of March 30, 2026",
                "Dr. A. Brandt, note of March 16, 2026",
            ]),
            limit_row([
                "Boot",
                "on, 20° plantar flexion",
                "surgeon's release",
                "Dr. A. Brandt, letter of March 4, 2026",
            ]),
            limit_row(["Resisted plantar flexion", "none", "test in clinic", "[1], assumed, not confirmed"]),
        ],
        loads: loads(),
        basis: texts(&[
            "Body of the patient: 1.68 m, 71 kg, measured on March 18, 2026.",
            "Angles are the extremes of the solved repetition, margin 5° for home use.",
            "Loads are model values for comparison of exercises, not of this tendon.",
        ]),
        overrides: texts(&[
            "Pain limit 3 instead of 2 of 10: J. Ferris, March 18, 2026, long-standing low back pain.",
        ]),
        sources: vec![
            source([
                "1",
                "Protocol heel cord repair, version 2, consensus of the clinic's library.",
                "draft",
            ]),
            source([
                "2",
                "Example source on tendon load by exercise, an invented entry for the sample.",
                "secondary",
            ]),
            source(["3", "Common practice, no source.", "memory"]),
            source(["4", "Net joint moment over moment arm: an invented range of arms.", "secondary"]),
        ],
        not_checked: texts(&[
            "How the patient gets into and out of bed at home.",
            "Skin under the boot.",
            "Medicines and other illnesses.",
        ]),
    }
}

fn loads() -> Loads {
    const ARM: &str = "moment over arm [4]";
    const ISOMETRIC: &str =
        "not known: the muscle is tensed without motion, as hard as the patient tenses it";
    Loads {
        moments: vec![
            moments("Toe bends", &["ankle 0"]),
            moments("Thigh squeeze", &["ankle 0", "knee not known: the muscle is tensed without motion"]),
            moments("Straight leg lift", &["hip flexion 0.71", "knee extension 0.22", "ankle 0"]),
            moments("Side leg lift", &["hip abduction 0.66", "knee 0", "ankle 0"]),
            moments("Foot down and back", &["knee flexion 0.03", "ankle plantarflexion 0.02"]),
            moments("Knee straight", &["knee extension 0.28", "ankle 0"]),
            moments("Shoulder blade squeeze", &["ankle 0"]),
            moments("Weight shift on a scale", &["hip abduction 0.2", "ankle plantarflexion 0.18"]),
        ],
        tissues: vec![TissueTable {
            title: "Left Achilles tendon".to_owned(),
            ceilings: texts(&[
                "Ceiling today: at most 0.5 BW (upper bound of the load); ordered: Dr. A. Brandt, note of March 16, 2026",
            ]),
            rows: vec![
                stated(["Toe bends", "0 BW", "computed", "secondary", ARM]),
                unstated("Thigh squeeze", ISOMETRIC),
                stated(["Straight leg lift", "0 to 0.02 BW", "computed", "secondary", ARM]),
                stated(["Side leg lift", "0 to 0.02 BW", "computed", "secondary", ARM]),
                stated([
                    "Foot down and back",
                    "0.03 to 0.09 BW",
                    "computed and measured",
                    "secondary",
                    "moment over arm [4]; invented study 2020 [2]",
                ]),
                stated(["Knee straight", "0 BW", "computed", "secondary", ARM]),
                ordered([
                    "Shoulder blade squeeze",
                    "order only: less than Foot down and back",
                    "from memory",
                    "invented study 2020 [2]",
                ]),
                stated(["Weight shift on a scale", "0.31 to 0.49 BW", "computed", "secondary", ARM]),
            ],
            week: texts(&[
                "One week as planned: sum of peaks 120 to 231 BW; sum of impulses 340 to 520 BW·s.",
                "The sums lack Thigh squeeze and Shoulder blade squeeze: load not known.",
            ]),
        }],
        notes: texts(&[
            "A net joint moment is neither a joint reaction nor a contact force nor a muscle force.",
            "No injury threshold for sums of a week, or for their change from week to week, is established.",
        ]),
        ladder: ladder("Load ladder: left Achilles tendon"),
    }
}
