# Ajustes: cuenta propia, personas, números, auditoría, copias de seguridad, casi errores. Para profesionales (c-).

c-settings-places = Ajustes
c-settings-yes = sí
c-settings-no = no
c-settings-find = Buscar
c-settings-show = Mostrar
c-settings-older = Más antiguas
c-settings-newest = Las más recientes
c-settings-running-already = el mismo trabajo, u otro con el que chocaría, sigue en marcha
c-settings-running-already-mend = Espere un minuto, cargue la página de nuevo y repita.

c-settings-clinic = Clínica
c-settings-clinic-about = El nombre y los teléfonos, tal como figuran en cada hoja.
c-settings-people = Personas
c-settings-people-about = Cuentas, funciones, contraseñas, bloqueos.
c-settings-audit = Auditoría
c-settings-audit-about = Quién entró, quién miró, quién cambió qué; y si el registro está entero.
c-settings-backups = Copias de seguridad
c-settings-backups-about = Hacer una, ver las que hay, cómo recuperarlas.
c-settings-waiting = Contenido pendiente de firma
c-settings-waiting-about = Ejercicios y protocolos que nadie de esta clínica ha firmado todavía.
c-settings-incidents = Casi errores
c-settings-incidents-about = Lo que estuvo a punto de salir mal y qué lo evitó. Sin culpas.

### Lo que se hizo

c-settings-done-password = Su contraseña se cambió. Todas sus otras sesiones se cerraron.
c-settings-done-codes-on = Los códigos de un solo uso están activados. Se le pedirá uno desde la próxima entrada.
c-settings-done-codes-off = Los códigos de un solo uso están desactivados.
c-settings-done-sessions = Todas sus otras sesiones se cerraron.
c-settings-done-changed = Anotado.
c-settings-done-taken-out = Esta persona ya no puede entrar. Todas sus sesiones se cerraron.
c-settings-done-let-in = Esta persona puede entrar de nuevo.
c-settings-done-unlocked = El bloqueo se levantó.
c-settings-done-person-codes-off = Los códigos de un solo uso de esta persona están desactivados.
c-settings-done-numbers = El nombre y los teléfonos quedaron anotados.
c-settings-done-backup = Se hizo una copia. Su registro se comprobó y está entero.
c-settings-done-incident = Gracias. Quedó anotado.
c-settings-done-verified = Se recorrió todo el registro. El resultado figura abajo.
c-settings-done-running = Esto tarda más de lo que una página puede esperar. Sigue por sí solo; cargue la página de nuevo en un minuto.

### Cuenta propia

c-settings-own = Su cuenta
c-settings-password-due = Otra persona fijó su contraseña. Cámbiela ahora: hasta entonces, esa persona también la conoce.
c-settings-password = Contraseña
c-settings-password-present = Contraseña actual
c-settings-password-new = Contraseña nueva
c-settings-password-least = (al menos { $n } caracteres; tres o cuatro palabras que no tengan relación)
c-settings-password-again = Contraseña nueva otra vez
c-settings-password-ends = Todas sus otras sesiones se cierran.
c-settings-password-go = Cambiar la contraseña
c-settings-password-short = una contraseña tiene al menos { $n } caracteres
c-settings-password-short-mend = Use tres o cuatro palabras que no tengan relación.
c-settings-password-differs = la contraseña nueva no se escribió igual las dos veces
c-settings-password-differs-mend = Escríbala de nuevo en los dos campos.
c-settings-password-same = la contraseña nueva es la actual
c-settings-password-same-mend = Elija otra.
c-settings-present-wrong = la contraseña actual no es correcta
c-settings-present-wrong-mend = Escríbala de nuevo. ¿La olvidó? Quien administra las cuentas puede fijar otra.
c-settings-codes = Códigos de un solo uso
c-settings-codes-on = Activados: cada entrada pide un código de su autenticador.
c-settings-codes-off = Desactivados: basta la contraseña para abrir su cuenta.
c-settings-codes-begin = Activar
c-settings-codes-end = Desactivar
c-settings-codes-lost = ¿Perdió el teléfono? Quien administra las cuentas puede desactivar los códigos.
c-settings-codes-already = los códigos de un solo uso ya están activados
c-settings-codes-already-mend = Desactívelos primero y vuelva a activarlos con el teléfono nuevo.
c-settings-codes-title = Activar los códigos de un solo uso
c-settings-codes-step-1 = Abra una aplicación de autenticación en su teléfono. Sirve cualquiera que conozca códigos por tiempo (TOTP).
c-settings-codes-step-2 = Deje que lea esta imagen.
c-settings-codes-picture = Código QR con el secreto para su autenticador
c-settings-codes-typed = O escriba este secreto:
c-settings-codes-step-3 = Escriba el código que muestra la aplicación. Antes de eso nada cuenta.
c-settings-codes-confirm = Confirmar
c-settings-codes-minutes = El secreto vale durante { $n } minutos.
c-settings-codes-wrong = el código no es correcto, ya se usó, o el secreto es demasiado antiguo
c-settings-codes-wrong-mend = Espere el código siguiente y escríbalo. Compruebe el reloj del teléfono. Tras una pausa larga, vuelva a empezar la activación.
c-settings-sessions = Sesiones
c-settings-session = empezó el { $began }, última actividad el { $seen }, termina a más tardar el { $ends }
c-settings-session-this = esta
c-settings-sessions-end = Cerrar todas las otras

