# The screen on which a program is made. For clinicians (c-).

c-program-title = Program: { $name }
c-program-born = born { $date }
c-program-not-known = not known
c-program-not-set = not set
c-program-side-words = { $side ->
    [left] LEFT side
   *[right] RIGHT side
 }
c-program-draft = draft
c-program-assumed = { $n ->
    [one] { $n } limit is assumed, not confirmed
   *[other] { $n } limits are assumed, not confirmed
 }
c-program-all-limits = All limits of today, and what was not checked
c-program-not-checked = Not checked
c-program-restored = What you typed until { $at } is in the form again.

c-program-session = The session
c-program-to-shelf = To the exercises
c-program-rhythm = Rhythm
c-program-rhythm-of = { $times ->
    [one] once a day
   *[other] { $times } times a day
 }, { $days ->
    [one] 1 day a week
   *[other] { $days } days a week
 }
c-program-times = Times a day
c-program-days = Days a week
c-program-blank = Blank: the figure in italics, as the phase says.
c-program-not-loaded = practically not loaded
c-program-usual-phase = as the phase says
c-program-usual-exercise = as written
c-program-kind-within = within today's limits
c-program-kind-limited = within limits only when made smaller
c-program-kind-refused = refused today
c-program-moves = Moves to the next place
c-program-device-on = device on
c-program-end = End of the session
c-program-not-in-session = Not in the session as it stands
c-program-in-turns = takes turns with the one before

c-program-sets = Sets
c-program-reps = Repetitions
c-program-seconds = or seconds
c-program-rest = Rest (s)
c-program-side = Side
c-program-field-sets = Sets
c-program-field-reps = Repetitions
c-program-field-seconds = Seconds
c-program-field-rest = Rest
c-program-field-times = Times a day
c-program-field-days = Days a week
c-program-field-until = Valid until
c-program-field-id = Exercise
c-program-field-side = Side
c-program-field-rows = Exercises
c-program-remove = Remove
c-program-keep = Keep in a proposal
c-program-leave-out = Leave out, also of proposals
c-program-why = Why it is in:
c-program-no-picture = No picture: this body cannot take the pose in this home.
c-program-up-to = Today up to:
c-program-tight = tight
c-program-missing = Not at home: { $what }
c-program-override = Override: reason
c-program-override-hint = (goes on record with your name when the version is issued)
c-program-waived = past a limit, by override
c-program-waived-by = Override of the limit “{ $limit }” by { $by }: { $reason }
c-program-may-override = May be overridden with a reason: add it and write why.

c-program-wrong-count = { $field }: write a whole number from 1 to { $most }.
c-program-wrong-range = { $field }: write a number from { $low } to { $high } { $unit }.
c-program-wrong-both = Give repetitions or seconds, not both.
c-program-wrong-date = { $field }: write a date like 2026-11-25.
c-program-wrong-until = { $field }: from { $first } to { $last }, not later than the surgeon's next visit or two weeks.
c-program-wrong-exercise = There is no exercise “{ $id }” in the content any more. Remove it.
c-program-wrong-side = No side is named. Choose left or right.
c-program-wrong-rows = A session holds at most 20 exercises. Remove some.

c-program-of-exercise = { $title }: { $what }
c-program-empty = No exercise is chosen.
c-program-too-many = { $asked } exercises; this phase allows at most { $ceiling }.
c-program-over = { $what }: { $asked } asked, the phase's ceiling is { $ceiling }.
c-program-over-sets = Sets
c-program-over-reps = Repetitions
c-program-over-times-a-day = Times a day
c-program-over-days-a-week = Days a week
c-program-exposure-not-known = The week's load on the { $tissue } is not known, and it stands under a ceiling of { $limit } ({ $name }). Choose exercises whose load is known.
c-program-visit-passed = The surgeon's visit of { $date } has passed, and nothing was recorded of it. Record what was ordered there first.
c-program-move-over = Move “{ $move }”: { $what }; limit: { $limit }. Choose exercises in fewer or other places.
c-program-move-over-plain = Move “{ $move }”: { $what }. Choose exercises in fewer or other places.
c-program-move-angle = { $what } would reach { $computed } degrees, limit { $limit } degrees
c-program-move-combination = a forbidden combination of motions
c-program-move-position = a position that is not allowed ({ $position })
c-program-move-not-checked = this body cannot rest there with this furniture, so the move was not checked

