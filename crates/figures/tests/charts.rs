//! Laws of the charts of load: nothing outside the picture, no text on text, bars in order, and a rung above the
//! ceiling always says so.
#![allow(missing_docs)]

mod common;
mod samples;

use common::{check_places, texts, tree};
use handrail_anatomy::Interval;
use handrail_figures::{
    CeilingLine, ChartError, ExposureChart, LadderChart, OrderedRung, Rung, Standing, UnknownRung, WeekBar,
};
use handrail_motion::LoadBasis;
use proptest::prelude::*;
use resvg::{tiny_skia, usvg};
use samples::Language::{English, Spanish};

const WIDTHS: [f64; 4] = [320.0, 360.0, 560.0, 760.0];

fn name() -> impl Strategy<Value = String> {
    "[A-Za-zñáó]{2,14}( [a-zéí0-9]{1,11}){0,7}"
}

fn load() -> impl Strategy<Value = Interval> {
    prop_oneof![
        4 => (0.0..9.0f64, 0.0..4.0f64).prop_map(|(low, add)| Interval { low, high: low + add }),
        1 => (0.0..0.01f64).prop_map(|high| Interval { low: 0.0, high }),
        1 => (0.0..1e-9f64).prop_map(|low| Interval { low, high: low }),
        1 => (10.0..400.0f64).prop_map(|high| Interval { low: high * 0.4, high }),
    ]
}

fn standing() -> impl Strategy<Value = Standing> {
    prop::sample::select(vec![Standing::Within, Standing::Over, Standing::Current, Standing::Next])
}

fn basis() -> impl Strategy<Value = LoadBasis> {
    prop::sample::select(LoadBasis::ALL.to_vec())
}

fn rung() -> impl Strategy<Value = Rung> {
    (name(), load(), standing(), basis(), prop_oneof![Just(String::new()), name()])
        .prop_map(|(name, load, standing, basis, detail)| Rung { name, load, standing, basis, detail })
}

fn ceiling() -> impl Strategy<Value = Option<CeilingLine>> {
    let value = prop_oneof![4 => 0.0..12.0f64, 1 => Just(0.0), 1 => 100.0..500.0f64];
    prop::option::weighted(0.8, (value, name()).prop_map(|(value, label)| CeilingLine { value, label }))
}

fn ladder() -> impl Strategy<Value = LadderChart> {
    let ordered = (name(), 0..40usize, 0..40usize, 0..3u8, standing());
    (
        prop::collection::vec(rung(), 1..40),
        prop::collection::vec(ordered, 0..3),
        prop::collection::vec((name(), name()), 0..4),
        ceiling(),
        any::<bool>(),
    )
        .prop_map(|(rungs, ordered, unknown, ceiling, spanish)| {
            let n = rungs.len();
            let ordered = ordered.into_iter().map(|(name, a, b, kind, standing)| OrderedRung {
                name,
                lighter: if kind == 1 { vec![] } else { vec![a % n] },
                heavier: if kind == 2 { vec![] } else { vec![b % n] },
                standing,
                detail: String::new(),
            });
            let unknown = unknown.into_iter().map(|(name, why)| UnknownRung { name, why });
            let (ordered, unknown) = (ordered.collect(), unknown.collect());
            let sample = samples::achilles(if spanish { Spanish } else { English });
            LadderChart { rungs, ordered, unknown, ceiling, ..sample }
        })
}

fn weeks() -> impl Strategy<Value = ExposureChart> {
    let one = (prop::option::of(load()), prop::option::of(load()), prop::option::of(-100.0..2000.0f64));
    (prop::collection::vec((one, any::<bool>()), 0..30), ceiling(), any::<bool>()).prop_map(
        |(weeks, ceiling, spanish)| {
            let sample = samples::weeks(if spanish { Spanish } else { English });
            let weeks = weeks.into_iter().enumerate().map(|(i, ((planned, done, jump_percent), flagged))| {
                WeekBar { label: format!("semana {i}"), planned, done, jump_percent, flagged }
            });
            ExposureChart { weeks: weeks.collect(), ceiling, ..sample }
        },
    )
}