### Funciones

c-settings-role-therapist = Fisioterapeuta
c-settings-role-therapist-about = planifica, confirma restricciones, decide, firma contenido
c-settings-role-assistant = Asistente
c-settings-role-assistant-about = trabaja según el plan y añade a las historias; no planifica ni decide
c-settings-role-front-desk = Recepción
c-settings-role-front-desk-about = nombres, citas, episodios nuevos, enlaces de pacientes; sin historia clínica
c-settings-role-clinic-lead = Dirección de la clínica
c-settings-role-clinic-lead-about = fisioterapeuta que además responde de personas, teléfonos y auditoría
c-settings-role-administrator = Administración
c-settings-role-administrator-about = cuentas, teléfonos, auditoría, copias de seguridad; sin historia clínica

### Personas

c-settings-person-name = Nombre
c-settings-person-name-hint = (tal como figura en las entradas y en las hojas)
c-settings-person-title = Título
c-settings-person-title-hint = (después del nombre, por ejemplo PT; puede quedar en blanco)
c-settings-person-role = Función
c-settings-person-state = Estado
c-settings-person-since = Cuenta desde
c-settings-person-patients = Episodios abiertos con este nombre
c-settings-person-names = Nombre y función
c-settings-person-save = Guardar
c-settings-person-access = Acceso
c-settings-person-add = Añadir una persona
c-settings-person-add-go = Añadir y mostrar la contraseña
c-settings-person-own = Su propia contraseña y sus códigos se cambian con la contraseña actual:
c-settings-person-due = Otra persona fijó la contraseña y no se ha cambiado desde entonces.
c-settings-person-rename = Un nombre o título nuevo pasa a los episodios abiertos de este fisioterapeuta. Las entradas antiguas conservan el nombre de entonces.
c-settings-own-role-about = No puede darse a sí mismo una función con más derechos.
c-settings-person-orphans = { $n ->
     [one] 1 episodio abierto nombra todavía a esta persona como fisioterapeuta. Páselo a otra.
    *[other] { $n } episodios abiertos nombran todavía a esta persona como fisioterapeuta. Páselos a otra.
    }
