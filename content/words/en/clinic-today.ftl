# Today, patients, the episode, its journal, the card with the limits of today. For clinicians (c-).

c-today-side = { side-m }
c-today-day = day { $day } (week { $week })
c-today-born = born { $date }
c-today-record = record { $record }
c-today-not-recorded = not on record
c-today-not-asked = not asked
c-today-not-answered = not answered
c-today-closed = closed
c-today-closed-on = This episode was closed on { $date }: { $reason }.
c-today-by = By { $by }
c-today-draft = not signed: draft
c-today-limits = Limits today
c-today-before-surgery = { $date } is before the operation on { $surgery }: there is no day after the operation to plan for.
c-today-orders-do-not-fit = The orders on record do not fit the protocol:
c-today-limits-not-known = The limits of today cannot be worked out. Treat nothing as allowed until this is mended.
c-today-others = others

### Today

c-today-whose = Whose patients
c-today-mine = My patients
c-today-all = All patients
c-today-none-mine = No rule has raised anything about your patients today. This is no statement about how they are.
c-today-none = No rule has raised anything today. This is no statement about how patients are.
c-today-nothing-else = Nothing else asks for attention today: no other rule has raised anything. This is no statement about how patients are.
c-today-pages = Pages
c-today-page-before = Page before
c-today-page-next = Next page
c-today-also = Also
c-today-key = What the small timelines show
c-today-key-text = Fourteen days; the line at the right is today. Squares: full, all of the plan was done; half, a part or none of it, or the diary does not say; hollow, planned and no diary; dash, nothing planned (or today, still open). Line: worst pain told, over lines at 0 and 5. Filled triangle: a warning sign. Open triangle: visit to the surgeon within seven days. Wedge: a new program was given.
c-today-strip-title = Last two weeks of { $name }
c-today-strip-days = { $days } days: { $done } done, { $partly } in part or not stated, { $missing } without a diary.
c-today-strip-pain = Last pain told { $latest } of 10, { $ago } days ago; highest { $highest }.
c-today-strip-warning = A warning sign { $ago } days ago.
c-today-strip-visit = Visit to the surgeon in { $in } days.

c-today-reason-warning-sign-emergency = Emergency sign
c-today-reason-warning-sign-same-day = Same-day sign
c-today-reason-warning-sign-next-visit = Sign for the next visit
c-today-reason-pain-response = Response beyond the rules
c-today-reason-restrictions-not-known = Limits not known
c-today-reason-restriction-changes = Restriction changes
c-today-reason-restriction-to-confirm = To confirm
c-today-reason-criterion-met = Criterion met
c-today-reason-no-diary = No diary
c-today-reason-report-due = Report due
c-today-reason-sheet-out-of-date = Sheet out of date
c-today-reason-no-program = No program
c-today-reason-message-waiting = Message waiting

c-today-do-sign = Call and write it down
c-today-do-pain = Look and act
c-today-do-not-known = Mend the record
c-today-do-change = Look at the change
c-today-do-answer = Record the answer
c-today-do-confirm = Confirm or change
c-today-do-decide = Decide
c-today-do-ask = Ask the patient
c-today-do-report = Write the report
c-today-do-hand-over = Hand it over
c-today-do-sheet = Issue a new one
c-today-do-plan = Make the program
c-today-do-write-back = Write back
c-today-do-paper-diary = Add a diary
c-today-do-measure = Add a measurement

c-today-says-signs = { $more ->
    [0] in the diary of { $date }: “{ $sign }”
   *[other] in the diary of { $date }: “{ $sign }” and { $more } more
 }
c-today-says-pain = { $n ->
    [one] in the diary of { $date }: { $rules }; worst pain told { $worst } of 10. Nobody has acted on it.
   *[other] in { $n } diaries, the last of { $date }: { $rules }; worst pain told { $worst } of 10. Nobody has acted on it.
 }
