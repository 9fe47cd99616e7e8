//! Sample charts with invented exercises, figures, patients and dates; shared by the tests and the example.
#![allow(dead_code)]

use handrail_anatomy::Interval;
use handrail_figures::{
    CeilingLine, ExposureChart, ExposureWords, LadderChart, LadderWords, OrderedRung, Rung, Standing,
    UnknownRung, WeekBar,
};
use handrail_motion::LoadBasis::{self, Computed, ComputedAndMeasured, Measured};

/// Language of a sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Language {
    English,
    Spanish,
}

use Language::{English, Spanish};
use Standing::{Current, Next, Over, Within};

pub fn ladder_words(language: Language) -> LadderWords {
    let pick = |en: &str, es: &str| if language == English { en.to_owned() } else { es.to_owned() };
    LadderWords {
        over_heading: pick(
            "Above the ceiling: not in a program today",
            "Por encima del tope: hoy no entra en un programa",
        ),
        within_heading: pick("Within the ceiling", "Dentro del tope"),
        over: pick("above the ceiling", "por encima del tope"),
        opens: pick("next rung: opens when the ceiling rises", "siguiente: se abre cuando suba el tope"),
        current: pick("in the program now", "en el programa actual"),
        next: pick("next rung", "siguiente peldaño"),
        order_only: pick("order only", "solo el orden"),
        unknown_heading: pick(
            "Load not known: refused while a ceiling stands",
            "Carga desconocida: rechazado mientras haya un tope",
        ),
        computed: pick("computed for this body", "calculada para este cuerpo"),
        computed_letter: pick("C", "C"),
        measured: pick("measured, as published", "medida, según lo publicado"),
        measured_letter: pick("M", "M"),
        practice: pick("common practice, no source", "práctica común, sin fuente"),
        practice_letter: pick("P", "P"),
        both: pick("computed and measured: the bar spans both", "calculada y medida: la barra abarca ambas"),
        upper_bound: pick(
            "heavy end: the upper bound; it decides",
            "extremo grueso: la cota superior; es la que decide",
        ),
        decimal_mark: if language == English { '.' } else { ',' },
    }
}

pub fn rung(name: &str, low: f64, high: f64, standing: Standing, basis: LoadBasis, detail: &str) -> Rung {
    Rung { name: name.to_owned(), load: Interval { low, high }, standing, basis, detail: detail.to_owned() }
}

/// Name in both languages, bounds, standing, basis, further line in both languages.
type Sample = (&'static str, &'static str, f64, f64, Standing, LoadBasis, &'static str, &'static str);

