//! The words of the page itself, in one language.

use serde::{Deserialize, Serialize};

/// What stopped an exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StopReason {
    /// It hurt.
    Pain,
    /// Dizzy, sick or otherwise unwell.
    Unwell,
    /// Too tired.
    Tired,
    /// Worried to do harm.
    Afraid,
    /// Did not know how to do it.
    NotClear,
    /// Something needed was missing.
    NoEquipment,
    /// No time, or called away.
    NoTime,
    /// Something else.
    Other,
}

impl StopReason {
    /// All reasons, in the order in which they are asked.
    pub const ALL: [Self; 8] = [
        Self::Pain,
        Self::Unwell,
        Self::Tired,
        Self::Afraid,
        Self::NotClear,
        Self::NoEquipment,
        Self::NoTime,
        Self::Other,
    ];

    /// Name used in logs and in the keys of texts.
    pub fn id(self) -> &'static str {
        match self {
            Self::Pain => "pain",
            Self::Unwell => "unwell",
            Self::Tired => "tired",
            Self::Afraid => "afraid",
            Self::NotClear => "not_clear",
            Self::NoEquipment => "no_equipment",
            Self::NoTime => "no_time",
            Self::Other => "other",
        }
    }
}

/// A reason and its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReasonLabel {
    /// What the log holds.
    pub code: StopReason,
    /// What the patient reads, such as "It hurt".
    pub text: String,
}