c-program-minutes-session = One session
c-program-minutes-day = In a day
c-program-number = Exercises
c-program-number-of = { $n } (ceiling { $most })
c-program-stand-ups = Stand-ups in a session
c-program-ceiling-basis = Ceiling of this phase: { $sets } sets, { $reps } repetitions, { $times } times a day, { $days } days a week.
c-program-all-within = All exercises, moves and doses are within today's limits.
c-program-some-within = { $n } of { $total } exercises, and all doses, are within today's limits.
c-program-waived-count = { $n ->
    [one] 1 exercise goes past a limit by override
   *[other] { $n } exercises go past a limit by override
 }
c-program-waived-of = { $title }: { $limit }, by { $by }.
c-program-all-within-but = Checked against the limits above and nothing else. The therapist decides.
c-program-stands-against = { $n ->
    [one] One thing stands against issuing it:
   *[other] { $n } things stand against issuing it:
 }
c-program-stands-against-above = { $n ->
    [one] One thing stands against issuing it. It is named above, under the exercises.
   *[other] { $n } things stand against issuing it. They are named above, under the exercises.
 }
c-program-late = Somebody changed the program or the limits meanwhile. Look at the top of the page before you issue.

c-program-shelf = Exercises for today
c-program-find = Find an exercise or goal
c-program-found = Found: { $n }
c-program-no-ladder = This protocol names no tissue to protect: the list follows the phase.
c-program-order-heading = No figure, only a ranking is known: heavier or lighter than others
c-program-heaviest-first = Heaviest on top.
c-program-allowed = Allowed today ({ $n })
c-program-others = Allowed today, not on this ladder ({ $n })
c-program-refused = Refused today, with reasons ({ $n })
c-program-add = Add
c-program-chosen = in the program
c-program-choose = Add exercises here, or let a program be proposed.
c-program-named = named by the phase

