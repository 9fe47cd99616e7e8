# La pantalla en la que se hace un programa. Para profesionales (c-).

c-program-title = Programa: { $name }
c-program-born = fecha de nacimiento: { $date }
c-program-not-known = no se sabe
c-program-not-set = sin fijar
c-program-side-words = { $side ->
    [left] lado IZQUIERDO
   *[right] lado DERECHO
 }
c-program-draft = borrador
c-program-assumed = { $n ->
    [one] { $n } límite está supuesto, sin confirmar
   *[other] { $n } límites están supuestos, sin confirmar
 }
c-program-all-limits = Todos los límites de hoy y lo que no se comprobó
c-program-not-checked = No comprobado
c-program-restored = Lo que escribió hasta el { $at } está otra vez en el formulario.

c-program-session = La sesión
c-program-to-shelf = Ir a los ejercicios
c-program-rhythm = Ritmo
c-program-rhythm-of = { $times ->
    [one] 1 vez al día
   *[other] { $times } veces al día
 }, { $days ->
    [one] 1 día a la semana
   *[other] { $days } días a la semana
 }
c-program-times = Veces al día
c-program-days = Días a la semana
c-program-blank = En blanco: la cifra en cursiva, como dice la fase.
c-program-not-loaded = prácticamente sin carga
c-program-usual-phase = como dice la fase
c-program-usual-exercise = como está escrito
c-program-kind-within = dentro de los límites de hoy
c-program-kind-limited = dentro de los límites solo si se reduce
c-program-kind-refused = rechazado hoy
c-program-moves = Pasos hasta el lugar siguiente
c-program-device-on = con el dispositivo puesto
c-program-end = Fin de la sesión
c-program-not-in-session = No entra en la sesión tal como está
c-program-in-turns = se alterna con el anterior

c-program-sets = Series
c-program-reps = Repeticiones
c-program-seconds = o segundos
c-program-rest = Descanso (s)
c-program-side = Lado
c-program-field-sets = Series
c-program-field-reps = Repeticiones
c-program-field-seconds = Segundos
c-program-field-rest = Descanso
c-program-field-times = Veces al día
c-program-field-days = Días a la semana
c-program-field-until = Válido hasta
c-program-field-id = Ejercicio
c-program-field-side = Lado
c-program-field-rows = Ejercicios
c-program-remove = Quitar
c-program-keep = Conservar en una propuesta
c-program-leave-out = Dejar fuera, también de las propuestas
c-program-why = Por qué está:
c-program-no-picture = Sin dibujo: este cuerpo no puede tomar la postura en esta casa.
c-program-up-to = Hoy hasta:
c-program-tight = justo
c-program-missing = No hay en casa: { $what }
c-program-override = Excepción: motivo
c-program-override-hint = (queda registrada con su nombre al emitir la versión)
c-program-waived = pasa un límite, por excepción
c-program-waived-by = Excepción al límite «{ $limit }», de { $by }: { $reason }
c-program-may-override = Admite una excepción con motivo: añádalo y escriba por qué.

c-program-wrong-count = { $field }: escriba un número entero de 1 a { $most }.
c-program-wrong-range = { $field }: escriba un número de { $low } a { $high } { $unit }.
c-program-wrong-both = Indique repeticiones o segundos, no ambas cosas.
c-program-wrong-date = { $field }: escriba una fecha como 2026-11-25.
c-program-wrong-until = { $field }: del { $first } al { $last }, no después de la próxima visita al cirujano ni de dos semanas.
c-program-wrong-exercise = El ejercicio «{ $id }» ya no está en el contenido. Quítelo.
c-program-wrong-side = Falta el lado. Elija izquierda o derecha.
c-program-wrong-rows = En una sesión caben como mucho 20 ejercicios. Quite algunos.

c-program-of-exercise = { $title }: { $what }
c-program-empty = No hay ningún ejercicio elegido.
c-program-too-many = { $asked } ejercicios; esta fase admite como mucho { $ceiling }.
c-program-over = { $what }: se piden { $asked }, el tope de la fase es { $ceiling }.
c-program-over-sets = Series
c-program-over-reps = Repeticiones
c-program-over-times-a-day = Veces al día
c-program-over-days-a-week = Días a la semana
c-program-exposure-not-known = La carga de la semana ({ $tissue }) no se conoce y tiene un tope de { $limit } ({ $name }). Elija ejercicios de carga conocida.
c-program-visit-passed = La visita al cirujano del { $date } ya pasó y no se anotó nada de ella. Anote primero lo que se indicó allí.
c-program-move-over = Paso «{ $move }»: { $what }; límite: { $limit }. Elija ejercicios en menos lugares o en otros.
c-program-move-over-plain = Paso «{ $move }»: { $what }. Elija ejercicios en menos lugares o en otros.
c-program-move-angle = { $what } llegaría a { $computed } grados, límite { $limit } grados
c-program-move-combination = una combinación de movimientos prohibida
c-program-move-position = una posición no permitida ({ $position })
c-program-move-not-checked = este cuerpo no puede descansar ahí con estos muebles, así que el paso no se comprobó