c-settings-person-no-name = falta el nombre
c-settings-person-no-name-mend = Rellénelo.
c-settings-person-long = un nombre o título tiene más de { $n } caracteres o caracteres de control
c-settings-person-long-mend = Acórtelo.
c-settings-person-no-role = falta la función
c-settings-person-no-role-mend = Elija una de las cinco.
c-settings-login-hint = (letras minúsculas, sin espacios; no se puede cambiar después)
c-settings-login-bad = el nombre de usuario está en blanco, es demasiado largo o tiene espacios
c-settings-login-bad-mend = Use un nombre corto sin espacios.
c-settings-login-taken = el nombre de usuario «{ $login }» ya existe
c-settings-login-taken-mend = Elija otro.
c-settings-state-in = puede entrar
c-settings-state-out = no puede entrar
c-settings-state-locked = bloqueada hasta el { $until }
c-settings-unlock = Levantar el bloqueo
c-settings-unlock-about = Diez intentos fallidos seguidos bloquean una cuenta un cuarto de hora. Pregunte a la persona si los intentos fueron suyos.
c-settings-reset = Fijar una contraseña de un solo uso
c-settings-reset-about = La contraseña anterior deja de valer y todas las sesiones de esta persona se cierran. La nueva se muestra una vez.
c-settings-reset-own = la contraseña y los códigos propios no se cambian aquí
c-settings-reset-own-mend = Cámbielos en Ajustes, con la contraseña actual.
c-settings-codes-take = Desactivar los códigos de un solo uso
c-settings-codes-take-about = Para un teléfono perdido. Asegúrese de que es esta persona quien lo pide.
c-settings-take-out = Retirar el acceso a esta persona
c-settings-take-out-about = Vale de inmediato y cierra todas sus sesiones. Las entradas y las firmas quedan.
c-settings-take-out-patients = { $n ->
     [one] 1 episodio abierto nombra a esta persona como fisioterapeuta. Páselo también a otra.
    *[other] { $n } episodios abiertos nombran a esta persona como fisioterapeuta. Páselos también a otra.
    }
c-settings-let-in = Permitir el acceso de nuevo
c-settings-let-in-about = La contraseña y los códigos anteriores vuelven a valer.
c-settings-last-people = esta es la última cuenta activa que administra personas, y sin ella nadie podría hacerlo
c-settings-last-people-mend = Dé primero a otra persona activa la función de dirección o de administración.
c-settings-own-role = nadie se da a sí mismo una función con más derechos
c-settings-own-role-mend = Puede hacerlo otra persona que administre las cuentas.
c-settings-no-person = no existe esa cuenta
c-settings-no-person-mend = Elija una de la lista de personas.
c-settings-password-once = Una contraseña que se muestra una vez
c-settings-password-once-about = Se crea una contraseña al azar y se muestra una vez.
c-settings-password-once-shown = No se guarda en ningún lugar y no se puede mostrar de nuevo. Apúntela o léasela ahora a la persona.
c-settings-password-once-say = La persona entra con ella y la cambia en Ajustes. Hasta entonces la conocen los dos.
c-settings-password-once-done = Ya está apuntada

### Clínica

c-settings-clinic-numbers = Nombre y teléfonos
c-settings-clinic-name = Nombre de la clínica
c-settings-clinic-name-hint = (tal como figura en las hojas)
c-settings-clinic-phone = Teléfono en horario de apertura
c-settings-clinic-phone-hint = (a quién llaman los pacientes por una duda o una señal de alarma)
c-settings-clinic-late = Fuera de ese horario
c-settings-clinic-late-hint = (un teléfono, o a quién llamar)
c-settings-clinic-emergency = Número de emergencias
c-settings-clinic-emergency-hint = (del país)
c-settings-clinic-save = Guardar para todos los episodios abiertos
c-settings-clinic-missing = Faltan el nombre o los teléfonos. Sin ellos no se entrega ninguna hoja.
c-settings-clinic-none = no hay teléfonos anotados
c-settings-clinic-none-mend = Rellénelos y guarde.
c-settings-clinic-blank = «{ $field }» está en blanco
c-settings-clinic-blank-mend = Rellénelo: una hoja sin un teléfono al que llamar no se entrega.
c-settings-clinic-long = «{ $field }» es más largo de lo que cabe en una hoja, o tiene caracteres de control
c-settings-clinic-long-mend = Acórtelo.
c-settings-clinic-no-digit = «{ $field }» no tiene ninguna cifra
c-settings-clinic-no-digit-mend = Escriba el número que marcan los pacientes.
c-settings-clinic-sheets = Qué supone un cambio
c-settings-clinic-open = { $n ->
     [one] Hay 1 episodio abierto. Recibe los teléfonos nuevos como una entrada propia, y las hojas hechas desde entonces los llevan.
    *[other] Hay { $n } episodios abiertos. Cada uno recibe los teléfonos nuevos como una entrada propia, y las hojas hechas desde entonces los llevan.
    }
