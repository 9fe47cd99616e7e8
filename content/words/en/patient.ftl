# The patient's own page: door, today, diary, warning signs, messages; and the paper with the link.

p-app-name = Home exercise program
p-app-short = Exercises
p-description = Your exercises at home, your limits, warning signs and diary.
p-language = Language
p-emergency = Emergency:
p-clinic = Clinic:
p-out-of-hours = Nights and weekends:

### The door

p-door-title = Open your page
p-door-lead = This page is for one person. Tell us your date of birth to open it.
p-door-born = Your date of birth
p-door-day = Day
p-door-month = Month
p-door-year = Year
p-door-choose = Choose
p-door-go = Open
p-door-help = Does it not open? Call your clinic and ask for a new link.
p-door-blank = Please fill in the day, the month and the year.
p-door-wrong = This did not open. Check the date. After some wrong tries the link stops.
p-closed-title = Please open your link again
p-closed = Your page is not open on this phone. Open the link from your clinic again. Or call your clinic and ask for a new one.
p-fault-title = This page cannot open right now
p-fault-store = The clinic's computer is not ready. That is not your fault.
p-fault-store-mend = What you wrote in your diary stays on your phone. It goes out by itself later. Try again in a few minutes.
p-fault-call = Do you have a warning sign? Do not wait for this page. Call your clinic now. In an emergency, call the emergency number.

### Every screen

p-stamp = Version { $version } of { $date }. Use until { $until }.
p-stamp-none = You have no program yet.
p-tabs = Screens
p-tab-today = Today
p-tab-diary = Diary
p-tab-signs = Signs
p-tab-messages = Messages
p-draft-content = Your therapist signed this program. Parts of what it is made from are a draft, not yet reviewed by a clinician of this clinic.
p-no-script = The diary needs a browser that runs scripts. The rest of this page works.
p-offline = No network. You see what this phone has kept.
p-unsent-one = 1 report is not sent yet. It goes out when there is a network.
p-unsent-many = {"{n}"} reports are not sent yet. They go out when there is a network.
p-again = Open the link from your clinic again. What you wrote is kept on this phone until then.
p-out-of-date = This sheet is out of date. Its last day was {"{until}"}. Do not exercise with it. Call your clinic:
p-date-wrong = The date on this phone looks wrong. Check it. Do not exercise until it is right.

### Today

p-today = Today
p-session-title = Your session
p-session-days = Days:
p-session-needs = You need:
p-session-not-more = Do this much and no more. Do not make up for days you missed.
p-session-start = Start the session
p-session-diary = Write in the diary
p-session-back = Back to my page
p-session-to-diary = Back to my page and diary
p-rest-day = No session is planned for today. Rest is part of the plan.
p-no-session-title = No session today
p-no-program = Your therapist has not made your program yet.
p-sheet-out-of-date = Your program is out of date. Your therapist must look at it first.
p-stopped = Your program must be looked at again before you go on.
p-ended = Your care at this clinic has ended. This page shows no exercises any more.
p-no-session-old = Do not exercise from an old sheet. Call your clinic:
p-wear-title = What to wear for now
p-limits-title = What to leave out for now
p-limits-until = Until when does each one stay?
p-limits-none = Your limits are not known here. Call your clinic before you exercise.
p-planned-title = What is planned for now
p-planned-goals = You work on:
p-stop-title = Stop and call
p-about-title = About this page
p-not-checked-title = What nobody has checked
p-install-title = Keep this page on your phone
p-install = Open the menu of your browser. Tap "Add to home screen". Then it opens with no network too.
p-install-button = Put it on this phone
p-leave = Take this page off this phone
p-leave-hint = Is this not your own phone? Then take the page off when you are done.
p-leave-unsent = Some reports are not sent yet. They will be lost. Take the page off now?
p-left-title = The page is closed
p-left = This phone has forgotten your page. Open the link from your clinic to see it again.

### Warning signs

