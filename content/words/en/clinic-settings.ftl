# Settings: own account, people, numbers, audit, backups, near misses. For clinicians (c-).

c-settings-places = Settings
c-settings-yes = yes
c-settings-no = no
c-settings-find = Find
c-settings-show = Show
c-settings-older = Older
c-settings-newest = Newest
c-settings-running-already = the same work, or work that it would meet, is still under way
c-settings-running-already-mend = Wait a minute, load the page again and repeat.

c-settings-clinic = Clinic
c-settings-clinic-about = Name and the numbers to call, as they stand on every sheet.
c-settings-people = People
c-settings-people-about = Accounts, roles, passwords, locks.
c-settings-audit = Audit
c-settings-audit-about = Who logged in, who looked, who changed what; whether the journal is whole.
c-settings-backups = Backups
c-settings-backups-about = Make one, see what lies there, how to restore.
c-settings-waiting = Content waiting for sign-off
c-settings-waiting-about = Exercises and protocols that nobody of this clinic has signed yet.
c-settings-incidents = Near misses
c-settings-incidents-about = What nearly went wrong, and what caught it. Without blame.

### What was done

c-settings-done-password = Your password was changed. All your other sessions were ended.
c-settings-done-codes-on = One-time codes are on. From the next login on you are asked for one.
c-settings-done-codes-off = One-time codes are off.
c-settings-done-sessions = All your other sessions were ended.
c-settings-done-changed = Written down.
c-settings-done-taken-out = This person can no longer log in. All their sessions were ended.
c-settings-done-let-in = This person can log in again.
c-settings-done-unlocked = The lock was lifted.
c-settings-done-person-codes-off = One-time codes of this person are off.
c-settings-done-numbers = The name and the numbers are on record.
c-settings-done-backup = A backup was made. Its journal was checked and is whole.
c-settings-done-incident = Thank you. It was written down.
c-settings-done-verified = The journal was walked through. The outcome stands below.
c-settings-done-running = This takes longer than a page may. It goes on by itself; load the page again in a minute.

### Own account

c-settings-own = Your account
c-settings-password-due = Somebody else set your password. Change it now: until then that person knows it too.
c-settings-password = Password
c-settings-password-present = Present password
c-settings-password-new = New password
c-settings-password-least = (at least { $n } characters; three or four words that do not belong together)
c-settings-password-again = New password once more
c-settings-password-ends = All your other sessions end.
c-settings-password-go = Change password
c-settings-password-short = a password has at least { $n } characters
c-settings-password-short-mend = Take three or four words that do not belong together.
c-settings-password-differs = the new password was not typed the same way twice
c-settings-password-differs-mend = Type it again in both fields.
c-settings-password-same = the new password is the present one
c-settings-password-same-mend = Choose another.
c-settings-present-wrong = the present password does not fit
c-settings-present-wrong-mend = Type it again. Forgotten? A person who looks after accounts can set a new one.
c-settings-codes = One-time codes
c-settings-codes-on = On: each login asks for a code from your authenticator.
c-settings-codes-off = Off: the password alone opens your account.
c-settings-codes-begin = Turn on
c-settings-codes-end = Turn off
c-settings-codes-lost = Lost the phone? A person who looks after accounts can turn the codes off.
c-settings-codes-already = one-time codes are on already
c-settings-codes-already-mend = Turn them off first, then on again with the new phone.
c-settings-codes-title = Turn on one-time codes
c-settings-codes-step-1 = Open an authenticator app on your phone. Any that knows time-based codes (TOTP) will do.
c-settings-codes-step-2 = Let it read this picture.
c-settings-codes-picture = QR code with the secret for your authenticator
c-settings-codes-typed = Or type this secret:
c-settings-codes-step-3 = Type the code that the app shows. Nothing counts before that.
c-settings-codes-confirm = Confirm
c-settings-codes-minutes = The secret is valid for { $n } minutes.
c-settings-codes-wrong = the code does not fit, was used already, or the secret is too old
c-settings-codes-wrong-mend = Wait for the next code and type that. Check the clock of the phone. After a long pause turn the codes on anew.
c-settings-sessions = Sessions
c-settings-session = began { $began }, last seen { $seen }, ends { $ends } at the latest
c-settings-session-this = this one
c-settings-sessions-end = End all others

