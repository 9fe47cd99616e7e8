//! What the clinic owes: a program in the patient's hands, reports in time, and a call when no diary comes.

use std::collections::BTreeSet;

use handrail_episode::{Episode, Report};
use handrail_protocol::{Known, Protocol};
use jiff::civil::Date;

use crate::attention::{Attention, Detail, Reason};
use crate::days::Schedule;
use crate::days_after;
use crate::phases::Phases;
use crate::response::RuleBasis;

/// Planned days without a diary after which somebody looks (this program's own choice, no source).
pub const SILENT_DAYS: u32 = 3;
/// Days before the surgeon's visit on which the report is due (this program's own choice, no source).
const REPORT_AHEAD: i64 = 7;
/// A report counts for a visit when it was written in these days before it (this program's own choice).
const REPORT_FRESH: i64 = 14;
/// Treatment days by which a progress report is written.
pub const PROGRESS_REPORT_EVERY: u32 = 10;
/// Where [`PROGRESS_REPORT_EVERY`] comes from: a rule of one country's payer; others differ.
pub const PROGRESS_REPORT_BASIS: RuleBasis = RuleBasis {
    source: "CMS Benefit Policy Manual, Pub. 100-02, ch. 15, s. 220.3 D (United States)",
    known: Known::Read,
};
/// [`Report::kind`] of a progress report.
pub const PROGRESS_REPORT: &str = "progress report";
/// [`Report::kind`] of the letter to the surgeon.
pub const LETTER_BEFORE_VISIT: &str = "letter before the visit";

/// From the day after the third planned day without a diary until the next diary.
pub(crate) fn no_diary(
    episode: &Episode,
    protocol: &Protocol,
    phases: &Phases,
    from: Date,
    out: &mut Vec<Attention>,
) {
    let schedule = Schedule::of(episode, protocol, phases);
    let Some(begins) = schedule.begins else { return };
    let days: BTreeSet<Date> = episode.course.diaries.iter().map(|it| it.fact.on).collect();
    let mut last = days.range(..begins).next_back().copied();
    let mut since = begins;
    let mut silences: Vec<(Option<Date>, Date, Option<Date>)> = Vec::new();
    for day in days.range(begins..) {
        silences.push((last, since, Some(*day)));
        (last, since) = (Some(*day), days_after(*day, 1));
    }
    silences.push((last, since, None));
    for (last, since, until) in silences.into_iter().filter(|it| it.2.is_none_or(|until| until > from)) {
        let Some(third) = schedule.nth_planned(since, SILENT_DAYS) else { continue };
        let detail = Detail::NoDiary { last, since, planned_days: SILENT_DAYS };
        // On the third day itself the diary may still come.
        out.push(Attention::new(Reason::NoDiary, days_after(third, 1), until, detail));
    }
}

/// Reports to the surgeon and to the payer.
pub(crate) fn reports(episode: &Episode, out: &mut Vec<Attention>) {
    surgeon_report(episode, out);
    progress_report(episode, out);
}

fn surgeon_report(episode: &Episode, out: &mut Vec<Attention>) {
    let Some(visit) = episode.operation.next_visit else { return };
    let surgeon = &episode.operation.surgeon;
    let for_visit = |it: &Report| it.kind == LETTER_BEFORE_VISIT || it.to == *surgeon;
    let fresh = days_after(visit, -REPORT_FRESH);
    let written = episode.course.reports.iter().filter(|it| for_visit(&it.fact.1)).map(|it| it.fact.0);
    let until = written.filter(|on| *on >= fresh).min();
    let from = days_after(visit, -REPORT_AHEAD).max(episode.operation.surgery);
    let detail = Detail::SurgeonReport { visit, surgeon: surgeon.clone() };
    out.push(Attention::new(Reason::ReportDue, from, until, detail).about(LETTER_BEFORE_VISIT));
}

/// From the ninth treatment day since the last progress report on, so that it can be written by the tenth.
fn progress_report(episode: &Episode, out: &mut Vec<Attention>) {
    let reports = episode.course.reports.iter().filter(|it| it.fact.1.kind == PROGRESS_REPORT);
    let last = reports.map(|it| it.fact.0).max();
    let treated: BTreeSet<Date> = episode.course.visits.iter().map(|it| it.fact.on).collect();
    let open: Vec<Date> = treated.into_iter().filter(|it| last.is_none_or(|last| *it > last)).collect();
    let Some(from) = open.get(PROGRESS_REPORT_EVERY as usize - 2) else { return };
    let treatment_days = open.len() as u32;
    let detail = Detail::ProgressReport { treatment_days, by_treatment_day: PROGRESS_REPORT_EVERY };
    out.push(Attention::new(Reason::ReportDue, *from, None, detail).about(PROGRESS_REPORT));
}

/// No program on record, or one that the patient was never given.
pub(crate) fn program(episode: &Episode, out: &mut Vec<Attention>) {
    let surgery = episode.operation.surgery;
    let given = episode.course.issued.iter().map(|it| it.fact.0).min();
    let first = episode.programs.iter().min_by_key(|it| it.issued);
    let until = [given, first.map(|it| it.issued)].into_iter().flatten().min();
    out.push(Attention::new(Reason::NoProgram, surgery, until, Detail::NoProgram));
    if let Some(program) = first {
        let version = episode.programs.iter().map(|it| it.version).max().unwrap_or(program.version);
        let from = program.issued.max(surgery);
        out.push(Attention::new(Reason::NoProgram, from, given, Detail::NotGiven { version }));
    }
}
