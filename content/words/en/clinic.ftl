# Frame of the clinic's screens, logging in, errors. For clinicians (c-).

c-skip = Skip to the content
c-menu = Main menu
c-menu-today = Today
c-menu-patients = Patients
c-menu-new = New episode
c-menu-content = Exercises and protocols
c-menu-settings = Settings
c-log-out = Log out
c-foot-surgeon = The surgeon's order comes first.
c-foot-licensed = Handrail supports licensed clinicians and does not take the place of local rules or licensed practice.

c-login-title = Log in
c-login-name = Login name
c-login-password = Password
c-login-code = One-time code
c-login-code-hint = (if your account has one)
c-login-go = Log in
c-login-help = Forgotten? Ask the person who looks after the accounts of your clinic.
c-login-wrong = Name, password or code do not fit, or there were too many tries. Try again in a while.

c-fault-title = This did not work
c-fault-back = Back to the first page
c-fault-log-in = Log in first.
c-fault-forbidden = Your role does not allow this. Nothing was changed.
c-fault-not-found = There is nothing here, or it is not yours to see.
c-fault-forged = This form is out of date or did not come from this page. Nothing was changed. Go back, load the page again and repeat.
c-fault-refused = Nothing was changed: { $what }.
c-fault-conflict = Somebody else has changed this meanwhile: { $what }. Nothing of yours was written; it is kept as a draft.
c-fault-too-many = Too many tries. Wait { $what } seconds.
c-fault-too-large = That is more than can be taken at once. Nothing was changed.
c-fault-store = The records cannot be reached or written, and nothing was changed: { $what }
c-fault-internal = An error of the program; nothing was changed. It is in the server's log.

c-today-title = Today