/// A ladder for the Achilles tendon with every kind of row.
pub fn achilles(language: Language) -> LadderChart {
    let pick = |en: &str, es: &str| if language == English { en.to_owned() } else { es.to_owned() };
    let rows: [Sample; 14] = [
        ("Toe curls with a towel", "Encoger los dedos con una toalla", 0.0, 0.05, Within, Computed, "", ""),
        (
            "Ankle down and up, lying",
            "Bajar y subir el pie, acostado",
            0.02,
            0.11,
            Current,
            Computed,
            "3 × 15",
            "3 × 15",
        ),
        (
            "Band press with the foot, seated",
            "Empujar la banda con el pie, sentado",
            0.18,
            0.42,
            Current,
            Computed,
            "3 × 12, light band",
            "3 × 12, banda suave",
        ),
        (
            "Heel raise, seated",
            "Elevación de talón, sentado",
            0.31,
            0.52,
            Current,
            ComputedAndMeasured,
            "3 × 15",
            "3 × 15",
        ),
        (
            "Heel raise, seated, 10 kg on the thigh",
            "Elevación de talón, sentado, 10 kg en el muslo",
            0.52,
            0.88,
            Within,
            Computed,
            "",
            "",
        ),
        ("Stand up from a high chair", "Levantarse de una silla alta", 0.5, 1.1, Next, Computed, "", ""),
        (
            "Small squat at the counter",
            "Media sentadilla junto a la encimera",
            0.7,
            1.35,
            Over,
            ComputedAndMeasured,
            "",
            "",
        ),
        (
            "Heel raise, both legs, hands on the counter",
            "Elevación de talones, ambas piernas, manos en la encimera",
            0.95,
            1.7,
            Next,
            Computed,
            "",
            "",
        ),
        ("Step up, 10 cm", "Subir un escalón de 10 cm", 1.1, 2.1, Over, Computed, "", ""),
        (
            "Walking on the level",
            "Caminar en llano",
            2.4,
            4.5,
            Over,
            Measured,
            "all methods",
            "todos los métodos",
        ),
        (
            "Heel raise, both up, one down",
            "Elevación con ambas, bajar con una",
            1.5,
            3.0,
            Over,
            Computed,
            "",
            "",
        ),
        ("Heel raise, one leg", "Elevación de talón, una pierna", 2.1, 3.6, Over, Computed, "", ""),
        (
            "Heel drop over a step, one leg",
            "Bajar el talón en un escalón, una pierna",
            3.1,
            4.9,
            Over,
            Measured,
            "",
            "",
        ),
        ("Hop on one leg", "Saltar con una pierna", 5.0, 7.3, Over, Measured, "", ""),
    ];
    let rungs =
        rows.iter().map(|it| rung(&pick(it.0, it.1), it.2, it.3, it.4, it.5, &pick(it.6, it.7))).collect();
    LadderChart {
        title: pick("Load ladder: left Achilles tendon", "Escalera de carga: tendón de Aquiles izquierdo"),
        today: pick(
            "Wednesday, 14 May 2031 · day 44, week 7",
            "Miércoles 14 de mayo de 2031 · día 44, semana 7",
        ),
        subtitle: pick(
            "Sample Person, repair of the left Achilles tendon. Invented figures.",
            "Persona de Muestra, reparación del tendón de Aquiles izquierdo. Cifras inventadas.",
        ),
        unit: pick("BW", "PC"),
        axis: pick(
            "Peak load of one repetition, body weights (BW), log scale",
            "Carga máxima de una repetición, pesos corporales (PC), escala logarítmica",
        ),
        rungs,
        ordered: vec![
            OrderedRung {
                name: pick("Glide on a slide board, seated", "Deslizar el pie en una tabla, sentado"),
                lighter: vec![1],
                heavier: vec![2],
                standing: Within,
                detail: pick("between the rungs below and above", "entre el peldaño de abajo y el de arriba"),
            },
            OrderedRung {
                name: pick(
                    "Heel raise, both legs, back to the wall",
                    "Elevación de talones, espalda en la pared",
                ),
                lighter: vec![7],
                heavier: vec![10],
                standing: Over,
                detail: String::new(),
            },
        ],
        unknown: vec![
            UnknownRung {
                name: pick("Jump rope", "Saltar la cuerda"),
                why: pick(
                    "The foot lands; forces of landing are not in the model.",
                    "El pie aterriza; esas fuerzas no están en el modelo.",
                ),
            },
            UnknownRung {
                name: pick(
                    "Push the foot against a wall, no motion",
                    "Empujar la pared con el pie, sin movimiento",
                ),
                why: pick(
                    "The patient sets how hard; no figure is published.",
                    "La fuerza la elige el paciente; no hay cifra publicada.",
                ),
            },
        ],
        ceiling: Some(CeilingLine {
            value: 1.2,
            label: pick(
                "Ceiling today: 1.2 BW, surgeon's order of 2 May 2031",
                "Tope de hoy: 1,2 PC, orden del cirujano del 2 de mayo de 2031",
            ),
        }),
        notes: vec![
            pick(
                "Bounds span the published moment arms, 37 to 60 mm. The order does not depend on them.",
                "Las cotas abarcan los brazos de palanca publicados, de 37 a 60 mm. El orden no depende de ellos.",
            ),
            pick(
                "The surgeon's order comes first. Draft, not yet reviewed by a clinician of this clinic.",
                "La orden del cirujano va primero. Borrador, aún sin revisar por un clínico de este centro.",
            ),
        ],
        words: ladder_words(language),
    }
}

/// A ladder in muscle activity, most of it published bands.
pub fn cuff() -> LadderChart {
    let rows = [
        ("Arm on the table, slide forward", 0.0, 15.0, Current, Measured),
        ("Pendulum, small circles", 0.0, 15.0, Current, Measured),
        ("Lift with the other hand, lying", 0.0, 15.0, Within, Measured),
        ("Pulley, seated", 0.0, 20.0, Within, Measured),
        ("Stick lift, lying", 15.0, 20.0, Next, Measured),
        ("Turn out with a band, elbow at the side", 20.0, 40.0, Over, Measured),
        ("Lift the arm, standing", 20.0, 40.0, Over, Measured),
        ("Turn out, lying on the side", 40.0, 60.0, Over, Measured),
        ("Lift out, face down", 60.0, 100.0, Over, Measured),
    ];
    LadderChart {
        title: "Load ladder: right supraspinatus".to_owned(),
        today: "Monday, 3 March 2031 · day 24, week 4".to_owned(),
        subtitle: "Sample Person, repair of the right rotator cuff. Invented figures.".to_owned(),
        unit: "% MVIC".to_owned(),
        axis: "Muscle activity, percent of a maximal contraction (% MVIC), log scale; not a force".to_owned(),
        rungs: rows.iter().map(|it| rung(it.0, it.1, it.2, it.3, it.4, "")).collect(),
        ordered: vec![OrderedRung {
            name: "Pendulum, large circles".to_owned(),
            lighter: vec![1],
            heavier: vec![],
            standing: Within,
            detail: "more than small circles".to_owned(),
        }],
        unknown: vec![],
        ceiling: Some(CeilingLine {
            value: 20.0,
            label: "Ceiling today: 20 % MVIC, protocol, assumed".to_owned(),
        }),
        notes: vec![],
        words: ladder_words(English),
    }
}

