//! Sample envelopes, strips and small timelines with invented patients, orders and dates; shared by the tests
//! and the example.
#![allow(dead_code)]

use handrail_figures::envelope::{
    AxisLimit, AxisPanel, EnvelopeChart, EnvelopeWords, Lane, Manner, Measured, PhaseStart, Reach, Segment,
    Span, Status, Toward, Visit,
};
use handrail_figures::timeline::{
    DiaryMark, MorningMark, ResponseDay, ResponseStrip, ResponseWords, SmallDay, SmallTimeline, SwellingMark,
};

use Manner::{Active, Passive, Unstated};
use Status::{Assumed, Confirmed, Ordered};
use Toward::{Down, Up};

pub fn words() -> EnvelopeWords {
    let text = str::to_owned;
    EnvelopeWords {
        today: text("today"),
        weeks: text("complete weeks since surgery"),
        days: text("days"),
        phases: text("Phase"),
        visits: text("Surgeon"),
        visit_past: text("visit to the surgeon"),
        visit_planned: text("visit planned"),
        in_force: text("in force"),
        goes_on: text("goes on until somebody ends it"),
        planned: text("planned, at the earliest; needs an act"),
        ended: text("ended"),
        lingers: text("may end by an act; goes on until somebody ends it"),
        overdue: text("past its planned end, still in force"),
        ordered: text("ordered"),
        confirmed: text("confirmed"),
        assumed: text("assumed"),
        every_way: text("every way"),
        other_limit: text("further limit, one way of moving"),
        open_side: text("no limit recorded on this side"),
        nothing: text("nothing recorded"),
        contradiction: text("the limits leave no position"),
        allowed_today: text("Allowed today"),
        program: text("Program today"),
        no_program: text("does not move this joint"),
        beyond: text("beyond the limit"),
        to: text("to"),
        measured: text("measured"),
        last_measured: text("Last measured"),
        not_measured: text("not yet"),
        active: text("active"),
        passive: text("passive"),
        unstated: text("manner not stated"),
        decimal_mark: '.',
    }
}

pub fn spanish() -> EnvelopeWords {
    let text = str::to_owned;
    EnvelopeWords {
        today: text("hoy"),
        weeks: text("semanas completas desde la operación"),
        days: text("días"),
        phases: text("Fase"),
        visits: text("Cirujana"),
        visit_past: text("visita a la cirujana"),
        visit_planned: text("visita prevista"),
        in_force: text("en vigor"),
        goes_on: text("sigue hasta que alguien la termine"),
        planned: text("previsto, como muy pronto; requiere un acto"),
        ended: text("terminada"),
        lingers: text("puede terminar por un acto; sigue hasta que alguien lo haga"),
        overdue: text("pasado el fin previsto, aún en vigor"),
        ordered: text("ordenado"),
        confirmed: text("confirmado"),
        assumed: text("supuesto"),
        every_way: text("toda forma"),
        other_limit: text("otro límite, para una forma de mover"),
        open_side: text("ningún límite registrado en este lado"),
        nothing: text("nada registrado"),
        contradiction: text("los límites no dejan ninguna posición"),
        allowed_today: text("Permitido hoy"),
        program: text("Programa de hoy"),
        no_program: text("no mueve esta articulación"),
        beyond: text("fuera del límite"),
        to: text("a"),
        measured: text("medido"),
        last_measured: text("Última medida"),
        not_measured: text("todavía no"),
        active: text("activo"),
        passive: text("pasivo"),
        unstated: text("forma no indicada"),
        decimal_mark: ',',
    }
}

fn segment(text: &str, span: Span, status: Status) -> Segment {
    Segment { text: text.to_owned(), span, status, note: "operation note, page 2".to_owned() }
}

pub fn limit(toward: Toward, max_deg: f64, way: &str, span: Span, status: Status) -> AxisLimit {
    AxisLimit {
        toward,
        max_deg,
        way: way.to_owned(),
        span,
        status,
        note: "release by the surgeon".to_owned(),
    }
}

