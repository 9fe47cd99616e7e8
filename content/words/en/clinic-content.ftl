# Exercises and protocols: looking at them, signing them, writing them. For clinicians (c-).

c-content-title = Exercises and protocols
c-content-crumbs = Where you are
c-content-back = back
c-content-search = Search and narrow
c-content-find = Find
c-content-filter = Show
c-content-all = Show all
c-content-any = any
c-content-state = State
c-content-draft = draft
c-content-signed = signed
c-content-own = { $n ->
    [one] own, saved once
   *[other] own, saved { $n } times
}
c-content-own-any = the clinic's own
c-content-built-in = built in
c-content-folder = from the clinic's folder
c-content-none-found = Nothing fits. Show all, or search for less.
c-content-exercises = { $n ->
    [one] 1 exercise
   *[other] { $n } exercises
}
c-content-protocols = { $n ->
    [one] 1 protocol
   *[other] { $n } protocols
}
c-content-protocol-line = { $phases } phases, { $limits } restrictions
c-content-new-exercise = New exercise
c-content-new-protocol = New protocol
c-content-new-from = New one from this
c-content-change = Change as text
c-content-version = version { $v }
c-content-version-heading = Version
c-content-from-heading = From
c-content-name = Name
c-content-yes = yes
c-content-at = line { $line }, column { $column }
c-content-at-line = { $file }, line { $line }, column { $column }:
c-content-refused = The clinic's own content has mistakes and was not taken. The content before it stays in use.

### Signatures

c-content-signed-by = by { $by }, { $date }
c-content-changed-since = The text was changed after it was signed.
c-content-draft-notice = Draft, not yet reviewed by a clinician of this clinic. Every output says so until this text is signed.
c-content-signatures = Signatures
c-content-no-signature = Nobody has signed this text.
c-content-signature = { $by } on { $date }, version { $v }
c-content-counts = (this text)
c-content-counts-not = (another text; it does not count for this one)
c-content-sign-lead = { $name } signs version { $v } as it stands on this page. A change of the text makes it a draft again.
c-content-sign-hash = Mark of the text:
c-content-sign-read = I have read the whole text, pictures and sources, and answer for its use in this clinic.
c-content-sign = Sign this version
c-content-sign-unread = the box that says that the text was read is not ticked
c-content-sign-unread-mend = read it and tick the box
c-content-sign-other-text = this text has changed since the page was opened; read it again
c-content-waiting = Waiting for a signature
c-content-waiting-link = { $n ->
    [0] Nothing waits for a signature
    [one] 1 waits for a signature
   *[other] { $n } wait for a signature
}
c-content-waiting-count = { $n ->
    [0] Every text in use is signed.
    [one] 1 text in use is a draft.
   *[other] { $n } texts in use are drafts. Those that were signed before and changed since come first.
}

### One exercise