/// A ladder of any number of rungs, with long and short names.
pub fn rungs(count: usize) -> LadderChart {
    let names = [
        "Heel raise",
        "Step down from a low step, slow, hand on the rail",
        "Wall slide to 60 degrees",
        "Bridge",
    ];
    let mut chart = achilles(English);
    chart.rungs = (0..count)
        .map(|i| {
            let high = 0.09 * libm::pow(8.0 / 0.09, (i as f64 + 1.0) / count as f64);
            let basis = if i % 5 == 3 { Measured } else { Computed };
            let standing = if i % 7 == 2 && high < 1.2 { Current } else { Within };
            rung(&format!("{} {}", names[i % 4], i + 1), high * 0.55, high, standing, basis, "")
        })
        .collect();
    chart.ordered.clear();
    if count < 10 {
        chart.unknown.clear();
    }
    chart
}

/// No ceiling is set, and one rung of the program.
pub fn without_ceiling() -> LadderChart {
    let mut chart = achilles(English);
    chart.ceiling = None;
    chart.ordered.clear();
    chart.unknown.clear();
    for rung in &mut chart.rungs {
        rung.standing = if rung.standing == Current { Current } else { Within };
    }
    chart.rungs[4].standing = Next;
    chart
}

fn week(
    label: String,
    planned: [f64; 2],
    done: Option<[f64; 2]>,
    jump: Option<f64>,
    flagged: bool,
) -> WeekBar {
    let interval = |it: [f64; 2]| Interval { low: it[0], high: it[1] };
    WeekBar { label, planned: Some(interval(planned)), done: done.map(interval), jump_percent: jump, flagged }
}

/// Eight weeks, six of them with a diary.
pub fn weeks(language: Language) -> ExposureChart {
    let pick = |en: &str, es: &str| if language == English { en.to_owned() } else { es.to_owned() };
    let name = |i: usize| format!("{} {}", pick("week", "semana"), i + 3);
    let done = [
        (Some([90.0, 170.0]), None, false),
        (Some([110.0, 205.0]), Some(21.0), false),
        (Some([60.0, 115.0]), Some(-44.0), false),
        (Some([170.0, 330.0]), Some(186.0), true),
        (Some([0.0, 0.0]), Some(-100.0), false),
        (Some([260.0, 480.0]), None, false),
        (None, None, false),
        (None, None, false),
    ];
    let weeks = done
        .into_iter()
        .enumerate()
        .map(|(i, (done, jump, flagged))| {
            let low = 105.0 + 22.0 * i as f64;
            week(name(i), [low, low * 1.75], done, jump, flagged)
        })
        .collect();
    ExposureChart {
        title: pick("Load per week: left Achilles tendon", "Carga por semana: tendón de Aquiles izquierdo"),
        today: pick(
            "Wednesday, 14 May 2031 · day 44, week 7",
            "Miércoles 14 de mayo de 2031 · día 44, semana 7",
        ),
        subtitle: pick("Sample Person. Invented figures.", "Persona de Muestra. Cifras inventadas."),
        unit: pick("BW", "PC"),
        axis: pick(
            "Sum of the peak loads of all repetitions of a week, body weights (BW)",
            "Suma de las cargas máximas de todas las repeticiones de la semana, pesos corporales (PC)",
        ),
        weeks,
        ceiling: Some(CeilingLine {
            value: 400.0,
            label: pick(
                "Ceiling: 400 BW a week, set by R. Sample, 2 May",
                "Tope: 400 PC por semana, fijado por R. Muestra, 2 de mayo",
            ),
        }),
        threshold: pick(
            "Threshold for a jump: more than 30 % (set by R. Sample, 2 May 2031).",
            "Umbral de un salto: más del 30 % (fijado por R. Muestra, 2 de mayo de 2031).",
        ),
        note: pick(
            "No threshold above which such a jump leads to injury is established.",
            "No está establecido ningún umbral a partir del cual un salto así lleve a una lesión.",
        ),
        words: ExposureWords {
            planned: pick("planned", "previsto"),
            done: pick("done, as the diary says", "hecho, según el diario"),
            between: pick(
                "hatched: from the lower to the upper bound",
                "rayado: de la cota inferior a la superior",
            ),
            jump: pick(
                "Change of the load done from the week before",
                "Cambio de la carga hecha respecto a la semana anterior",
            ),
            flagged: pick("jump above the threshold that was set", "salto por encima del umbral fijado"),
            over: pick("above the ceiling", "por encima del tope"),
            no_entry: pick("no diary entry", "sin anotación en el diario"),
            decimal_mark: if language == English { '.' } else { ',' },
        },
    }
}

/// A long course.
pub fn many_weeks(count: usize) -> ExposureChart {
    let mut chart = weeks(Spanish);
    chart.weeks = (0..count)
        .map(|i| {
            let low = 80.0 + 14.0 * i as f64;
            week(
                format!("semana {}", i + 1),
                [low, low * 1.6],
                Some([low * 0.8, low * 1.4]),
                Some(6.0),
                i % 9 == 8,
            )
        })
        .collect();
    chart
}
