# Hoy, pacientes, el episodio, su registro, la hoja con los límites de hoy. Para profesionales (c-).

c-today-side = lado { side-m }
c-today-day = día { $day } (semana { $week })
c-today-born = nació el { $date }
c-today-record = historia { $record }
c-today-not-recorded = no consta
c-today-not-asked = no se preguntó
c-today-not-answered = sin respuesta
c-today-closed = cerrado
c-today-closed-on = Este episodio se cerró el { $date }: { $reason }.
c-today-by = Por { $by }
c-today-draft = sin firma: borrador
c-today-limits = Límites de hoy
c-today-before-surgery = El { $date } es anterior a la operación del { $surgery }: no hay un día después de la operación que planificar.
c-today-orders-do-not-fit = Las órdenes que constan no encajan con el protocolo:
c-today-limits-not-known = No se pueden calcular los límites de hoy. No dé nada por permitido hasta que esto se corrija.
c-today-others = otras

### Hoy

c-today-whose = De quién
c-today-mine = Mis pacientes
c-today-all = Todos
c-today-none-mine = Ninguna regla avisa hoy de sus pacientes. Esto no dice nada de cómo están.
c-today-none = Ninguna regla avisa hoy de nada. Esto no dice nada de cómo están los pacientes.
c-today-nothing-else = Nada más pide atención hoy: ninguna otra regla avisa. Esto no dice nada de cómo están los pacientes.
c-today-pages = Páginas
c-today-page-before = Página anterior
c-today-page-next = Página siguiente
c-today-also = Además
c-today-key = Qué muestran las tiras pequeñas
c-today-key-text = Catorce días; la línea de la derecha es hoy. Cuadros: lleno, se hizo todo lo previsto; medio, una parte o nada, o el diario no lo dice; hueco, previsto y sin diario; guion, nada previsto (u hoy, aún abierto). Línea: el peor dolor contado, sobre líneas en 0 y 5. Triángulo lleno: una señal de alarma. Triángulo abierto: visita al cirujano en los próximos siete días. Cuña: se entregó un programa nuevo.
c-today-strip-title = Últimas dos semanas de { $name }
c-today-strip-days = { $days } días: { $done } hechos, { $partly } en parte o sin decir, { $missing } sin diario.
c-today-strip-pain = Último dolor contado { $latest } de 10, hace { $ago } días; el más alto { $highest }.
c-today-strip-warning = Una señal de alarma hace { $ago } días.
c-today-strip-visit = Visita al cirujano en { $in } días.

c-today-reason-warning-sign-emergency = Señal de urgencia
c-today-reason-warning-sign-same-day = Señal para el mismo día
c-today-reason-warning-sign-next-visit = Señal para la próxima visita
c-today-reason-pain-response = Respuesta fuera de las reglas
c-today-reason-restrictions-not-known = Límites desconocidos
c-today-reason-restriction-changes = Cambia una restricción
c-today-reason-restriction-to-confirm = Por confirmar
c-today-reason-criterion-met = Criterio alcanzado
c-today-reason-no-diary = Sin diario
c-today-reason-report-due = Informe pendiente
c-today-reason-sheet-out-of-date = Hoja atrasada
c-today-reason-no-program = Sin programa
c-today-reason-message-waiting = Mensaje sin respuesta

c-today-do-sign = Llamar y anotarlo
c-today-do-pain = Mirar y actuar
c-today-do-not-known = Corregir el registro
c-today-do-change = Ver el cambio
c-today-do-answer = Anotar la respuesta
c-today-do-confirm = Confirmar o cambiar
c-today-do-decide = Decidir
c-today-do-ask = Preguntar
c-today-do-report = Escribir el informe
c-today-do-hand-over = Entregarlo
c-today-do-sheet = Emitir una nueva
c-today-do-plan = Hacer el programa
c-today-do-write-back = Responder
c-today-do-paper-diary = Añadir un diario
c-today-do-measure = Añadir una medida

c-today-says-signs = { $more ->
    [0] en el diario del { $date }: «{ $sign }»
   *[other] en el diario del { $date }: «{ $sign }» y { $more } más
 }
c-today-says-pain = { $n ->
    [one] en el diario del { $date }: { $rules }; peor dolor contado { $worst } de 10. Nadie ha actuado.
   *[other] en { $n } diarios, el último del { $date }: { $rules }; peor dolor contado { $worst } de 10. Nadie ha actuado.
 }