/// Signs of what is above the ceiling: rings in the group "over".
fn signs(svg: &str) -> usize {
    svg.matches("class=\"over\"").count()
}

/// The part of the description that names a rung.
fn told<'a>(svg: &'a str, name: &str) -> &'a str {
    let desc = svg.split("<desc").nth(1).unwrap().split("</desc>").next().unwrap();
    let from = desc.find(&format!("{name}: ")).expect("every row is told");
    &desc[from..]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_ladder_stays_inside_its_picture(chart in ladder(), width in prop::sample::select(&WIDTHS[..])) {
        check_places(&chart.svg("a", width).unwrap())?;
    }

    #[test]
    fn weeks_stay_inside_their_picture(chart in weeks(), width in prop::sample::select(&WIDTHS[..])) {
        check_places(&chart.svg("a", width).unwrap())?;
    }

    /// Whatever the caller says of a rung: an upper bound above the ceiling has the sign and the word.
    #[test]
    fn a_rung_above_the_ceiling_always_says_so(
        mut chart in ladder(),
        width in prop::sample::select(&WIDTHS[..]),
    ) {
        for (i, rung) in chart.rungs.iter_mut().enumerate() {
            rung.name = format!("Rung number {i} x");
        }
        let svg = chart.svg("a", width).unwrap();
        let mut over = 0;
        for rung in &chart.rungs {
            let passes = chart.ceiling.as_ref().is_some_and(|it| rung.load.high > it.value * (1.0 + 1e-9));
            let is_over = passes || rung.standing == Standing::Over;
            prop_assert_eq!(chart.is_over(rung), is_over);
            over += usize::from(is_over);
            let told = told(&svg, &rung.name).split(". ").next().unwrap();
            let says = told.contains(&chart.words.over) || told.contains(&chart.words.opens);
            prop_assert_eq!(says, is_over, "{}", told);
        }
        let ordered = chart.ordered.iter().filter(|it| chart.is_ordered_over(it)).count();
        // One more in the key when a bar is above.
        prop_assert_eq!(signs(&svg), over + ordered + usize::from(over > 0));
    }

    /// From the top of the picture down, upper bounds fall within each group, and the group above comes first.
    #[test]
    fn rungs_stand_in_order(mut chart in ladder(), width in prop::sample::select(&WIDTHS[..])) {
        for (i, rung) in chart.rungs.iter_mut().enumerate() {
            rung.name = format!("rung{i}x");
        }
        let mut all = Vec::new();
        texts(tree(&chart.svg("a", width).unwrap()).root(), &mut all);
        let mut rows: Vec<(f32, &Rung)> = chart
            .rungs
            .iter()
            .map(|rung| (all.iter().find(|it| it.0 == rung.name).unwrap().1.top(), rung))
            .collect();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in rows.windows(2) {
            let (upper, lower) = (pair[0].1, pair[1].1);
            prop_assert!(chart.is_over(upper) >= chart.is_over(lower));
            if chart.is_over(upper) == chart.is_over(lower) {
                prop_assert!(upper.load.high >= lower.load.high);
            }
        }
    }

    /// With an order only, within the ceiling means: lighter than a rung that is within it.
    #[test]
    fn an_order_alone_never_brings_a_rung_within(chart in ladder()) {
        for it in &chart.ordered {
            let held = it.heavier.iter().any(|&n| !chart.is_over(&chart.rungs[n]));
            if chart.ceiling.is_some() && !held {
                prop_assert!(chart.is_ordered_over(it));
            }
        }
    }

    #[test]
    fn a_week_above_the_ceiling_always_has_the_sign(chart in weeks()) {
        let loads = chart.weeks.iter().flat_map(|week| [week.planned, week.done]).flatten();
        let over = loads.filter(|load| chart.is_over(*load)).count();
        let svg = chart.svg("a", 760.0).unwrap();
        prop_assert_eq!(signs(&svg), over + usize::from(over > 0));
    }

    /// The note is under the chart, whole, whatever the chart shows.
    #[test]
    fn the_note_is_always_printed(chart in weeks(), width in prop::sample::select(&WIDTHS[..])) {
        let mut all = Vec::new();
        texts(tree(&chart.svg("a", width).unwrap()).root(), &mut all);
        let lines: Vec<&str> = all.iter().map(|it| it.0.as_str()).collect();
        prop_assert!(lines.join(" ").ends_with(&chart.note));
    }
}

