# Ejercicios y protocolos: verlos, firmarlos, escribirlos. Para profesionales (c-).

c-content-title = Ejercicios y protocolos
c-content-crumbs = Dónde está
c-content-back = volver
c-content-search = Buscar y acotar
c-content-find = Buscar
c-content-filter = Mostrar
c-content-all = Mostrar todo
c-content-any = cualquiera
c-content-state = Estado
c-content-draft = borrador
c-content-signed = firmado
c-content-own = { $n ->
    [one] propio, guardado una vez
   *[other] propio, guardado { $n } veces
}
c-content-own-any = propio de la clínica
c-content-built-in = incorporado
c-content-folder = de la carpeta de la clínica
c-content-none-found = Nada coincide. Muestre todo o busque menos palabras.
c-content-exercises = { $n ->
    [one] 1 ejercicio
   *[other] { $n } ejercicios
}
c-content-protocols = { $n ->
    [one] 1 protocolo
   *[other] { $n } protocolos
}
c-content-protocol-line = { $phases } fases, { $limits } restricciones
c-content-new-exercise = Ejercicio nuevo
c-content-new-protocol = Protocolo nuevo
c-content-new-from = Crear uno a partir de este
c-content-change = Cambiar como texto
c-content-version = versión { $v }
c-content-version-heading = Versión
c-content-from-heading = Procedencia
c-content-name = Nombre
c-content-yes = sí
c-content-at = línea { $line }, columna { $column }
c-content-at-line = { $file }, línea { $line }, columna { $column }:
c-content-refused = El contenido propio de la clínica tiene errores y no se ha adoptado. Sigue en uso el contenido anterior.

### Signatures

c-content-signed-by = por { $by }, { $date }
c-content-changed-since = El texto se cambió después de la firma.
c-content-draft-notice = Borrador, todavía no revisado por un profesional de esta clínica. Todas las salidas lo dicen hasta que se firme este texto.
c-content-signatures = Firmas
c-content-no-signature = Nadie ha firmado este texto.
c-content-signature = { $by }, el { $date }, versión { $v }
c-content-counts = (este texto)
c-content-counts-not = (otro texto; no vale para este)
c-content-sign-lead = { $name } firma la versión { $v } tal como está en esta página. Si el texto cambia, vuelve a ser un borrador.
c-content-sign-hash = Marca del texto:
c-content-sign-read = He leído todo el texto, las imágenes y las fuentes, y respondo de su uso en esta clínica.
c-content-sign = Firmar esta versión
c-content-sign-unread = no está marcada la casilla que dice que el texto se ha leído
c-content-sign-unread-mend = léalo y marque la casilla
c-content-sign-other-text = este texto ha cambiado desde que se abrió la página; vuelva a leerlo
c-content-waiting = Pendiente de firma
c-content-waiting-link = { $n ->
    [0] Nada está pendiente de firma
    [one] 1 pendiente de firma
   *[other] { $n } pendientes de firma
}
c-content-waiting-count = { $n ->
    [0] Todos los textos en uso están firmados.
    [one] 1 texto en uso es un borrador.
   *[other] { $n } textos en uso son borradores. Primero los que se firmaron y cambiaron después.
}

### One exercise