c-today-says-not-known = lo anotado no encaja con el protocolo: { $mistakes }
c-today-says-assumed = { $n ->
    [one] se apoya solo en el protocolo: { $names }
   *[other] { $n } restricciones se apoyan solo en el protocolo: { $names }
 }
c-today-says-variant = { $n ->
    [one] { $question } Una restricción o un criterio depende de la respuesta.
   *[other] { $question } { $n } restricciones o criterios dependen de la respuesta.
 }
c-today-says-criterion = { $criterion }: { $value } el { $date }, se pide { $asked } (para la fase «{ $phase }»). Ninguna decisión lo nombra.
c-today-says-criterion-judged = juzgado como cumplido el { $date }: «{ $criterion }» (para la fase «{ $phase }»). Ninguna decisión lo nombra.
c-today-within-error = Dentro del error de medida: otra medida puede caer al otro lado.
c-today-says-no-diary = { $n } días previstos sin diario; { $last }.
c-today-last-diary = último diario el { $date }
c-today-no-diary-yet = aún sin diario
c-today-says-surgeon-report = carta a { $surgeon } antes de la visita del { $date }
c-today-says-progress-report = { $n } días de tratamiento desde el último informe de evolución; toca a los { $by }
c-today-says-sheet = el paciente tiene la versión { $version }: { $why }
c-today-sheet-newer = hay una versión más nueva ({ $version })
c-today-sheet-orders = cambiaron órdenes o respuestas ({ $date })
c-today-sheet-limit = empezó un límite desde entonces ({ $limit })
c-today-sheet-expired = era válida hasta el { $date }
c-today-says-no-program = no consta ningún programa
c-today-says-not-given = la versión { $version } consta y no se entregó al paciente
c-today-says-messages = { $n ->
    [one] un mensaje sin respuesta
   *[other] { $n } mensajes sin respuesta
 }
c-today-change-starts = empieza { $limit }
c-today-change-steps = { $from } puede dar paso a: { $to }
c-today-change-ends = puede terminar { $limit }
c-today-change-phase = puede empezar la fase «{ $phase }»
c-today-change-overdue = { $what }: previsto para el { $date }, con { $days ->
    [one] un día
   *[other] { $days } días
 } de retraso.
c-today-change-today = { $what }: previsto para hoy.
c-today-change-soon = { $what }: previsto para el { $date }, en { $days ->
    [one] un día
   *[other] { $days } días
 }.
c-today-needs = Requiere { $needs }.
c-today-need-criterion = «{ $criterion }»
c-today-need-release = que una persona con nombre la levante
c-today-need-phase = que una persona con nombre empiece la fase «{ $phase }»
c-today-order = la orden { $id }
c-today-at-least = al menos { $value }
c-today-at-most = como mucho { $value }
c-today-asked-judged = el sí de un profesional
c-today-judged-yes = sí
c-today-judged-no = no
c-today-judged-gait = marcha
c-today-judged-gait-yes = sin cojera
c-today-judged-gait-no = con cojera
c-today-judged-wound = herida
c-today-judged-wound-yes = sin complicación hallada
c-today-judged-wound-no = complicación hallada
c-today-judged-night-pain = dolor nocturno
c-today-judged-night-pain-yes = no referido
c-today-judged-night-pain-no = referido
c-today-judged-substitution = compensación de otros músculos
c-today-judged-substitution-yes = poca
c-today-judged-substitution-no = más que poca
c-today-rule-pain-during = dolor durante la sesión por encima de 5
c-today-rule-pain-after = dolor después de la sesión por encima de 5
c-today-rule-pain-rises = el dolor subió 2 o más en la sesión
c-today-rule-morning-worse = la mañana siguiente fue peor de lo habitual
c-today-rule-swelling-more = más hinchazón que el día anterior

### Pacientes

c-today-find = Buscar un paciente
c-today-find-hint = nombre, número de historia o fecha de nacimiento (1980-05-17)
c-today-find-go = Buscar
c-today-find-all = Todos los pacientes
c-today-which = Qué episodios
c-today-open-episodes = Abiertos
c-today-closed-episodes = Cerrados
c-today-found-none = No se encontró a nadie. { $find }
c-today-found-many = Se muestran los primeros { $n }. Escriba más para encontrar menos.
c-today-col-name = Nombre
c-today-col-born = Nacimiento
c-today-col-operation = Operación
c-today-col-therapist = Fisioterapeuta
c-today-col-links = Ir a
c-today-patient-link = Enlace del paciente

### Episodio

