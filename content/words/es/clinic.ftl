# Marco de las pantallas de la clínica, inicio de sesión, errores. Para profesionales (c-).

c-skip = Ir al contenido
c-menu = Menú principal
c-menu-today = Hoy
c-menu-patients = Pacientes
c-menu-new = Nuevo episodio
c-menu-content = Ejercicios y protocolos
c-menu-settings = Ajustes
c-log-out = Cerrar sesión
c-foot-surgeon = La orden del cirujano va primero.
c-foot-licensed = Handrail apoya a profesionales con licencia y no sustituye las normas locales ni el ejercicio profesional.

c-login-title = Iniciar sesión
c-login-name = Nombre de usuario
c-login-password = Contraseña
c-login-code = Código de un solo uso
c-login-code-hint = (si su cuenta lo tiene)
c-login-go = Entrar
c-login-help = ¿La olvidó? Pregunte a quien administra las cuentas de su clínica.
c-login-wrong = El nombre, la contraseña o el código no son correctos, o hubo demasiados intentos. Pruebe de nuevo más tarde.

c-fault-title = No se pudo hacer
c-fault-back = Volver a la primera página
c-fault-log-in = Inicie sesión primero.
c-fault-forbidden = Su función no permite esto. No se cambió nada.
c-fault-not-found = Aquí no hay nada, o no le corresponde verlo.
c-fault-forged = Este formulario ya no es válido o no vino de esta página. No se cambió nada. Vuelva, cargue la página de nuevo y repita.
c-fault-refused = No se cambió nada: { $what }.
c-fault-conflict = Otra persona cambió esto mientras tanto: { $what }. No se escribió nada suyo; queda como borrador.
c-fault-too-many = Demasiados intentos. Espere { $what } segundos.
c-fault-too-large = Es más de lo que se puede recibir de una vez. No se cambió nada.
c-fault-store = No se puede leer ni escribir el registro, y no se cambió nada: { $what }
c-fault-internal = Un error del programa; no se cambió nada. Está en el registro del servidor.

c-today-title = Hoy