c-settings-clinic-old = Las hojas que tienen los pacientes conservan los teléfonos anteriores. Con esto ninguna hoja queda marcada como atrasada. Si un teléfono anterior ya no responde, llame a esos pacientes y entregue hojas nuevas.
c-settings-carry-running = El cambio del { $at } se está anotando en los episodios abiertos. Cargue la página de nuevo en un minuto.
c-settings-carry-stopped = El cambio del { $at } se interrumpió antes de llegar a todos los episodios abiertos.
c-settings-carry-failed = El cambio del { $at } llegó a { $changed } episodios abiertos; { $failed } no se pudieron anotar.
c-settings-carry-done = Último cambio, el { $at }: anotado en { $changed } episodios abiertos.
c-settings-carry-again = Anotarlo en los demás
c-settings-clinic-zone = Zona horaria
c-settings-clinic-zone-about = En ella empiezan y terminan los días de la clínica. Se fija al iniciar el servidor.

### Auditoría

c-settings-audit-patient = Un paciente: quién miró, quién cambió
c-settings-audit-find = Nombre, fecha de nacimiento o número de historia
c-settings-audit-is-view = Abrir la auditoría de un paciente queda anotado como consulta.
c-settings-audit-no-content = Lo que dicen las entradas figura solo en la historia.
c-settings-audit-journal = Al registro de la historia
c-settings-audit-of = Auditoría: { $name }
c-settings-audit-clinic = El registro propio de la clínica
c-settings-none-found = Ningún paciente coincide.
c-settings-newest-first = Lo más reciente primero.
c-settings-export = Exportar como CSV
c-settings-export-most = coinciden más de { $n } líneas
c-settings-export-most-mend = Acote los días.
c-settings-no-lines = Ninguna línea coincide.
c-settings-no-day = «{ $text }» no es una fecha
c-settings-no-day-mend = Escríbala como 2026-11-25.
c-settings-everybody = todas las personas
c-settings-every-kind = todas las clases
c-settings-from = Desde el día
c-settings-until = Hasta el día
c-settings-col-number = N.º
c-settings-col-when = Cuándo
c-settings-col-who = Quién
c-settings-col-kind = Clase
c-settings-col-what = Qué
c-settings-in-place-of = en lugar de la entrada { $n }
c-settings-kind-login = Inicio de sesión
c-settings-kind-login-failed = Intento fallido
c-settings-kind-logout = Cierre de sesión
c-settings-kind-account = Cuenta
c-settings-kind-setting = Ajuste
c-settings-kind-link = Enlace de paciente
c-settings-kind-view = Consulta
c-settings-kind-signature = Firma
c-settings-kind-content = Contenido
c-settings-kind-backup = Copia de seguridad
c-settings-kind-restore = Recuperación
c-settings-kind-verify = Registro comprobado
c-settings-view-episode = Episodio
c-settings-view-journal = Registro
c-settings-view-record = Añadir a la historia
c-settings-view-restrictions = Restricciones
c-settings-view-program = Programa
c-settings-view-limits-today = Límites de hoy
c-settings-view-home = Página y enlace del paciente
c-settings-view-call = Llamada
c-settings-view-correct = Corrección
c-settings-view-tightness = Qué cerca de los límites
c-settings-view-guided-session-file = Archivo de la sesión guiada
c-settings-view-patient-page = Página propia del paciente
c-settings-view-guided-session = Sesión guiada en la página del paciente
c-settings-by-patient = { $name } (paciente)
c-settings-by-demo = Datos de demostración
c-settings-by-command-line = Línea de órdenes
c-settings-field-name = nombre
c-settings-field-title = título
c-settings-field-role = función
c-settings-field-phone = teléfono
c-settings-field-out-of-hours = fuera del horario
c-settings-field-emergency = número de emergencias
c-settings-said-link-made = Enlace de { $patient } creado; vale hasta el { $until }
c-settings-said-link-opened = Página de { $patient } abierta con el enlace
c-settings-said-link-back = Enlace de { $patient } retirado
c-settings-said-link-wrong = Página de { $patient }: fecha de nacimiento errónea, { $n } seguidas
c-settings-said-link-locked = Enlace de { $patient } retirado tras { $n } fechas de nacimiento erróneas
c-settings-said-own-password = Contraseña propia cambiada; otras sesiones cerradas: { $n }
c-settings-said-own-codes-on = Códigos de un solo uso propios activados; otras sesiones cerradas: { $n }
c-settings-said-own-codes-off = Códigos de un solo uso propios desactivados
c-settings-said-sessions-ended = Otras sesiones cerradas: { $n }
c-settings-said-created = Cuenta { $login } creada: { $name }, { $role }
c-settings-said-active = La cuenta { $login } puede iniciar sesión de nuevo
c-settings-said-inactive = La cuenta { $login } ya no puede iniciar sesión; sesiones cerradas: { $n }
c-settings-said-reset = Cuenta { $login }: contraseña restablecida; sesiones cerradas: { $n }
c-settings-said-codes-off = Cuenta { $login }: códigos de un solo uso desactivados
c-settings-said-unlocked = Cuenta { $login }: bloqueo levantado; intentos fallidos: { $n }
c-settings-said-changed = Cuenta { $login }: { $changes }
c-settings-said-clinic = Clínica: { $changes }
c-settings-said-no-change = guardado sin cambios
c-settings-said-saved = { $name } guardado por { $by }
c-settings-said-signed = { $name }, versión { $version }, firmado por { $by }
c-settings-said-exported = Auditoría exportada ({ $filter })
c-settings-said-present-wrong = Contraseña actual errónea, desde { $address }
c-settings-said-backup = { $file }; entradas: { $n }; huella { $digest }
c-settings-said-verified = Entradas: { $entries }; cadenas: { $streams }; fallos: { $faults }; huella { $digest }
c-settings-view-audit = Auditoría
c-settings-view-audit-export = Auditoría, exportada
c-settings-verify = ¿Está entero el registro?
c-settings-verify-about = Cada entrada lleva un sello sobre su texto y sobre la entrada anterior. Un cambio, un hueco u otro orden rompen la cadena.
c-settings-verify-go = Comprobar el registro ahora
c-settings-verify-never = Todavía no se ha comprobado desde esta página.
c-settings-verify-last = Última comprobación el { $at }, por { $by }.
c-settings-verify-walked = { $streams } cadenas, { $entries } entradas.
c-settings-verify-whole = No se encontró ninguna rotura: todas las cadenas están enteras.
c-settings-verify-faults = { $n ->
     [one] 1 rotura
    *[other] { $n } roturas
    }