c-content-figure = Cómo se mueve
c-content-works = { $side ->
    [left] trabaja el lado izquierdo
   *[right] trabaja el lado derecho
}
c-content-play = Reproducir
c-content-pause = Pausa
c-content-seconds = Una repetición: { $n } s
c-content-start = Inicio
c-content-end = Punto más lejano
c-content-views = Visto desde
c-content-view-side = el lado que trabaja
c-content-view-other-side = el otro lado
c-content-view-front = delante
c-content-view-back = detrás
c-content-view-three-quarter = delante, medio lado que trabaja
c-content-view-other-three-quarter = delante, medio otro lado
c-content-view-back-three-quarter = detrás, medio lado que trabaja
c-content-view-other-back-three-quarter = detrás, medio otro lado
c-content-view-above = arriba
c-content-view-toes = los dedos del pie
c-content-on-body = En este cuerpo
c-content-side = Lado que trabaja
c-content-stature = Estatura (m)
c-content-mass = Peso (kg)
c-content-sex = Sexo (para el peso de las partes del cuerpo)
c-content-female = mujer
c-content-male = hombre
c-content-whole = Cuerpo entero en lugar del primer plano
c-content-show = Mostrar en este cuerpo
c-content-usual-furniture = Muebles de altura habitual: silla según la pierna, cama 50 cm, mesa 74 cm, escalón 15 cm. Todas las cifras de abajo son para este cuerpo.
c-content-not-taken = { $typed } no se puede usar: escriba un número de { $low } a { $high }.
c-content-cannot = Este cuerpo no puede hacer el ejercicio con muebles habituales.
c-content-facts = Qué es
c-content-region = Región
c-content-region-foot = pie
c-content-region-ankle = tobillo
c-content-region-knee = rodilla
c-content-region-hip = cadera
c-content-region-trunk = tronco
c-content-region-shoulder = hombro
c-content-region-elbow = codo
c-content-region-hand = mano
c-content-trains = Entrena
c-content-posture = Postura
c-content-positions = Posiciones
c-content-driven = Movimiento
c-content-driven-else = Movimiento distinto
c-content-prime = Músculos principales
c-content-helping = Músculos que ayudan
c-content-holding = Músculos que estabilizan
c-content-equipment = Material
c-content-nothing = nada
c-content-device-off = Hay que quitar
c-content-impact = Un pie aterriza
c-content-warm-up = Va al principio
c-content-dose = Dosis habitual
c-content-dose-by-phase = la que diga la fase
c-content-dose-reps = { $sets } series de { $n } repeticiones
c-content-dose-seconds = { $sets } series de { $n } segundos
c-content-texts = Lo que lee el paciente
c-content-no-words = No hay palabras en este idioma.
c-content-ranges = Recorrido de las articulaciones en una repetición
c-content-ranges-caption = Articulaciones que se mueven 1,5 grados o más, método del cero neutro; primero el lado que trabaja, marcado con una barra. Base: calculado.
c-content-joint = Articulación
c-content-from = Desde
c-content-to = Hasta
c-content-arc = Arco (grados)
c-content-rests = en reposo
c-content-neutral = neutro
c-content-deg-of = { $n } grados de { $motion }
c-content-loads = Carga sobre los tejidos en una repetición
c-content-loads-caption = Valor máximo con sus límites y suma en el tiempo de una repetición.
c-content-tissue = Tejido
c-content-bounds = Máximo
c-content-impulse = Suma en el tiempo
c-content-basis = Base
c-content-source = Fuente
c-content-order = solo orden publicado
c-content-at-second = a los { $n } s
c-content-no-load = Prácticamente sin carga:
c-content-not-known = No se conoce
c-content-contacts = Contactos
c-content-contacts-caption = Qué toca qué y la mayor fuerza allí. Cada una se da en su propio momento: no tienen que sumar 100 %. Base: calculado.
c-content-point = Punto
c-content-on = Sobre
c-content-held = Cómo se mantiene
c-content-most = Soporta como máximo
c-content-point-heel = talón { side-m }
c-content-point-heel-back = cara posterior del talón { side-m }
c-content-point-heel-inner = cara medial del talón { side-m }
c-content-point-ball-inner = borde medial del antepié { side-m }
c-content-point-ball-outer = borde lateral del antepié { side-m }
c-content-point-ball = antepié { side-m }
c-content-point-midsole = centro de la planta del pie { side-m }
c-content-point-toe-tip = punta del dedo gordo del pie { side-m }
c-content-point-great-toe-pad = dedo gordo del pie { side-m }
c-content-point-lesser-toe-pad = dedos pequeños del pie { side-m }
c-content-point-ankle-centre = tobillo { side-m }
c-content-point-ankle-inner = maléolo medial { side-m }
c-content-point-ankle-outer = maléolo lateral { side-m }
c-content-point-ankle-front = cara anterior del tobillo { side-m }
c-content-point-calf-back = pantorrilla { side-f }
c-content-point-shin-front = espinilla { side-f }
c-content-point-knee-centre = rodilla { side-f }
c-content-point-knee-front = rótula { side-f }
c-content-point-knee-inner = cara medial de la rodilla { side-f }
c-content-point-knee-outer = cara lateral de la rodilla { side-f }
c-content-point-knee-back = hueco poplíteo { side-m }
c-content-point-thigh-back = cara posterior del muslo { side-m }
c-content-point-thigh-outer = cara lateral del muslo { side-m }
c-content-point-hip-centre = cadera { side-f }
c-content-point-hip-outer = cara lateral de la cadera { side-f }
c-content-point-seat = apoyo isquiático
c-content-point-sacrum = base de la espalda
c-content-point-belly = vientre
c-content-point-low-back = parte baja de la espalda
c-content-point-upper-back = parte alta de la espalda
c-content-point-chest = pecho
c-content-point-rib-side = lado de las costillas
c-content-point-head-back = cara posterior de la cabeza
c-content-point-head-side = lado de la cabeza
c-content-point-forehead = frente
c-content-point-chin = barbilla
c-content-point-shoulder-centre = hombro { side-m }
c-content-point-shoulder-top = cara superior del hombro { side-m }
c-content-point-shoulder-outer = cara lateral del hombro { side-m }
c-content-point-elbow-centre = codo { side-m }
c-content-point-elbow-tip = punta del codo { side-m }
c-content-point-elbow-inner = cara medial del codo { side-m }
c-content-point-forearm-under = cara cubital del antebrazo { side-m }
c-content-point-forearm-front = cara palmar del antebrazo { side-m }
c-content-point-wrist-centre = muñeca { side-f }
c-content-point-palm = palma { side-f }
c-content-point-hand-edge = borde de la mano { side-f }
c-content-point-grip = mano { side-f }
c-content-point-fingertip = punta del dedo medio de la mano { side-f }
c-content-on-body-part = otra parte del cuerpo
c-content-on-floor = suelo
c-content-on-seat = asiento de la silla
c-content-on-bed = cama
c-content-on-table = mesa
c-content-on-step = escalón
c-content-on-wall = pared
c-content-on-ball = pelota
c-content-hold-slides = se desliza
c-content-hold-stays = se queda en su sitio
c-content-hold-distance = mantiene la distancia
c-content-hold-together = se mueve a la vez
c-content-hold-rests = descansa
c-content-carries = { $n } % del peso corporal
c-content-carries-none = solo estabiliza
c-content-faults = Errores frecuentes
c-content-parameters = Lo que se puede ajustar
c-content-parameters-caption = El primero se ajusta para no pasar un límite. Tolerancia: error de ejecución en casa.
c-content-unit = Unidad
c-content-least = Mínimo
c-content-usual = Habitual
c-content-greatest = Máximo
c-content-tolerance = Tolerancia
c-content-uses = Dónde se usa
c-content-no-uses = Ningún protocolo lo pide.
c-content-uses-name = Nombrado como primera elección
c-content-uses-goal = Sirve por lo que entrena
c-content-next = Más fácil y más difícil
c-content-next-caption = Peldaños más cercanos de la escalera de carga de cada tejido que un protocolo protege, por el límite superior del máximo, en un cuerpo de 1,70 m y 70 kg sin restricciones. Nadie ha escrito este orden.
c-content-easier = Más fácil
c-content-harder = Más difícil
c-content-sources = Fuentes
c-content-known-not-stated = (el texto no dice qué tan bien se conoce)
c-content-as-written = El texto tal como está escrito