### Roles

c-settings-role-therapist = Therapist
c-settings-role-therapist-about = plans, confirms restrictions, decides, signs content
c-settings-role-assistant = Assistant
c-settings-role-assistant-about = works within the plan and adds to records; does not plan or decide
c-settings-role-front-desk = Front desk
c-settings-role-front-desk-about = names, appointments, new episodes, patient links; no clinical record
c-settings-role-clinic-lead = Clinic lead
c-settings-role-clinic-lead-about = a therapist who also answers for people, numbers and audit
c-settings-role-administrator = Administrator
c-settings-role-administrator-about = accounts, numbers, audit, backups; no clinical record

### People

c-settings-person-name = Name
c-settings-person-name-hint = (as it stands under entries and on sheets)
c-settings-person-title = Title
c-settings-person-title-hint = (after the name, for example PT; may be blank)
c-settings-person-role = Role
c-settings-person-state = State
c-settings-person-since = Account since
c-settings-person-patients = Open episodes under this name
c-settings-person-names = Name and role
c-settings-person-save = Save
c-settings-person-access = Access
c-settings-person-add = Add a person
c-settings-person-add-go = Add and show the password
c-settings-person-own = Your own password and codes are changed with your present password:
c-settings-person-due = The password was set by somebody else and has not been changed since.
c-settings-person-rename = A new name or title is carried into the open episodes of this therapist. Old entries keep the name of then.
c-settings-own-role-about = You cannot give yourself a role with more rights.
c-settings-person-orphans = { $n ->
     [one] 1 open episode still names this person as its therapist. Hand it over.
    *[other] { $n } open episodes still name this person as their therapist. Hand them over.
    }
c-settings-person-no-name = a name is missing
c-settings-person-no-name-mend = Fill it in.
c-settings-person-long = a name or title is longer than { $n } characters or has control characters
c-settings-person-long-mend = Shorten it.
c-settings-person-no-role = a role is missing
c-settings-person-no-role-mend = Choose one of the five.
c-settings-login-hint = (small letters, no spaces; cannot be changed later)
c-settings-login-bad = the login name is blank, too long, or has spaces
c-settings-login-bad-mend = Take a short name without spaces.
c-settings-login-taken = the login name “{ $login }” is taken
c-settings-login-taken-mend = Choose another.
c-settings-state-in = can log in
c-settings-state-out = cannot log in
c-settings-state-locked = locked until { $until }
c-settings-unlock = Lift the lock
c-settings-unlock-about = Ten wrong tries in a row lock an account for a quarter of an hour. Ask the person whether the tries were theirs.
c-settings-reset = Set a one-time password
c-settings-reset-about = The old password ends, and all sessions of this person end. The new one is shown once.
c-settings-reset-own = one's own password and codes are not reset here
c-settings-reset-own-mend = Change them under Settings, with the present password.
c-settings-codes-take = Turn off one-time codes
c-settings-codes-take-about = For a lost phone. Make sure that it is this person who asks.
c-settings-take-out = End this person's access
c-settings-take-out-about = Takes effect at once and ends all sessions. Entries and signatures stay.
c-settings-take-out-patients = { $n ->
     [one] 1 open episode names this person as its therapist. Hand it over too.
    *[other] { $n } open episodes name this person as their therapist. Hand them over too.
    }
c-settings-let-in = Allow access again
c-settings-let-in-about = The old password and codes count again.
c-settings-last-people = this is the last active account that looks after people, and without it nobody could
c-settings-last-people-mend = Give another active person the role clinic lead or administrator first.
c-settings-own-role = nobody gives themselves a role with more rights
c-settings-own-role-mend = Another person who looks after accounts can do it.
c-settings-no-person = there is no such account
c-settings-no-person-mend = Choose one from the list of people.
c-settings-password-once = A password, shown once
c-settings-password-once-about = A random password is made and shown once.
c-settings-password-once-shown = It is kept nowhere and cannot be shown again. Write it down or read it to the person now.
c-settings-password-once-say = The person logs in with it and changes it under Settings. Until then you both know it.
c-settings-password-once-done = Written down