c-today-says-not-known = the record does not fit the protocol: { $mistakes }
c-today-says-assumed = { $n ->
    [one] stands on the protocol alone: { $names }
   *[other] { $n } restrictions stand on the protocol alone: { $names }
 }
c-today-says-variant = { $n ->
    [one] { $question } One restriction or criterion hangs on the answer.
   *[other] { $question } { $n } restrictions or criteria hang on the answer.
 }
c-today-says-criterion = { $criterion }: { $value } on { $date }, asked { $asked } (for the phase “{ $phase }”). No decision names it.
c-today-says-criterion-judged = judged as met on { $date }: “{ $criterion }” (for the phase “{ $phase }”). No decision names it.
c-today-within-error = Within the measurement error: another measurement may fall on the other side.
c-today-says-no-diary = { $n } planned days without a diary; { $last }.
c-today-last-diary = last diary { $date }
c-today-no-diary-yet = no diary yet
c-today-says-surgeon-report = letter to { $surgeon } before the visit of { $date }
c-today-says-progress-report = { $n } treatment days since the last progress report; one is due by the { $by }th
c-today-says-sheet = the patient holds version { $version }: { $why }
c-today-sheet-newer = there is a newer version ({ $version })
c-today-sheet-orders = orders or answers changed ({ $date })
c-today-sheet-limit = a limit began since ({ $limit })
c-today-sheet-expired = it was valid until { $date }
c-today-says-no-program = no program is on record
c-today-says-not-given = version { $version } is on record and was not given to the patient
c-today-says-messages = { $n ->
    [one] one message without an answer
   *[other] { $n } messages without an answer
 }
c-today-change-starts = { $limit } begins
c-today-change-steps = { $from } may give way to: { $to }
c-today-change-ends = { $limit } may end
c-today-change-phase = phase “{ $phase }” may begin
c-today-change-overdue = { $what }: was planned for { $date } and is { $days ->
    [one] one day
   *[other] { $days } days
 } overdue.
c-today-change-today = { $what }: planned for today.
c-today-change-soon = { $what }: planned for { $date }, in { $days ->
    [one] one day
   *[other] { $days } days
 }.
c-today-needs = Needs { $needs }.
c-today-need-criterion = “{ $criterion }”
c-today-need-release = a release by a named person
c-today-need-phase = the begin of phase “{ $phase }” by a named person
c-today-order = order { $id }
c-today-at-least = at least { $value }
c-today-at-most = at most { $value }
c-today-asked-judged = a clinician's yes
c-today-judged-yes = yes
c-today-judged-no = no
c-today-judged-gait = gait
c-today-judged-gait-yes = without a limp
c-today-judged-gait-no = with a limp
c-today-judged-wound = wound
c-today-judged-wound-yes = no complication found
c-today-judged-wound-no = complication found
c-today-judged-night-pain = pain at night
c-today-judged-night-pain-yes = none told
c-today-judged-night-pain-no = told
c-today-judged-substitution = substitution by other muscles
c-today-judged-substitution-yes = little
c-today-judged-substitution-no = more than little
c-today-rule-pain-during = pain during a session above 5
c-today-rule-pain-after = pain after a session above 5
c-today-rule-pain-rises = pain rose by 2 or more in a session
c-today-rule-morning-worse = the morning after was worse than usual
c-today-rule-swelling-more = swelling more than the day before

### Patients

c-today-find = Find a patient
c-today-find-hint = name, record number or birth date (1980-05-17)
c-today-find-go = Find
c-today-find-all = All patients
c-today-which = Which episodes
c-today-open-episodes = Open
c-today-closed-episodes = Closed
c-today-found-none = Nobody found. { $find }
c-today-found-many = The first { $n } are shown. Type more to find fewer.
c-today-col-name = Name
c-today-col-born = Born
c-today-col-operation = Operation
c-today-col-therapist = Therapist
c-today-col-links = Go to
c-today-patient-link = Patient's link

### Episode