fn measured(day: i32, date: &str, toward: Toward, degrees: f64, manner: Manner) -> Measured {
    Measured { day, date: date.to_owned(), toward, degrees, manner }
}

fn reach(low: f64, high: f64, way: &str) -> Reach {
    Reach { low, high, way: way.to_owned() }
}

fn visit(day: i32, label: &str) -> Visit {
    Visit { day, label: label.to_owned() }
}

fn phase(day: i32, label: &str) -> PhaseStart {
    PhaseStart { day, label: label.to_owned() }
}

/// Achilles repair, day 24.
pub fn ankle() -> EnvelopeChart {
    EnvelopeChart {
        title: "What is allowed: left ankle".to_owned(),
        today_label: "12 March 2025, day 24 after surgery (week 4)".to_owned(),
        subtitle: "Invented patient. Repair of the left Achilles tendon, protocol version 3".to_owned(),
        today: 24,
        days: 98,
        phases: vec![phase(0, "1 protect"), phase(14, "2 early motion"), phase(42, "3 load"), phase(84, "4 strength")],
        visits: vec![visit(13, "1 Mar"), visit(41, "29 Mar"), visit(83, "10 May")],
        lanes: vec![
            Lane {
                name: "Weight bearing".to_owned(),
                segments: vec![
                    segment("none", Span::ended(0, 14), Ordered),
                    segment("20 kg", Span::open(14, Some(28)), Ordered),
                    segment("half body weight", Span::open(28, Some(42)), Assumed),
                    segment("as tolerated", Span::open(42, None), Assumed),
                ],
            },
            Lane {
                name: "Device".to_owned(),
                segments: vec![
                    segment("splint", Span::ended(0, 13), Ordered),
                    segment("boot, 3 cm lift", Span::ended(13, 21), Ordered),
                    segment("boot, 2 cm lift", Span::open(21, Some(35)), Confirmed),
                    segment("boot, 1 cm lift", Span::open(35, Some(49)), Assumed),
                    segment("boot, no lift", Span::open(49, Some(56)), Assumed),
                ],
            },
        ],
        panels: vec![AxisPanel {
            title: "Left ankle".to_owned(),
            up: "dorsiflexion".to_owned(),
            down: "plantarflexion".to_owned(),
            usual: [-50.0, 20.0],
            limits: vec![
                limit(Up, -20.0, "", Span::ended(0, 14), Ordered),
                limit(Up, 0.0, "", Span::open(14, Some(42)), Ordered),
                limit(Up, 10.0, "", Span::open(42, Some(84)), Assumed),
                limit(Down, 30.0, "", Span::ended(0, 14), Ordered),
                limit(Down, 40.0, "", Span::open(14, Some(42)), Confirmed),
            ],
            reach: vec![reach(-32.0, -2.0, "")],
            measured: vec![
                measured(14, "2 Mar", Up, -12.0, Active),
                measured(14, "2 Mar", Down, 28.0, Active),
                measured(21, "9 Mar", Up, -6.0, Active),
                measured(21, "9 Mar", Down, 34.0, Active),
                measured(21, "9 Mar", Up, -2.0, Passive),
            ],
        }],
        notes: vec![
            "A planned change is the earliest day; it begins when a named person records it. The surgeon's order \
             comes first."
                .to_owned(),
        ],
        words: words(),
    }
}