### Clinic

c-settings-clinic-numbers = Name and numbers
c-settings-clinic-name = Name of the clinic
c-settings-clinic-name-hint = (as it stands on sheets)
c-settings-clinic-phone = Phone in opening hours
c-settings-clinic-phone-hint = (whom patients call with a question or a warning sign)
c-settings-clinic-late = At other times
c-settings-clinic-late-hint = (a number, or whom to call)
c-settings-clinic-emergency = Emergency number
c-settings-clinic-emergency-hint = (of the country)
c-settings-clinic-save = Save for all open episodes
c-settings-clinic-missing = Name or numbers are not filled in. Without them no sheet is handed out.
c-settings-clinic-none = no numbers are on record
c-settings-clinic-none-mend = Fill them in and save.
c-settings-clinic-blank = “{ $field }” is blank
c-settings-clinic-blank-mend = Fill it in: a sheet without a number to call is not handed out.
c-settings-clinic-long = “{ $field }” is longer than a sheet has room for, or has control characters
c-settings-clinic-long-mend = Shorten it.
c-settings-clinic-no-digit = “{ $field }” has no digit
c-settings-clinic-no-digit-mend = Write the number that patients dial.
c-settings-clinic-sheets = What a change means
c-settings-clinic-open = { $n ->
     [one] 1 episode is open. It gets the new numbers as an entry of its own, and sheets made from then on carry them.
    *[other] { $n } episodes are open. Each gets the new numbers as an entry of its own, and sheets made from then on carry them.
    }
c-settings-clinic-old = Sheets that patients hold keep the old numbers. No sheet is marked out of date by this. If an old number no longer answers, call those patients and hand out new sheets.
c-settings-carry-running = The change of { $at } is being written into the open episodes. Load the page again in a minute.
c-settings-carry-stopped = The change of { $at } was stopped before all open episodes had it.
c-settings-carry-failed = The change of { $at } reached { $changed } open episodes; { $failed } could not be written.
c-settings-carry-done = Last change { $at }: written into { $changed } open episodes.
c-settings-carry-again = Write it into the others
c-settings-clinic-zone = Time zone
c-settings-clinic-zone-about = The clinic's days begin and end in it. It is set when the server is started.

### Audit