c-program-minutes-session = Una sesión
c-program-minutes-day = Al día
c-program-number = Ejercicios
c-program-number-of = { $n } (tope { $most })
c-program-stand-ups = Veces que se levanta por sesión
c-program-ceiling-basis = Tope de esta fase: { $sets } series, { $reps } repeticiones, { $times } veces al día, { $days } días a la semana.
c-program-all-within = Todos los ejercicios, pasos y dosis están dentro de los límites de hoy.
c-program-some-within = { $n } de { $total } ejercicios, y todas las dosis, están dentro de los límites de hoy.
c-program-waived-count = { $n ->
    [one] 1 ejercicio pasa un límite por excepción
   *[other] { $n } ejercicios pasan un límite por excepción
 }
c-program-waived-of = { $title }: { $limit }, de { $by }.
c-program-all-within-but = Comprobado con los límites de arriba y nada más. Decide el fisioterapeuta.
c-program-stands-against = { $n ->
    [one] Una cosa impide emitirlo:
   *[other] { $n } cosas impiden emitirlo:
 }
c-program-stands-against-above = { $n ->
    [one] Una cosa impide emitirlo. Se indica arriba, debajo de los ejercicios.
   *[other] { $n } cosas impiden emitirlo. Se indican arriba, debajo de los ejercicios.
 }
c-program-late = Alguien cambió el programa o los límites mientras tanto. Mire el principio de la página antes de emitir.

c-program-shelf = Ejercicios para hoy
c-program-find = Buscar un ejercicio o un objetivo
c-program-found = Encontrados: { $n }
c-program-no-ladder = Este protocolo no nombra ningún tejido que proteger: la lista sigue la fase.
c-program-order-heading = Sin cifra: solo se sabe si carga más o menos que otros
c-program-heaviest-first = El de más carga, arriba.
c-program-allowed = Permitidos hoy ({ $n })
c-program-others = Permitidos hoy, fuera de esta escalera ({ $n })
c-program-refused = Rechazados hoy, con sus motivos ({ $n })
c-program-add = Añadir
c-program-chosen = en el programa
c-program-choose = Añada ejercicios aquí o pida una propuesta.
c-program-named = nombrado por la fase

c-program-propose-title = Proponer un programa
c-program-propose-minutes = Minutos de una sesión
c-program-propose-most = Como mucho, tantos ejercicios
c-program-propose-without = Fuera de las propuestas
c-program-propose-hint = Sustituye todas las filas menos las marcadas con «Conservar en una propuesta».
c-program-propose = Proponer
c-program-propose-wrong = Escriba de 1 a 180 minutos y al menos un ejercicio.
c-program-propose-not-allowed = «{ $title }» no está permitido hoy o no puede hacerse en casa, así que no puede conservarse.
c-program-propose-moves = Ningún camino entre los ejercicios respeta los límites y los minutos. Dé más minutos o conserve menos ejercicios.
c-program-propose-none = Nada encaja. Dé más minutos o conserve menos ejercicios.
c-program-proposed = Propuesta; decide usted
c-program-proposed-share = Con { $n } ejercicios se espera que se haga el { $percent } % (Eckard 2015, secundaria). Menos ejercicios se hacen más.
c-program-why-goal = { $goal } ({ $percent } % de la meta semanal)
c-program-why-worth = { $goals }. Sin él, la puntuación del programa baja { $value } (1 = un objetivo trabajado del todo).
c-program-why-kept = Lo conserva usted.
c-program-untrained = Ningún ejercicio permitido trabaja: { $goals }.
c-program-left-out = El mejor de los que quedan fuera: { $title }; con él, la puntuación del programa cambia en { $change }.
c-program-passes = Pasa { $bounds }.
c-program-bound-minutes = los minutos de una sesión
c-program-bound-number = el número de ejercicios
c-program-bound-ceiling = el tope semanal ({ $id })
c-program-binds = Lo que limita la elección: { $bound }. Sin ese límite, { $title } añadiría { $gain } a la puntuación.

c-program-issue-title = Emitir la versión { $n }
c-program-issue = Emitir la versión { $n }
c-program-first-version = Esta es la primera versión.
c-program-against = Cambios respecto a la versión { $n } del { $date }:
c-program-no-change = No cambia nada.
c-program-until = Válido hasta
c-program-until-hint = Como mucho hasta el { $date }: la víspera de la próxima visita al cirujano, o dos semanas.
c-program-sign = He revisado esta versión y la firmo como { $name }
c-program-sign-hint = Sin firma, la versión es un borrador y todo lo que sale de ella lo dice.
c-program-held = El paciente tiene la versión { $n }.
c-program-check = Comprobar
c-program-discard = Empezar de nuevo desde la última versión
c-program-checking = comprobando…
c-program-check-failed = La comprobación no llegó. No se ha perdido nada; pulse Comprobar.
c-program-not-issued = No se ha emitido. No se ha perdido nada de lo escrito.

