# La página propia del paciente: puerta, hoy, diario, señales de alarma, mensajes; y el papel con el enlace.

p-app-name = Programa de ejercicios en casa
p-app-short = Ejercicios
p-description = Sus ejercicios en casa, sus límites, señales de alarma y diario.
p-language = Idioma
p-emergency = Emergencia:
p-clinic = Clínica:
p-out-of-hours = Noches y fines de semana:

### La puerta

p-door-title = Abra su página
p-door-lead = Esta página es de una sola persona. Para abrirla, ponga su fecha de nacimiento.
p-door-born = Su fecha de nacimiento
p-door-day = Día
p-door-month = Mes
p-door-year = Año
p-door-choose = Elija
p-door-go = Abrir
p-door-help = ¿No se abre? Llame a su clínica y pida un enlace nuevo.
p-door-blank = Por favor, ponga el día, el mes y el año.
p-door-wrong = No se abrió. Revise la fecha. Tras varios errores el enlace deja de funcionar.
p-closed-title = Abra de nuevo su enlace
p-closed = Su página no está abierta en este teléfono. Abra de nuevo el enlace de su clínica. O llame y pida uno nuevo.
p-fault-title = Ahora no se puede abrir esta página
p-fault-store = El ordenador de la clínica no está listo. No es culpa suya.
p-fault-store-mend = Lo que escribió en el diario sigue en su teléfono. Se envía solo más tarde. Pruebe otra vez en unos minutos.
p-fault-call = ¿Tiene una señal de alarma? No espere a esta página. Llame ahora a su clínica. En una emergencia, llame al número de emergencias.

### Cada pantalla

p-stamp = Versión { $version } del { $date }. Úsela hasta el { $until }.
p-stamp-none = Todavía no tiene programa.
p-tabs = Pantallas
p-tab-today = Hoy
p-tab-diary = Diario
p-tab-signs = Señales
p-tab-messages = Mensajes
p-draft-content = Su terapeuta firmó este programa. Partes de su contenido son un borrador, aún no revisado por un clínico de esta clínica.
p-no-script = El diario necesita un navegador con JavaScript. El resto de la página funciona.
p-offline = Sin red. Usted ve lo que este teléfono ha guardado.
p-unsent-one = Falta enviar 1 entrada. Saldrá cuando haya red.
p-unsent-many = Faltan por enviar {"{n}"} entradas. Saldrán cuando haya red.
p-again = Abra de nuevo el enlace de su clínica. Lo que escribió queda guardado en este teléfono.
p-out-of-date = Esta hoja está vencida. Su último día fue el {"{until}"}. No haga ejercicio con ella. Llame a su clínica:
p-date-wrong = La fecha de este teléfono parece mal. Revísela. No haga ejercicio hasta que esté bien.

### Hoy

p-today = Hoy
p-session-title = Su sesión
p-session-days = Días:
p-session-needs = Necesita:
p-session-not-more = Haga esto y no más. No recupere los días que faltó.
p-session-start = Empezar la sesión
p-session-diary = Escribir en el diario
p-session-back = Volver a mi página
p-session-to-diary = Volver a mi página y al diario
p-rest-day = Hoy no hay sesión en su plan. El descanso es parte del plan.
p-no-session-title = Hoy no hay sesión
p-no-program = Su terapeuta todavía no ha hecho su programa.
p-sheet-out-of-date = Su programa está vencido. Su terapeuta tiene que verlo primero.
p-stopped = Hay que revisar su programa antes de seguir.
p-ended = Su atención en esta clínica ha terminado. Esta página ya no muestra ejercicios.
p-no-session-old = No haga ejercicio con una hoja vieja. Llame a su clínica:
p-wear-title = Lo que debe llevar puesto por ahora
p-limits-title = Lo que no debe hacer por ahora
p-limits-until = ¿Hasta cuándo vale cada uno?
p-limits-none = Aquí no se conocen sus límites. Llame a su clínica antes de hacer ejercicio.
p-planned-title = Lo que está previsto por ahora
p-planned-goals = Usted trabaja en:
p-stop-title = Pare y llame
p-about-title = Sobre esta página
p-not-checked-title = Lo que nadie ha revisado
p-install-title = Tenga esta página en su teléfono
p-install = Abra el menú de su navegador. Toque «Añadir a pantalla de inicio». Así se abre también sin red.
p-install-button = Ponerla en este teléfono
p-leave = Quitar esta página de este teléfono
p-leave-hint = ¿No es su propio teléfono? Quite la página cuando termine.
p-leave-unsent = Hay entradas sin enviar. Se van a perder. ¿Quitar la página ahora?
p-left-title = La página está cerrada
p-left = Este teléfono ya no tiene su página. Para verla, abra de nuevo el enlace de su clínica.

### Señales de alarma