c-settings-verify-mend = No siga escribiendo. Recupere la última copia entera junto a estos datos y compare.
c-settings-verify-remarks = { $n ->
     [one] 1 observación: el reloj del servidor se había atrasado.
    *[other] { $n } observaciones: el reloj del servidor se había atrasado.
    }
c-settings-verify-digest = Huella, para apuntarla en otro lugar y comparar más tarde:

### Copias de seguridad

c-settings-mb = { $n } MB
c-settings-gb = { $n } GB
c-settings-backup-make = Hacer una copia
c-settings-backup-about = Se hace una copia entera y cifrada mientras la clínica trabaja. Tiene la misma clave que los datos. Aquí no se puede descargar, porque contiene a todos los pacientes.
c-settings-backup-where = Carpeta en el servidor:
c-settings-backup-elsewhere = Lleve las copias a otra máquina o a otro disco. Una copia en el mismo disco se pierde con él.
c-settings-backup-go = Hacer una copia ahora
c-settings-backup-list = Copias en la carpeta
c-settings-backup-none = Todavía no hay ninguna.
c-settings-backup-file = Archivo
c-settings-backup-size = Tamaño
c-settings-backup-all = { $n ->
     [one] 1 copia, { $size }. Las antiguas se quitan a mano en el servidor.
    *[other] { $n } copias, { $size } en total. Las antiguas se quitan a mano en el servidor.
    }