c-content-figure = How it moves
c-content-works = { $side ->
    [left] left side works
   *[right] right side works
}
c-content-play = Play
c-content-pause = Pause
c-content-seconds = One repetition: { $n } s
c-content-start = Start
c-content-end = Farthest point
c-content-views = Seen from
c-content-view-side = working side
c-content-view-other-side = other side
c-content-view-front = front
c-content-view-back = back
c-content-view-three-quarter = front, half working side
c-content-view-other-three-quarter = front, half other side
c-content-view-back-three-quarter = back, half working side
c-content-view-other-back-three-quarter = back, half other side
c-content-view-above = above
c-content-view-toes = toes
c-content-on-body = On this body
c-content-side = Working side
c-content-stature = Height (m)
c-content-mass = Weight (kg)
c-content-sex = Sex (for the weight of body parts)
c-content-female = female
c-content-male = male
c-content-whole = Whole body instead of the close-up
c-content-show = Show on this body
c-content-usual-furniture = Furniture of usual height: chair fitting the lower leg, bed 50 cm, table 74 cm, step 15 cm. All figures below are for this body.
c-content-not-taken = { $typed } cannot be taken: write a number from { $low } to { $high }.
c-content-cannot = This body cannot do the exercise with usual furniture.
c-content-facts = What it is
c-content-region = Region
c-content-region-foot = foot
c-content-region-ankle = ankle
c-content-region-knee = knee
c-content-region-hip = hip
c-content-region-trunk = trunk
c-content-region-shoulder = shoulder
c-content-region-elbow = elbow
c-content-region-hand = hand
c-content-trains = Trains
c-content-posture = Posture
c-content-positions = Positions
c-content-driven = Moved
c-content-driven-else = Moved otherwise
c-content-prime = Muscles it is for
c-content-helping = Muscles that help
c-content-holding = Muscles that steady
c-content-equipment = Equipment
c-content-nothing = nothing
c-content-device-off = Must be off
c-content-impact = A foot lands
c-content-warm-up = Belongs to the beginning
c-content-dose = Usual dose
c-content-dose-by-phase = as the phase says
c-content-dose-reps = { $sets } sets of { $n } repetitions
c-content-dose-seconds = { $sets } sets of { $n } seconds
c-content-texts = What the patient reads
c-content-no-words = There are no words in this language.
c-content-ranges = Ranges of the joints in one repetition
c-content-ranges-caption = Joints that move 1.5 degrees or more, neutral-zero method; the working side first, marked by a bar. Basis: computed.
c-content-joint = Joint
c-content-from = From
c-content-to = To
c-content-arc = Arc (deg)
c-content-rests = at rest
c-content-neutral = neutral
c-content-deg-of = { $n } deg { $motion }
c-content-loads = Load on tissues in one repetition
c-content-loads-caption = Peak with its bounds, and the sum over the time of one repetition.
c-content-tissue = Tissue
c-content-bounds = Peak
c-content-impulse = Sum over time
c-content-basis = Basis
c-content-source = Source
c-content-order = published order only
c-content-at-second = at { $n } s
c-content-no-load = Practically not loaded:
c-content-not-known = Not known
c-content-contacts = Contacts
c-content-contacts-caption = What touches what, and the greatest force there. Each is told at its own moment, so they need not add up to 100 %. Basis: computed.
c-content-point = Point
c-content-on = On
c-content-held = How it is held
c-content-most = Carries at most
c-content-point-heel = { side-m } heel
c-content-point-heel-back = back of the { side-m } heel
c-content-point-heel-inner = inner side of the { side-m } heel
c-content-point-ball-inner = inner ball of the { side-m } foot
c-content-point-ball-outer = outer ball of the { side-m } foot
c-content-point-ball = ball of the { side-m } foot
c-content-point-midsole = middle of the { side-f } sole
c-content-point-toe-tip = tip of the { side-m } big toe
c-content-point-great-toe-pad = { side-m } big toe
c-content-point-lesser-toe-pad = small toes of the { side-m } foot
c-content-point-ankle-centre = { side-m } ankle
c-content-point-ankle-inner = { side-m } inner ankle bone
c-content-point-ankle-outer = { side-m } outer ankle bone
c-content-point-ankle-front = front of the { side-m } ankle
c-content-point-calf-back = { side-f } calf
c-content-point-shin-front = { side-f } shin
c-content-point-knee-centre = { side-f } knee
c-content-point-knee-front = { side-f } kneecap
c-content-point-knee-inner = inner side of the { side-f } knee
c-content-point-knee-outer = outer side of the { side-f } knee
c-content-point-knee-back = hollow of the { side-f } knee
c-content-point-thigh-back = back of the { side-m } thigh
c-content-point-thigh-outer = outer side of the { side-m } thigh
c-content-point-hip-centre = { side-f } hip
c-content-point-hip-outer = outer side of the { side-f } hip
c-content-point-seat = ischial seat
c-content-point-sacrum = base of the back
c-content-point-belly = belly
c-content-point-low-back = lower back
c-content-point-upper-back = upper back
c-content-point-chest = chest
c-content-point-rib-side = side of the ribs
c-content-point-head-back = back of the head
c-content-point-head-side = side of the head
c-content-point-forehead = forehead
c-content-point-chin = chin
c-content-point-shoulder-centre = { side-m } shoulder
c-content-point-shoulder-top = top of the { side-m } shoulder
c-content-point-shoulder-outer = outer side of the { side-m } shoulder
c-content-point-elbow-centre = { side-m } elbow
c-content-point-elbow-tip = tip of the { side-m } elbow
c-content-point-elbow-inner = inner side of the { side-m } elbow
c-content-point-forearm-under = ulnar side of the { side-m } forearm
c-content-point-forearm-front = palm side of the { side-m } forearm
c-content-point-wrist-centre = { side-f } wrist
c-content-point-palm = { side-f } palm
c-content-point-hand-edge = edge of the { side-f } hand
c-content-point-grip = { side-f } hand
c-content-point-fingertip = tip of the { side-m } middle finger
c-content-on-body-part = another part of the body
c-content-on-floor = floor
c-content-on-seat = chair seat
c-content-on-bed = bed
c-content-on-table = table
c-content-on-step = step
c-content-on-wall = wall
c-content-on-ball = ball
c-content-hold-slides = slides on it
c-content-hold-stays = stays in its place
c-content-hold-distance = keeps its distance
c-content-hold-together = moves together with it
c-content-hold-rests = rests
c-content-carries = { $n } % of body weight
c-content-carries-none = steadies only
c-content-faults = Common faults
c-content-parameters = What may be turned
c-content-parameters-caption = The first one is turned to stay within a limit. Tolerance: error of execution at home.
c-content-unit = Unit
c-content-least = Least
c-content-usual = Usual
c-content-greatest = Greatest
c-content-tolerance = Tolerance
c-content-uses = Where it is used
c-content-no-uses = No protocol asks for it.
c-content-uses-name = Named as a first choice
c-content-uses-goal = Offers itself by what it trains
c-content-next = Easier and harder
c-content-next-caption = Nearest rungs of the load ladder of each tissue that a protocol protects, by the upper bound of the peak, on a body of 1.70 m and 70 kg without limits. Nobody typed this order.
c-content-easier = Easier
c-content-harder = Harder
c-content-sources = Sources
c-content-known-not-stated = (the text does not state how well this is known)
c-content-as-written = The text as it is written

