//! What a whole run of a page must count, for a check from outside.

use serde_json::{Value, json};

use crate::session::{Exercise, FollowSession, FollowStep, PhaseKind};

/// Seconds held in one repetition.
fn hold_seconds(exercise: &Exercise) -> f32 {
    let holds = exercise.phases.iter().filter(|phase| phase.kind == PhaseKind::Hold);
    // Not `sum`: of nothing it makes a negative zero.
    holds.fold(0.0, |seconds, phase| seconds + phase.seconds)
}

/// The steps of a session in order, with sets and repetitions: what a run through the page counts when nothing is
/// left out.
pub fn expected_counts(session: &FollowSession) -> Value {
    let steps = session.steps.iter().map(|step| match step {
        FollowStep::Exercise(exercise) => json!({
            "kind": "exercise", "id": exercise.id, "sets": exercise.sets, "reps": exercise.reps,
            "hold_s": hold_seconds(exercise),
        }),
        FollowStep::Move(change) => json!({ "kind": "move", "waits": change.waits }),
        FollowStep::Rest(rest) => json!({ "kind": "rest", "seconds": rest.seconds }),
    });
    json!({
        "session_id": session.session_id, "version": session.version, "lang": session.lang, "side": session.side,
        "date": session.date, "valid_until": session.valid_until, "steps": steps.collect::<Vec<_>>(),
    })
}