c-settings-backup-unreadable = La carpeta no se puede leer: { $what }
c-settings-backup-failed = no se hizo ninguna copia: { $what }
c-settings-backup-failed-mend = Compruebe que el disco tiene sitio y que se puede escribir en la carpeta. El intento figura en la auditoría.
c-settings-backup-server = Los datos están en PostgreSQL. Las copias se hacen desde la línea de órdenes, en una máquina que llegue a la base de datos:
c-settings-backup-by-command = los datos están en PostgreSQL
c-settings-backup-by-command-mend = Haga la copia con `handrail backup` en la línea de órdenes.
c-settings-restore = Cómo recuperar
c-settings-restore-1 = Pare el servidor. Deje los datos actuales donde están: nada se sobrescribe.
c-settings-restore-2 = Haga de la copia una clínica en una carpeta nueva. Antes se comprueba su registro.
c-settings-restore-3 = Inicie el servidor con la carpeta nueva. Todos entran de nuevo.
c-settings-restore-key = KEY es el archivo con la clave de la clínica. Guárdelo en un segundo lugar, aparte de las copias: sin él nadie puede leerlas.
c-settings-restore-try = Recupere una de vez en cuando, para saber que se puede.

### Casi errores

c-settings-incident-write = Anotar uno
c-settings-incident-why = Algo estuvo a punto de salir mal, o salió mal. Aquí cuenta qué pasó y qué lo evitó, no quién fue.
c-settings-incident-kind = Clase
c-settings-incident-wrong-side = Lado equivocado
c-settings-incident-stale-sheet = Hoja atrasada
c-settings-incident-wrong-load = Carga o restricción equivocada
c-settings-incident-fall = Caída, o casi
c-settings-incident-other = Otra
c-settings-incident-what = Qué pasó
c-settings-incident-what-hint = (sin nombres de pacientes ni de colegas)
c-settings-incident-caught = Qué lo evitó
c-settings-incident-caught-hint = (o qué lo habría evitado)
c-settings-incident-record = Paciente
c-settings-incident-record-hint = (puede quedar en blanco; nombre o número de historia, guardado como enlace que solo ve quien lee historias)
c-settings-incident-named = Poner mi nombre, para que me puedan preguntar
c-settings-incident-go = Anotar
c-settings-incident-duty = Este cuaderno no sustituye los avisos que pidan la ley, la aseguradora o la empresa.
c-settings-incident-log = Lo que se anotó
c-settings-incident-counts = En los últimos { $n } días
c-settings-incident-count = Cuántos
c-settings-incident-none = Todavía no se anotó nada.
c-settings-incident-open = A la historia
c-settings-incident-blank = «{ $field }» está en blanco
c-settings-incident-blank-mend = Basta una frase.
c-settings-incident-long = «{ $field }» tiene más de { $n } caracteres
c-settings-incident-long-mend = Acórtelo.
c-settings-incident-no-kind = falta la clase
c-settings-incident-no-kind-mend = Elija una; «otra» también vale.
c-settings-incident-no-record = ningún paciente coincide
c-settings-incident-no-record-mend = Compruebe el nombre, o deje el campo en blanco.
c-settings-incident-many-records = coincide más de un paciente
c-settings-incident-many-records-mend = Escriba el número de historia o la fecha de nacimiento, o deje el campo en blanco.

c-settings-clock = Reloj del servidor
c-settings-clock-about = El reloj marca { $now }, pero algo se registró el { $last }. Si el reloj se atrasó, quien administra el servidor lo corrige y este aviso desaparece. Si entonces iba adelantado y ahora va bien, dígalo aquí.
c-settings-clock-today = Hoy es
c-settings-clock-today-hint = (léalo en un calendario, no en esta página)
c-settings-clock-right = El reloj va bien ahora
c-settings-clock-not-behind = El reloj no está antes de la última entrada.
c-settings-clock-not-behind-mend = No hay nada que hacer.
c-settings-clock-other-day = Según el reloj del servidor hoy es { $today }, no el día que usted escribió.
c-settings-clock-other-day-mend = Si su día es el correcto, el reloj va mal: pida a quien administra el servidor que lo corrija.
