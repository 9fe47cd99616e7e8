-- The first form of the tables. The same names and meanings as in 0001_begin.sqlite.sql.
-- Texts compare byte by byte ("C"), as in SQLite, so that both sort alike.
-- Moments are milliseconds since 1970 in UTC, days are ISO text, flags are 0 or 1.
CREATE TABLE migration (
  number BIGINT NOT NULL PRIMARY KEY,
  name TEXT COLLATE "C" NOT NULL,
  done BIGINT NOT NULL
);

-- The last entry of each stream.
CREATE TABLE stream (
  id TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  head BIGINT NOT NULL,
  hash BYTEA NOT NULL
);

-- The journal.
CREATE TABLE entry (
  stream TEXT COLLATE "C" NOT NULL,
  number BIGINT NOT NULL,
  recorded BIGINT NOT NULL,
  on_day TEXT COLLATE "C" NOT NULL,
  by_id TEXT COLLATE "C" NOT NULL,
  by_name TEXT COLLATE "C" NOT NULL,
  kind TEXT COLLATE "C" NOT NULL,
  form BIGINT NOT NULL,
  payload TEXT COLLATE "C" NOT NULL,
  supersedes BIGINT,
  key TEXT COLLATE "C",
  prev BYTEA NOT NULL,
  hash BYTEA NOT NULL,
  PRIMARY KEY (stream, number)
);
CREATE UNIQUE INDEX entry_key ON entry (stream, key) WHERE key IS NOT NULL;
CREATE FUNCTION entry_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    RAISE EXCEPTION 'entries of the journal are never changed or deleted';
  END;
$$;
CREATE TRIGGER entry_kept BEFORE DELETE OR UPDATE ON entry FOR EACH ROW EXECUTE FUNCTION entry_refuse();
CREATE TRIGGER entry_all_kept BEFORE TRUNCATE ON entry FOR EACH STATEMENT EXECUTE FUNCTION entry_refuse();

-- The caseload: what the list of patients needs, one row for each episode. `name_folded` sorts, `find` is searched.
CREATE TABLE summary (
  episode TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  therapist TEXT COLLATE "C" NOT NULL,
  name TEXT COLLATE "C" NOT NULL,
  name_folded TEXT COLLATE "C" NOT NULL,
  find TEXT COLLATE "C" NOT NULL,
  born TEXT COLLATE "C",
  record TEXT COLLATE "C",
  protocol TEXT COLLATE "C" NOT NULL,
  open BIGINT NOT NULL,
  updated BIGINT NOT NULL,
  head BIGINT NOT NULL,
  body TEXT COLLATE "C" NOT NULL
);
CREATE INDEX summary_find ON summary (find, name_folded, episode);
CREATE INDEX summary_all ON summary (open, name_folded, episode);
CREATE INDEX summary_therapist ON summary (therapist, open, name_folded, episode);

-- Why an episode needs attention. `therapist` and `name_folded` repeat the summary so that the index alone gives the order.
CREATE TABLE attention (
  episode TEXT COLLATE "C" NOT NULL REFERENCES summary (episode),
  place BIGINT NOT NULL,
  therapist TEXT COLLATE "C" NOT NULL,
  name_folded TEXT COLLATE "C" NOT NULL,
  reason TEXT COLLATE "C" NOT NULL,
  rank BIGINT NOT NULL,
  from_day TEXT COLLATE "C" NOT NULL,
  until_day TEXT COLLATE "C",
  detail TEXT COLLATE "C" NOT NULL,
  entry BIGINT,
  PRIMARY KEY (episode, place)
);
CREATE INDEX attention_all ON attention (rank DESC, from_day, name_folded, episode, place, until_day);
CREATE INDEX attention_therapist ON attention (therapist, rank DESC, from_day, name_folded, episode, place, until_day);
CREATE INDEX attention_episode ON attention (episode, rank, from_day, place, until_day, therapist);

CREATE TABLE account (
  id TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  login TEXT COLLATE "C" NOT NULL,
  login_folded TEXT COLLATE "C" NOT NULL UNIQUE,
  name TEXT COLLATE "C" NOT NULL,
  role TEXT COLLATE "C" NOT NULL,
  title TEXT COLLATE "C" NOT NULL,
  password TEXT COLLATE "C" NOT NULL,
  totp TEXT COLLATE "C",
  active BIGINT NOT NULL,
  failed BIGINT NOT NULL,
  locked_until BIGINT,
  created BIGINT NOT NULL
);

CREATE TABLE session (
  token BYTEA NOT NULL PRIMARY KEY,
  account TEXT COLLATE "C" NOT NULL REFERENCES account (id),
  kind TEXT COLLATE "C" NOT NULL,
  csrf TEXT COLLATE "C" NOT NULL,
  created BIGINT NOT NULL,
  last_seen BIGINT NOT NULL,
  ends BIGINT NOT NULL
);
CREATE INDEX session_account ON session (account);
CREATE INDEX session_ends ON session (ends);

CREATE TABLE link (
  token BYTEA NOT NULL PRIMARY KEY,
  id TEXT COLLATE "C" NOT NULL UNIQUE,
  episode TEXT COLLATE "C" NOT NULL,
  created_by TEXT COLLATE "C" NOT NULL,
  created BIGINT NOT NULL,
  expires BIGINT NOT NULL,
  revoked BIGINT,
  tries BIGINT NOT NULL,
  last_try BIGINT
);
CREATE INDEX link_episode ON link (episode, created);

CREATE TABLE patient_session (
  token BYTEA NOT NULL PRIMARY KEY,
  link TEXT COLLATE "C" NOT NULL REFERENCES link (id),
  csrf TEXT COLLATE "C" NOT NULL,
  created BIGINT NOT NULL,
  ends BIGINT NOT NULL
);
CREATE INDEX patient_session_link ON patient_session (link);
CREATE INDEX patient_session_ends ON patient_session (ends);

CREATE TABLE draft (
  account TEXT COLLATE "C" NOT NULL,
  what TEXT COLLATE "C" NOT NULL,
  body TEXT COLLATE "C" NOT NULL,
  saved BIGINT NOT NULL,
  PRIMARY KEY (account, what)
);

-- The clinic's own content; a change adds a version.
CREATE TABLE content (
  kind TEXT COLLATE "C" NOT NULL,
  id TEXT COLLATE "C" NOT NULL,
  version BIGINT NOT NULL,
  body TEXT COLLATE "C" NOT NULL,
  state TEXT COLLATE "C" NOT NULL,
  by_id TEXT COLLATE "C" NOT NULL,
  by_name TEXT COLLATE "C" NOT NULL,
  saved BIGINT NOT NULL,
  PRIMARY KEY (kind, id, version)
);

-- Who read which text and stands for it; of the built-in library too, so no reference to `content`.
CREATE TABLE signoff (
  kind TEXT COLLATE "C" NOT NULL,
  id TEXT COLLATE "C" NOT NULL,
  version TEXT COLLATE "C" NOT NULL,
  text_hash BYTEA NOT NULL,
  by_id TEXT COLLATE "C" NOT NULL,
  by_name TEXT COLLATE "C" NOT NULL,
  on_day TEXT COLLATE "C" NOT NULL,
  recorded BIGINT NOT NULL,
  PRIMARY KEY (kind, id, version, text_hash, by_id)
);

CREATE TABLE setting (
  name TEXT COLLATE "C" NOT NULL PRIMARY KEY,
  body TEXT COLLATE "C" NOT NULL
);