c-settings-audit-patient = One patient: who looked, who changed
c-settings-audit-find = Name, birth date or record number
c-settings-audit-is-view = Opening a patient's audit is written down as a view.
c-settings-audit-no-content = What the entries say stands in the record alone.
c-settings-audit-journal = To the journal of the record
c-settings-audit-of = Audit: { $name }
c-settings-audit-clinic = The clinic's own journal
c-settings-none-found = No patient fits.
c-settings-newest-first = The newest first.
c-settings-export = Export as CSV
c-settings-export-most = more than { $n } lines fit
c-settings-export-most-mend = Narrow the days.
c-settings-no-lines = No line fits.
c-settings-no-day = “{ $text }” is not a date
c-settings-no-day-mend = Write it like 2026-11-25.
c-settings-everybody = everybody
c-settings-every-kind = every kind
c-settings-from = From day
c-settings-until = To day
c-settings-col-number = No.
c-settings-col-when = When
c-settings-col-who = Who
c-settings-col-kind = Kind
c-settings-col-what = What
c-settings-in-place-of = in place of entry { $n }
c-settings-kind-login = Login
c-settings-kind-login-failed = Wrong try
c-settings-kind-logout = Logout
c-settings-kind-account = Account
c-settings-kind-setting = Setting
c-settings-kind-link = Patient link
c-settings-kind-view = Looked at
c-settings-kind-signature = Signature
c-settings-kind-content = Content
c-settings-kind-backup = Backup
c-settings-kind-restore = Restore
c-settings-kind-verify = Journal verified
c-settings-view-episode = Episode
c-settings-view-journal = Journal
c-settings-view-record = Add to the record
c-settings-view-restrictions = Restrictions
c-settings-view-program = Program
c-settings-view-limits-today = Limits today
c-settings-view-home = Patient's page and link
c-settings-view-call = Call
c-settings-view-correct = Correction
c-settings-view-tightness = How close to the limits
c-settings-view-guided-session-file = File of the guided session
c-settings-view-patient-page = Patient's own page
c-settings-view-guided-session = Guided session on the patient's page
c-settings-by-patient = { $name } (patient)
c-settings-by-demo = Demonstration data
c-settings-by-command-line = Command line
c-settings-field-name = name
c-settings-field-title = title
c-settings-field-role = role
c-settings-field-phone = telephone
c-settings-field-out-of-hours = outside of office hours
c-settings-field-emergency = emergency number
c-settings-said-link-made = Link for { $patient } made; it works until { $until }
c-settings-said-link-opened = Page of { $patient } opened with the link
c-settings-said-link-back = Link of { $patient } taken back
c-settings-said-link-wrong = Page of { $patient }: wrong date of birth, { $n } in a row
c-settings-said-link-locked = Link of { $patient } taken back after { $n } wrong dates of birth
c-settings-said-own-password = Own password changed; other sessions ended: { $n }
c-settings-said-own-codes-on = Own one-time codes turned on; other sessions ended: { $n }
c-settings-said-own-codes-off = Own one-time codes turned off
c-settings-said-sessions-ended = Other sessions ended: { $n }
c-settings-said-created = Account { $login } made: { $name }, { $role }
c-settings-said-active = Account { $login } may log in again
c-settings-said-inactive = Account { $login } may no longer log in; sessions ended: { $n }
c-settings-said-reset = Account { $login }: password reset; sessions ended: { $n }
c-settings-said-codes-off = Account { $login }: one-time codes turned off
c-settings-said-unlocked = Account { $login }: lock lifted; wrong tries: { $n }
c-settings-said-changed = Account { $login }: { $changes }
c-settings-said-clinic = Clinic: { $changes }
c-settings-said-no-change = saved without a change
c-settings-said-saved = { $name } saved by { $by }
c-settings-said-signed = { $name }, version { $version }, signed by { $by }
c-settings-said-exported = Audit exported ({ $filter })
c-settings-said-present-wrong = Wrong present password, from { $address }
c-settings-said-backup = { $file }; entries: { $n }; digest { $digest }
c-settings-said-verified = Entries: { $entries }; streams: { $streams }; faults: { $faults }; digest { $digest }
c-settings-view-audit = Audit
c-settings-view-audit-export = Audit, exported
c-settings-verify = Is the journal whole?
c-settings-verify-about = Each entry carries a seal over its text and the entry before it. A change, a gap or another order breaks the chain.
c-settings-verify-go = Verify the journal now
c-settings-verify-never = It has not been verified from this page yet.
c-settings-verify-last = Last verified { $at } by { $by }.
c-settings-verify-walked = { $streams } streams, { $entries } entries.
c-settings-verify-whole = No break was found: every chain is whole.
c-settings-verify-faults = { $n ->
     [one] 1 break
    *[other] { $n } breaks
    }
c-settings-verify-mend = Do not go on writing. Restore the last whole backup beside these records and compare.
c-settings-verify-remarks = { $n ->
     [one] 1 remark: the server's clock had been set back.
    *[other] { $n } remarks: the server's clock had been set back.
    }
c-settings-verify-digest = Digest, to write down elsewhere and compare later:

### Backups

