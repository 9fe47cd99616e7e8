//! Laws of the envelope chart, the small timeline and the response strip: nothing outside the picture, no text on
//! text, every fact in the table, no word of their own, equal bytes.
#![allow(missing_docs)]

mod common;
mod envelopes;

use common::{check_places, texts, tree};
use handrail_figures::envelope::{
    AxisLimit, AxisPanel, EnvelopeChart, EnvelopeError, EnvelopeRow, Lane, Manner, Measured, PhaseStart,
    Reach, RowKind, Segment, Span, Status, Toward, Visit,
};
use handrail_figures::timeline::{DiaryMark, SmallDay, SmallSize, SmallTimeline, TimelineError};
use proptest::prelude::*;
use resvg::tiny_skia;

const WIDTHS: [f64; 5] = [320.0, 390.0, 680.0, 760.0, 1100.0];

fn samples() -> Vec<EnvelopeChart> {
    use envelopes::{ankle, knee, odd, shoulder, tobillo};
    vec![ankle(), knee(), shoulder(), tobillo(), odd()]
}

fn name() -> impl Strategy<Value = String> {
    "[A-Za-zñáó]{2,12}( [a-zéí0-9]{1,9}){0,4}"
}

fn span() -> impl Strategy<Value = Span> {
    (0..150i32, prop::option::of(1..90i32), prop::option::weighted(0.2, 1..90i32), any::<bool>()).prop_map(
        |(from, planned, ended, lingers)| Span {
            from,
            planned_end: planned.map(|it| from + it),
            ended: ended.map(|it| from + it),
            lingers,
        },
    )
}

fn status() -> impl Strategy<Value = Status> {
    prop::sample::select(vec![Status::Ordered, Status::Confirmed, Status::Assumed])
}

fn toward() -> impl Strategy<Value = Toward> {
    prop::sample::select(vec![Toward::Up, Toward::Down])
}

fn way() -> impl Strategy<Value = String> {
    prop::sample::select(vec!["", "", "active", "passive", "loaded"]).prop_map(str::to_owned)
}

fn axis_limit() -> impl Strategy<Value = AxisLimit> {
    (toward(), -30.0..120.0f64, way(), span(), status()).prop_map(|(toward, max_deg, way, span, status)| {
        AxisLimit { toward, max_deg, way, span, status, note: String::new() }
    })
}

fn measured() -> impl Strategy<Value = Measured> {
    let manner = prop::sample::select(vec![Manner::Active, Manner::Passive, Manner::Unstated]);
    (0..180i32, toward(), -20.0..130.0f64, manner).prop_map(|(day, toward, degrees, manner)| Measured {
        day,
        date: format!("{day} May"),
        toward,
        degrees,
        manner,
    })
}

fn panel() -> impl Strategy<Value = AxisPanel> {
    let reach =
        (-40.0..40.0f64, 0.0..80.0f64, way()).prop_map(|(low, add, way)| Reach { low, high: low + add, way });
    (
        (name(), name(), name()),
        prop::collection::vec(axis_limit(), 0..7),
        prop::collection::vec(reach, 0..3),
        prop::collection::vec(measured(), 0..12),
    )
        .prop_map(|((title, up, down), limits, reach, measured)| AxisPanel {
            title,
            up,
            down,
            usual: [-50.0, 120.0],
            limits,
            reach,
            measured,
        })
}

fn lane() -> impl Strategy<Value = Lane> {
    let segment = (name(), span(), status()).prop_map(|(text, span, status)| Segment {
        text,
        span,
        status,
        note: String::new(),
    });
    (name(), prop::collection::vec(segment, 0..6)).prop_map(|(name, segments)| Lane { name, segments })
}