c-today-episode = episode
c-today-surgeon = Surgeon
c-today-surgery = Surgery
c-today-phase = Phase (begun by a person)
c-today-phase-since = since { $date }
c-today-phase-calendar = by the calendar: { $phase }
c-today-next-visit = Next visit to the surgeon
c-today-language = Language
c-today-holds = Patient holds
c-today-holds-version = version { $version }, valid until { $date }
c-today-holds-none = no version given yet
c-today-acts = What to do
c-today-go-record = Write in the record
c-today-go-restrictions = Orders and restrictions
c-today-go-program = Plan the program
c-today-go-home = Hand over, link, code
c-today-open = What asks for attention
c-today-open-none = No rule has raised anything about this patient today. This is no statement about how the patient is.
c-today-allowed = What is allowed over time
c-today-chart-title = What is allowed: { side-m } side
c-today-chart-subtitle = { $name }: { $operation }, { side-m } side; protocol version { $version }
c-today-chart-note-planned = What is planned is the earliest day, with every act it needs done on that day; it begins when a named person records it. Without that act the limit before it goes on.
c-today-chart-note-usual = Usual ends of the range in adults (AAOS reference values as quoted in handbooks; leg: from memory) are no limit. Where none is on record, neutral.
c-today-chart-table = The same as a table
c-today-no-chart = The chart cannot be drawn:
c-today-lowering = lowering
c-today-lane-leg = Weight, leg
c-today-lane-arm = Weight, arm
c-today-lane-device = Device
c-today-col-subject = About
c-today-col-what = What
c-today-col-from = From
c-today-col-to = Until
c-today-col-state = State
c-today-planned-until = planned until { $date }
c-today-planned-until-act = planned until { $date }; goes on until somebody ends it
c-today-until-act = until somebody ends it
c-today-restrictions = Restrictions
c-today-version = version { $version }
c-today-nothing-recorded = Nothing on record. This is not “no limit”.
c-today-col-limit = Limit
c-today-col-status = On whose word, source
c-today-col-since = Since
c-today-col-until = Until what act
c-today-lifted = Lifted ({ $n })
c-today-next = Next changes
c-today-precautions = Precautions
c-today-in-place-of = in place of: { $limit }
c-today-kept-unanswered = kept because a question is not answered
c-today-overdue = past its planned time: due for review
c-today-until-day = until that day
c-today-until-release = until a release by a named person
c-today-until-phase = until phase “{ $phase }” is begun by a named person
c-today-program = Program
c-today-version-line = Version { $version }, planned { $issued } by { $by }; { $signed }; made today it is valid until { $until }.
c-today-holds-line = The patient holds version { $version }, given { $date } ({ $medium }), valid until { $until }.
c-today-holds-older = not the version in force
c-today-medium-paper = on paper
c-today-medium-page = on the patient's page
c-today-medium-file = as a guided session
c-today-waived = overridden by { $by }: { $reason }
c-today-why-limited = Why ({ $n })
c-today-over = { $what }: { $asked }, above the ceiling of { $ceiling }
c-today-over-sets = sets
c-today-over-reps = repetitions
c-today-over-times-a-day = sessions a day
c-today-over-days-a-week = days a week
c-today-over-exercises = exercises
c-today-missing-things = not at home: { $things }
c-today-closest = Closest limit: { $motion } reaches { $reached }; the limit is { $limit } ({ $room } deg to spare).
c-today-angle-of = { $degrees } deg of { $motion }
c-today-diary = Diary and response
c-today-adherence = Since { $from }: { $counted } of { $planned } planned sessions told as done, { $unknown } not known (no diary): { $low } to { $high } %.
c-today-beyond = { $n ->
    [one] One session beyond the plan: too much, not better.
   *[other] { $n } sessions beyond the plan: too much, not better.
 }
c-today-over-report = Diaries say about a quarter more than was done ({ $source }).
c-today-left-out = Told as left out
c-today-days = { $n ->
    [one] one day
   *[other] { $n } days
 }