/// Meniscus repair, day 47: a limit on one side only, one of them overdue, further limits for one way of moving.
pub fn knee() -> EnvelopeChart {
    EnvelopeChart {
        title: "What is allowed: right knee".to_owned(),
        today_label: "4 April 2025, day 47 after surgery (week 7)".to_owned(),
        subtitle: "Invented patient. Repair of the medial meniscus, right knee".to_owned(),
        today: 47,
        days: 126,
        phases: vec![phase(0, "1"), phase(28, "2"), phase(56, "3"), phase(84, "4")],
        visits: vec![visit(12, "28 Feb"), visit(42, "30 Mar"), visit(54, "11 Apr"), visit(90, "17 May")],
        lanes: vec![
            Lane {
                name: "Weight bearing".to_owned(),
                segments: vec![
                    segment("touch, up to 10 kg", Span::ended(0, 28), Ordered),
                    segment("half body weight", Span::open(28, Some(42)), Confirmed),
                    segment("as tolerated", Span::open(56, None), Assumed),
                ],
            },
            Lane {
                name: "Device".to_owned(),
                segments: vec![
                    segment("brace, locked straight", Span::ended(0, 21), Ordered),
                    segment("brace, 0 to 90 degrees", Span::open(21, Some(56)), Ordered),
                ],
            },
        ],
        panels: vec![AxisPanel {
            title: "Right knee".to_owned(),
            up: "flexion".to_owned(),
            down: "extension".to_owned(),
            usual: [-5.0, 140.0],
            limits: vec![
                limit(Up, 60.0, "", Span::ended(0, 14), Ordered),
                limit(Up, 90.0, "loaded", Span::open(14, Some(42)), Ordered),
                limit(Up, 110.0, "unloaded", Span::open(28, Some(56)), Confirmed),
                limit(Up, 120.0, "loaded", Span::open(84, Some(112)), Assumed),
                limit(Down, 0.0, "", Span::ended(0, 28), Ordered),
            ],
            reach: vec![reach(2.0, 70.0, "loaded"), reach(0.0, 102.0, "unloaded")],
            measured: vec![
                measured(7, "23 Feb", Up, 48.0, Passive),
                measured(14, "2 Mar", Up, 60.0, Passive),
                measured(28, "16 Mar", Up, 84.0, Passive),
                measured(28, "16 Mar", Up, 78.0, Active),
                measured(40, "28 Mar", Up, 98.0, Passive),
                measured(40, "28 Mar", Up, 88.0, Active),
                measured(28, "16 Mar", Down, -6.0, Active),
                measured(40, "28 Mar", Down, -3.0, Active),
                measured(45, "2 Apr", Up, 95.0, Unstated),
            ],
        }],
        notes: vec!["The surgeon's order comes first.".to_owned()],
        words: words(),
    }
}

fn axis(title: &str, up: &str, down: &str, usual: [f64; 2], limits: Vec<AxisLimit>) -> AxisPanel {
    AxisPanel {
        title: title.to_owned(),
        up: up.to_owned(),
        down: down.to_owned(),
        usual,
        limits,
        reach: vec![],
        measured: vec![],
    }
}