p-signs-title = Warning signs
p-signs-tap = Do you have one of these? Then tap it.
p-call-no-exercise = Do not exercise now.
p-call-no-exercise-until-told = Do not exercise until you have told your therapist.
p-call-later = No one watches this page all day. Does it get worse, or are you not sure? Then call. Do not wait for an answer here.
p-call-not-watched = No one watches this page all day. So call. Do not wait for an answer here.
p-call-back = Back to the diary
p-sign-sent = Your clinic has this sign in its list now. Call all the same.
p-sign-sent-later = Your clinic has this sign in its list now. Say it at your visit all the same.
p-sign-kept-later = This sign is not sent yet. It will be sent when there is a network.
p-sign-kept = This sign is not sent yet. Call now. It will be sent when there is a network.

### Diary

p-diary-title = Diary
p-diary-signs = First: do you have one of these signs?
p-diary-no-signs = I have none of these
p-no-other = No other sign. Go on
p-diary-still-call = If a sign comes up later, call at once.
p-diary-day = Which day?
p-day-today = Today
p-day-yesterday = Yesterday
p-diary-exercises = What did you do?
p-diary-all-done = I did all as planned
p-diary-all = Done
p-diary-part = Not all
p-diary-none = Not done
p-diary-sets = Sets
p-diary-reps = Times in all
p-fewer = One less
p-more = One more
p-diary-pain-before = Pain before
p-diary-pain-during = Worst pain while you exercised
p-diary-pain-after = Pain right after
p-diary-morning = How was the morning after your last session?
p-diary-morning-usual = As usual
p-diary-morning-worse = More pain or stiff
p-diary-swelling = Swelling, next to the day before?
p-diary-swelling-less = Less
p-diary-swelling-same = The same
p-diary-swelling-more = More
p-diary-left-out = What kept you from doing all?
p-diary-extra = Did you do more than the plan? What?
p-diary-note = What else should we know?
p-diary-message = A message to the clinic
p-diary-save = Save
p-missing = Fill in at least one thing.
p-missing-counts = You did not do all of an exercise. Fill in the sets and the times.
p-guided-found = We filled in what you did in your session at {"{time}"}. Check it.
p-guided-sign = Said yes to a sign before the session: {"{group}"}
p-earlier-title = Your last entries
p-earlier-none = There are none yet.
p-earlier-done = { $n } of { $total } exercises
p-earlier-pain = Worst pain: { $n }
p-saved-title = Your entry is kept
p-saved-call = An entry is not a call. If you have a warning sign, call.
p-saved-back = Back to today
p-sent = It has been sent to your clinic.
p-kept = It is not sent yet. It is kept on this phone and goes out by itself.
p-sending = It is being sent.
p-waiting = Not sent yet
p-not-kept = This phone cannot keep it. Leave this page open until it is sent.
p-refused = The clinic's server did not take this:
p-remove = Remove it
p-try-again = Try again
p-refused-form = it could not be read
p-refused-other-person = it was written on the page of someone else
p-refused-empty = there is nothing in it
p-refused-long = a text is too long
p-refused-future = that day has not come yet
p-refused-before-surgery = that day is before your surgery
p-refused-too-many = there are too many entries for that day
p-refused-version = it belongs to a program that is not yours
p-refused-exercise = it names an exercise that is not in your program
p-refused-counts = a count is too large or does not fit
p-refused-pain = pain goes from 0 to 10
p-refused-mend = Check it and save it once more. Or call your clinic.

### Messages

p-messages-title = Messages
p-messages-not-watched = No one reads this at night. If it cannot wait, call.
p-messages-write = Write to your clinic
p-messages-send = Send
p-messages-none = There are no messages yet.
p-messages-you = You

### The paper with the link

p-paper-title = Your home exercise page
p-paper-1 = Point the camera of your phone at the code.
p-paper-2 = Open the link. Tell it your date of birth.
p-paper-3 = Add the page to your home screen. It works with no network too.
p-paper-4 = Write in the diary after each session.
p-paper-until = The link works until { $date }.
p-paper-keep = The link is only for you. Do not pass it on.
p-file-title = Your guided session as a file
p-file-1 = Open the file on your phone or computer. It needs no network.
p-file-2 = Answer the questions on the first screen. Then tap Start.
p-file-3 = At the end the page shows a square code. It holds what you did.
p-file-4 = Bring your phone to your next visit. Open "Earlier sessions" and show the codes.
p-file-until = Use the file until { $date }. Then ask for a new one.