c-today-nothing-planned = No sessions were planned in the last four weeks.
c-today-response-title = Response of { $name }
c-today-response-subtitle = { $from } to { $to }
c-today-response-table = The same as a table
c-today-col-day = Day
c-today-rules-passed = { $n ->
    [one] One diary of the last { $days } days passes a rule on the response:
   *[other] { $n } diaries of the last { $days } days pass a rule on the response:
 }
c-today-rules-basis = The rules, and where they come from
c-today-latest-diaries = Latest diaries
c-today-all-diaries = All { $n } diaries are in the journal
c-today-diary-of-version = for version { $version }
c-today-diary-done = { $exercise }: { $sets ->
    [one] one set
   *[other] { $sets } sets
 }, { $reps } repetitions
c-today-diary-left = { $exercise }: not done
c-today-diary-nothing-told = Says nothing of single exercises.
c-today-diary-pain = Pain before { $before }, during { $during }, after { $after } (0 to 10).
c-today-diary-morning-usual = Morning after: as usual.
c-today-diary-morning-worse = Morning after: worse than usual.
c-today-diary-swelling-less = Swelling less than the day before.
c-today-diary-swelling-same = Swelling as the day before.
c-today-diary-swelling-more = Swelling more than the day before.
c-today-diary-extra = Beyond the program: “{ $says }”
c-today-diary-why-left = Why something was left out: “{ $says }”
c-today-diary-note = Note: “{ $says }”
c-today-measures = Measures and criteria
c-today-no-measures = Nothing has been measured.
c-today-measured-once = measured once
c-today-measure-on-side = { $what }, { side-m } side
c-today-col-measure = Measure
c-today-col-last = Last value
c-today-col-change = Change
c-today-col-method = Method and error
c-today-change-within = { $by } since { $since }: within the measurement error, not told from no change
c-today-change-larger = { $by } since { $since }: larger than the measurement error
c-today-change-unknown = { $by } since { $since }: no error is known, so the change cannot be judged
c-today-error = Error { $error } { $unit } ({ $known })
c-today-error-none = No error is known for it.
c-today-criteria-of = Criteria for the next phase, “{ $phase }”
c-today-criteria-none = The protocol names none.
c-today-criteria-act = A criterion that is met opens nothing: a phase begins by a named person's act.
c-today-state-met = met
c-today-state-not-met = not met
c-today-state-stale = too old to decide on
c-today-state-not-measured = not measured
c-today-state-needs-person = a clinician must judge it
c-today-state-needs-both-sides = needs both sides measured
c-today-state-other-side = measured on the other side
c-today-state-other-unit = measured in another unit
c-today-state-other-drive = moved in another way
c-today-state-implausible = value cannot be
c-today-state-not-applicable = does not apply
c-today-course = Decisions, contacts, visits
c-today-decisions = Decisions
c-today-contacts = Who was told
c-today-visits = Visits
c-today-messages = Messages
c-today-notes = Notes
c-today-reports = Reports
c-today-none-on-record = none on record
c-today-earlier = Earlier ({ $n })
c-today-documents = Documents
c-today-documents-hint = Made now, of the limits of today. Opening one does not record that the patient was given it: do that under “Hand over”.
c-today-paper-letter = Handout (Letter)
c-today-paper-a4 = Handout (A4)
c-today-large = large print
c-today-document-handout = Handout
c-today-document-follow = Guided session
c-today-document-calendar = Calendar
c-today-no-document = Nothing is handed out today:
c-today-mend-here = Mend it here
c-today-the-program = the program
c-today-plan-expired = the program was valid until { $date }
c-today-plan-refused = refused today: { $exercise }
c-today-plan-over = { $of }: { $what } { $asked }, ceiling { $ceiling }
c-today-plan-visit = the visit to the surgeon of { $date } has passed, and nothing was recorded of it
c-today-plan-envelope-mend = Mend the orders, acts or answers that do not fit.
c-today-plan-body-mend = Write down stature and mass that can be.
c-today-plan-none-mend = Plan and issue a program.
c-today-plan-expired-mend = Look at the limits of today and issue a new version.
c-today-plan-refused-mend = Leave these exercises out or change them, and issue a new version.
c-today-plan-over-mend = Give less, and issue a new version.
c-today-plan-visit-mend = Record what the surgeon said and the next visit; then issue a new version.
c-today-plan-exposure-mend = Give fewer sets, repetitions or days, or an exercise lower on the load ladder.
c-today-plan-move-mend = Choose exercises that need no such move, or another order of places.
c-today-plan-order-mend = Give fewer exercises.
c-today-plan-content-mend = Mend the texts or pictures named.