c-today-episode = episodio
c-today-surgeon = Cirujano
c-today-surgery = Operación
c-today-phase = Fase (la empezó una persona)
c-today-phase-since = desde el { $date }
c-today-phase-calendar = según el calendario: { $phase }
c-today-next-visit = Próxima visita al cirujano
c-today-language = Idioma
c-today-holds = El paciente tiene
c-today-holds-version = versión { $version }, válida hasta el { $date }
c-today-holds-none = aún no se entregó ninguna versión
c-today-acts = Qué hacer
c-today-go-record = Anotar en el registro
c-today-go-restrictions = Órdenes y restricciones
c-today-go-program = Planear el programa
c-today-go-home = Entregar, enlace, código
c-today-open = Qué pide atención
c-today-open-none = Ninguna regla avisa hoy de este paciente. Esto no dice nada de cómo está.
c-today-allowed = Qué está permitido con el tiempo
c-today-chart-title = Qué está permitido: lado { side-m }
c-today-chart-subtitle = { $name }: { $operation }, lado { side-m }; protocolo versión { $version }
c-today-chart-note-planned = Lo previsto es el primer día posible, con cada acto necesario hecho ese día; empieza cuando una persona con nombre lo anota. Sin ese acto, el límite anterior sigue.
c-today-chart-note-usual = Los extremos habituales en adultos (valores de referencia AAOS citados en manuales; pierna: de memoria) no son un límite. Donde no consta, la posición neutra.
c-today-chart-table = Lo mismo como tabla
c-today-no-chart = No se puede dibujar:
c-today-lowering = descenso
c-today-lane-leg = Carga, pierna
c-today-lane-arm = Carga, brazo
c-today-lane-device = Dispositivo
c-today-col-subject = Sobre
c-today-col-what = Qué
c-today-col-from = Desde
c-today-col-to = Hasta
c-today-col-state = Estado
c-today-planned-until = previsto hasta el { $date }
c-today-planned-until-act = previsto hasta el { $date }; sigue hasta que alguien lo termine
c-today-until-act = hasta que alguien lo termine
c-today-restrictions = Restricciones
c-today-version = versión { $version }
c-today-nothing-recorded = No consta nada. Eso no es «sin límite».
c-today-col-limit = Límite
c-today-col-status = Quién lo dice, fuente
c-today-col-since = Desde
c-today-col-until = Hasta qué acto
c-today-lifted = Levantadas ({ $n })
c-today-next = Próximos cambios
c-today-precautions = Precauciones
c-today-in-place-of = en lugar de: { $limit }
c-today-kept-unanswered = se mantiene porque falta una respuesta
c-today-overdue = pasó su plazo previsto: por revisar
c-today-until-day = hasta ese día
c-today-until-release = hasta que una persona con nombre la levante
c-today-until-phase = hasta que una persona con nombre empiece la fase «{ $phase }»
c-today-program = Programa
c-today-version-line = Versión { $version }, planeada el { $issued } por { $by }; { $signed }; hecha hoy vale hasta el { $until }.
c-today-holds-line = El paciente tiene la versión { $version }, entregada el { $date } ({ $medium }), válida hasta el { $until }.
c-today-holds-older = no es la versión en vigor
c-today-medium-paper = en papel
c-today-medium-page = en la página del paciente
c-today-medium-file = como sesión guiada
c-today-waived = anulado por { $by }: { $reason }
c-today-why-limited = Por qué ({ $n })
c-today-over = { $what }: { $asked }, por encima del máximo de { $ceiling }
c-today-over-sets = series
c-today-over-reps = repeticiones
c-today-over-times-a-day = sesiones al día
c-today-over-days-a-week = días a la semana
c-today-over-exercises = ejercicios
c-today-missing-things = no lo hay en casa: { $things }
c-today-closest = Límite más cercano: { $motion } llega a { $reached }; el límite es { $limit } (quedan { $room } grados).
c-today-angle-of = { $degrees } grados de { $motion }
c-today-diary = Diario y respuesta
c-today-adherence = Desde el { $from }: { $counted } de { $planned } sesiones previstas contadas como hechas, { $unknown } no se sabe (sin diario): del { $low } al { $high } %.
c-today-beyond = { $n ->
    [one] Una sesión más de lo previsto: demasiado, no mejor.
   *[other] { $n } sesiones más de lo previsto: demasiado, no mejor.
 }
c-today-over-report = Los diarios dicen cerca de un cuarto más de lo que se hizo ({ $source }).
c-today-left-out = Contado como no hecho
c-today-days = { $n ->
    [one] un día
   *[other] { $n } días
 }