/// Defines [`Labels`] together with the placeholders that each label must hold.
macro_rules! labels {
    ($( $(#[doc = $doc:literal])+ $name:ident ( $($hole:literal)* ) )+) => {
        /// The words of the page. Braces mark what the page fills in: `{n}` of `{total}`; a label without one of
        /// its placeholders is refused.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct Labels {
            $( $(#[doc = $doc])+ pub $name: String, )+
            /// Answers to "What stopped you?": each [`StopReason`] once.
            pub reasons: Vec<ReasonLabel>,
        }

        impl Labels {
            /// Labels from texts by name, such as `start_button`, and `reason_pain` for the reasons.
            pub fn from_texts(text: impl Fn(&str) -> String) -> Self {
                let reason = |code: StopReason| ReasonLabel { code, text: text(&format!("reason_{}", code.id())) };
                Self {
                    $( $name: text(stringify!($name)), )+
                    reasons: StopReason::ALL.map(reason).into(),
                }
            }

            /// Name, text and needed placeholders of every label.
            pub(crate) fn each(&self) -> Vec<(&'static str, &str, &'static [&'static str])> {
                vec![ $( (stringify!($name), self.$name.as_str(), &[$($hole),*]) ),+ ]
            }
        }
    };
}

labels! {
    // every screen
    /// Shown when the browser runs no scripts; whom to ask.
    no_script()
    /// "Version {version} of {date}. Use until {until}."
    stamp("version" "date" "until")
    /// Heading above the numbers to call.
    contacts_title()
    /// Before the emergency number.
    contact_emergency()
    /// Before the clinic's number.
    contact_clinic("name")
    /// Before the number for nights and weekends.
    contact_out_of_hours()

    // start screen
    /// Heading above the limits.
    limits_title()
    /// Heading above the limits that nobody has confirmed.
    limits_assumed()
    /// That the surgeon's order comes first.
    surgeon_first()
    /// Heading above the stop rules.
    stop_title()
    /// Heading above the warning questions.
    warning_title()
    /// No, to a warning question.
    answer_no()
    /// Yes, to a warning question.
    answer_yes()
    /// Question for the pain before.
    pain_before()
    /// The low end of the pain scale.
    pain_none()
    /// The high end of the pain scale.
    pain_worst()
    /// Box for leaving out the instructions.
    brief_option()
    /// That the page speaks and beeps.
    sound_hint()
    /// That this device has no voice in the language.
    no_voice()
    /// That the patient has to keep the screen on.
    keep_screen_on()
    /// Button that begins the session.
    start_button()
    /// A warning question has no answer yet.
    missing_warning()
    /// A pain question has no answer yet.
    missing_pain()
    /// The page is out of date.
    expired("until")
    /// The device's date lies before the date of the program.
    date_wrong("date")

    // after a warning sign
    /// Heading: call the emergency number now.
    call_emergency()
    /// Heading: call the team today.
    call_same_day()
    /// Heading: tell the therapist first.
    call_next_visit()
    /// Heading: too much pain to begin.
    call_pain()
    /// Pain before the start is above the limit.
    pain_over_before("limit")
    /// That no exercise is done now.
    no_exercise_today()
    /// Button back to the questions.
    change_answers()

    // the session: told and shown
    /// "{title}. {side}."
    step_start("title" "side")
    /// "{title}. {side}"
    move_start("title" "side")
    /// Said when a move waits for the patient.
    move_wait()
    /// "{n} of {total}", said after each repetition.
    count("n" "total")
    /// "{say}, {n}": the word of a hold and its seconds.
    hold_start("say" "n")
    /// "Rest for {n} seconds."
    rest_start("n")
    /// "{n} seconds left."
    rest_left("n")
    /// "Set {n} of {total} is next."
    next_set("n" "total")
    /// "Part {n} of {total}"
    place("n" "total")
    /// "Set {n} of {total}"
    set_of("n" "total")
    /// Under the number in the ring: "of {total}".
    unit_of("total")
    /// Under the number in the ring: seconds.
    unit_seconds()
    /// Under the number in the ring before a set.
    unit_ready()
    /// The beads in words: "Set {set} of {sets}: {n} of {total} done".
    rails("set" "sets" "n" "total")
    /// Under the picture of the start, when motion is reduced.
    still_start()
    /// Under the picture of the end, when motion is reduced.
    still_end()
    /// Marks the picture that is due.
    still_now()

    // the session: controls
    /// Name of the group of buttons.
    controls()
    /// Begins the first set before all instructions were said.
    start_now()
    /// Ends a rest.
    go_now()
    /// Ends a move.
    move_ready()
    /// Adds 15 seconds to a rest.
    more_rest()
    /// Back to the start of this part.
    back()
    /// Stops the clock.
    pause()
    /// Shown over the picture while the clock stands.
    paused()
    /// Starts the clock again; closes a question.
    go_on()
    /// Leaves out the rest of this exercise.
    skip()
    /// The button that makes the moves slower, below the speed itself (1×, ¾×, ½×): "Speed".
    speed()
    /// Voice and beeps are on.
    sound_on()
    /// Voice and beeps are off.
    sound_off()
    /// Button to tell pain.
    pain()
    /// The stop button.
    stop()
    /// Heading of the stop question.
    stop_dialog_title()
    /// First words of the stop question, before the stop rules.
    stop_dialog_lead()
    /// Ends the session.
    end_session()
    /// Question for the pain now.
    pain_now()
    /// Pain is above the limit: this exercise ends.
    pain_over("limit")
    /// Leaves out this exercise after too much pain.
    skip_this()
    /// "What stopped you?"
    reason_title()

    // end screen
    /// Heading and last words when all parts were gone through.
    end_reached()
    /// Heading and last words after the stop button.
    end_stopped()
    /// Question for the worst pain during the session.
    pain_during()
    /// Question for the pain after.
    pain_after()
    /// First line of the list of reasons.
    reason_choose()
    /// A reason has not been given yet.
    missing_reason()
    /// Saves and shows the code.
    save_button()
    /// Pain above the limit, or unwell: whom to call.
    end_alarm()
    /// Heading above what was done.
    done_title()
    /// Column of the exercises.
    done_exercise()
    /// Column of the repetitions.
    done_reps()
    /// "Pain before {before}, during {during}, after {after}"
    done_pain("before" "during" "after")
    /// That the log is kept on this phone.
    kept()
    /// That the log could not be kept.
    not_kept()
    /// Heading above the code.
    code_title()
    /// What the code is for.
    code_hint()
    /// The code in words.
    code_alt()
    /// Name of the text under the code.
    copy_label()
    /// Copies the text.
    copy_button()
    /// The text was copied.
    copied()
    /// The text is marked; the patient copies it with the phone's menu.
    copy_by_hand()
    /// Heading: signs after the session for which to call.
    after_title()

    // earlier sessions
    /// Heading of the earlier sessions.
    earlier_title()
    /// "{n} sessions are kept on this phone."
    earlier_count("n")
    /// Shows the codes of earlier sessions.
    earlier_show()
    /// "Code {n} of {total}"
    earlier_page("n" "total")
    /// The next code.
    earlier_next()
    /// Back to the start screen.
    earlier_back()
}