p-signs-title = Señales de alarma
p-signs-tap = ¿Tiene alguna de estas señales? Tóquela.
p-call-no-exercise = No haga ejercicio ahora.
p-call-no-exercise-until-told = No haga ejercicio hasta que lo haya dicho a su terapeuta.
p-call-later = Nadie mira esta página todo el día. ¿Va a peor o tiene dudas? Entonces llame. No espere aquí una respuesta.
p-call-not-watched = Nadie mira esta página todo el día. Por eso, llame. No espere aquí una respuesta.
p-call-back = Volver al diario
p-sign-sent = Su clínica ya tiene esta señal en su lista. Llame de todos modos.
p-sign-sent-later = Su clínica ya tiene esta señal en su lista. Dígalo también en su visita.
p-sign-kept-later = Esta señal aún no se ha enviado. Se enviará cuando haya red.
p-sign-kept = Esta señal no se ha enviado todavía. Llame ahora. Saldrá cuando haya red.

### Diario

p-diary-title = Diario
p-diary-signs = Primero: ¿tiene alguna de estas señales?
p-diary-no-signs = No tengo ninguna
p-no-other = Ninguna otra señal. Seguir
p-diary-still-call = Si más tarde aparece una señal, llame enseguida.
p-diary-day = ¿Qué día?
p-day-today = Hoy
p-day-yesterday = Ayer
p-diary-exercises = ¿Qué hizo?
p-diary-all-done = Hice todo como en el plan
p-diary-all = Hecho
p-diary-part = No todo
p-diary-none = No lo hice
p-diary-sets = Series
p-diary-reps = Veces en total
p-fewer = Uno menos
p-more = Uno más
p-diary-pain-before = Dolor antes
p-diary-pain-during = El peor dolor durante el ejercicio
p-diary-pain-after = Dolor justo después
p-diary-morning = ¿Cómo fue la mañana después de su última sesión?
p-diary-morning-usual = Como siempre
p-diary-morning-worse = Más dolor o rigidez
p-diary-swelling = ¿Y la hinchazón, frente al día anterior?
p-diary-swelling-less = Menos
p-diary-swelling-same = Igual
p-diary-swelling-more = Más
p-diary-left-out = ¿Por qué no hizo todo?
p-diary-extra = ¿Hizo más de lo que dice el plan? ¿Qué?
p-diary-note = ¿Qué más debemos saber?
p-diary-message = Un mensaje para la clínica
p-diary-save = Guardar
p-missing = Ponga al menos una cosa.
p-missing-counts = No hizo todo un ejercicio. Escriba las series y las veces.
p-guided-found = Pusimos lo que hizo en su sesión de las {"{time}"}. Revíselo.
p-guided-sign = Dijo que sí a una señal antes de la sesión: {"{group}"}
p-earlier-title = Sus últimas entradas
p-earlier-none = Todavía no hay ninguna.
p-earlier-done = { $n } de { $total } ejercicios
p-earlier-pain = Peor dolor: { $n }
p-saved-title = Su entrada está guardada
p-saved-call = Una entrada no es una llamada. Si tiene una señal de alarma, llame.
p-saved-back = Volver a hoy
p-sent = Se ha enviado a su clínica.
p-kept = No se ha enviado todavía. Queda en este teléfono y saldrá sola.
p-sending = Se está enviando.
p-waiting = Sin enviar todavía
p-not-kept = Este teléfono no puede guardarla. Deje esta página abierta hasta que se envíe.
p-refused = El servidor de la clínica no la aceptó:
p-remove = Quitarla
p-try-again = Probar de nuevo
p-refused-form = no se pudo leer
p-refused-other-person = se escribió en la página de otra persona
p-refused-empty = no tiene nada
p-refused-long = un texto es demasiado largo
p-refused-future = ese día no ha llegado todavía
p-refused-before-surgery = ese día es antes de su operación
p-refused-too-many = hay demasiadas entradas para ese día
p-refused-version = es de un programa que no es suyo
p-refused-exercise = nombra un ejercicio que no está en su programa
p-refused-counts = un número es muy grande o no encaja
p-refused-pain = el dolor va de 0 a 10
p-refused-mend = Revísela y guárdela otra vez. O llame a su clínica.

### Mensajes

p-messages-title = Mensajes
p-messages-not-watched = De noche nadie lee esto. Si no puede esperar, llame.
p-messages-write = Escriba a su clínica
p-messages-send = Enviar
p-messages-none = Todavía no hay mensajes.
p-messages-you = Usted

### El papel con el enlace

p-paper-title = Su página de ejercicios en casa
p-paper-1 = Apunte al código con la cámara de su teléfono.
p-paper-2 = Abra el enlace. Ponga su fecha de nacimiento.
p-paper-3 = Añada la página a la pantalla de inicio. Funciona también sin red.
p-paper-4 = Escriba en el diario después de cada sesión.
p-paper-until = El enlace funciona hasta el { $date }.
p-paper-keep = El enlace es solo para usted. No lo pase a nadie.
p-file-title = Su sesión guiada en un archivo
p-file-1 = Abra el archivo en su teléfono o computadora. No necesita red.
p-file-2 = Responda a las preguntas de la primera pantalla. Luego toque el botón para empezar.
p-file-3 = Al final la página muestra un código cuadrado. Guarda lo que usted hizo.
p-file-4 = Traiga su teléfono a la próxima visita. Abra las sesiones anteriores y muestre los códigos.
p-file-until = Use el archivo hasta el { $date }. Después pida uno nuevo.