/// Bars keep their ends apart and in the right order on the page, from nothing up.
#[test]
fn heavier_is_further_right() {
    let mut chart = samples::rungs(12);
    chart.rungs[0].load = Interval { low: 0.0, high: 0.05 };
    for rung in &mut chart.rungs {
        rung.basis = LoadBasis::Computed;
    }
    for width in WIDTHS {
        let svg = chart.svg("a", width).unwrap();
        let tree = usvg::roxmltree::Document::parse(&svg).unwrap();
        let number = |node: &usvg::roxmltree::Node<'_, '_>, name: &str| {
            node.attribute(name).map_or(0.0, |it| it.parse::<f64>().unwrap())
        };
        let mut bars: Vec<[f64; 3]> = tree
            .descendants()
            .filter(|node| node.attribute("class") == Some("bar"))
            .map(|node| {
                let x = number(&node, "x");
                [number(&node, "y"), x, x + number(&node, "width")]
            })
            .collect();
        assert_eq!(bars.len(), chart.rungs.len());
        bars.sort_by(|a, b| b[0].total_cmp(&a[0]));
        for pair in bars.windows(2) {
            assert!(pair[0][2] < pair[1][2], "{width}: {pair:?}");
        }
        assert!(bars.iter().all(|bar| bar[2] > bar[1]));
    }
}

#[test]
fn a_chart_that_would_lie_is_not_drawn() {
    let base = || samples::rungs(3);
    let err = |chart: LadderChart, width| chart.svg("a", width).unwrap_err();
    for load in [(f64::NAN, 1.0), (0.0, f64::INFINITY), (-0.1, 1.0), (2.0, 1.0)] {
        let mut chart = base();
        chart.rungs[1].load = Interval { low: load.0, high: load.1 };
        let error = err(chart, 760.0);
        assert!(matches!(&error, ChartError::Bounds { name, .. } if name.contains('2')), "{error}");
    }
    let mut chart = base();
    chart.ceiling = Some(CeilingLine { value: f64::NAN, label: String::new() });
    assert!(matches!(err(chart, 760.0), ChartError::Ceiling(_)));
    let lost = |lighter| OrderedRung {
        name: "Lost".to_owned(),
        lighter,
        heavier: vec![],
        standing: Standing::Within,
        detail: String::new(),
    };
    for lighter in [vec![], vec![3]] {
        let mut chart = base();
        chart.ordered.push(lost(lighter));
        assert_eq!(err(chart, 760.0), ChartError::Neighbour("Lost".to_owned()));
    }
    assert_eq!(err(base(), 200.0), ChartError::Width(200.0));
    let mut chart = base();
    chart.unit = "units of no known size".to_owned();
    assert!(matches!(err(chart, 760.0), ChartError::TooLong { most: 12, .. }));

    let mut weeks = samples::weeks(English);
    weeks.note = " ".to_owned();
    assert_eq!(weeks.svg("a", 760.0), Err(ChartError::NoNote));
    let mut weeks = samples::weeks(English);
    weeks.weeks[1].jump_percent = Some(f64::NAN);
    assert!(matches!(weeks.svg("a", 760.0), Err(ChartError::Jump(_))));
}

/// An upper bound that equals the ceiling is within; the last bits of a sum do not make it pass.
#[test]
fn at_the_ceiling_is_within() {
    let mut chart = samples::rungs(3);
    chart.ceiling.as_mut().unwrap().value = 0.3;
    chart.rungs[0].load = Interval { low: 0.1, high: 0.1 + 0.2 };
    assert!(chart.rungs[0].load.high > 0.3 && !chart.is_over(&chart.rungs[0]));
    chart.rungs[0].load.high = 0.3001;
    assert!(chart.is_over(&chart.rungs[0]));
}

