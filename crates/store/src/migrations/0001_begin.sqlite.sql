-- The first form of the tables. The same names and meanings as in 0001_begin.postgres.sql.
-- Moments are milliseconds since 1970 in UTC, days are ISO text, flags are 0 or 1.
CREATE TABLE migration (
  number INTEGER NOT NULL PRIMARY KEY,
  name TEXT NOT NULL,
  done INTEGER NOT NULL
);

-- The last entry of each stream.
CREATE TABLE stream (
  id TEXT NOT NULL PRIMARY KEY,
  head INTEGER NOT NULL,
  hash BLOB NOT NULL
) WITHOUT ROWID;

-- The journal. Without row ids: the entries of one stream lie together in the file, so an episode is read in few pages.
CREATE TABLE entry (
  stream TEXT NOT NULL,
  number INTEGER NOT NULL,
  recorded INTEGER NOT NULL,
  on_day TEXT NOT NULL,
  by_id TEXT NOT NULL,
  by_name TEXT NOT NULL,
  kind TEXT NOT NULL,
  form INTEGER NOT NULL,
  payload TEXT NOT NULL,
  supersedes INTEGER,
  key TEXT,
  prev BLOB NOT NULL,
  hash BLOB NOT NULL,
  PRIMARY KEY (stream, number)
) WITHOUT ROWID;
CREATE UNIQUE INDEX entry_key ON entry (stream, key) WHERE key IS NOT NULL;
CREATE TRIGGER entry_kept BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries of the journal are never deleted');
END;
CREATE TRIGGER entry_unchanged BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'entries of the journal are never changed');
END;

-- The caseload: what the list of patients needs, one row for each episode. `name_folded` sorts, `find` is searched.
CREATE TABLE summary (
  episode TEXT NOT NULL PRIMARY KEY,
  therapist TEXT NOT NULL,
  name TEXT NOT NULL,
  name_folded TEXT NOT NULL,
  find TEXT NOT NULL,
  born TEXT,
  record TEXT,
  protocol TEXT NOT NULL,
  open INTEGER NOT NULL,
  updated INTEGER NOT NULL,
  head INTEGER NOT NULL,
  body TEXT NOT NULL
);
CREATE INDEX summary_find ON summary (find, name_folded, episode);
CREATE INDEX summary_all ON summary (open, name_folded, episode);
CREATE INDEX summary_therapist ON summary (therapist, open, name_folded, episode);

-- Why an episode needs attention. `therapist` and `name_folded` repeat the summary so that the index alone gives the order.
CREATE TABLE attention (
  episode TEXT NOT NULL REFERENCES summary (episode),
  place INTEGER NOT NULL,
  therapist TEXT NOT NULL,
  name_folded TEXT NOT NULL,
  reason TEXT NOT NULL,
  rank INTEGER NOT NULL,
  from_day TEXT NOT NULL,
  until_day TEXT,
  detail TEXT NOT NULL,
  entry INTEGER,
  PRIMARY KEY (episode, place)
) WITHOUT ROWID;
CREATE INDEX attention_all ON attention (rank DESC, from_day, name_folded, episode, place, until_day);
CREATE INDEX attention_therapist ON attention (therapist, rank DESC, from_day, name_folded, episode, place, until_day);
CREATE INDEX attention_episode ON attention (episode, rank, from_day, place, until_day, therapist);

CREATE TABLE account (
  id TEXT NOT NULL PRIMARY KEY,
  login TEXT NOT NULL,
  login_folded TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  role TEXT NOT NULL,
  title TEXT NOT NULL,
  password TEXT NOT NULL,
  totp TEXT,
  active INTEGER NOT NULL,
  failed INTEGER NOT NULL,
  locked_until INTEGER,
  created INTEGER NOT NULL
);

CREATE TABLE session (
  token BLOB NOT NULL PRIMARY KEY,
  account TEXT NOT NULL REFERENCES account (id),
  kind TEXT NOT NULL,
  csrf TEXT NOT NULL,
  created INTEGER NOT NULL,
  last_seen INTEGER NOT NULL,
  ends INTEGER NOT NULL
);
CREATE INDEX session_account ON session (account);
CREATE INDEX session_ends ON session (ends);

CREATE TABLE link (
  token BLOB NOT NULL PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  episode TEXT NOT NULL,
  created_by TEXT NOT NULL,
  created INTEGER NOT NULL,
  expires INTEGER NOT NULL,
  revoked INTEGER,
  tries INTEGER NOT NULL,
  last_try INTEGER
);
CREATE INDEX link_episode ON link (episode, created);

CREATE TABLE patient_session (
  token BLOB NOT NULL PRIMARY KEY,
  link TEXT NOT NULL REFERENCES link (id),
  csrf TEXT NOT NULL,
  created INTEGER NOT NULL,
  ends INTEGER NOT NULL
);
CREATE INDEX patient_session_link ON patient_session (link);
CREATE INDEX patient_session_ends ON patient_session (ends);

CREATE TABLE draft (
  account TEXT NOT NULL,
  what TEXT NOT NULL,
  body TEXT NOT NULL,
  saved INTEGER NOT NULL,
  PRIMARY KEY (account, what)
) WITHOUT ROWID;

-- The clinic's own content; a change adds a version.
CREATE TABLE content (
  kind TEXT NOT NULL,
  id TEXT NOT NULL,
  version INTEGER NOT NULL,
  body TEXT NOT NULL,
  state TEXT NOT NULL,
  by_id TEXT NOT NULL,
  by_name TEXT NOT NULL,
  saved INTEGER NOT NULL,
  PRIMARY KEY (kind, id, version)
);

-- Who read which text and stands for it; of the built-in library too, so no reference to `content`.
CREATE TABLE signoff (
  kind TEXT NOT NULL,
  id TEXT NOT NULL,
  version TEXT NOT NULL,
  text_hash BLOB NOT NULL,
  by_id TEXT NOT NULL,
  by_name TEXT NOT NULL,
  on_day TEXT NOT NULL,
  recorded INTEGER NOT NULL,
  PRIMARY KEY (kind, id, version, text_hash, by_id)
);

CREATE TABLE setting (
  name TEXT NOT NULL PRIMARY KEY,
  body TEXT NOT NULL
);