c-settings-mb = { $n } MB
c-settings-gb = { $n } GB
c-settings-backup-make = Make a backup
c-settings-backup-about = A whole, encrypted copy is made while the clinic works. It has the same key as the records. It cannot be downloaded here, because it holds all patients.
c-settings-backup-where = Folder on the server:
c-settings-backup-elsewhere = Copy backups to another machine or disk. A copy on the same disk is lost with it.
c-settings-backup-go = Make a backup now
c-settings-backup-list = Backups in the folder
c-settings-backup-none = There is none yet.
c-settings-backup-file = File
c-settings-backup-size = Size
c-settings-backup-all = { $n ->
     [one] 1 backup, { $size }. Old ones are removed by hand on the server.
    *[other] { $n } backups, { $size } in all. Old ones are removed by hand on the server.
    }
c-settings-backup-unreadable = The folder cannot be read: { $what }
c-settings-backup-failed = no backup was made: { $what }
c-settings-backup-failed-mend = See that the disk has room and the folder can be written. The attempt stands in the audit.
c-settings-backup-server = The records are in PostgreSQL. Backups are made from the command line, on a machine that may reach the database:
c-settings-backup-by-command = the records are in PostgreSQL
c-settings-backup-by-command-mend = Make the backup with `handrail backup` on the command line.
c-settings-restore = How to restore
c-settings-restore-1 = Stop the server. Leave the present records where they are: nothing is overwritten.
c-settings-restore-2 = Make a clinic of the backup in a new folder. Its journal is verified first.
c-settings-restore-3 = Start the server with the new folder. Everybody logs in again.
c-settings-restore-key = KEY is the clinic's key file. Keep it in a second place, apart from the backups: without it nobody can read them.
c-settings-restore-try = Restore one now and then, to know that it can be done.

### Near misses

c-settings-incident-write = Write one down
c-settings-incident-why = Something nearly went wrong, or did. Here it counts what happened and what caught it, not who it was.
c-settings-incident-kind = Kind
c-settings-incident-wrong-side = Wrong side
c-settings-incident-stale-sheet = Sheet out of date
c-settings-incident-wrong-load = Wrong load or restriction
c-settings-incident-fall = Fall or near fall
c-settings-incident-other = Other
c-settings-incident-what = What happened
c-settings-incident-what-hint = (no names of patients or colleagues)
c-settings-incident-caught = What caught it
c-settings-incident-caught-hint = (or what would have)
c-settings-incident-record = Patient
c-settings-incident-record-hint = (may be blank; name or record number, kept as a link that only those who read records see)
c-settings-incident-named = Put my name to it, so that I can be asked
c-settings-incident-go = Write it down
c-settings-incident-duty = This log does not take the place of a report that law, insurer or employer ask for.
c-settings-incident-log = What was written down
c-settings-incident-counts = In the last { $n } days
c-settings-incident-count = How many
c-settings-incident-none = Nothing was written down yet.
c-settings-incident-open = To the record
c-settings-incident-blank = “{ $field }” is blank
c-settings-incident-blank-mend = A sentence is enough.
c-settings-incident-long = “{ $field }” is longer than { $n } characters
c-settings-incident-long-mend = Shorten it.
c-settings-incident-no-kind = a kind is missing
c-settings-incident-no-kind-mend = Choose one; “other” will do.
c-settings-incident-no-record = no patient fits
c-settings-incident-no-record-mend = Check the name, or leave the field blank.
c-settings-incident-many-records = more than one patient fits
c-settings-incident-many-records-mend = Write the record number or the birth date, or leave the field blank.

c-settings-clock = Clock of the server
c-settings-clock-about = The clock shows { $now }, but something was recorded at { $last }. If the clock was set back, whoever runs the server sets it right, and this notice goes away. If it was ahead then and goes right now, say so here.
c-settings-clock-today = Today is
c-settings-clock-today-hint = (read it from a calendar, not from this page)
c-settings-clock-right = The clock goes right now
c-settings-clock-not-behind = The clock does not stand before the last entry.
c-settings-clock-not-behind-mend = There is nothing to do.
c-settings-clock-other-day = By the server's clock today is { $today }, not the day that you wrote.
c-settings-clock-other-day-mend = If your day is right, the clock is wrong: have it set by whoever runs the server.