c-today-nothing-planned = No había sesiones previstas en las últimas cuatro semanas.
c-today-response-title = Respuesta de { $name }
c-today-response-subtitle = del { $from } al { $to }
c-today-response-table = Lo mismo como tabla
c-today-col-day = Día
c-today-rules-passed = { $n ->
    [one] Un diario de los últimos { $days } días pasa una regla de respuesta:
   *[other] { $n } diarios de los últimos { $days } días pasan una regla de respuesta:
 }
c-today-rules-basis = Las reglas y de dónde vienen
c-today-latest-diaries = Últimos diarios
c-today-all-diaries = Los { $n } diarios están en el registro
c-today-diary-of-version = de la versión { $version }
c-today-diary-done = { $exercise }: { $sets ->
    [one] una serie
   *[other] { $sets } series
 }, { $reps } repeticiones
c-today-diary-left = { $exercise }: no hecho
c-today-diary-nothing-told = No dice nada de cada ejercicio.
c-today-diary-pain = Dolor antes { $before }, durante { $during }, después { $after } (0 a 10).
c-today-diary-morning-usual = Mañana siguiente: como siempre.
c-today-diary-morning-worse = Mañana siguiente: peor de lo habitual.
c-today-diary-swelling-less = Menos hinchazón que el día anterior.
c-today-diary-swelling-same = Hinchazón como el día anterior.
c-today-diary-swelling-more = Más hinchazón que el día anterior.
c-today-diary-extra = Fuera del programa: «{ $says }»
c-today-diary-why-left = Por qué no se hizo algo: «{ $says }»
c-today-diary-note = Nota: «{ $says }»
c-today-measures = Medidas y criterios
c-today-no-measures = No se ha medido nada.
c-today-measured-once = medido una vez
c-today-measure-on-side = { $what }, lado { side-m }
c-today-col-measure = Medida
c-today-col-last = Último valor
c-today-col-change = Cambio
c-today-col-method = Método y error
c-today-change-within = { $by } desde el { $since }: dentro del error de medida, no se distingue de ningún cambio
c-today-change-larger = { $by } desde el { $since }: mayor que el error de medida
c-today-change-unknown = { $by } desde el { $since }: no se conoce el error, no se puede juzgar el cambio
c-today-error = Error { $error } { $unit } ({ $known })
c-today-error-none = No se conoce su error.
c-today-criteria-of = Criterios para la fase siguiente, «{ $phase }»
c-today-criteria-none = El protocolo no nombra ninguno.
c-today-criteria-act = Un criterio alcanzado no abre nada: una fase empieza por el acto de una persona con nombre.
c-today-state-met = alcanzado
c-today-state-not-met = no alcanzado
c-today-state-stale = demasiado antiguo para decidir
c-today-state-not-measured = no medido
c-today-state-needs-person = debe juzgarlo un profesional
c-today-state-needs-both-sides = hay que medir los dos lados
c-today-state-other-side = medido en el otro lado
c-today-state-other-unit = medido en otra unidad
c-today-state-other-drive = movido de otra forma
c-today-state-implausible = valor imposible
c-today-state-not-applicable = no se aplica
c-today-course = Decisiones, contactos, visitas
c-today-decisions = Decisiones
c-today-contacts = A quién se avisó
c-today-visits = Visitas
c-today-messages = Mensajes
c-today-notes = Notas
c-today-reports = Informes
c-today-none-on-record = no consta ninguno
c-today-earlier = Anteriores ({ $n })
c-today-documents = Documentos
c-today-documents-hint = Se hacen ahora, con los límites de hoy. Abrir uno no anota que se entregó al paciente: hágalo en «Entregar».
c-today-paper-letter = Hoja (Carta)
c-today-paper-a4 = Hoja (A4)
c-today-large = letra grande
c-today-document-handout = Hoja
c-today-document-follow = Sesión guiada
c-today-document-calendar = Calendario
c-today-no-document = Hoy no se entrega nada:
c-today-mend-here = Corregirlo aquí
c-today-the-program = el programa
c-today-plan-expired = el programa era válido hasta el { $date }
c-today-plan-refused = no permitido hoy: { $exercise }
c-today-plan-over = { $of }: { $what } { $asked }, máximo { $ceiling }
c-today-plan-visit = la visita al cirujano del { $date } ya pasó y no se anotó nada de ella
c-today-plan-envelope-mend = Corrija las órdenes, actos o respuestas que no encajan.
c-today-plan-body-mend = Anote una estatura y un peso posibles.
c-today-plan-none-mend = Planee y emita un programa.
c-today-plan-expired-mend = Mire los límites de hoy y emita una versión nueva.
c-today-plan-refused-mend = Quite o cambie estos ejercicios y emita una versión nueva.
c-today-plan-over-mend = Dé menos y emita una versión nueva.
c-today-plan-visit-mend = Anote lo que dijo el cirujano y la próxima visita; luego emita una versión nueva.
c-today-plan-exposure-mend = Dé menos series, repeticiones o días, o un ejercicio más bajo en la escalera de carga.
c-today-plan-move-mend = Elija ejercicios que no pidan ese cambio de lugar, u otro orden de lugares.
c-today-plan-order-mend = Dé menos ejercicios.
c-today-plan-content-mend = Corrija los textos o imágenes nombrados.

