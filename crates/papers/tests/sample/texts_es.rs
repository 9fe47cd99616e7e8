//! Spanish texts of the sample.

use super::*;

pub fn handout() -> Handout {
    Handout {
        lang: "es-US".to_owned(),
        paper: Paper::A4,
        print: Print::Normal,
        labels: labels(),
        head: Head {
            title: "Programa de ejercicios en casa".to_owned(),
            clinic: "Fisioterapia Loma del Ejemplo".to_owned(),
            patient: "Íñigo Peña Núñez".to_owned(),
            side: "Pierna izquierda".to_owned(),
            operation: "Reparación del tendón del talón izquierdo, 2 de marzo de 2026. Es la semana 3."
                .to_owned(),
            version: "3".to_owned(),
            date: "18 de marzo de 2026".to_owned(),
            valid_until: "30 de marzo de 2026".to_owned(),
            signed: None,
            draft: Some("Borrador: un clínico de este centro aún no lo ha revisado.".to_owned()),
            foot: texts(&[
                "Emergencia: llame al 911.",
                "Preguntas: 555 0142.",
                "Equipo del cirujano: 555 0177.",
            ]),
        },
        overview: Overview {
            surgeon_first:
                "La orden de su cirujano va primero. Si esta hoja dice otra cosa, siga a su cirujano y \
                            llámenos."
                    .to_owned(),
            stop: texts(&[
                "Pare si siente un chasquido, un dolor agudo o si algo se duerme.",
                "Pare si el dolor pasa de 3 sobre 10.",
                "Luego llame al equipo del cirujano: 555 0177. La página {warnings_page} dice cuándo llamar al 911.",
            ]),
            limits: vec![
                limit(
                    "Use la bota para estar de pie, andar y dormir.",
                    "su cirujano le diga que no",
                    "Dra. A. Brandt, 4 de marzo de 2026",
                    false,
                ),
                limit(
                    "No suba el pie más allá de la línea plana (0°).",
                    "su cirujano lo cambie",
                    "Dra. A. Brandt, 4 de marzo de 2026",
                    false,
                ),
                limit(
                    "No ponga más de 20 kg (44 lb) en la pierna izquierda.",
                    "su visita del 30 de marzo",
                    "Dra. A. Brandt, 16 de marzo de 2026",
                    false,
                ),
                limit(
                    "No empuje el pie hacia abajo contra una banda.",
                    "lo probemos juntos",
                    "plan general para este tendón",
                    true,
                ),
            ],
            time: "unos 25 minutos, 3 veces al día".to_owned(),
            needs: "su bota, dos muletas, una toalla, una silla firme".to_owned(),
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
        page: t("Página {page} de {pages}"),
        patient: t("Paciente"),
        side: t("Lado"),
        operation: t("Operación"),
        version: t("Versión"),
        date: t("Fecha"),
        valid_until: t("Válido hasta"),
        clinic: t("Centro"),
        limits: t("Sus límites hoy"),
        until: t("Hasta que"),
        from: t("Según"),
        assumed: t("supuesto, no confirmado"),
        stop: t("Pare y llame"),
        session: t("Su sesión"),
        time: t("Tiempo"),
        needs: t("Necesita"),
        step: t("Paso"),
        exercise: t("Ejercicio"),
        how_much: t("Cuánto"),
        exercises: t("Ejercicios"),
        change: t("Cambio"),
        start: t("Inicio"),
        end: t("Final"),
        not_like_this: t("Así no"),
        how: t("Cómo"),
        limit: t("Límite"),
        why: t("Por qué"),
        do_not: t("No haga esto"),
        warnings: t("Señales de aviso"),
        week: t("Su semana"),
        rest: t("descanso"),
        therapist: t("Para el fisioterapeuta"),
        angles: t("Ángulos revisados"),
        net_moments: t("Momentos articulares netos máximos, lado izquierdo (N·m por kg de masa corporal)"),
        loads: t("Carga de los tejidos protegidos en una repetición"),
        peak_load: t("Carga máxima"),
        tissue: t("Tejido"),
        mark: t("N.º"),
        quantity: t("Magnitud"),
        reached: t("Alcanza"),
        basis: t("Base"),
        limits_in_force: t("Límites vigentes"),
        limit_on: t("Límite de"),
        value: t("Valor"),
        source: t("Fuente"),
        how_checked: t("Cómo se revisó"),
        overrides: t("Excepciones"),
        none: t("Ninguna."),
        sources: t("Fuentes"),
        known: t("Conocida por"),
        not_checked: t("No revisado"),
    }
}

fn warnings() -> Warnings {
    Warnings {
        intro: "Lea esta página antes de empezar. Si duda entre dos grupos, siga el más urgente.".to_owned(),
        emergency: WarningGroup {
            title: "Emergencia: ahora".to_owned(),
            action: "Llame al 911 ahora. No conduzca usted.".to_owned(),
            phones: vec![phone("Emergencia", "911")],
            signs: texts(&[
                "Le falta el aire de golpe.",
                "Le duele el pecho, más al tomar aire.",
                "Tose con sangre o se desmaya.",
                "Tiene los dedos del pie azules, fríos o dormidos.",
                "El dolor es mucho peor y las pastillas no ayudan.",
                "Tiembla de frío con fiebre o está confuso.",
            ]),
        },
        same_day: WarningGroup {
            title: "Llame el mismo día".to_owned(),
            action: "Pare los ejercicios. Llame hoy. No espere a su visita.".to_owned(),
            phones: vec![
                phone("Equipo del cirujano, de 8 a 17 h", "555 0177"),
                phone("Noches y fin de semana", "555 0199"),
            ],
            signs: texts(&[
                "Sintió un chasquido o un golpe en el talón.",
                "Se cayó sobre la pierna izquierda o cargó todo el peso en ella.",
                "La pantorrilla está más hinchada, caliente o le duele.",
                "La piel roja crece o la herida huele mal.",
                "La herida se abre o moja la venda.",
                "Fiebre de 38 °C (100.4 °F) o más.",
                "La bota está rota o no le queda bien.",
            ]),
        },
        next_visit: WarningGroup {
            title: "Dígalo en su próxima visita".to_owned(),
            action: "Anótelo en la hoja de la semana. Si empeora, llame el mismo día.".to_owned(),
            phones: vec![phone("Fisioterapia Loma del Ejemplo", "555 0142")],
            signs: texts(&[
                "La pierna se hincha un poco más de noche.",
                "El borde del pie sigue dormido, como tras la operación.",
                "Faltó a tres sesiones o más.",
                "Un ejercicio cuesta más que antes.",
            ]),
        },
    }
}

fn steps() -> Vec<Step> {
    vec![
        exercise(&Plain {
            title: "Doblar los dedos del pie",
            position: "En la cama, boca arriba. Con la bota.",
            alt: [
                "Una persona boca arriba. La pierna izquierda está recta y los dedos miran arriba.",
                "Los dedos del pie izquierdo están doblados hacia abajo.",
                "Todo el pie sube. Esto está mal.",
            ],
            wrong: "se mueve todo el pie.",
            steps: &[
                "Relaje la pierna izquierda.",
                "Doble todos los dedos.",
                "Aguante 2 segundos.",
                "Suelte y descanse.",
            ],
            dose: &["20 veces", "1 serie", "3 veces al día"],
            limit: &["El pie no se mueve dentro de la bota."],
            why: "Ayuda a que la sangre se mueva.",
            do_not: &["No suba el pie."],
            pose: [2.0, 2.0, 0.0, 15.0],
        }),
        exercise(&Plain {
            title: "Apretar el muslo",
            position: "En la cama, boca arriba. Con la bota. Una toalla enrollada bajo la rodilla izquierda.",
            alt: [
                "Una persona boca arriba con una toalla bajo la rodilla izquierda.",
                "La rodilla aprieta la toalla y el muslo está duro.",
                "El talón empuja la cama. Esto está mal.",
            ],
            wrong: "el talón empuja.",
            steps: &[
                "Acuéstese y suelte los brazos.",
                "Apriete la toalla con la rodilla izquierda.",
                "Note cómo el muslo se pone duro.",
                "Aguante 5 segundos. Siga respirando.",
                "Suelte 5 segundos.",
            ],
            dose: &["10 veces", "2 series", "aguante 5 segundos", "3 veces al día"],
            limit: &["El tobillo no se mueve. Se queda en la bota."],
            why: "El muslo pierde fuerza si anda menos. Esto lo frena.",
            do_not: &["No empuje con el talón.", "No aguante el aire."],
            pose: [0.0, 4.0, 0.0, 0.0],
        }),
        exercise(&Plain {
            title: "Subir la pierna recta",
            position: "En la cama, boca arriba. Con la bota. La rodilla derecha doblada.",
            alt: [
                "Una persona boca arriba con la pierna izquierda recta en la cama.",
                "La pierna izquierda recta está a 30 grados.",
                "La pierna sube demasiado y la espalda se arquea. Esto está mal.",
            ],
            wrong: "la pierna sube demasiado.",
            steps: &[
                "Ponga duro el muslo izquierdo.",
                "Suba la pierna recta hasta la rodilla derecha.",
                "Cuente hasta 2.",
                "Baje mientras cuenta hasta 4.",
            ],
            dose: &["10 veces", "3 series", "descanse 60 segundos", "1 vez al día"],
            limit: &["Pare a los 30°. Es la altura de la rodilla derecha."],
            why: "Mantiene fuertes la cadera y el muslo sin cargar el tendón.",
            do_not: &["No despegue la espalda de la cama.", "No deje caer la pierna."],
            pose: [2.0, 30.0, 0.0, 0.0],
        }),
        change(
            "Gire sobre el lado derecho.",
            &[
                "Siga con la bota.",
                "Doble las rodillas y gire de una pieza.",
                "Ponga una almohada bajo la cabeza.",
            ],
        ),
        exercise(&Plain {
            title: "Subir la pierna de lado",
            position: "En la cama, sobre el lado derecho. Con la bota.",
            alt: [
                "Una persona sobre el lado derecho con las piernas rectas.",
                "La pierna izquierda está levantada de lado.",
                "El cuerpo gira hacia atrás. Esto está mal.",
            ],
            wrong: "la cadera gira atrás.",
            steps: &[
                "Deje la pierna izquierda en línea con el cuerpo.",
                "Súbala el ancho de una mano.",
                "Baje despacio.",
            ],
            dose: &["8 veces", "2 series", "descanse 60 segundos", "1 vez al día"],
            limit: &["No suba más de 25°."],
            why: "Una cadera fuerte ayuda a andar con muletas.",
            do_not: &["No gire los dedos hacia el techo."],
            pose: [4.0, 24.0, 0.0, 0.0],
        }),
        change(
            "Siéntese y pase a la silla con las dos muletas.",
            &[
                "Siéntese al borde de la cama 1 minuto.",
                "Levántese con la pierna derecha.",
                "Gire con pasos cortos y siéntese.",
            ],
        ),
        exercise(&Plain {
            title: "Pie abajo y vuelta",
            position: "En la silla. Sin la bota. El talón izquierdo sobre la rodilla derecha.",
            alt: [
                "Una persona en una silla con el pie izquierdo colgando.",
                "El pie izquierdo apunta hacia abajo.",
                "El pie sube más allá de la línea plana. Esto está mal.",
            ],
            wrong: "el pie pasa de la línea plana.",
            steps: &[
                "Deje colgar el pie.",
                "Baje la punta del pie sin forzar.",
                "Vuelva despacio.",
                "Pare antes de la línea plana.",
            ],
            dose: &["10 veces", "2 series", "3 veces al día"],
            limit: &["Nunca más allá de la línea plana (0°). Pare 5° antes: ≤ -5°."],
            why: "Mover con cuidado ayuda a que el tendón cure bien.",
            do_not: &["No tire con una toalla.", "No empuje con la mano."],
            pose: [6.0, 6.0, 10.0, 40.0],
        }),
        exercise(&Plain {
            title: "Estirar la rodilla",
            position: "En la silla. Con la bota.",
            alt: [
                "Una persona en una silla con los pies en el suelo.",
                "La rodilla izquierda está recta y la bota levantada.",
                "La persona se echa muy atrás. Esto está mal.",
            ],
            wrong: "se echa atrás.",
            steps: &[
                "Siéntese recto.",
                "Estire la rodilla izquierda.",
                "Aguante 3 segundos.",
                "Baje despacio.",
            ],
            dose: &["12 veces", "2 series", "aguante 3 segundos", "2 veces al día"],
            limit: &["Hasta donde llegue sin dolor."],
            why: "Prepara el muslo para volver a andar.",
            do_not: &["No balancee la pierna."],
            pose: [0.0, 14.0, 0.0, 0.0],
        }),
        exercise(&Plain {
            title: "Juntar los hombros atrás",
            position: "En la silla. Con la bota. Los pies en el suelo.",
            alt: [
                "Una persona sentada recta con los brazos a los lados.",
                "Los hombros están juntos atrás.",
                "Los hombros suben hasta las orejas. Esto está mal.",
            ],
            wrong: "los hombros suben.",
            steps: &["Siéntese recto.", "Lleve los hombros atrás y abajo.", "Aguante 3 segundos.", "Suelte."],
            dose: &["10 veces", "2 series", "1 vez al día"],
            limit: &["Sin carga en la pierna izquierda. Los pies solo descansan."],
            why: "Las muletas cansan los brazos y la espalda. Esto ayuda.",
            do_not: &["No suba los hombros."],
            pose: [3.0, 8.0, 0.0, 0.0],
        }),
        change(
            "Levántese con las dos muletas.",
            &["Con la bota.", "Empuje con la pierna derecha y las manos."],
        ),
        exercise(&Plain {
            title: "Pasar peso en una báscula",
            position: "De pie con las dos muletas. Con la bota. El pie izquierdo en una báscula.",
            alt: [
                "Una persona de pie con dos muletas. La bota izquierda está en una báscula.",
                "El cuerpo va a la izquierda y la báscula marca 20 kilos.",
                "Todo el peso está en la pierna izquierda. Esto está mal.",
            ],
            wrong: "todo el peso va a la izquierda.",
            steps: &[
                "Póngase recto entre las muletas.",
                "Pase el peso despacio a la izquierda.",
                "Mire la báscula. Pare en 20 kg (44 lb).",
                "Aguante 5 segundos.",
                "Vuelva a la derecha.",
            ],
            dose: &["5 veces", "2 series", "aguante 5 segundos", "2 veces al día"],
            limit: &["No más de 20 kg (44 lb) en la pierna izquierda."],
            why: "Así aprende cuánto peso toca por ahora.",
            do_not: &["No suelte las muletas.", "La primera vez, no lo haga sin compañía."],
            pose: [5.0, 12.0, 0.0, 0.0],
        }),
    ]
}

fn week() -> WeekChart {
    WeekChart {
        intro: "Marque una casilla al acabar. Anote abajo el dolor del día. Traiga esta hoja a su próxima visita."
            .to_owned(),
        days: texts(&["jue 19", "vie 20", "sáb 21", "dom 22", "lun 23", "mar 24", "mié 25"]),
        times: texts(&["mañ.", "med.", "tar."]),
        rows: vec![
            row("1 Doblar los dedos del pie", &[], [true, true, true]),
            row("2 Apretar el muslo", &[], [true, true, true]),
            row("3 Subir la pierna recta", &[3], [true, false, false]),
            row("4 Subir la pierna de lado", &[1, 3, 5], [true, false, false]),
            row("5 Pie abajo y vuelta", &[], [true, true, true]),
            row("6 Estirar la rodilla", &[3], [true, false, true]),
            row("7 Juntar los hombros atrás", &[3], [false, false, true]),
            row("8 Pasar peso en una báscula", &[3], [true, false, true]),
        ],
        diary: texts(&["Peor dolor de hoy, de 0 a 10", "Notas"]),
    }
}

fn therapist() -> TherapistPage {
    TherapistPage {
        angles: vec![
            angle([
                "1 Doblar los dedos del pie",
                "Dorsiflexión del tobillo, izquierda",
                "-20°",
                "≤ 0°",
                "calculado",
            ]),
            angle([
                "3 Subir la pierna recta",
                "Flexión de la cadera, izquierda",
                "30°",
                "≤ 70°",
                "calculado",
            ]),
            angle([
                "5 Pie abajo y vuelta",
                "Dorsiflexión del tobillo, izquierda",
                "-5°",
                "≤ 0°",
                "calculado",
            ]),
            angle([
                "8 Pasar peso en una báscula",
                "Carga en la pierna izquierda",
                "20 kg",
                "≤ 20 kg",
                "ordenado",
            ]),
        ],
        limits: vec![
            limit_row([
                "Dorsiflexión del tobillo",
                "≤ 0°",
                "alta del cirujano",
                "Dra. A. Brandt, carta del 4 de marzo de 2026",
            ]),
            limit_row([
                "Carga",
                "≤ 20 kg",
                "visita del 30 de marzo de 2026",
                "Dra. A. Brandt, nota del 16 de marzo de 2026",
            ]),
            limit_row([
                "Flexión plantar resistida",
                "ninguna",
                "prueba en el centro",
                "[1], supuesto, no confirmado",
            ]),
        ],
        loads: loads(),
        basis: texts(&[
            "Cuerpo del paciente: 1,68 m, 71 kg, medido el 18 de marzo de 2026.",
            "Los ángulos son los extremos de la repetición resuelta; margen de 5° en casa.",
        ]),
        overrides: Vec::new(),
        sources: vec![
            source([
                "1",
                "Protocolo del tendón del talón, versión 2, consenso de la biblioteca del centro.",
                "borrador",
            ]),
            source(["2", "Práctica común, sin fuente.", "memoria"]),
            source([
                "3",
                "Momento articular neto entre brazo de momento: brazos inventados.",
                "de segunda mano",
            ]),
        ],
        not_checked: texts(&[
            "Cómo entra y sale de la cama en casa.",
            "La piel bajo la bota.",
            "Medicinas y otras enfermedades.",
        ]),
    }
}

fn loads() -> Loads {
    const ARM: &str = "momento entre brazo [3]";
    Loads {
        moments: vec![
            moments("Doblar los dedos del pie", &["tobillo 0"]),
            moments("Subir la pierna recta", &["flexión de la cadera 0,71", "extensión de la rodilla 0,22"]),
            moments("Pie abajo y vuelta", &["flexión plantar del tobillo 0,02"]),
        ],
        tissues: vec![TissueTable {
            title: "Tendón de Aquiles izquierdo".to_owned(),
            ceilings: texts(&["Hoy no hay ningún tope de esta carga en vigor."]),
            rows: vec![
                stated(["Doblar los dedos del pie", "0 PC", "calculado", "de segunda mano", ARM]),
                unstated("Apretar el muslo", "no conocida: el músculo se tensa sin movimiento"),
                stated(["Pie abajo y vuelta", "0,03 a 0,09 PC", "calculado", "de segunda mano", ARM]),
            ],
            week: texts(&[
                "Una semana según el plan: suma de picos 120 a 231 PC; suma de impulsos 340 a 520 PC·s.",
            ]),
        }],
        notes: texts(&["No está establecido ningún umbral de lesión para las sumas semanales."]),
        ladder: ladder("Escala de carga: tendón de Aquiles izquierdo"),
    }
}