### Chart of what is allowed

c-today-env-today = today
c-today-env-weeks = complete weeks since surgery
c-today-env-days = days
c-today-env-phases = Phase
c-today-env-visits = Surgeon
c-today-env-visit-past = visit to the surgeon
c-today-env-visit-planned = visit planned
c-today-env-in-force = in force
c-today-env-goes-on = goes on until somebody ends it
c-today-env-planned = planned, at the earliest; needs an act
c-today-env-lingers = planned to end here at the earliest; goes on until somebody ends it
c-today-env-ended = ended
c-today-env-overdue = past its planned end, still in force
c-today-env-ordered = ordered
c-today-env-confirmed = confirmed
c-today-env-assumed = assumed
c-today-env-every-way = every way
c-today-env-other-limit = further limit, one way of moving
c-today-env-open-side = no limit recorded on this side
c-today-env-nothing = nothing recorded
c-today-env-contradiction = the limits leave no position
c-today-env-allowed-today = Allowed today
c-today-env-program = Program today
c-today-env-no-program = does not move this joint
c-today-env-beyond = beyond the limit
c-today-env-to = to
c-today-env-measured = measured
c-today-env-last-measured = Last measured
c-today-env-not-measured = not yet
c-today-env-active = active
c-today-env-passive = passive
c-today-env-unstated = manner not stated

### Response strip

c-today-strip-word-pain = Pain, 0 to 10
c-today-strip-before = before
c-today-strip-during = during
c-today-strip-after = after
c-today-strip-morning = Morning after
c-today-strip-usual = as usual
c-today-strip-worse = worse
c-today-strip-swelling = Swelling
c-today-strip-less = less
c-today-strip-same = same
c-today-strip-more = more
c-today-strip-sessions = Sessions
c-today-strip-planned = planned
c-today-strip-done = done
c-today-strip-extra = beyond the plan
c-today-strip-missing = no diary
c-today-strip-word-warning = Warning sign
c-today-strip-version = Program

### Limits today

c-today-card-valid = Valid on { $date } only.
c-today-card-made = Made { $at } by { $by }. Tomorrow, make it anew.
c-today-card-stop = When in doubt, do not load or move the joint; ask the surgeon's office.
c-today-part-weight = Weight bearing
c-today-part-device = Device
c-today-part-joints = Joint motion
c-today-part-must-not = Must not be done at all
c-today-part-load = Load and resistance: only so much
c-today-not-except = { $what }, except { $drives }
c-today-not-together = At the same instant: { $all }
c-today-way-not-allowed = This way of moving is not allowed today.
c-today-not-checked = Not checked
c-today-whom = Whom to call
c-today-late = Out of hours
c-today-emergency = Emergency
c-today-surgeon-phone-unknown = phone not on record
c-today-print = Print
c-today-whole-record = The whole record

### Journal