fn chart() -> impl Strategy<Value = EnvelopeChart> {
    (
        0..180i32,
        prop::collection::vec((0..200i32, name()), 0..6),
        prop::collection::vec(0..200i32, 0..6),
        prop::collection::vec(lane(), 0..3),
        prop::collection::vec(panel(), 0..5),
        any::<bool>(),
    )
        .prop_map(|(today, phases, visits, lanes, panels, spanish)| EnvelopeChart {
            today,
            days: 180,
            phases: phases.into_iter().map(|(day, label)| PhaseStart { day, label }).collect(),
            visits: visits.into_iter().map(|day| Visit { day, label: format!("{day} Mar") }).collect(),
            lanes,
            panels,
            ..if spanish { envelopes::tobillo() } else { envelopes::ankle() }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn an_envelope_stays_inside_its_picture(chart in chart(), width in prop::sample::select(&WIDTHS[..])) {
        check_places(&chart.svg("a", width).unwrap())?;
    }

    /// The table has a row for every segment, limit, reach, measurement, phase and visit, whatever is drawn.
    #[test]
    fn the_table_has_everything(chart in chart()) {
        let rows = chart.rows();
        let count = |kind| rows.iter().filter(|it| it.kind == kind).count();
        let sum = |of: fn(&AxisPanel) -> usize| chart.panels.iter().map(of).sum::<usize>();
        prop_assert_eq!(count(RowKind::Lane), chart.lanes.iter().map(|it| it.segments.len()).sum::<usize>());
        prop_assert_eq!(count(RowKind::Limit), sum(|it| it.limits.len()));
        prop_assert_eq!(count(RowKind::Program), sum(|it| it.reach.len()));
        prop_assert_eq!(count(RowKind::Measured), sum(|it| it.measured.len()));
        prop_assert_eq!(count(RowKind::Phase), chart.phases.len());
        prop_assert_eq!(count(RowKind::Visit), chart.visits.len());
        // On whose word a limit stands is told in each of its rows.
        prop_assert!(rows.iter().filter(|it| it.kind == RowKind::Limit).all(|it| !it.status.is_empty()));
    }

    #[test]
    fn a_response_strip_stays_inside_its_picture(days in 1..61usize, width in prop::sample::select(&WIDTHS[..])) {
        check_places(&envelopes::response(days).svg("a", width).unwrap())?;
    }

    /// Any small timeline is small, inside its picture, and its counts add up.
    #[test]
    fn a_small_timeline_is_small(
        days in prop::collection::vec((0..4usize, prop::option::of(0..11u8), any::<bool>(), any::<bool>()), 1..15),
        visit_in in prop::option::of(0..8u8),
    ) {
        use DiaryMark::{Done, Missing, NonePlanned, Partly};
        let make = |(mark, pain, warning, new_version): (usize, Option<u8>, bool, bool)| SmallDay {
            diary: [Done, Partly, NonePlanned, Missing][mark],
            pain,
            warning,
            new_version,
        };
        let sample = envelopes::small().remove(0).1;
        let strip = SmallTimeline { days: days.into_iter().map(make).collect(), visit_in, ..sample };
        for size in [SmallSize::Wide, SmallSize::Narrow] {
            let svg = strip.svg("small-12345", size).unwrap();
            prop_assert!(svg.len() <= 3072, "{}", svg.len());
            check_places(&svg)?;
        }
        let c = strip.counts();
        prop_assert_eq!(c.done + c.partly + c.none_planned + c.missing, c.days);
        prop_assert!(c.pain_highest >= c.pain_latest);
    }
}

#[test]
fn samples_stay_inside_their_pictures() {
    for chart in samples() {
        for width in WIDTHS {
            check_places(&chart.svg("a", width).unwrap()).unwrap();
        }
    }
}

#[test]
fn equal_input_gives_equal_bytes() {
    for (a, b) in samples().iter().zip(samples()) {
        assert_eq!(a.svg("a", 390.0), b.svg("a", 390.0));
    }
    assert_eq!(envelopes::response(60).svg("a", 390.0), envelopes::response(60).svg("a", 390.0));
}

#[test]
fn a_chart_has_a_role_a_name_and_a_description_and_nothing_foreign() {
    let small = envelopes::small().remove(0).1;
    for svg in [
        envelopes::tobillo().svg("c1", 390.0).unwrap(),
        envelopes::response(60).svg("c1", 390.0).unwrap(),
        small.svg("c1", SmallSize::Wide).unwrap(),
    ] {
        for piece in
            ["role=\"img\"", "aria-labelledby=\"c1-t c1-d\"", "<title id=\"c1-t\">", "<desc id=\"c1-d\">"]
        {
            assert!(svg.contains(piece), "{piece}");
        }
        assert_eq!(svg.matches(" id=\"").count(), 2);
        for never in ["<script", "<style", "href", "url(", "<image"] {
            assert!(!svg.contains(never), "{never}");
        }
    }
}

/// Charts hold no words of their own: whatever is read comes from the caller, or is a number or a letter.
#[test]
fn every_word_comes_from_the_caller() {
    let chart = envelopes::tobillo();
    let given = format!("{chart:?}");
    let spaced = |words: &str| words.replace('\u{a0}', " ");
    for width in [390.0, 1100.0] {
        let mut all = Vec::new();
        texts(tree(&chart.svg("a", width).unwrap()).root(), &mut all);
        assert!(all.len() > 40);
        for (words, _) in &all {
            for word in
                spaced(words).split(' ').filter(|word| word.chars().filter(|c| c.is_alphabetic()).count() > 1)
            {
                let word = word.trim_matches(|c: char| !c.is_alphanumeric());
                assert!(given.contains(word), "{word}");
            }
        }
    }
}

/// An assumed segment or limit has its word wherever it holds today, and in every layout.
#[test]
fn what_is_assumed_says_so() {
    let chart = envelopes::shoulder();
    for width in WIDTHS {
        let svg = chart.svg("a", width).unwrap();
        let mut all = Vec::new();
        texts(tree(&svg).root(), &mut all);
        // Weight through the arm, the forearm's limit, and the key.
        assert!(all.iter().filter(|it| it.0.contains("assumed")).count() >= 3, "{width}");
    }
    let mut sure = envelopes::shoulder();
    sure.lanes[0].segments[0].status = Status::Confirmed;
    for limit in sure.panels.iter_mut().flat_map(|it| &mut it.limits) {
        limit.status = Status::Confirmed;
    }
    assert!(!sure.svg("a", 1100.0).unwrap().contains("assumed"));
    assert!(!sure.svg("a", 1100.0).unwrap().contains("6 4.5"));
}

/// A limit that nobody has ended is drawn to the end of the chart, with its sign and its word.
#[test]
fn what_is_overdue_goes_on_and_says_so() {
    let chart = envelopes::knee();
    let svg = chart.svg("a", 1100.0).unwrap();
    assert!(svg.matches("class=\"due\"").count() == 3, "lane, panel, key");
    let rows = chart.rows();
    let overdue: Vec<&str> =
        rows.iter().filter(|it| it.state == chart.words.overdue).map(|it| &*it.what).collect();
    assert_eq!(overdue, ["half body weight", "flexion 90°, loaded"]);
    assert!(chart.description().contains("flexion 90°, loaded, past its planned end, still in force"));
}

/// A limit that nothing is planned to follow is drawn to the end of the chart, hatched from its earliest end on, and
/// no day after it is told to be without a limit.
#[test]
fn what_nothing_follows_goes_on_until_somebody_ends_it() {
    let told = |span: Span| {
        let mut chart = envelopes::ankle();
        let (from, today) = (span.from, chart.today);
        let panel = &mut chart.panels[0];
        panel.limits.retain(|it| it.toward == Toward::Up);
        let status = Status::Confirmed;
        let note = String::new();
        let lower = AxisLimit { toward: Toward::Down, max_deg: 0.0, way: String::new(), span, status, note };
        panel.limits.push(lower);
        let (what, open) = (format!("{} 0°", panel.down), panel.down.clone());
        let rows = chart.rows();
        let limit = rows.iter().find(|it| it.kind == RowKind::Limit && it.what == what).unwrap();
        let later = |it: &&EnvelopeRow| it.from > today.max(from);
        let open = rows.iter().filter(|it| it.kind == RowKind::OpenSide && it.what == open);
        let svg = chart.svg("a", 1100.0).unwrap();
        (limit.until, limit.planned_end, open.filter(later).count(), svg.contains(&chart.words.lingers))
    };
    let end = envelopes::ankle().today + 9;
    assert_eq!(told(Span::open(0, Some(end))), (Some(end), Some(end), 1, false));
    assert_eq!(told(Span::lingering(0, end)), (None, Some(end), 0, true));
}

/// A program beyond a limit has a sign, and one of another way of moving is held against limits of its own.
#[test]
fn a_program_beyond_a_limit_says_so() {
    let chart = envelopes::odd();
    assert!(chart.panels[0].is_beyond(&chart.panels[0].reach[0], 0));
    assert!(chart.svg("a", 390.0).unwrap().contains("class=\"over\""));
    assert!(chart.description().contains(&chart.words.beyond));
    let knee = envelopes::knee();
    assert!(knee.panels[0].reach.iter().all(|it| !knee.panels[0].is_beyond(it, knee.today)));
    let all_ways = Reach { way: String::new(), ..knee.panels[0].reach[1].clone() };
    assert!(knee.panels[0].is_beyond(&all_ways, knee.today));
}

#[test]
fn an_envelope_that_would_lie_is_not_drawn() {
    let err = |change: fn(&mut EnvelopeChart), width| {
        let mut chart = envelopes::ankle();
        change(&mut chart);
        chart.svg("a", width).unwrap_err()
    };
    assert_eq!(err(|_| {}, 200.0), EnvelopeError::Width(200.0));
    assert!(matches!(
        err(|it| it.panels[0].limits[0].max_deg = f64::NAN, 390.0),
        EnvelopeError::Degrees { .. }
    ));
    assert!(matches!(err(|it| it.panels[0].reach[0].low = 50.0, 390.0), EnvelopeError::Range { .. }));
    assert!(matches!(err(|it| it.today = 98, 390.0), EnvelopeError::Days { today: 98, days: 98 }));
    assert!(matches!(err(|it| it.days = 900, 390.0), EnvelopeError::Days { .. }));
    assert!(matches!(
        err(|it| it.lanes[0].segments[1].span.planned_end = Some(3), 390.0),
        EnvelopeError::Time { from: 14, end: 3, .. }
    ));
}

#[test]
fn a_strip_that_would_lie_is_not_drawn() {
    let base = envelopes::small().remove(0).1;
    let mut strip = base.clone();
    strip.days[3].pain = Some(11);
    assert_eq!(strip.svg("a", SmallSize::Wide), Err(TimelineError::Pain(11)));
    let mut strip = base.clone();
    strip.visit_in = Some(8);
    assert_eq!(strip.svg("a", SmallSize::Wide), Err(TimelineError::Visit(8)));
    let mut strip = base.clone();
    strip.days.push(strip.days[0]);
    assert!(matches!(strip.svg("a", SmallSize::Wide), Err(TimelineError::Days { given: 15, most: 14 })));
    let mut response = envelopes::response(20);
    response.days.remove(7);
    assert!(matches!(response.svg("a", 390.0), Err(TimelineError::Days { .. })));
    let mut response = envelopes::response(20);
    response.days[2].done = Some(13);
    assert_eq!(response.svg("a", 390.0), Err(TimelineError::Sessions(13)));
}

/// The largest strip that there can be, with a description as long as a page makes it.
#[test]
fn the_largest_small_timeline_is_small() {
    let mut strip = envelopes::small().remove(0).1;
    strip.visit_in = Some(7);
    for (i, day) in strip.days.iter_mut().enumerate() {
        let pain = Some(if i % 2 == 0 { 1 } else { 9 });
        *day = SmallDay { diary: DiaryMark::Partly, pain, warning: true, new_version: true };
    }
    for size in [SmallSize::Wide, SmallSize::Narrow] {
        let svg = strip.svg("small-12345", size).unwrap();
        assert!(svg.len() <= 3072, "{}", svg.len());
    }
}

#[test]
fn counts_are_those_of_the_days() {
    let counts = envelopes::small()[0].1.counts();
    insta::assert_debug_snapshot!("small_counts", counts);
}

/// Marks of a small strip differ without colour: the mean grey of a day falls from done over partly to missing.
#[test]
fn diary_marks_differ_in_grey() {
    let grey = |mark| {
        let mut strip = envelopes::small().remove(1).1;
        strip.days.iter_mut().for_each(|it| it.diary = mark);
        let tree = tree(&strip.svg("a", SmallSize::Wide).unwrap());
        let mut pixels = tiny_skia::Pixmap::new(800, 144).unwrap();
        pixels.fill(tiny_skia::Color::WHITE);
        resvg::render(&tree, tiny_skia::Transform::from_scale(4.0, 4.0), &mut pixels.as_mut());
        let mut sum = 0;
        for x in 12..560 {
            for y in 92..128 {
                let p = pixels.pixel(x, y).unwrap();
                sum += (u32::from(p.red()) * 30 + u32::from(p.green()) * 59 + u32::from(p.blue()) * 11) / 100;
            }
        }
        sum / (548 * 36)
    };
    use DiaryMark::{Done, Missing, NonePlanned, Partly};
    let [done, partly, missing, none] = [Done, Partly, Missing, NonePlanned].map(grey);
    assert!(
        done + 15 < partly && partly + 15 < missing && missing + 15 < none,
        "{done} {partly} {missing} {none}"
    );
}

/// What is drawn as text: one chart of each kind, and the tables.
#[test]
fn charts_as_text() {
    let lines = |svg: String| svg.replace("><", ">\n<");
    let mut ankle = envelopes::ankle();
    ankle.lanes.truncate(1);
    ankle.panels[0].measured.truncate(2);
    insta::assert_snapshot!("envelope_wide", lines(ankle.svg("a", 1100.0).unwrap()));
    insta::assert_snapshot!("envelope_narrow", lines(ankle.svg("a", 390.0).unwrap()));
    insta::assert_snapshot!("envelope_told", envelopes::knee().description().replace(". ", ".\n"));
    let rows: Vec<String> = envelopes::knee()
        .rows()
        .iter()
        .map(|it| {
            let until = it.until.map_or(String::new(), |it| it.to_string());
            format!(
                "{:?} | {} | {} | {}..{until} ({:?}) | {} | {} | {}",
                it.kind, it.subject, it.what, it.from, it.planned_end, it.state, it.status, it.note
            )
        })
        .collect();
    insta::assert_snapshot!("envelope_rows", rows.join("\n"));
    let small = envelopes::small().remove(0).1;
    insta::assert_snapshot!("small_wide", lines(small.svg("a", SmallSize::Wide).unwrap()));
    insta::assert_snapshot!("response_narrow", lines(envelopes::response(5).svg("a", 390.0).unwrap()));
    insta::assert_snapshot!("response_told", envelopes::response(60).description().replace(". ", ".\n"));
}