c-program-as-phase = como dice la fase
c-program-as-exercise = como está escrito el ejercicio
c-program-change-times = Veces al día: { $old } → { $new }
c-program-change-days = Días a la semana: { $old } → { $new }
c-program-change-until = Válido hasta: { $old } → { $new }
c-program-change-removed = Fuera: { $title }
c-program-change-added = Nuevo: { $title } ({ $dose })
c-program-change-of = { $title }: { $old } → { $new }
c-program-change-order = Los ejercicios están en otro orden.

c-program-versions = Versiones ({ $n })
c-program-versions-caption = Todas las versiones del programa, la más nueva primero
c-program-version = Versión
c-program-issued-on = Emitida
c-program-signed = Firmada
c-program-superseded = sustituida por la versión { $n }
c-program-newest = la más nueva
c-program-is-held = la tiene el paciente

c-program-conflict = Alguien cambió esto mientras tanto
c-program-changed-by = { $who }, { $date }, { $time }: { $what }
c-program-conflict-kept = Todo lo que escribió sigue aquí. Nada de lo suyo se ha emitido.
c-program-checked-anew = Su programa se comprobó otra vez con los límites nuevos. Mírelo antes de seguir.
c-program-take-theirs = Seguir desde la versión { $n } y apartar lo mío
c-program-take-mine = Seguir con lo mío encima
c-program-go-on = Lo he visto; seguir
c-program-own-kept = Sigue desde la última versión. Lo que usted escribió está apartado.
c-program-own-back = Volver a lo mío
c-program-both = Los dos programas, lado a lado
c-program-exercise = Ejercicio
c-program-theirs = Versión { $n } de { $by }
c-program-yours = La suya, sin emitir
c-program-differs = distinto
c-program-not-in = no está
c-program-row-rhythm = veces al día: { $times }; días a la semana: { $days }; hasta { $until }
c-program-yours-differs = Con lo suyo encima, cambiaría esto:
c-program-did-program = emitió la versión { $n } del programa
c-program-did-order = anotó una orden ({ $limit })
c-program-did-confirmed = confirmó un límite: { $limit }
c-program-did-act = levantó un límite o empezó una fase
c-program-did-operation = cambió la operación
c-program-did-body = cambió las medidas del cuerpo
c-program-did-home = cambió la casa
c-program-did-waiver = registró una excepción a un límite: { $limit }
c-program-did-withdrawn = retiró una entrada
c-program-did-corrected = corrigió una entrada

c-program-issued-title = La versión { $n } está emitida
c-program-issued-by = Planificada por { $by } el { $date }.
c-program-signed-by = Firmada por { $by }.
c-program-valid = Válida hasta el { $date }.
c-program-old-superseded = La versión { $old } queda sustituida por la versión { $n }.
c-program-print = Imprimir la hoja
c-program-phone = Pasarla al teléfono
c-program-back = Volver al programa
c-program-given = Lo que tiene el paciente
c-program-has-it = El paciente tiene la versión { $n }: { $medium }, { $language }, entregada el { $date } por { $by }.
c-program-still-holds = El paciente sigue con la versión { $n }. Entregue la versión { $new } y anótelo aquí.
c-program-holds-none = El paciente todavía no tiene ninguna versión.
c-program-medium = Cómo se entregó
c-program-medium-paper = en papel
c-program-medium-page = por la página del paciente
c-program-medium-file = como un solo archivo
c-program-language = Idioma
c-program-record-given = Anotar: el paciente recibió la versión { $n }

c-program-parameter-across = cruce
c-program-parameter-back = hacia atrás
c-program-parameter-bend = flexión
c-program-parameter-close = cierre
c-program-parameter-curl = enrollar
c-program-parameter-depth = profundidad
c-program-parameter-dome = bóveda
c-program-parameter-down = hacia abajo
c-program-parameter-draw = retracción
c-program-parameter-height = altura
c-program-parameter-lean = inclinación
c-program-parameter-length = longitud
c-program-parameter-lift = elevación
c-program-parameter-line = línea
c-program-parameter-load = peso
c-program-parameter-lower = descenso
c-program-parameter-open = apertura
c-program-parameter-out = hacia fuera
c-program-parameter-press = presión
c-program-parameter-pull = tirón
c-program-parameter-push = empuje
c-program-parameter-raise = elevación
c-program-parameter-reach = alcance
c-program-parameter-rise = subida
c-program-parameter-roll = rodar
c-program-parameter-row = remo
c-program-parameter-shift = desplazamiento
c-program-parameter-sink = descenso
c-program-parameter-slide = deslizamiento
c-program-parameter-slump = hundimiento
c-program-parameter-squeeze = apretón
c-program-parameter-straighten = extensión
c-program-parameter-swing = balanceo
c-program-parameter-turn = giro
c-program-parameter-turn-out = giro hacia fuera
c-program-parameter-up = hacia arriba
c-program-parameter-weight = peso

c-program-drawing = dibujando…
c-program-source = Fuente:
c-program-beyond = También permitidos, fuera de los objetivos de la fase ({ $n })
c-program-far-above = Más por encima del tope ({ $n })
c-program-draft-protocol = protocolo en borrador