c-today-journal = Journal
c-today-journal-about = Every entry, the newest first. Nothing is changed or taken out: what was replaced stays readable, with a line through it.
c-today-which-entries = Which entries
c-today-journal-facts = Entries
c-today-journal-views = With who looked
c-today-true-on = true on { $date }
c-today-recorded-at = recorded { $at } by { $by }
c-today-replaces = replaces { $n }
c-today-replaced-by = replaced by { $n }
c-today-kind-patient = Patient
c-today-kind-clinic = Clinic
c-today-kind-body = Body
c-today-kind-home = Home
c-today-kind-operation = Operation
c-today-kind-confirmation = Confirmation
c-today-kind-order = Order
c-today-kind-act = Act
c-today-kind-program = Program
c-today-kind-waiver = Override
c-today-kind-done = Done
c-today-kind-jump = Threshold for load
c-today-kind-issued = Program given
c-today-kind-diary = Diary
c-today-kind-measure = Measurement
c-today-kind-decision = Decision
c-today-kind-contact = Contact
c-today-kind-visit = Visit
c-today-kind-note = Note
c-today-kind-message = Message
c-today-kind-view = Looked at
c-today-kind-report = Report
c-today-kind-closed = Closed
c-today-kind-withdrawn = Taken back
c-today-fact-patient = { $name }; born { $born }; record { $record }; language { $language }; help at home: { $helper }
c-today-fact-clinic = { $name }; therapist { $therapist }; phone { $phone }, out of hours { $late }, emergency { $emergency }
c-today-fact-body = { $cm } cm, { $kg } kg
c-today-fact-home = Seat { $seat }, bed { $bed }, table { $table }, step { $step }; stairs: { $stairs }; at home: { $things }
c-today-fact-operation = { $operation }, { side-m } side, on { $date } by { $surgeon }; next visit: { $visit }
c-today-fact-confirmation = Confirmed: { $limit }; by { $by }, { $document }
c-today-fact-order = Ordered by { $by } on { $date } ({ $document }), from { $from } on
c-today-fact-order-until = Ordered until { $date }
c-today-fact-order-replaces = In place of: { $limit }
c-today-fact-release = Lifted: { $limit }
c-today-fact-phase = Phase “{ $phase }” begun
c-today-fact-program = Version { $version } by { $by }, { $signed }, valid until { $until }: { $names }
c-today-until-visit = the next visit, two weeks at most
c-today-fact-waiver = { $exercise }: { $limit } overridden by { $by }: { $reason }
c-today-fact-done = { $exercise }: { $reps } repetitions in the day ({ $from })
c-today-fact-jump = More than { $percent } % from one week to the next is shown; set by { $by }
c-today-fact-issued = Version { $version } given { $medium }, language { $language }, valid until { $date }; by { $by }
c-today-fact-contact = { $told } ({ $how }): { $outcome } About entry { $n }; by { $by }
c-today-fact-visit = { $minutes } minutes, { $timed } of them timed; { $taught }; by { $by }
c-today-teach-back-yes = exercises and limits shown and said back
c-today-teach-back-no = exercises or limits not yet shown and said back
c-today-teach-back-not-asked = showing and saying back not asked
c-today-fact-message = { $from }: “{ $says }”
c-today-from-patient = From the patient
c-today-from-clinic = From the clinic
c-today-fact-view = Looked at: { $what }
c-today-entered-patient = patient
c-today-entered-in-person = in person
c-today-entered-payer = payer
c-today-entered-progress-report = progress report
c-today-entered-letter-before-the-visit = letter before the visit
c-today-entered-phone = phone
c-today-entered-letter = letter
c-today-fact-report = { $kind }, to { $to }; by { $by }
c-today-fact-closed = { $reason }; by { $by }
c-today-fact-withdrawn = { $reason }; by { $by }
c-today-decision-advance = Go on
c-today-decision-hold = Stay
c-today-decision-step-back = Go back
c-today-decision-ask-surgeon = Ask the surgeon
c-today-decision-criteria = Rests on: { $criteria }
c-today-and-criteria = with the criteria of that phase ({ $n })
c-today-due-now = Due now.
c-today-from = From { $date }.
c-today-error-sources = Where the errors come from
c-today-was = was { $value } on { $since }
c-today-signed = signed by { $by }
c-today-parts = Parts of this page
c-today-positions = Positions: { $names }
c-today-activities = Activities: { $names }