### One protocol

c-content-protects = Protects:
c-content-variants = What must be known of the operation
c-content-only-if = Only if { $variant }: { $answers }
c-content-phases = Phases
c-content-begins-by-act = (earliest plan; a phase begins by a named person's act)
c-content-goals = Goals
c-content-dosage = Dosage
c-content-ceiling = At most
c-content-amount = { $sets } × { $reps }, { $times } a day, { $days } days a week
c-content-most-exercises = { $n } exercises
c-content-first-choices = First choices
c-content-weeks = weeks { $from } to { $to }
c-content-weeks-from = from week { $from }
c-content-restrictions = Restrictions
c-content-restrictions-caption = Weeks are completed weeks after surgery. None ends by the calendar alone; the surgeon's order comes first.
c-content-timeline = Restrictions over the weeks after surgery
c-content-timeline-alt = Restrictions as bars over the completed weeks after surgery; the table below says the same in words.
c-content-timeline-key = Bars: planned weeks of each restriction; stages of one ladder stand in one row. Dashed: only with certain answers about the operation. Numbers on top: phases. Weeks after 16 are drawn closer together.
c-content-limit = Limit
c-content-when = When
c-content-ends = Ends by
c-content-ends-release = a release by a named person
c-content-ends-week = the next stage, when its weeks have passed and its phase was begun by a named person
c-content-ends-phase = the start of phase { $n }, { $phase }, by a named person, when its weeks have passed
c-content-note = Note:
c-content-differ = Sources differ
c-content-criteria = Criteria
c-content-criteria-caption = What must be true before a phase is begun.
c-content-opens = Opens phase
c-content-criterion = Criterion
c-content-threshold = Threshold
c-content-at-least = at least { $n } { $unit }
c-content-at-most = at most { $n } { $unit }
c-content-judged = judged by a clinician
c-content-milestones = Expected range
c-content-milestones-caption = Less than this by that week is a reason to look. It is no limit.
c-content-motion = Motion
c-content-reaches = Reaches
c-content-by-week = By week
c-content-precautions = Precautions
c-content-spreads = Where sources differ
c-content-spreads-lead = The statements side by side, and what was taken. The surgeon's order decides.
c-content-taken = Taken:
c-content-concerns = Concerns:

### Writing

c-content-change-of = Change: { $name }
c-content-edit-lead = The text is checked while you type. Nothing is in use before it is saved, and nothing is saved that does not check. The version in the text has been raised by one.
c-content-text-label = Text (TOML)
c-content-words-label = Words for the patient: { $lang }
c-content-line = line, column:
c-content-check = Check
c-content-checks = No mistakes found.
c-content-not-checked-yet = Checked while you type.
c-content-mistakes = { $n ->
    [one] 1 mistake
   *[other] { $n } mistakes
}
c-content-as-typed = The figure as typed
c-content-typed-body = On a body of 1.70 m and 70 kg, left side working. It pales while the text cannot be drawn.
c-content-save = Save and put into use
c-content-save-lead = What is saved is a draft until a clinician signs it.
c-content-leave = Leave without saving
c-content-saved = Saved and in use.
c-content-earlier-draft = An earlier draft of yours, begun on another text
c-content-conflict = Somebody else saved this meanwhile
c-content-conflict-lead = Your text is below as you typed it. Compare it with theirs; saving again takes the place of theirs.
c-content-conflict-by = Saved by { $by } (number { $n })
c-content-conflict-text = Their text
c-content-affected = { $n ->
    [0] No open episode uses this protocol.
    [one] 1 open episode uses this protocol.
   *[other] { $n } open episodes use this protocol.
}
c-content-affected-lead = Before a new text is put into use, its effect on the limits of today is shown for each of them.
c-content-affected-after = Look at their limits and programs; the sheets at home may be out of date.
c-content-effects = What this text changes today
c-content-effects-lead = Look at each line. Nothing has been saved yet.
c-content-effects-caption = Open episodes with this protocol
c-content-effects-seen = I have seen these changes and answer for them.
c-content-effects-break = This text does not fit the orders of at least one open episode and cannot be put into use. Keep the names that their orders speak of, or write a new protocol from it.
c-content-effect-none = the same limits as before
c-content-effect-changes = other limits: { $before } in force before, { $after } after
c-content-effect-breaks = the orders no longer fit: { $why }
c-content-patient = Patient
c-content-today = Today