/// Cuff repair, day 18 of 180, five axes, no measurement yet.
pub fn shoulder() -> EnvelopeChart {
    let steps = |toward, values: [f64; 3], way: &str| {
        vec![
            limit(toward, values[0], way, Span::open(0, Some(42)), Ordered),
            limit(toward, values[1], way, Span::open(42, Some(84)), Assumed),
            limit(toward, values[2], way, Span::open(84, Some(112)), Assumed),
        ]
    };
    let mut rotation = steps(Up, [20.0, 45.0, 70.0], "");
    rotation.extend(steps(Down, [0.0, 45.0, 60.0], ""));
    let mut elevation = steps(Up, [90.0, 120.0, 150.0], "");
    elevation.push(limit(Up, 30.0, "active", Span::open(0, Some(42)), Ordered));
    EnvelopeChart {
        title: "What is allowed: right shoulder, elbow".to_owned(),
        today_label: "6 March 2025, day 18 after surgery (week 3)".to_owned(),
        subtitle: "Invented patient. Repair of the rotator cuff, right shoulder".to_owned(),
        today: 18,
        days: 180,
        phases: vec![
            phase(0, "1 protect"),
            phase(42, "2 active motion"),
            phase(84, "3 strength"),
            phase(140, "4 return"),
        ],
        visits: vec![visit(14, "2 Mar"), visit(42, "30 Mar"), visit(90, "17 May")],
        lanes: vec![
            Lane {
                name: "Weight through the arm".to_owned(),
                segments: vec![segment("none", Span::open(0, Some(84)), Assumed)],
            },
            Lane {
                name: "Device".to_owned(),
                segments: vec![segment(
                    "sling with cushion, off for exercise",
                    Span::open(0, Some(42)),
                    Ordered,
                )],
            },
        ],
        panels: vec![
            AxisPanel {
                reach: vec![reach(0.0, 75.0, "passive")],
                ..axis("Right shoulder, forward", "flexion", "extension", [-50.0, 170.0], elevation)
            },
            AxisPanel {
                reach: vec![reach(0.0, 20.0, "")],
                ..axis(
                    "Right shoulder, rotation",
                    "external rotation",
                    "internal rotation",
                    [-70.0, 90.0],
                    rotation,
                )
            },
            axis(
                "Right shoulder, sideways",
                "abduction",
                "adduction",
                [0.0, 170.0],
                steps(Up, [45.0, 90.0, 120.0], ""),
            ),
            axis(
                "Right elbow",
                "flexion",
                "extension",
                [0.0, 145.0],
                vec![
                    limit(Up, 145.0, "", Span::open(0, Some(28)), Confirmed),
                    limit(Down, 0.0, "", Span::open(0, Some(28)), Confirmed),
                ],
            ),
            axis(
                "Right forearm",
                "supination",
                "pronation",
                [-80.0, 85.0],
                vec![limit(Up, 30.0, "active", Span::open(0, Some(42)), Assumed)],
            ),
        ],
        notes: vec![],
        words: words(),
    }
}

/// The ankle in Spanish.
pub fn tobillo() -> EnvelopeChart {
    let mut chart = ankle();
    chart.words = spanish();
    chart.title = "Qué está permitido: tobillo izquierdo".to_owned();
    chart.today_label = "12 de marzo de 2025, día 24 tras la operación (semana 4)".to_owned();
    chart.subtitle = "Paciente inventada. Reparación del tendón de Aquiles izquierdo".to_owned();
    chart.lanes[0].name = "Carga de peso".to_owned();
    chart.lanes[1].name = "Aparato".to_owned();
    let texts = ["férula", "bota, alza de 3 cm", "bota, alza de 2 cm", "bota, alza de 1 cm", "bota sin alza"];
    for (it, text) in chart.lanes[1].segments.iter_mut().zip(texts) {
        it.text = text.to_owned();
    }
    for (it, text) in
        chart.lanes[0].segments.iter_mut().zip(["ninguna", "20 kg", "medio peso", "según tolere"])
    {
        it.text = text.to_owned();
    }
    for (it, text) in chart.phases.iter_mut().zip(["1 proteger", "2 mover", "3 cargar", "4 fuerza"]) {
        it.label = text.to_owned();
    }
    let panel = &mut chart.panels[0];
    panel.title = "Tobillo izquierdo".to_owned();
    panel.up = "dorsiflexión".to_owned();
    panel.down = "flexión plantar".to_owned();
    chart.notes = vec!["La orden de la cirujana va primero.".to_owned()];
    chart
}

/// First day, nothing measured, program beyond a limit, limits that leave no position later on.
pub fn odd() -> EnvelopeChart {
    let mut chart = ankle();
    chart.today = 0;
    chart.panels[0].measured.clear();
    chart.panels[0].limits = vec![
        limit(Up, -20.0, "", Span::open(0, Some(40)), Assumed),
        limit(Down, 10.0, "", Span::open(20, Some(60)), Assumed),
    ];
    chart.panels[0].reach = vec![reach(-30.0, -10.0, "")];
    chart.lanes[1].segments.clear();
    chart.visits.clear();
    chart
}