### Gráfico de lo permitido

c-today-env-today = hoy
c-today-env-weeks = semanas completas desde la operación
c-today-env-days = días
c-today-env-phases = Fase
c-today-env-visits = Cirujano
c-today-env-visit-past = visita al cirujano
c-today-env-visit-planned = visita prevista
c-today-env-in-force = en vigor
c-today-env-goes-on = sigue hasta que alguien lo termine
c-today-env-planned = previsto, como muy pronto; requiere un acto
c-today-env-lingers = fin previsto, como muy pronto; sigue hasta que alguien lo termine
c-today-env-ended = terminado
c-today-env-overdue = pasado el fin previsto, aún en vigor
c-today-env-ordered = ordenado
c-today-env-confirmed = confirmado
c-today-env-assumed = supuesto
c-today-env-every-way = toda forma
c-today-env-other-limit = otro límite, para una forma de mover
c-today-env-open-side = no consta límite en este lado
c-today-env-nothing = no consta nada
c-today-env-contradiction = los límites no dejan ninguna posición
c-today-env-allowed-today = Permitido hoy
c-today-env-program = Programa de hoy
c-today-env-no-program = no mueve esta articulación
c-today-env-beyond = fuera del límite
c-today-env-to = a
c-today-env-measured = medido
c-today-env-last-measured = Última medida
c-today-env-not-measured = aún no
c-today-env-active = activo
c-today-env-passive = pasivo
c-today-env-unstated = forma no indicada

### Tira de respuesta

c-today-strip-word-pain = Dolor, 0 a 10
c-today-strip-before = antes
c-today-strip-during = durante
c-today-strip-after = después
c-today-strip-morning = Mañana siguiente
c-today-strip-usual = como siempre
c-today-strip-worse = peor
c-today-strip-swelling = Hinchazón
c-today-strip-less = menos
c-today-strip-same = igual
c-today-strip-more = más
c-today-strip-sessions = Sesiones
c-today-strip-planned = previstas
c-today-strip-done = hechas
c-today-strip-extra = de más
c-today-strip-missing = sin diario
c-today-strip-word-warning = Señal de alarma
c-today-strip-version = Programa

### Límites de hoy

c-today-card-valid = Vale solo el { $date }.
c-today-card-made = Hecha el { $at } por { $by }. Mañana, hágala de nuevo.
c-today-card-stop = En caso de duda, no cargue ni mueva la articulación; pregunte al consultorio del cirujano.
c-today-part-weight = Carga de peso
c-today-part-device = Dispositivo
c-today-part-joints = Movimiento de las articulaciones
c-today-part-must-not = No debe hacerse en absoluto
c-today-part-load = Carga y resistencia: solo hasta aquí
c-today-not-except = { $what }, salvo { $drives }
c-today-not-together = En el mismo instante: { $all }
c-today-way-not-allowed = Esta forma de mover no se permite hoy.
c-today-not-checked = No se comprobó
c-today-whom = A quién llamar
c-today-late = Fuera de horario
c-today-emergency = Emergencia
c-today-surgeon-phone-unknown = no consta su teléfono
c-today-print = Imprimir
c-today-whole-record = El registro completo

### Registro