/// Charts hold no words of their own: whatever is read comes from the caller, or is a number.
#[test]
fn every_word_comes_from_the_caller() {
    let chart = samples::achilles(Spanish);
    let given = format!("{chart:?}");
    let mut all = Vec::new();
    texts(tree(&chart.svg("a", 760.0).unwrap()).root(), &mut all);
    assert!(all.len() > 60);
    for (words, _) in &all {
        for word in words.split(' ').filter(|word| word.chars().any(char::is_alphabetic)) {
            assert!(given.contains(word), "{word}");
        }
    }
}

#[test]
fn a_chart_has_a_role_a_name_and_a_description_and_nothing_foreign() {
    for svg in [
        samples::achilles(Spanish).svg("c1", 360.0).unwrap(),
        samples::weeks(Spanish).svg("c1", 760.0).unwrap(),
    ] {
        for piece in
            ["role=\"img\"", "aria-labelledby=\"c1-t c1-d\"", "<title id=\"c1-t\">", "<desc id=\"c1-d\">"]
        {
            assert!(svg.contains(piece), "{piece}");
        }
        for never in ["<script", "<style", "href", "url(", "<image"] {
            assert!(!svg.contains(never), "{never}");
        }
    }
}

/// The description tells every row with its figure.
#[test]
fn what_is_drawn_is_told() {
    let svg = samples::achilles(English).svg("a", 760.0).unwrap();
    insta::assert_snapshot!("ladder_told", told(&svg, "Toe curls with a towel").replace(". ", ".\n"));
    let svg = samples::weeks(English).svg("a", 760.0).unwrap();
    insta::assert_snapshot!("weeks_told", told(&svg, "week 3").replace(". ", ".\n"));
}

/// In grey a bar above the ceiling is the lighter one, for it is hatched, and the program's own the darkest.
#[test]
fn kinds_of_bars_differ_in_grey() {
    let grey = |standing: Standing| {
        let mut chart = samples::rungs(3);
        chart.rungs.truncate(1);
        chart.rungs[0].load = Interval { low: 0.2, high: 1.0 };
        chart.rungs[0].standing = standing;
        let svg = chart.svg("a", 760.0).unwrap();
        let tree = tree(&svg);
        let mut pixels = tiny_skia::Pixmap::new(760, tree.size().height() as u32).unwrap();
        resvg::render(&tree, tiny_skia::Transform::identity(), &mut pixels.as_mut());
        let xml = usvg::roxmltree::Document::parse(&svg).unwrap();
        let bar = xml.descendants().find(|node| node.attribute("class") == Some("bar")).unwrap();
        let at = |name| bar.attribute(name).unwrap().parse::<f64>().unwrap() as u32;
        let (mut sum, mut count) = (0, 0);
        for x in at("x") + 4..at("x") + at("width") - 4 {
            for y in at("y") + 2..at("y") + at("height") - 2 {
                let p = pixels.pixel(x, y).unwrap();
                sum += (u32::from(p.red()) * 30 + u32::from(p.green()) * 59 + u32::from(p.blue()) * 11) / 100;
                count += 1;
            }
        }
        sum / count
    };
    let (within, over, current) = (grey(Standing::Within), grey(Standing::Over), grey(Standing::Current));
    assert!(over > within + 40 && within > current + 40, "{over} {within} {current}");
}

#[test]
fn charts_as_text() {
    let mut chart = samples::achilles(Spanish);
    chart.rungs = vec![chart.rungs[0].clone(), chart.rungs[3].clone(), chart.rungs[9].clone()];
    chart.ordered.truncate(1);
    insta::assert_snapshot!("ladder_wide", chart.svg("a", 760.0).unwrap().replace("><", ">\n<"));
    insta::assert_snapshot!("ladder_narrow", chart.svg("a", 360.0).unwrap().replace("><", ">\n<"));
    let mut chart = samples::weeks(English);
    chart.weeks.truncate(6);
    insta::assert_snapshot!("weeks_wide", chart.svg("a", 760.0).unwrap().replace("><", ">\n<"));
    insta::assert_snapshot!("weeks_narrow", chart.svg("a", 360.0).unwrap().replace("><", ">\n<"));
}