/// Small strips for a list: name, strip.
pub fn small() -> Vec<(&'static str, SmallTimeline)> {
    use DiaryMark::{Done, Missing, NonePlanned, Partly};
    let strip = |diary: &[DiaryMark], pain: &[Option<u8>], visit_in| SmallTimeline {
        title: "Last 14 days".to_owned(),
        description:
            "8 of 14 days done, 2 partly, 3 without diary. Pain last 4, highest 7. One warning sign, 3 \
                      days ago. New program version 6 days ago. Surgeon in 4 days."
                .to_owned(),
        days: diary
            .iter()
            .zip(pain)
            .map(|(&diary, &pain)| SmallDay { diary, pain, warning: false, new_version: false })
            .collect(),
        visit_in,
    };
    let mut busy = strip(
        &[
            Done,
            Done,
            Partly,
            NonePlanned,
            Done,
            Done,
            Missing,
            Missing,
            Done,
            Partly,
            Done,
            Done,
            Missing,
            Done,
        ],
        &[3, 3, 4, 2, 3, 2, 99, 99, 5, 6, 7, 5, 99, 4].map(|it| (it < 99).then_some(it)),
        Some(4),
    );
    busy.days[10].warning = true;
    busy.days[8].new_version = true;
    let quiet = strip(&[Done; 14], &[Some(2); 14], None);
    let mut none = strip(&[Missing; 14], &[None; 14], Some(0));
    none.days[13].warning = true;
    let fresh = strip(&[NonePlanned, Done, Done], &[Some(10), Some(8), Some(0)], Some(7));
    vec![("busy", busy), ("quiet", quiet), ("none", none), ("fresh", fresh)]
}

/// A response strip of so many days from day 10 on.
pub fn response(days: usize) -> ResponseStrip {
    let text = str::to_owned;
    let day = |i: usize| {
        let missing = i % 11 == 7 || i % 23 == 12;
        let wave = |n: usize| ((i * 7 + n * 5) % 4) as u8;
        let told = |pain: u8| (!missing).then_some(pain);
        let base = (6 - (i / 12).min(4)) as u8;
        ResponseDay {
            day: 10 + i as i32,
            date: format!("day {}", 10 + i),
            pain_before: told(base.saturating_sub(2) + wave(0) / 3),
            pain_during: told(base + wave(1) / 2),
            pain_after: told(base.saturating_sub(1) + wave(2) / 2),
            morning: (!missing).then_some(if i % 9 == 4 { MorningMark::Worse } else { MorningMark::Usual }),
            swelling: (!missing).then_some(match i % 8 {
                2 => SwellingMark::More,
                3 | 5 => SwellingMark::Less,
                _ => SwellingMark::Same,
            }),
            planned: if i % 7 == 6 { 0 } else { 3 },
            done: (!missing).then_some(match i % 7 {
                6 => 0,
                3 => 2,
                5 if i > 20 => 4,
                _ => 3,
            }),
            warning: i == 16,
            version: match i {
                0 => Some(text("2")),
                18 => Some(text("3")),
                47 => Some(text("4")),
                _ => None,
            },
        }
    };
    ResponseStrip {
        title: text("How it was answered"),
        subtitle: text("Invented patient, left ankle, from the diary"),
        days: (0..days).map(day).collect(),
        words: ResponseWords {
            weeks: text("complete weeks since surgery"),
            pain: text("Pain, 0 to 10"),
            before: text("before"),
            during: text("during"),
            after: text("right after"),
            morning: text("Next morning"),
            usual: text("as usual"),
            worse: text("worse"),
            swelling: text("Swelling"),
            less: text("less"),
            same: text("the same"),
            more: text("more"),
            sessions: text("Sessions"),
            planned: text("planned"),
            done: text("done"),
            extra: text("more than planned"),
            missing: text("no diary"),
            warning: text("Warning sign reported"),
            version: text("program"),
        },
    }
}