c-program-propose-title = Propose a program
c-program-propose-minutes = Minutes for one session
c-program-propose-most = At most so many exercises
c-program-propose-without = Left out of proposals
c-program-propose-hint = Takes the place of all rows except those marked “Keep in a proposal”.
c-program-propose = Propose
c-program-propose-wrong = Write minutes from 1 to 180 and at least one exercise.
c-program-propose-not-allowed = “{ $title }” is not allowed today or cannot be done at home, so it cannot be kept.
c-program-propose-moves = No way between the exercises keeps the limits and the minutes. Give more minutes or keep fewer exercises.
c-program-propose-none = Nothing fits. Give more minutes, or keep fewer exercises.
c-program-proposed = Proposed; you decide
c-program-proposed-share = Expected to be done with { $n } exercises: { $percent } % (Eckard 2015, secondary). Fewer exercises are done more.
c-program-why-goal = { $goal } ({ $percent } % of the week's target)
c-program-why-worth = { $goals }. Without it the program's score is { $value } lower (1 = one goal fully trained).
c-program-why-kept = Kept by you.
c-program-untrained = No allowed exercise trains: { $goals }.
c-program-left-out = The best of those that were left out: { $title }. With it the program's score changes by { $change }.
c-program-passes = It passes { $bounds }.
c-program-bound-minutes = the minutes of a session
c-program-bound-number = the number of exercises
c-program-bound-ceiling = the weekly ceiling ({ $id })
c-program-binds = What limits the choice: { $bound }. Without that limit, { $title } would add { $gain } to the score.

c-program-issue-title = Issue version { $n }
c-program-issue = Issue version { $n }
c-program-first-version = This is the first version.
c-program-against = Changes against version { $n } of { $date }:
c-program-no-change = Nothing changes.
c-program-until = Valid until
c-program-until-hint = At most until { $date }: the day before the surgeon's next visit, or two weeks.
c-program-sign = I have checked this version and sign it as { $name }
c-program-sign-hint = Without it the version is a draft, and every output says so.
c-program-held = The patient holds version { $n }.
c-program-check = Check
c-program-discard = Begin again from the newest version
c-program-checking = checking …
c-program-check-failed = The check did not get through. Nothing is lost; press Check.
c-program-not-issued = Not issued. Nothing you typed is lost.

c-program-as-phase = as the phase says
c-program-as-exercise = as the exercise is written
c-program-change-times = Times a day: { $old } → { $new }
c-program-change-days = Days a week: { $old } → { $new }
c-program-change-until = Valid until: { $old } → { $new }
c-program-change-removed = Gone: { $title }
c-program-change-added = New: { $title } ({ $dose })
c-program-change-of = { $title }: { $old } → { $new }
c-program-change-order = The exercises stand in another order.

c-program-versions = Versions ({ $n })
c-program-versions-caption = All versions of the program, newest first
c-program-version = Version
c-program-issued-on = Issued
c-program-signed = Signed
c-program-superseded = superseded by version { $n }
c-program-newest = newest
c-program-is-held = held by the patient

c-program-conflict = Somebody changed this meanwhile
c-program-changed-by = { $who }, { $date }, { $time }: { $what }
c-program-conflict-kept = Everything you typed is still here. Nothing of yours was issued.
c-program-checked-anew = Your program was checked again under the new limits. Look at it before you go on.
c-program-take-theirs = Go on from version { $n }; put mine aside
c-program-take-mine = Go on with mine on top of it
c-program-go-on = I have seen it; go on
c-program-own-kept = You go on from the newest version. What you typed yourself is put aside.
c-program-own-back = Back to mine
c-program-both = Both programs side by side
c-program-exercise = Exercise
c-program-theirs = Version { $n } of { $by }
c-program-yours = Yours, not issued
c-program-differs = differs
c-program-not-in = not in it
c-program-row-rhythm = times a day: { $times }; days a week: { $days }; until { $until }
c-program-yours-differs = With yours on top, this would change:
c-program-did-program = issued version { $n } of the program
c-program-did-order = wrote down an order ({ $limit })
c-program-did-confirmed = confirmed a limit: { $limit }
c-program-did-act = lifted a limit or began a phase
c-program-did-operation = changed the operation
c-program-did-body = changed the body's measures
c-program-did-home = changed the home
c-program-did-waiver = recorded an override of a limit: { $limit }
c-program-did-withdrawn = took an entry back
c-program-did-corrected = corrected an entry

c-program-issued-title = Version { $n } is issued
c-program-issued-by = Planned by { $by } on { $date }.
c-program-signed-by = Signed by { $by }.
c-program-valid = Valid until { $date }.
c-program-old-superseded = Version { $old } is superseded by version { $n }.
c-program-print = Print the handout
c-program-phone = Give it to the phone
c-program-back = Back to the program
c-program-given = What the patient holds
c-program-has-it = The patient holds version { $n }: { $medium }, { $language }, given on { $date } by { $by }.
c-program-still-holds = The patient still holds version { $n }. Hand over version { $new }, and record it here.
c-program-holds-none = The patient holds no version yet.
c-program-medium = How it was given
c-program-medium-paper = on paper
c-program-medium-page = by the patient's page
c-program-medium-file = as one file
c-program-language = Language
c-program-record-given = Record: the patient got version { $n }

c-program-parameter-across = across
c-program-parameter-back = back
c-program-parameter-bend = bend
c-program-parameter-close = close
c-program-parameter-curl = curl
c-program-parameter-depth = depth
c-program-parameter-dome = dome
c-program-parameter-down = down
c-program-parameter-draw = draw
c-program-parameter-height = height
c-program-parameter-lean = lean
c-program-parameter-length = length
c-program-parameter-lift = lift
c-program-parameter-line = line
c-program-parameter-load = weight
c-program-parameter-lower = lower
c-program-parameter-open = open
c-program-parameter-out = out
c-program-parameter-press = press
c-program-parameter-pull = pull
c-program-parameter-push = push
c-program-parameter-raise = raise
c-program-parameter-reach = reach
c-program-parameter-rise = rise
c-program-parameter-roll = roll
c-program-parameter-row = row
c-program-parameter-shift = shift
c-program-parameter-sink = sink
c-program-parameter-slide = slide
c-program-parameter-slump = slump
c-program-parameter-squeeze = squeeze
c-program-parameter-straighten = straighten
c-program-parameter-swing = swing
c-program-parameter-turn = turn
c-program-parameter-turn-out = turn out
c-program-parameter-up = up
c-program-parameter-weight = weight

c-program-drawing = drawing …
c-program-source = Source:
c-program-beyond = Allowed too, not for this phase's goals ({ $n })
c-program-far-above = Farther above the ceiling ({ $n })
c-program-draft-protocol = draft protocol