c-today-journal = Registro
c-today-journal-about = Cada anotación, la más nueva primero. Nada se cambia ni se quita: lo reemplazado sigue legible, tachado.
c-today-which-entries = Qué anotaciones
c-today-journal-facts = Anotaciones
c-today-journal-views = Con quién miró
c-today-true-on = cierto el { $date }
c-today-recorded-at = anotado el { $at } por { $by }
c-today-replaces = reemplaza a { $n }
c-today-replaced-by = reemplazada por { $n }
c-today-kind-patient = Paciente
c-today-kind-clinic = Clínica
c-today-kind-body = Cuerpo
c-today-kind-home = Casa
c-today-kind-operation = Operación
c-today-kind-confirmation = Confirmación
c-today-kind-order = Orden
c-today-kind-act = Acto
c-today-kind-program = Programa
c-today-kind-waiver = Anulación
c-today-kind-done = Hecho
c-today-kind-jump = Umbral de carga
c-today-kind-issued = Programa entregado
c-today-kind-diary = Diario
c-today-kind-measure = Medida
c-today-kind-decision = Decisión
c-today-kind-contact = Contacto
c-today-kind-visit = Visita
c-today-kind-note = Nota
c-today-kind-message = Mensaje
c-today-kind-view = Consulta
c-today-kind-report = Informe
c-today-kind-closed = Cierre
c-today-kind-withdrawn = Retirada
c-today-fact-patient = { $name }; nació el { $born }; historia { $record }; idioma { $language }; ayuda en casa: { $helper }
c-today-fact-clinic = { $name }; fisioterapeuta { $therapist }; teléfono { $phone }, fuera de horario { $late }, emergencia { $emergency }
c-today-fact-body = { $cm } cm, { $kg } kg
c-today-fact-home = Asiento { $seat }, cama { $bed }, mesa { $table }, escalón { $step }; escaleras: { $stairs }; en casa: { $things }
c-today-fact-operation = { $operation }, lado { side-m }, el { $date } por { $surgeon }; próxima visita: { $visit }
c-today-fact-confirmation = Confirmado: { $limit }; por { $by }, { $document }
c-today-fact-order = Ordenado por { $by } el { $date } ({ $document }), desde el { $from }
c-today-fact-order-until = Ordenado hasta el { $date }
c-today-fact-order-replaces = En lugar de: { $limit }
c-today-fact-release = Levantado: { $limit }
c-today-fact-phase = Empieza la fase «{ $phase }»
c-today-fact-program = Versión { $version } por { $by }, { $signed }, válida hasta { $until }: { $names }
c-today-until-visit = la próxima visita, dos semanas como mucho
c-today-fact-waiver = { $exercise }: { $limit } anulado por { $by }: { $reason }
c-today-fact-done = { $exercise }: { $reps } repeticiones en el día ({ $from })
c-today-fact-jump = Se muestra más de { $percent } % de una semana a otra; lo fijó { $by }
c-today-fact-issued = Versión { $version } entregada { $medium }, idioma { $language }, válida hasta el { $date }; por { $by }
c-today-fact-contact = { $told } ({ $how }): { $outcome } Sobre la anotación { $n }; por { $by }
c-today-fact-visit = { $minutes } minutos, { $timed } de ellos cronometrados; { $taught }; por { $by }
c-today-teach-back-yes = mostró y repitió los ejercicios y los límites
c-today-teach-back-no = aún no mostró ni repitió los ejercicios o los límites
c-today-teach-back-not-asked = no se pidió mostrar ni repetir
c-today-fact-message = { $from }: «{ $says }»
c-today-from-patient = Del paciente
c-today-from-clinic = De la clínica
c-today-fact-view = Consultó: { $what }
c-today-entered-patient = paciente
c-today-entered-in-person = en persona
c-today-entered-payer = financiador
c-today-entered-progress-report = informe de evolución
c-today-entered-letter-before-the-visit = carta antes de la visita
c-today-entered-phone = teléfono
c-today-entered-letter = carta
c-today-fact-report = { $kind }, para { $to }; por { $by }
c-today-fact-closed = { $reason }; por { $by }
c-today-fact-withdrawn = { $reason }; por { $by }
c-today-decision-advance = Seguir adelante
c-today-decision-hold = Quedarse
c-today-decision-step-back = Volver atrás
c-today-decision-ask-surgeon = Preguntar al cirujano
c-today-decision-criteria = Se apoya en: { $criteria }
c-today-and-criteria = con los criterios de esa fase ({ $n })
c-today-due-now = Toca ya.
c-today-from = Desde el { $date }.
c-today-error-sources = De dónde vienen los errores
c-today-was = era { $value } el { $since }
c-today-signed = firmada por { $by }
c-today-parts = Partes de esta página
c-today-positions = Posiciones: { $names }
c-today-activities = Actividades: { $names }