### One protocol

c-content-protects = Protege:
c-content-variants = Lo que hay que saber de la operación
c-content-only-if = Solo si { $variant }: { $answers }
c-content-phases = Fases
c-content-begins-by-act = (lo antes posible; una fase empieza por decisión de una persona con nombre)
c-content-goals = Objetivos
c-content-dosage = Dosis
c-content-ceiling = Como máximo
c-content-amount = { $sets } × { $reps }, { $times } al día, { $days } días por semana
c-content-most-exercises = { $n } ejercicios
c-content-first-choices = Primeras elecciones
c-content-weeks = semanas { $from } a { $to }
c-content-weeks-from = desde la semana { $from }
c-content-restrictions = Restricciones
c-content-restrictions-caption = Las semanas son semanas completas después de la operación. Ninguna termina solo por el calendario; la orden del cirujano va primero.
c-content-timeline = Restricciones en las semanas después de la operación
c-content-timeline-alt = Restricciones como barras sobre las semanas completas después de la operación; la tabla de abajo dice lo mismo con palabras.
c-content-timeline-key = Barras: semanas previstas de cada restricción; las etapas de una misma escalera están en una fila. Con borde discontinuo: solo con ciertas respuestas sobre la operación. Números de arriba: fases. Las semanas después de la 16 se dibujan más juntas.
c-content-limit = Límite
c-content-when = Cuándo
c-content-ends = Termina con
c-content-ends-release = el levantamiento por una persona con nombre
c-content-ends-week = la etapa siguiente, cuando han pasado sus semanas y una persona con nombre ha empezado su fase
c-content-ends-phase = el comienzo de la fase { $n }, { $phase }, por una persona con nombre, cuando han pasado sus semanas
c-content-note = Nota:
c-content-differ = Las fuentes difieren
c-content-criteria = Criterios
c-content-criteria-caption = Lo que debe cumplirse antes de empezar una fase.
c-content-opens = Abre la fase
c-content-criterion = Criterio
c-content-threshold = Umbral
c-content-at-least = al menos { $n } { $unit }
c-content-at-most = como máximo { $n } { $unit }
c-content-judged = lo valora un profesional
c-content-milestones = Recorrido esperado
c-content-milestones-caption = Menos que esto en esa semana es motivo para mirar. No es un límite.
c-content-motion = Movimiento
c-content-reaches = Alcanza
c-content-by-week = En la semana
c-content-precautions = Precauciones
c-content-spreads = Donde las fuentes difieren
c-content-spreads-lead = Las afirmaciones una junto a otra y lo que se adoptó. Decide la orden del cirujano.
c-content-taken = Adoptado:
c-content-concerns = Afecta a:

### Writing

c-content-change-of = Cambiar: { $name }
c-content-edit-lead = El texto se comprueba mientras usted escribe. Nada se usa antes de guardarlo y no se guarda nada con errores. La versión del texto ya se ha subido en uno.
c-content-text-label = Texto (TOML)
c-content-words-label = Palabras para el paciente: { $lang }
c-content-line = línea, columna:
c-content-check = Comprobación
c-content-checks = No se han encontrado errores.
c-content-not-checked-yet = Se comprueba mientras usted escribe.
c-content-mistakes = { $n ->
    [one] 1 error
   *[other] { $n } errores
}
c-content-as-typed = La figura según el texto
c-content-typed-body = En un cuerpo de 1,70 m y 70 kg, trabaja el lado izquierdo. Palidece mientras el texto no se puede dibujar.
c-content-save = Guardar y poner en uso
c-content-save-lead = Lo guardado es un borrador hasta que lo firme un profesional.
c-content-leave = Salir sin guardar
c-content-saved = Guardado y en uso.
c-content-earlier-draft = Un borrador anterior suyo, empezado sobre otro texto
c-content-conflict = Otra persona lo ha guardado mientras tanto
c-content-conflict-lead = Su texto está abajo tal como lo escribió. Compárelo con el otro; si guarda otra vez, ocupa el lugar del otro.
c-content-conflict-by = Guardado por { $by } (número { $n })
c-content-conflict-text = El otro texto
c-content-affected = { $n ->
    [0] Ningún episodio abierto usa este protocolo.
    [one] 1 episodio abierto usa este protocolo.
   *[other] { $n } episodios abiertos usan este protocolo.
}
c-content-affected-lead = Antes de poner en uso un texto nuevo se muestra, para cada uno, qué cambia en los límites de hoy.
c-content-affected-after = Revise sus límites y programas; las hojas que tienen en casa pueden estar anticuadas.
c-content-effects = Lo que este texto cambia hoy
c-content-effects-lead = Mire cada línea. Todavía no se ha guardado nada.
c-content-effects-caption = Episodios abiertos con este protocolo
c-content-effects-seen = He visto estos cambios y respondo de ellos.
c-content-effects-break = Este texto no encaja con las órdenes de al menos un episodio abierto y no se puede poner en uso. Conserve los nombres de los que hablan sus órdenes o escriba un protocolo nuevo a partir de este.
c-content-effect-none = los mismos límites que antes
c-content-effect-changes = otros límites: { $before } vigentes antes, { $after } después
c-content-effect-breaks = las órdenes ya no encajan: { $why }
c-content-patient = Paciente
c-content-today = Hoy
